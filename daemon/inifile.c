#include "inifile.h"

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

static bool refuse(struct reader *r, const char *field, const char *help, const char *why)
{
    return file_faults_add(r->faults, r->file->path, r->line, field, help, "%s", why);
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

/* Length of the UTF-8 sequence at p (end is one past the line), 0 where it is none: too long a form, a surrogate, above
 * U+10FFFF. Source: RFC 3629 section 4. */
static size_t utf8_length(const unsigned char *p, const unsigned char *end)
{
    static const unsigned least[5] = {0, 0, 0x80, 0x800, 0x10000};
    if (*p < 0x80)
        return 1;
    size_t n = *p >= 0xf0 && *p < 0xf8 ? 4 : *p >= 0xe0 && *p < 0xf0 ? 3 : *p >= 0xc0 && *p < 0xe0 ? 2 : 0;
    if (n == 0 || (size_t)(end - p) < n)
        return 0;
    unsigned code = *p & (0x7fu >> n);
    for (size_t i = 1; i < n; i++) {
        if ((p[i] & 0xc0) != 0x80)
            return 0;
        code = code << 6 | (p[i] & 0x3fu);
    }
    return code < least[n] || code > 0x10ffff || (code >= 0xd800 && code < 0xe000) ? 0 : n;
}

static bool bytes_fit(struct reader *r, const char *line, size_t len)
{
    if (len > LINE_MAX_BYTES)
        return refuse(r, NULL, "Write it shorter.", "the line is longer than 1,000 bytes");
    const unsigned char *p = (const unsigned char *)line, *end = p + len;
    while (p < end) {
        if (*p == '\0')
            return refuse(r, NULL, "Save the file as plain UTF-8 text.", "the line holds a NUL byte");
        if ((*p < 0x20 && *p != '\t') || *p == 0x7f)
            return refuse(r, NULL, "Take it out.", "the line holds a control character");
        size_t n = utf8_length(p, end);
        if (n == 0)
            return refuse(r, NULL, "Save the file as UTF-8.", "the line is not UTF-8");
        p += n;
    }
    return true;
}

static bool is_blank(const char *s)
{
    return s[strspn(s, " \t")] == '\0';
}

/* Where a comment begins: at a ; that follows a space. The end of the text where there is none. */
static const char *comment_at(const char *s)
{
    for (const char *p = s; *p; p++)
        if (*p == ';' && p > s && (p[-1] == ' ' || p[-1] == '\t'))
            return p;
    return s + strlen(s);
}

static bool section_add(struct reader *r, const char *name, size_t len)
{
    struct ini_file *f = r->file;
    struct ini_section *grown = realloc(f->section, (f->count + 1) * sizeof *grown);
    char *copy = strndup(name, len);
    if (grown)
        f->section = grown;
    if (!grown || !copy) {
        free(copy);
        return refuse(r, NULL, NULL, "out of memory");
    }
    f->section[f->count++] = (struct ini_section){.name = copy, .line = r->line};
    return true;
}

static bool section_fits(struct reader *r, const char *line)
{
    const char *end = comment_at(line), *close = memchr(line, ']', (size_t)(end - line));
    if (!close)
        return refuse(r, NULL, "Write [NAME].", "the section's name is not closed");
    if (close + 1 + strspn(close + 1, " \t") < end)
        return refuse(r, NULL, "Begin a new line after the ].", "something stands behind the section's name");
    const char *name = line + 1 + strspn(line + 1, " \t");
    while (close > name && (close[-1] == ' ' || close[-1] == '\t'))
        close--;
    if (close <= name)
        return refuse(r, NULL, "Write [NAME].", "the section has no name");
    if (close - name > SECTION_MAX_BYTES)
        return refuse(r, NULL, "Write it shorter.", "the section's name is longer than 48 bytes");
    return section_add(r, name, (size_t)(close - name));
}

static bool setting_fits(struct reader *r, const char *line)
{
    const char *end = comment_at(line), *equals = memchr(line, '=', (size_t)(end - line));
    if (!equals)
        return refuse(r, NULL, "Write KEY = VALUE, or # before a comment.", "the line is neither setting nor comment");
    if (equals == line)
        return refuse(r, NULL, "Write KEY = VALUE.", "nothing stands before the =");
    if (memchr(line, ':', (size_t)(equals - line)))
        return refuse(r, NULL, "Write KEY = VALUE.", "a : stands where only = separates");
    if (r->file->count == 0 && !r->lost)
        return refuse(r, NULL, "Write a [SECTION] above it.", "the setting belongs to no section");
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
        return refuse(r, NULL, "Begin it at the left edge.", "the line is indented");
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

static int take_setting(void *user, const char *section, const char *name, const char *value)
{
    struct reader *r = user;
    (void)section;
    if (*value == '\0') {
        refuse(r, name, "Give it a value, or leave the line out.", "nothing stands behind the =");
        return 1;
    }
    struct ini_section *s = &r->file->section[r->file->count - 1];
    struct ini_entry *grown = realloc(s->entry, (s->count + 1) * sizeof *grown);
    if (grown)
        s->entry = grown;
    char *key = strdup(name), *copy = strdup(value);
    if (!grown || !key || !copy) {
        free(key);
        free(copy);
        refuse(r, NULL, NULL, "out of memory");
        return 1;
    }
    s->entry[s->count++] = (struct ini_entry){.key = key, .value = copy, .line = r->line};
    return 1;
}

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
        file_faults_add(faults, path, bad > 0 ? bad : 0, NULL, "Write KEY = VALUE.", "the line cannot be read");
    if (ferror(in))
        file_faults_add(faults, path, 0, NULL, "Look at the file and its disk.", "it cannot be read: %s",
                        strerror(errno));
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

bool ini_file_read(const char *path, struct ini_file *out, struct file_faults *faults)
{
    FILE *in = open_plain(path);
    if (!in) {
        *out = (struct ini_file){0};
        return file_faults_add(faults, path, 0, NULL, "Give the path of a file that may be read.",
                               "it cannot be read: %s", errno == EINVAL ? "not a plain file" : strerror(errno));
    }
    bool fine = ini_stream_read(in, path, out, faults);
    fclose(in);
    return fine;
}

void ini_file_finish(struct ini_file *f)
{
    for (size_t i = 0; i < f->count; i++) {
        struct ini_section *s = &f->section[i];
        for (size_t j = 0; j < s->count; j++) {
            free(s->entry[j].key);
            free(s->entry[j].value);
        }
        free(s->entry);
        free(s->name);
    }
    free(f->section);
    *f = (struct ini_file){0};
}

/* ---- looking at it ---- */

const struct ini_entry *ini_get(const struct ini_section *s, const char *key)
{
    for (size_t i = 0; i < s->count; i++)
        if (strcmp(s->entry[i].key, key) == 0)
            return &s->entry[i];
    return NULL;
}

static bool is_among(const char *key, const char *const keys[])
{
    for (size_t i = 0; keys[i]; i++)
        if (strcmp(key, keys[i]) == 0)
            return true;
    return false;
}

bool ini_section_check(const struct ini_file *f, const struct ini_section *s, const char *const keys[],
                       struct file_faults *faults)
{
    bool fine = true;
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i], *first = ini_get(s, e->key);
        if (!is_among(e->key, keys)) {
            char known[200] = "It may be one of:";
            for (size_t k = 0; keys[k]; k++) {
                size_t used = strlen(known);
                if (used + strlen(keys[k]) + 5 < sizeof known)
                    snprintf(known + used, sizeof known - used, " %s%s", keys[k], keys[k + 1] ? "" : ".");
                else if (used + 5 < sizeof known)
                    snprintf(known + used, sizeof known - used, " ...");
            }
            fine = file_faults_add(faults, f->path, e->line, e->key, known, "[%s] has no such setting", s->name);
        } else if (first != e) {
            fine = file_faults_add(faults, f->path, e->line, e->key, "Keep one of the two lines.",
                                   "it stands in line %d already", first->line);
        }
    }
    return fine;
}

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
