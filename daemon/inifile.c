/* inifile.c - one INI file read: what inih would misread is refused before it sees the line. Knows no section by name.
 */
#include "inifile.h"

#include "text/utf8.h"

#include <errno.h>
#include <fcntl.h>
#include <ini.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { LINE_MAX_BYTES = 1000, SECTION_MAX_BYTES = 48 };

struct reader {
    FILE *in;
    int line;
    bool lost; /* a section's name could not be read: its settings belong nowhere, say so only once */
    struct ini_file *file;
    struct file_faults *faults;
};

/* Adds a fault at the line at hand and goes on, so that one reading shows all there is to fix. */
static bool refuse(struct reader *r, const char *field, struct said why)
{
    return file_faults_add(r->faults, r->file->path, r->line, field, why);
}

/* Takes one line without its end into buf (LINE_MAX_BYTES + 2). Returns -1 at the end of the file; *len is the line's
 * true length, which may be more than buf holds. */
static int take_line(FILE *in, char *buf, size_t *len)
{
    int c = getc(in);
    if (c == EOF)
        return -1;
    *len = 0;
    for (; c != EOF && c != '\n'; c = getc(in)) {
        if (*len < LINE_MAX_BYTES + 1)
            buf[*len] = (char)c;
        ++*len;
    }
    if (*len && *len <= LINE_MAX_BYTES + 1 && buf[*len - 1] == '\r')
        --*len;
    buf[*len <= LINE_MAX_BYTES ? *len : LINE_MAX_BYTES] = '\0';
    return 0;
}

/* A line that can be kept: its bytes are text that a screen and a label can show. */
static bool bytes_fit(struct reader *r, const char *line, size_t len)
{
    char flat[LINE_MAX_BYTES + 2];
    if (len > LINE_MAX_BYTES)
        return refuse(r, NULL, say("ini_long"));
    if (memchr(line, '\0', len))
        return refuse(r, NULL, say("ini_nul"));
    if (!utf8_valid(line))
        return refuse(r, NULL, say("ini_utf8"));
    for (size_t i = 0; i <= len; i++)
        flat[i] = line[i] == '\t' ? ' ' : line[i];
    return utf8_is_clean(flat) || refuse(r, NULL, say("ini_unclean"));
}

/* Spaces and tabs alone; a line ends before it comes here. */
static bool is_blank(const char *s)
{
    return s[strspn(s, " \t")] == '\0';
}

/* Where a comment begins: at a ; that follows a space. The end of the text: there is no comment. */
static const char *comment_at(const char *s)
{
    for (const char *p = s; *p; p++)
        if (*p == ';' && p > s && (p[-1] == ' ' || p[-1] == '\t'))
            return p;
    return s + strlen(s);
}

/* Texts one behind the other: in pieces of their own a file of 8 MB took 50. A piece ends where one text more does not
 * fit; what nobody wrote to takes no memory. */
struct ini_texts {
    struct ini_texts *next;
    size_t used;
    char text[65536 - 2 * sizeof(size_t)];
};

/* A copy that lives as long as the file; NULL: no memory. It is never longer than a line. */
static const char *keep(struct ini_file *f, const char *text, size_t len)
{
    struct ini_texts *t = f->texts;
    if (!t || t->used + len + 1 > sizeof t->text) {
        t = malloc(sizeof *t);
        if (!t)
            return NULL;
        t->next = f->texts;
        t->used = 0;
        f->texts = t;
    }
    char *copy = t->text + t->used;
    memcpy(copy, text, len);
    copy[len] = '\0';
    t->used += len + 1;
    return copy;
}

/* The line of its head is kept: a fault of a setting left out names it. */
static bool section_add(struct reader *r, const char *name, size_t len)
{
    struct ini_file *f = r->file;
    struct ini_section *grown = realloc(f->section, (f->count + 1) * sizeof *grown);
    const char *copy = keep(f, name, len);
    if (grown)
        f->section = grown;
    if (!grown || !copy)
        return refuse(r, NULL, say("out_of_memory"));
    f->section[f->count++] = (struct ini_section){.name = copy, .line = r->line};
    return true;
}

