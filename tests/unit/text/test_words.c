/* The table of words against the sources: no code without words, no words without a code, no slot that nobody fills.
 *
 * The sources are read as text, comments left out: a literal counts as a code where it is the form of a call below, or
 * wherever it has the shape of a form (`code slot=%s`). A literal that is a code of the table anywhere marks its words
 * as used, so codes may stand in const tables. Of the page's modules each `word("code", { slots })` counts. Run from
 * the top of the tree.
 */
#include "text/said.h"

#include <ctype.h>
#include <ftw.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Which argument of which function is a code or a form, and whether the code needs CODE.help. A function of your own
 * that hands its form on has its row here. */
static const struct {
    const char *function;
    int argument;
    bool help;
} takers[] = {
    {"say", 0, false},        {"said_is", 1, false},     {"words_of", 1, false},
    {"words_find", 0, false}, {"fault_said", 4, true},   {"failure_say", 3, false},
    {"output_say", 2, false}, {"output_line", 1, false}, {"wording_of", 1, false},
};

/* Codes made at run time: all words that begin so are used. */
static const char *const families[] = {
    "month.", "hazard.", "fix_",    "line.", "basis.", "book.", "command.", "option.", "coat.",   "finish.", "role.",
    "state.", "cue.",    "remedy.", "page.", "label.", "what.", "member.",  "value.",  "choice.", "unit.",
};

/* Words that `said_part` puts behind a code. */
static const char *const parts[] = {"help", "mend"};

enum { ROWS_MAX = 4096, SLOTS_MAX = 1024, DEPTH_MAX = 64 };

static struct {
    bool used, help;
    char slots[SLOTS_MAX]; /* ` name name `, of all forms of the code */
} rows[ROWS_MAX];
static int faults;

static size_t place_of(const char *code, size_t len)
{
    for (size_t i = 0; i < words_rows; i++)
        if (strlen(words_code(&words_table[i])) == len && memcmp(words_code(&words_table[i]), code, len) == 0)
            return i;
    return SIZE_MAX;
}

static void add_slot(char *slots, const char *name, size_t len)
{
    char one[80];
    snprintf(one, sizeof one, " %.*s ", (int)len, name);
    size_t n = strlen(slots);
    if (!strstr(slots, one) && n + strlen(one) < SLOTS_MAX)
        memcpy(slots + n, one, strlen(one) + 1);
}

/* `code slot=%s slot=%f`: the shape of a form with at least one slot. */
static bool is_form(const char *text)
{
    size_t code = strspn(text, "abcdefghijklmnopqrstuvwxyz0123456789_.");
    if (code == 0 || text[code] != ' ' || !islower((unsigned char)*text))
        return false;
    for (const char *at = text + code; *at;) {
        at += strspn(at, " ");
        size_t name = strspn(at, "abcdefghijklmnopqrstuvwxyz0123456789_");
        if (name == 0 || strncmp(at + name, "=%", 2) != 0)
            return false;
        at += strcspn(at, " ");
    }
    return true;
}

static void take_form(size_t row, const char *form)
{
    for (const char *at = strchr(form, ' '); at; at = strchr(at, ' ')) {
        at += strspn(at, " ");
        add_slot(rows[row].slots, at, strcspn(at, "="));
    }
}

static void take_literal(const char *file, int line, const char *text, const char *function, int argument)
{
    size_t len = strcspn(text, " "), row = place_of(text, len);
    bool code = is_form(text) && !strstr(function, "printf"), help = false;
    for (size_t i = 0; i < sizeof takers / sizeof *takers; i++)
        if (strcmp(takers[i].function, function) == 0 && takers[i].argument == argument) {
            code = true;
            help = takers[i].help;
        }
    if (row != SIZE_MAX) {
        rows[row].used = true;
        rows[row].help = rows[row].help || help;
        if (code)
            take_form(row, text);
    } else if (code && len > 0) {
        print_error("%s:%d: no words for %.*s\n", file, line, (int)len, text);
        faults++;
    }
}

/* ---- reading C ---- */

struct reader {
    const char *file, *at;
    int line, depth;
    char name[64]; /* the last identifier */
    struct {
        char function[64];
        int argument;
    } call[DEPTH_MAX];
};

