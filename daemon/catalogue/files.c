/* files.c - finds the files that a person writes and looks at all of them together. Knows no section by name. */
#include "catalogue/files.h"

#include "catalogue/codes.h"
#include "catalogue/sections.h"
#include "config.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* What could not be read answers as not known: whoever reads files asks catalogue_was_read after a fault. */
bool files_known_by_store(void *store, const char *kind, const char *id)
{
    json_t *thing = catalogue_get(store, kind, id, 0);
    json_decref(thing);
    return thing != NULL;
}

/* May be called twice; what files_read_all refused is finished already. */
void file_items_finish(struct file_items *items)
{
    for (size_t i = 0; i < items->count; i++) {
        free(items->item[i].body);
        free(items->item[i].text);
    }
    for (size_t i = 0; i < items->files; i++)
        free(items->file[i]);
    free(items->file);
    free(items->item);
    *items = (struct file_items){0};
}

/* ---- one file, one folder ---- */

/* Some 100,000 lines: more is no list of toners, and would hold the loop for seconds. */
enum { FILE_BYTES_MAX = 8 << 20 };

/* A pipe or a device might never end, and everything waits while files are read. A path that leads nowhere is left to
 * the opening, which says why. */
static bool is_plain(struct reading *r, const char *path)
{
    struct stat st;
    if (stat(path, &st) < 0)
        return true;
    if (!S_ISREG(st.st_mode))
        return file_faults_add(r->faults, path, 0, NULL, say("file_not_plain"));
    if (st.st_size > FILE_BYTES_MAX)
        return file_faults_add(r->faults, path, 0, NULL, say("file_large"));
    return true;
}

/* A formula ends with its file, so that files may be moved and renamed apart. */
static void take_file(struct reading *r, const char *path)
{
    struct ini_file file;
    if (!is_plain(r, path) || !reading_file(r, path))
        return;
    /* What stands in a file whose lines cannot all be read is not looked at: it would only bring faults that follow. */
    if (ini_file_read(path, &file, r->faults)) {
        for (size_t i = 0; i < file.count; i++)
            section_take(r, &file, &file.section[i]);
        formula_close(r);
    }
    ini_file_finish(&file);
}

/* For scandir. A name with a dot before it is an editor's own, and one that is only `.ini` has no name. */
static int is_ini(const struct dirent *entry)
{
    size_t n = strlen(entry->d_name);
    return entry->d_name[0] != '.' && n > 4 && strcmp(entry->d_name + n - 4, ".ini") == 0;
}

/* By bytes, not by the locale: the order of files must be the same on every machine. */
static int by_name(const struct dirent **a, const struct dirent **b)
{
    return strcmp((*a)->d_name, (*b)->d_name);
}

int files_of_folder(const char *path, struct dirent ***entries)
{
    return scandir(path, entries, is_ini, by_name);
}

/* Sub-folders are not looked into: who keeps old files in one does not want them read. */
static void take_folder(struct reading *r, const char *path)
{
    struct dirent **entries;
    int n = files_of_folder(path, &entries);
    if (n < 0) {
        file_faults_add(r->faults, path, 0, NULL, say("file_folder why=%s", said_reason(errno)));
        return;
    }
    for (int i = 0; i < n; i++) {
        char file[1024];
        int len = snprintf(file, sizeof file, "%s/%s", path, entries[i]->d_name);
        if (len > 0 && (size_t)len < sizeof file)
            take_file(r, file);
        else
            file_faults_add(r->faults, path, 0, NULL, say("file_long_path"));
        free(entries[i]);
    }
    free(entries);
}

/* A folder with all its *.ini, or one file whatever its name. */
static void take_path(struct reading *r, const char *path)
{
    struct stat st;
    if (stat(path, &st) == 0 && S_ISDIR(st.st_mode))
        take_folder(r, path);
    else
        take_file(r, path);
}

/* ---- all of them together ---- */

/* Only once all is read: a coat may name a toner of a later file. Each line that names one not known is told, since a
 * misspelt id stands in many coats. */
static void check_uses(struct reading *r)
{
    size_t i;
    json_t *use;
    json_array_foreach(r->uses, i, use)
    {
        const char *toner = json_string_value(json_object_get(use, "toner"));
        char key[16 + ID_MAX];
        snprintf(key, sizeof key, "toner %s", toner);
        if (!json_object_get(r->seen, key))
            file_faults_add(r->faults, json_string_value(json_object_get(use, "file")),
                            (int)json_integer_value(json_object_get(use, "line")), toner,
                            say("file_toner toner=%s", toner));
    }
}

bool files_read_all(const char *const *paths, size_t count, files_known *known, void *arg, struct file_items *out,
                    struct file_faults *faults)
{
    struct reading r;
    size_t before = faults->count;
    *out = (struct file_items){0};
    reading_begin(&r, out, faults);
    r.known = known;
    r.known_arg = arg;
    for (size_t i = 0; i < count; i++)
        take_path(&r, paths[i]);
    if (faults->count == before) /* a toner whose section has a fault is not missing */
        check_uses(&r);
    if (faults->count == before)
        codes_apart(out, faults);
    reading_end(&r);
    if (faults->count == before)
        return true;
    file_items_finish(out);
    return false;
}

/* The first fault is enough for a start, which shows one line. */
bool files_read(const char *const *paths, size_t count, files_known *known, void *arg, struct file_items *out,
                struct file_fault *fault)
{
    struct file_faults faults = {0};
    bool fine = files_read_all(paths, count, known, arg, out, &faults);
    *fault = faults.count ? faults.fault[0] : (struct file_fault){0};
    file_faults_finish(&faults);
    return fine;
}

/* Faults of the configuration first, then those of the files, each on a line of its own in the language of whoever
 * asks: a person fixes them all before the next try. */
bool files_check(const char *config_path, struct store *store, FILE *out)
{
    struct config config;
    struct file_items items = {0};
    struct file_faults faults = {0};
    config_read_all(config_path, &config, &faults);
    const char *data = config.data;
    if (*data && access(data, F_OK) == 0) /* a folder that is not there was said already */
        files_read_all(&data, 1, store ? files_known_by_store : NULL, store, &items, &faults);
    file_items_finish(&items);
    for (size_t i = 0; i < faults.count; i++)
        file_fault_print(&faults.fault[i], words_language_of_environment(), out);
    bool fine = faults.count == 0;
    file_faults_finish(&faults);
    return fine;
}
