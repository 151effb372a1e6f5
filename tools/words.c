/* words.c - a program of the build: the files en.po and de.po to one JSON a language and to the const table of
 * text/words.h.
 *
 *     words OUT_DIR en.po de.po     writes OUT_DIR/en.json, OUT_DIR/de.json, OUT_DIR/words_table.c and OUT_DIR/both.po
 *
 * both.po has the English sentence as msgid and the German as msgstr, flagged python-brace-format: from it alone
 * `msgfmt -c` can tell that the two have the same slots (tools/lint.sh).
 * libgettextpo reads the files, so that what translators' tools write is read as they meant it. Ends with 1 and a line
 * FILE:LINE on stderr where a text is missing or empty, or the files do not hold the same codes.
 */
#include <gettext-po.h>
#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LANGUAGES = 2, ROWS_MAX = 4096 };
static const char *const names[LANGUAGES] = {"en", "de"};

struct row {
    const char *code, *text[LANGUAGES], *plural[LANGUAGES];
};
static struct row rows[ROWS_MAX];
static size_t row_count;
static int faults;

static void complain(int severity, po_message_t message, const char *file, size_t line, size_t column, int multiline,
                     const char *text)
{
    (void)message, (void)column, (void)multiline;
    fprintf(stderr, "%s:%zu: %s\n", file ? file : "words", line, text);
    faults += severity != PO_SEVERITY_WARNING;
}

static void complain_two(int severity, po_message_t m1, const char *file1, size_t line1, size_t column1, int multi1,
                         const char *text1, po_message_t m2, const char *file2, size_t line2, size_t column2,
                         int multi2, const char *text2)
{
    complain(severity, m1, file1, line1, column1, multi1, text1);
    complain(severity, m2, file2, line2, column2, multi2, text2);
}

static struct row *row_of(const char *code)
{
    for (size_t i = 0; i < row_count; i++)
        if (strcmp(rows[i].code, code) == 0)
            return &rows[i];
    if (row_count == ROWS_MAX)
        return NULL;
    rows[row_count].code = code;
    return &rows[row_count++];
}

static void take(po_message_t message, const char *file, int language)
{
    const char *code = po_message_msgid(message);
    po_filepos_t at = po_message_filepos(message, 0);
    size_t line = at ? po_filepos_start_line(at) : 0;
    if (*code == '\0' || po_message_is_obsolete(message))
        return;
    bool plural = po_message_msgid_plural(message) != NULL;
    const char *text = plural ? po_message_msgstr_plural(message, 0) : po_message_msgstr(message);
    const char *many = plural ? po_message_msgstr_plural(message, 1) : NULL;
    struct row *row = row_of(code);
    if (!row || !text || !*text || (plural && (!many || !*many))) {
        fprintf(stderr, "%s:%zu: %s has no text\n", file, line, code);
        faults++;
        return;
    }
    row->text[language] = text;
    row->plural[language] = many;
}

static void read_file(const char *file, int language)
{
    static const struct po_xerror_handler handler = {.xerror = complain, .xerror2 = complain_two};
    po_file_t po = po_file_read(file, &handler);
    if (!po) {
        fprintf(stderr, "words: cannot read %s\n", file);
        faults++;
        return;
    }
    po_message_iterator_t each = po_message_iterator(po, NULL);
    for (po_message_t m; (m = po_next_message(each));)
        take(m, file, language);
    po_message_iterator_free(each);
    /* po itself lives as long as the program: the texts are its own. */
}

static int by_code(const void *a, const void *b)
{
    return strcmp(((const struct row *)a)->code, ((const struct row *)b)->code);
}

static void check_both(void)
{
    for (size_t i = 0; i < row_count; i++)
        for (int l = 0; l < LANGUAGES; l++)
            if (!rows[i].text[l]) {
                fprintf(stderr, "words: %s is not in %s.po\n", rows[i].code, names[l]);
                faults++;
            } else if (!rows[i].plural[l] != !rows[i].plural[0]) {
                fprintf(stderr, "words: %s has a plural in one language only\n", rows[i].code);
                faults++;
            }
}

static bool write_json(const char *folder, int language)
{
    char path[1024];
    json_t *all = json_object();
    for (size_t i = 0; i < row_count; i++) {
        const struct row *r = &rows[i];
        json_object_set_new(all, r->code,
                            r->plural[language] ? json_pack("[s, s]", r->text[language], r->plural[language])
                                                : json_string(r->text[language]));
    }
    snprintf(path, sizeof path, "%s/%s.json", folder, names[language]);
    bool written = json_dump_file(all, path, JSON_INDENT(1)) == 0;
    json_decref(all);
    return written;
}