static void skip_space(struct reader *r)
{
    for (;; r->at++) {
        if (*r->at == '\n')
            r->line++;
        if (strncmp(r->at, "/*", 2) == 0) {
            const char *end = strstr(r->at + 2, "*/");
            for (; end && r->at < end; r->at++)
                r->line += *r->at == '\n';
            r->at = end ? end + 1 : r->at + strlen(r->at) - 1;
        } else if (strncmp(r->at, "//", 2) == 0) {
            r->at += strcspn(r->at, "\n") - 1;
        } else if (!isspace((unsigned char)*r->at)) {
            return;
        }
    }
}

/* One literal and those that follow it at once, which C joins. */
static void read_literal(struct reader *r)
{
    char text[4096];
    size_t n = 0;
    int line = r->line;
    while (*r->at == '"') {
        for (r->at++; *r->at && *r->at != '"'; r->at++) {
            if (*r->at == '\\' && r->at[1])
                r->at++;
            if (n + 1 < sizeof text)
                text[n++] = *r->at;
        }
        r->at += *r->at == '"';
        skip_space(r);
    }
    text[n] = '\0';
    take_literal(r->file, line, text, r->depth ? r->call[r->depth - 1].function : "",
                 r->depth ? r->call[r->depth - 1].argument : 0);
}

static void read_mark(struct reader *r)
{
    char c = *r->at++;
    if (strchr("([{", c) && r->depth < DEPTH_MAX) {
        snprintf(r->call[r->depth].function, sizeof r->call->function, "%s", c == '(' ? r->name : "");
        r->call[r->depth++].argument = 0;
    } else if (strchr(")]}", c) && r->depth > 0) {
        r->depth--;
    } else if (c == ',' && r->depth > 0) {
        r->call[r->depth - 1].argument++;
    }
    r->name[0] = '\0';
}

static void read_source(const char *file, const char *text)
{
    struct reader r = {.file = file, .at = text, .line = 1};
    for (skip_space(&r); *r.at; skip_space(&r)) {
        size_t word = 0;
        while (isalnum((unsigned char)r.at[word]) || r.at[word] == '_')
            word++;
        if (word > 0) {
            snprintf(r.name, sizeof r.name, "%.*s", (int)word, r.at);
            r.at += word;
        } else if (*r.at == '"') {
            read_literal(&r);
        } else if (*r.at == '\'') {
            for (r.at++; *r.at && *r.at != '\''; r.at++)
                r.at += *r.at == '\\' && r.at[1];
            r.at += *r.at == '\'';
        } else {
            read_mark(&r);
        }
    }
}

/* ---- reading the page: word("code", { slot, slot: value }) ---- */

/* The names of an object literal that stands at `at`, written as the slots of a form. */
static void page_slots(const char *at, char *form, size_t size)
{
    int depth = 0;
    bool name_next = true;
    for (; *at; at++) {
        size_t n = strlen(form), name = strspn(at, "abcdefghijklmnopqrstuvwxyz0123456789_");
        if (depth == 1 && name_next && name > 0) {
            snprintf(form + n, size - n, " %.*s=%%s", (int)name, at);
            at += name - 1;
            name_next = false;
        } else if (strchr("{([", *at)) {
            depth++;
        } else if (strchr("})]", *at) && --depth == 0) {
            return;
        } else if (*at == ',') {
            name_next = true;
        }
    }
}

static void read_page(const char *file, const char *text)
{
    int line = 1;
    for (const char *at = text; *at; at++) {
        char form[512];
        line += *at == '\n';
        if (strncmp(at, "word(\"", 6) != 0 || (at > text && isalnum((unsigned char)at[-1])))
            continue;
        size_t code = strcspn(at + 6, "\"");
        snprintf(form, sizeof form, "%.*s", (int)code, at + 6);
        if (strncmp(at + 6 + code, "\", {", 4) == 0)
            page_slots(at + 6 + code + 3, form, sizeof form);
        take_literal(file, line, form, "words_of", 0);
    }
}

static int visit(const char *path, const struct stat *st, int type, struct FTW *where)
{
    size_t len = strlen(path);
    (void)st, (void)where;
    bool page = len > 3 && strcmp(path + len - 3, ".js") == 0;
    if (type != FTW_F || len < 3 || (!page && (path[len - 2] != '.' || !strchr("ch", path[len - 1]))))
        return 0;
    FILE *f = fopen(path, "re");
    static char text[1 << 18];
    if (!f)
        return 0;
    size_t n = fread(text, 1, sizeof text - 1, f);
    fclose(f);
    text[n] = '\0';
    if (page)
        read_page(path, text);
    else
        read_source(path, text);
    return 0;
}

/* ---- the checks ---- */