/* The head is read here, whole: inih cuts a name at 49 bytes and joins what follows. */
static bool section_fits(struct reader *r, const char *line)
{
    const char *end = comment_at(line), *close = memchr(line, ']', (size_t)(end - line));
    if (!close)
        return refuse(r, NULL, say("ini_unclosed"));
    if (close + 1 + strspn(close + 1, " \t") < end)
        return refuse(r, NULL, say("ini_behind_section"));
    const char *name = line + 1 + strspn(line + 1, " \t");
    while (close > name && (close[-1] == ' ' || close[-1] == '\t'))
        close--;
    if (close <= name)
        return refuse(r, NULL, say("ini_no_name"));
    if (close - name > SECTION_MAX_BYTES)
        return refuse(r, NULL, say("ini_long_name"));
    return section_add(r, name, (size_t)(close - name));
}

/* What inih would read in another way than it looks is refused, with the reason. */
static bool setting_fits(struct reader *r, const char *line)
{
    const char *end = comment_at(line), *equals = memchr(line, '=', (size_t)(end - line));
    if (!equals)
        return refuse(r, NULL, say("ini_no_setting"));
    if (equals == line)
        return refuse(r, NULL, say("ini_no_key"));
    if (memchr(line, ':', (size_t)(equals - line)))
        return refuse(r, NULL, say("ini_colon"));
    if (r->file->count == 0 && !r->lost)
        return refuse(r, NULL, say("ini_no_section"));
    return r->file->count > 0 && !r->lost;
}

/* True: inih may see the line. */
static bool line_fits(struct reader *r, char *line, size_t len)
{
    if (!bytes_fit(r, line, len))
        return false;
    if (*line == '#' || *line == ';' || is_blank(line))
        return false;
    if (*line == ' ' || *line == '\t')
        return refuse(r, NULL, say("ini_indented"));
    if (*line != '[')
        return setting_fits(r, line);
    r->lost = !section_fits(r, line);
    return false; /* a section is ours alone: inih cuts its name and hides an empty one */
}

/* An ini_reader: hands inih only lines that it cannot misread, others as empty ones. */
static char *next_line(char *str, int size, void *stream)
{
    struct reader *r = stream;
    char buf[LINE_MAX_BYTES + 2], *line = buf;
    size_t len = 0;
    if (take_line(r->in, buf, &len) < 0)
        return NULL;
    if (++r->line == 1 && len >= 3 && memcmp(line, "\xef\xbb\xbf", 3) == 0) {
        line += 3;
        len -= 3;
    }
    snprintf(str, (size_t)size, "%s\n", line_fits(r, line, len) ? line : "");
    return str;
}

/* A handler of inih: 1 goes on, also after a fault, since all are wanted. */
static int take_setting(void *user, const char *section, const char *name, const char *value)
{
    struct reader *r = user;
    (void)section;
    if (*value == '\0') {
        refuse(r, name, say("ini_no_value"));
        return 1;
    }
    struct ini_section *s = &r->file->section[r->file->count - 1];
    struct ini_entry *grown = realloc(s->entry, (s->count + 1) * sizeof *grown);
    if (grown)
        s->entry = grown;
    const char *key = keep(r->file, name, strlen(name)), *copy = keep(r->file, value, strlen(value));
    if (!grown || !key || !copy) {
        refuse(r, NULL, say("out_of_memory"));
        return 1;
    }
    s->entry[s->count++] = (struct ini_entry){.key = key, .value = copy, .line = r->line};
    return 1;
}