/* A line of the pool: the text as a C string, with the NUL that ends it. */
static void write_literal(FILE *to, const char *text)
{
    fputs("    \"", to);
    for (const unsigned char *c = (const unsigned char *)text; *c; c++)
        if (*c < ' ' || *c > '~' || *c == '"' || *c == '\\' || *c == '?')
            fprintf(to, "\\%03o", (unsigned)*c);
        else
            fputc(*c, to);
    fputs("\\0\"\n", to);
}

/* Writes the text where there is one, and moves on by it. Its place; 0: none, since the pool begins with an empty one.
 */
static size_t put(FILE *to, const char *text, size_t *len)
{
    size_t at = *len;
    if (!text)
        return 0;
    write_literal(to, text);
    *len += strlen(text) + 1;
    return at;
}

static bool write_table(const char *folder)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/words_table.c", folder);
    FILE *to = fopen(path, "w");
    if (!to)
        return false;
    size_t(*places)[1 + 2 * LANGUAGES] = calloc(row_count ? row_count : 1, sizeof *places), len = 1;
    if (!places) {
        fclose(to);
        return false;
    }
    fputs("/* Made by tools/words.c of words/en.po and words/de.po. */\n#include \"text/words.h\"\n\n"
          "#pragma GCC diagnostic ignored \"-Woverlength-strings\"\n"
          "const char words_pool[] =\n    \"\\0\"\n",
          to);
    for (size_t i = 0; i < row_count; i++) {
        const struct row *r = &rows[i];
        places[i][0] = put(to, r->code, &len);
        for (int l = 0; l < LANGUAGES; l++) {
            places[i][1 + l] = put(to, r->text[l], &len);
            places[i][1 + LANGUAGES + l] = put(to, r->plural[l], &len);
        }
    }
    fputs(";\nconst struct words_row words_table[] = {\n", to);
    for (size_t i = 0; i < row_count; i++) {
        const size_t *p = places[i];
        fprintf(to, "    {%zu, {%zu, %zu}, {%zu, %zu}},\n", p[0], p[1], p[2], p[3], p[4]);
    }
    free(places);
    fprintf(to, "};\nconst size_t words_rows = %zu;\n", row_count);
    return fclose(to) == 0;
}

/* The context is the code: two codes may read alike in English and not in German. */
static bool write_both(const char *folder)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/both.po", folder);
    po_file_t po = po_file_create();
    po_message_iterator_t at = po_message_iterator(po, NULL);
    po_message_t head = po_message_create();
    po_message_set_msgid(head, "");
    po_message_set_msgstr(head, "Project-Id-Version: poise\nPO-Revision-Date: 2026-11-29 12:00+0000\n"
                                "Last-Translator: the Poise project\nLanguage-Team: the Poise project\n"
                                "Language: de\nMIME-Version: 1.0\nContent-Type: text/plain; charset=UTF-8\n"
                                "Content-Transfer-Encoding: 8bit\nPlural-Forms: nplurals=2; plural=(n != 1);\n");
    po_message_insert(at, head);
    for (size_t i = 0; i < row_count; i++) {
        po_message_t m = po_message_create();
        po_message_set_msgctxt(m, rows[i].code);
        po_message_set_msgid(m, rows[i].text[0]);
        po_message_set_format(m, "python-brace-format", 1);
        if (rows[i].plural[0]) {
            po_message_set_msgid_plural(m, rows[i].plural[0]);
            po_message_set_msgstr_plural(m, 0, rows[i].text[1]);
            po_message_set_msgstr_plural(m, 1, rows[i].plural[1]);
        } else {
            po_message_set_msgstr(m, rows[i].text[1]);
        }
        po_message_insert(at, m);
    }
    po_message_iterator_free(at);
    static const struct po_xerror_handler handler = {.xerror = complain, .xerror2 = complain_two};
    bool written = po_file_write(po, path, &handler) != NULL;
    po_file_free(po);
    return written;
}

int main(int count, char **arguments)
{
    if (count != 2 + LANGUAGES) {
        fputs("usage: words OUT_DIR en.po de.po\n", stderr);
        return 64;
    }
    for (int l = 0; l < LANGUAGES; l++)
        read_file(arguments[2 + l], l);
    qsort(rows, row_count, sizeof *rows, by_code);
    check_both();
    if (faults > 0)
        return 1;
    bool written = write_table(arguments[1]) && write_both(arguments[1]);
    for (int l = 0; l < LANGUAGES; l++)
        written = write_json(arguments[1], l) && written;
    if (!written)
        perror("words: cannot write");
    return written ? 0 : 74;
}