static void slots_of(const char *text, char *slots)
{
    for (; text && *text; text++) {
        if (text[0] == '{' && text[1] == '{') {
            text++;
        } else if (*text == '{') {
            add_slot(slots, text + 1, strcspn(text + 1, "}"));
            text += strcspn(text, "}");
        }
    }
}

/* The first slot of one list that is not in the other, NULL: none. */
static const char *lacking(const char *slots, const char *in)
{
    static char one[80];
    for (const char *at = slots; *at;) {
        at += strspn(at, " ");
        size_t len = strcspn(at, " ");
        snprintf(one, sizeof one, " %.*s ", (int)len, at);
        if (len > 0 && !strstr(in, one))
            return one;
        at += len;
    }
    return NULL;
}

/* The row whose forms fill the slots: that of the code itself, or of what stands before `.help`. */
static size_t owner_of(size_t row)
{
    const char *code = words_code(&words_table[row]), *dot = strrchr(code, '.');
    for (size_t i = 0; dot && i < sizeof parts / sizeof *parts; i++)
        if (strcmp(dot + 1, parts[i]) == 0) {
            size_t owner = place_of(code, (size_t)(dot - code));
            return owner == SIZE_MAX ? row : owner;
        }
    return row;
}

static bool in_family(const char *code)
{
    for (size_t i = 0; i < sizeof families / sizeof *families; i++)
        if (strncmp(code, families[i], strlen(families[i])) == 0)
            return true;
    return false;
}

static void check_row(size_t row)
{
    const struct words_row *w = &words_table[row];
    const char *code = words_code(w);
    char slots[WORDS_LANGUAGES][SLOTS_MAX] = {{0}}, help[SAID_CODE + 8];
    for (int l = 0; l < WORDS_LANGUAGES; l++) {
        slots_of(words_text(w, (enum words_language)l), slots[l]);
        slots_of(words_plural(w, (enum words_language)l), slots[l]);
        const char *unknown = lacking(slots[l], rows[owner_of(row)].slots);
        if (unknown) {
            print_error("%s.po: %s: nobody fills the slot%s\n", words_language_names[l], code, unknown);
            faults++;
        }
    }
    if (lacking(slots[0], slots[1]) || lacking(slots[1], slots[0])) {
        print_error("%s: the slots are%sin en and%sin de\n", code, slots[0], slots[1]);
        faults++;
    }
    if (!rows[owner_of(row)].used && !in_family(code)) {
        print_error("%s: nobody uses these words\n", code);
        faults++;
    }
    snprintf(help, sizeof help, "%s.help", code);
    if (rows[row].help && !words_find(help)) {
        print_error("%s: a fault without %s\n", code, help);
        faults++;
    }
}

static void every_code_has_words_and_every_word_a_use(void **state)
{
    static const char *const folders[] = {"daemon", "drivers", "client", "text"};
    (void)state;
    assert_true(words_rows > 0 && words_rows < ROWS_MAX);
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        assert_int_equal(nftw(folders[i], visit, 16, FTW_PHYS), 0);
    for (size_t row = 0; row < words_rows; row++)
        check_row(row);
    if (faults > 0)
        fail_msg("%d faults in words/*.po or the sources", faults);
}

/* The reader itself: what it must find in a source, and what it must not. */
static void the_reader_sees_what_a_compiler_sees(void **state)
{
    (void)state;
    size_t march = place_of("month.3", 7);
    rows[march].used = false;
    read_source("a.c", "/* \"month.3\" */ // \"month.3\"\n char c = '\"'; char *s = \"month.33\";");
    assert_false(rows[march].used);
    read_source("a.c", "x = y ? words_of(l, \"mon\"\n  \"th.3\") : 0;");
    assert_true(rows[march].used && faults == 0);
    read_source("a.c", "fault_said(f, K, NULL, a(1, 2) ? \"b\" : c, \"no_such_code\");");
    assert_int_equal(faults, 1);
    read_source("a.c", "t = (struct row){\"other_code toner=%s grams_g=%f\"};");
    assert_int_equal(faults, 2);
    read_source("a.c", "printf(\"a line, x=%s\\n\"); fault_said(f, K, NULL, \"no_code_here\", \"month.3\");");
    assert_int_equal(faults, 2);
    assert_true(rows[march].help);
    rows[march].help = false;
    faults = 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reader_sees_what_a_compiler_sees),
        cmocka_unit_test(every_code_has_words_and_every_word_a_use),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
