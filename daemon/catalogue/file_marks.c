/* file_marks.c - how files that were taken in once are known again, so that a start need not parse them.
 *
 * First by a look at each (size, times, place), then by their bytes. It must not know what stands in them.
 */
#include "catalogue/files.h"
#include "clock.h"
#include "text/json_read.h"
#include "text/version.h"

#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

typedef crypto_hash_sha256_state hash_state;
/* Adds one file to a hash. */
typedef bool add_file(hash_state *hash, const char *path);

/* Size and times of a file. ctime cannot be set back by whoever copies a file with the time of another, and so another
 * content of the same size and time is seen as well. */
static bool add_times(hash_state *hash, const char *path)
{
    struct stat st;
    struct timespec now;
    if (stat(path, &st) < 0 || clock_gettime(CLOCK_REALTIME, &now) < 0)
        return false;
    const int64_t numbers[] = {st.st_size,        st.st_mtim.tv_sec,  st.st_mtim.tv_nsec,
                               st.st_ctim.tv_sec, st.st_ctim.tv_nsec, (int64_t)st.st_ino};
    crypto_hash_sha256_update(hash, (const unsigned char *)path, strlen(path) + 1);
    crypto_hash_sha256_update(hash, (const unsigned char *)numbers, sizeof numbers);
    return st.st_ctim.tv_sec + 2 < now.tv_sec && st.st_mtim.tv_sec + 2 < now.tv_sec;
}

/* Its length stands before its bytes, else two files could pass for two others. What is no plain file might never end.
 */
static bool add_content(hash_state *hash, const char *path)
{
    unsigned char bytes[8192];
    struct stat st;
    size_t got, left;
    FILE *file = stat(path, &st) == 0 && S_ISREG(st.st_mode) ? fopen(path, "re") : NULL;
    if (!file)
        return false;
    const int64_t size = st.st_size;
    crypto_hash_sha256_update(hash, (const unsigned char *)path, strlen(path) + 1);
    crypto_hash_sha256_update(hash, (const unsigned char *)&size, sizeof size);
    for (left = (size_t)size; left > 0 && (got = fread(bytes, 1, sizeof bytes, file)) > 0;
         left -= got < left ? got : left)
        crypto_hash_sha256_update(hash, bytes, got);
    bool whole = left == 0 && fread(bytes, 1, 1, file) == 0 && !ferror(file);
    fclose(file);
    return whole;
}

static bool add_folder(hash_state *hash, const char *path, add_file *add)
{
    struct dirent **entries;
    int n = files_of_folder(path, &entries);
    bool good = n >= 0;
    for (int i = 0; i < n; i++) {
        char file[1024];
        int len = snprintf(file, sizeof file, "%s/%s", path, entries[i]->d_name);
        good = good && len > 0 && (size_t)len < sizeof file && add(hash, file);
        free(entries[i]);
    }
    if (n >= 0)
        free(entries);
    return good;
}

/* A folder with all its *.ini, or one file, as they are read. */
static bool hash_of(const char *path, add_file *add, char out[65])
{
    hash_state hash;
    unsigned char digest[crypto_hash_sha256_BYTES];
    struct stat st;
    out[0] = '\0';
    crypto_hash_sha256_init(&hash);
    crypto_hash_sha256_update(&hash, (const unsigned char *)POISE_VERSION, sizeof POISE_VERSION);
    if (stat(path, &st) < 0 || !(S_ISDIR(st.st_mode) ? add_folder(&hash, path, add) : add(&hash, path)))
        return false;
    crypto_hash_sha256_final(&hash, digest);
    sodium_bin2hex(out, 65, digest, sizeof digest);
    return true;
}

bool files_mark_times(const char *path, struct files_mark *mark)
{
    return hash_of(path, add_times, mark->times);
}

bool files_mark_content(const char *path, struct files_mark *mark)
{
    return hash_of(path, add_content, mark->content);
}

/* A store_item_get callback. A mark of an earlier version has no content. */
static void take_mark(void *arg, const struct store_item *i)
{
    struct files_mark *mark = arg;
    json_t *body = json_read_text(i->body ? i->body : "{}");
    const char *content = json_string_value(json_object_get(body, "content"));
    snprintf(mark->times, sizeof mark->times, "%s", i->source ? i->source : "");
    snprintf(mark->content, sizeof mark->content, "%s", content ? content : "");
    json_decref(body);
}

struct store_item files_mark_item(const struct files_mark *mark, const char *time, char **body)
{
    char text[96];
    snprintf(text, sizeof text, "{\"content\":\"%s\"}", mark->content);
    *body = strdup(text);
    return (struct store_item){.kind = FILES_KIND, .id = FILES_ID, .time = time, .source = mark->times, .body = *body};
}

bool files_known_again(struct store *s, const char *path, struct files_mark *mark, store_done *done, void *arg)
{
    struct files_mark kept = {.times = ""};
    char time[CLOCK_TEXT], *body = NULL;
    struct store_item item;
    struct store_write write = {.event_count = 0};
    *mark = kept;
    files_mark_times(path, mark);
    store_item_get(s, FILES_KIND, FILES_ID, 0, take_mark, &kept);
    bool known = mark->times[0] && strcmp(kept.times, mark->times) == 0;
    if (!known && files_mark_content(path, mark) && strcmp(kept.content, mark->content) == 0) {
        known = true;
        clock_text(clock_wall_ms(), time);
        item = files_mark_item(mark, time, &body);
        if (body && mark->times[0])
            write = (struct store_write){.items = &item, .item_count = 1};
    }
    if (known)
        store_submit(s, &write, done, arg);
    free(body);
    return known;
}

void files_mark_sure(const char *path, struct files_mark *mark)
{
    struct files_mark now;
    if (!files_mark_content(path, &now) || strcmp(now.content, mark->content) != 0)
        *mark = (struct files_mark){.times = ""};
}