/* Lines are checked before inih sees them: it would cut one that is too long and join one that is indented. */
bool ini_stream_read(FILE *in, const char *path, struct ini_file *out, struct file_faults *faults)
{
    *out = (struct ini_file){0};
    snprintf(out->path, sizeof out->path, "%s", path);
    struct reader r = {.in = in, .file = out, .faults = faults};
    size_t before = faults->count;
    /* Debian builds inih with these as variables of the library. All of Poise reads with the same ones. */
    ini_allow_multiline = false;
    ini_use_stack = false;
    ini_max_line = ini_initial_alloc = LINE_MAX_BYTES + 8;
    ini_stop_on_first_error = false; /* each fault is wanted, and each line was looked at before */
    int bad = ini_parse_stream(next_line, &r, take_setting, &r);
    if (bad && faults->count == before) /* nothing we know of makes inih refuse a line that we let pass */
        file_faults_add(faults, path, bad > 0 ? bad : 0, NULL, say("ini_no_setting"));
    if (ferror(in))
        file_faults_add(faults, path, 0, NULL, say("file_unreadable why=%s", said_reason(errno)));
    return faults->count == before;
}

/* A plain file, open; NULL with errno. A pipe is opened too, but never waited for. */
static FILE *open_plain(const char *path)
{
    struct stat st;
    int fd = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return NULL;
    bool known = fstat(fd, &st) == 0;
    int error = !known ? errno : S_ISREG(st.st_mode) ? 0 : S_ISDIR(st.st_mode) ? EISDIR : EINVAL;
    FILE *in = error ? NULL : fdopen(fd, "r");
    if (!in) {
        error = error ? error : errno;
        close(fd);
        errno = error;
    }
    return in;
}

/* Nothing but a plain file is opened; *out is empty where that fails. */
bool ini_file_read(const char *path, struct ini_file *out, struct file_faults *faults)
{
    FILE *in = open_plain(path);
    if (!in) {
        *out = (struct ini_file){0};
        return file_faults_add(faults, path, 0, NULL,
                               errno == EINVAL ? say("file_not_plain")
                                               : say("file_unreadable why=%s", said_reason(errno)));
    }
    bool fine = ini_stream_read(in, path, out, faults);
    fclose(in);
    return fine;
}

/* Takes one that was read half-way. */
void ini_file_finish(struct ini_file *f)
{
    for (size_t i = 0; i < f->count; i++)
        free(f->section[i].entry);
    for (struct ini_texts *t = f->texts, *next; t; t = next) {
        next = t->next;
        free(t);
    }
    free(f->section);
    *f = (struct ini_file){0};
}

/* ---- looking at it ---- */

/* A walk: a section has a dozen settings and is read once. */
const struct ini_entry *ini_get(const struct ini_section *s, const char *key)
{
    for (size_t i = 0; i < s->count; i++)
        if (strcmp(s->entry[i].key, key) == 0)
            return &s->entry[i];
    return NULL;
}

/* A key twice is refused, not the last one taken: nobody sees from above which of both holds. */
bool ini_section_check(const struct ini_file *f, const struct ini_section *s, ini_knows *knows, const void *arg,
                       struct file_faults *faults)
{
    bool fine = true;
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i], *first = ini_get(s, e->key);
        char known[240] = "";
        if (!knows(arg, e->key, known, sizeof known))
            fine = file_faults_add(faults, f->path, e->line, e->key,
                                   say("ini_unknown_key section=%s known=%s", s->name, known));
        else if (first && first != e)
            fine = file_faults_add(faults, f->path, e->line, e->key, say("ini_twice line=%d", first->line));
    }
    return fine;
}

/* Not by the locale: a file reads alike everywhere, and a comma is a fault that its caller words. */
bool ini_number(const char *text, double *out)
{
    /* strtod alone would take hexadecimal, `inf` and `nan`, and a locale's comma. */
    if (text[strspn(text, "0123456789.eE+-")] != '\0' || *text == '\0')
        return false;
    char *end;
    double value = strtod(text, &end);
    if (*end != '\0' || !isfinite(value))
        return false;
    *out = value;
    return true;
}
