/* books_command.c - the lists of the shop's books (toners, formulas, products, cups, panels), and the import of
 * files into them. It must not know what a member means: the books are the daemon's. One table makes all lists: a
 * list is its method and its columns. To add one, add its row here and its command in commands.c. Nothing is sorted
 * or chosen here: rows come in the daemon's order, page after page, and an empty list is one line on stderr and exit
 * 1. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include "text/number.h"
#include "text/utf8.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

enum { BOOK_COLUMNS = 11, BOOKS_OF_FILES = 5 /* the first of them, which files bring */ };

struct book {
    const char *command, *method;
    const char *list;    /* the member of the answer that holds it */
    const char *columns; /* as table.h says */
    struct {
        const char *member; /* NULL: no more columns */
        const char *unit;   /* of a number; `/kg` and the like stand for money */
    } column[BOOK_COLUMNS];
};

/* In the order of commands.c. A column of a member that the daemon does not send is empty, so an older daemon shows
 * a shorter list and no error. */
static const struct book books[] = {
    {
        "toners",
        "toner.list",
        "toners",
        "l.lllrrl",
        {{"id", ""},
         {"name", ""},
         {"pigment", ""},
         {"role", ""},
         {"line", ""},
         {"density_g_per_ml", "g/mL"},
         {"price_per_kg", "/kg"},
         {"bank", ""}},
    },
    {
        "formulas",
        "formula.list",
        "formulas",
        "l.llll",
        {{"code", ""}, {"name", ""}, {"finish", ""}, {"line", ""}, {"coats", ""}, {"variants", ""}},
    },
    {
        "products",
        "product.list",
        "products",
        "l.llllrl",
        {{"id", ""},
         {"name", ""},
         {"role", ""},
         {"line", ""},
         {"ratio", ""},
         {"basis", ""},
         {"pot_life_min", "min"},
         {"parts", ""}},
    },
    {
        "cups",
        "cup.list",
        "cups",
        ".rrr",
        {{"id", ""}, {"ml", "mL"}, {"tare_g", "g"}, {"fill_pct", "%"}},
    },
    {
        "panels",
        "panel.list",
        "panels",
        "l.rl",
        {{"id", ""}, {"name", ""}, {"area_m2", "m\xC2\xB2"}, {"default", ""}},
    },
    /* The shop's day. Oldest or newest first, as the daemon has them: nothing is sorted here. */
    {
        "orders",
        "order.list",
        "orders",
        "llllll",
        {{"order", ""}, {"vehicle", ""}, {"painter", ""}, {"due", ""}, {"coats", ""}, {"closed", ""}},
    },
    {
        "cards",
        "card.list",
        "cards",
        "rllllllllll",
        {{"card", ""},
         {"formula", ""},
         {"variant", ""},
         {"coat", ""},
         {"batch", ""},
         {"coats", ""},
         {"verdict", ""},
         {"light", ""},
         {"order", ""},
         {"time", ""},
         {"note", ""}},
    },
    {
        "stock",
        "stock.list",
        "stock",
        "l.lrlrll",
        {{"toner", ""},
         {"name", ""},
         {"place", ""},
         {"grams", "g"},
         {"lots", ""},
         {"reorder_g", "g"},
         {"runs_out", ""},
         {"stirred", ""}},
    },
    {
        "people",
        "people.list",
        "people",
        "lllll",
        {{"painter", ""}, {"last", ""}, {"glance", ""}, {"trained", ""}, {"retired", ""}},
    },
    {
        "shelf",
        "shelf.list",
        "cups",
        "rl.llllrll",
        {{"batch", ""},
         {"formula", ""},
         {"name", ""},
         {"coat", ""},
         {"variant", ""},
         {"order", ""},
         {"place", ""},
         {"left_g", "g"},
         {"use_by", ""},
         {"why", ""}},
    },
};

/* Adds a word to a list of words, once. A list that is too long for its cell ends before the word that would be cut;
 * --json has all of it. */
static void add_word(char *text, size_t size, const char *word)
{
    size_t len = strlen(text), more = strlen(word);
    for (const char *at = text; more > 0 && (at = strstr(at, word)); at += more)
        if ((at == text || at[-1] == ' ') && (at[more] == ',' || at[more] == '\0'))
            return;
    if (more > 0 && len + more + 3 < size)
        snprintf(text + len, size - len, "%s%s", len ? ", " : "", word);
}

/* Money has two decimals and the shop's currency before `/kg`; all else as many decimals as the book has. */
static void number_cell(struct ask *a, double value, const char *unit, char *text, size_t size)
{
    char money[32];
    snprintf(money, sizeof money, "%s%s", ask_currency(a), unit);
    struct figure f =
        *unit == '/' ? figure_of(value, 2, money, a->opt->style) : figure_plain(value, unit, a->opt->style);
    snprintf(text, size, "%s", f.text);
}

/* A fixed name of the contract by its word. */
static const char *fixed_of(struct ask *a, const char *member, const char *value)
{
    static const char *const families[][2] = {{"role", "role"},         {"finish", "finish"}, {"coats", "coat"},
                                              {"line", "line"},         {"basis", "basis"},   {"coat", "coat"},
                                              {"verdict", "page.card"}, {"why", "book.why"}};
    for (size_t i = 0; i < sizeof families / sizeof *families; i++)
        if (strcmp(families[i][0], member) == 0)
            return wording_fixed(a->opt->style, families[i][1], value);
    return value;
}

/* Members that hold an RFC 3339 time, by name: a day alone (`due`, `runs_out`) is a text like others. A time is shown
 * as its day: a list is read for what is old. */
static bool is_time(const char *member)
{
    static const char *const times[] = {"time", "last", "stirred", "use_by"};
    for (size_t i = 0; i < sizeof times / sizeof *times; i++)
        if (strcmp(times[i], member) == 0)
            return true;
    return false;
}

/* What an object in a list is called: a coat, with its state in an order; a tin by its lot; else by its id. */
static const char *object_words(struct ask *a, const json_t *one, char *out, size_t size)
{
    const char *coat = member_text(one, "coat"), *state = member_text(one, "state"), *lot = member_text(one, "lot");
    struct output_style style = a->opt->style;
    if (!*coat && *state)
        coat = *member_text(one, "product") ? member_text(one, "product") : member_text(one, "formula");
    if (*coat && *state)
        snprintf(out, size, "%.40s %.40s", wording_fixed(style, "coat", coat), wording_fixed(style, "state", state));
    else if (*coat)
        snprintf(out, size, "%.80s", wording_fixed(style, "coat", coat));
    else
        snprintf(out, size, "%.80s", *lot ? lot : member_text(one, "id"));
    return out;
}

/* A member as a cell: a list as its words (of an object its coat, or its id), true as its own name. A member that is
 * null or not there is an empty cell: the book does not know it. */
static void cell_of(struct ask *a, const json_t *item, const char *member, const char *unit, char *text, size_t size)
{
    const json_t *value = json_object_get(item, member), *one;
    size_t i;
    text[0] = '\0';
    if (json_is_string(value) && is_time(member))
        utf8_copy(text, size, figure_day(json_string_value(value)).text);
    else if (json_is_string(value))
        utf8_copy(text, size, fixed_of(a, member, json_string_value(value)));
    else if (json_is_number(value))
        number_cell(a, json_number_value(value), unit, text, size);
    else if (json_is_true(value))
        utf8_copy(text, size, wording_fixed(a->opt->style, "book", member));
    json_array_foreach(value, i, one)
    {
        char words[96];
        if (json_is_string(one))
            add_word(text, size, fixed_of(a, member, json_string_value(one)));
        else
            add_word(text, size, object_words(a, one, words, sizeof words));
    }
}

/* Cells of 256 bytes: a list of coats or parts that is longer is cut by add_word, never in the middle of a word. The
 * head is left out: in a list of toners every column says by itself what it is. */
static void print_book(struct ask *a, const struct book *book, const json_t *list)
{
    struct table t;
    size_t i;
    const json_t *item;
    table_init(&t, book->columns, a->opt->style);
    json_array_foreach(list, i, item)
    {
        char text[BOOK_COLUMNS][256];
        const char *cells[BOOK_COLUMNS] = {0};
        for (size_t c = 0; c < BOOK_COLUMNS && book->column[c].member; c++) {
            cell_of(a, item, book->column[c].member, book->column[c].unit, text[c], sizeof text[c]);
            cells[c] = text[c];
        }
        table_row(&t, cells);
    }
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* A value as a spreadsheet takes it: numbers with a point, nothing for what is not known, lists as their words. */
static void plain_cell(struct ask *a, const json_t *item, const char *member, char *text, size_t size)
{
    const json_t *value = json_object_get(item, member);
    text[0] = '\0';
    if (json_is_number(value))
        snprintf(text, size, "%.10g", json_number_value(value));
    else if (json_is_string(value))
        utf8_copy(text, size, json_string_value(value));
    else if (json_is_boolean(value))
        snprintf(text, size, "%s", json_is_true(value) ? "true" : "false");
    else if (json_is_array(value))
        cell_of(a, item, member, "", text, size);
}

/* The head is the members' names, as --json has them, whatever the language. */
static void print_csv(struct ask *a, const struct book *book, const json_t *list)
{
    const char *cells[BOOK_COLUMNS];
    size_t columns = 0, i;
    const json_t *item;
    for (; columns < BOOK_COLUMNS && book->column[columns].member; columns++)
        cells[columns] = book->column[columns].member;
    csv_record(stdout, cells, columns);
    json_array_foreach(list, i, item)
    {
        char text[BOOK_COLUMNS][256];
        for (size_t c = 0; c < columns; c++) {
            plain_cell(a, item, book->column[c].member, text[c], sizeof text[c]);
            cells[c] = text[c];
        }
        csv_record(stdout, cells, columns);
    }
}

/* What a list that files fill lacks is an import; the day's own lists fill by themselves. One line on stderr, by what
 * was asked: words, other wishes, or the whole list. */
static int nothing_listed(const struct poise_options *opt, const struct book *book, const char *text)
{
    const char *what = opt->command->name;
    bool asked = opt->text[OPTION_FORMULA] || opt->text[OPTION_PLACE] || opt->text[OPTION_DUE] ||
                 opt->text[OPTION_ORDER] || opt->text[OPTION_VERDICT] || opt->text[OPTION_REORDER];
    bool of_day = book >= &books[BOOKS_OF_FILES];
    if (text)
        return failure_say(opt->style, FAILURE_NOTHING_FOUND, what, "book_none_like text=%s", text);
    return failure_say(opt->style, FAILURE_NOTHING_FOUND, what,
                       asked    ? "book_none_so"
                       : of_day ? "book_none_yet"
                                : "book_none");
}

/* All words behind the command are one search text: the daemon finds what holds each of them, in name, code or
 * pigment. With --json the items leave as they came, one a line. */
static int show_book(struct poise_options *opt, const struct book *book)
{
    struct ask a = {.socket = {.fd = -1}};
    bool more = false;
    json_t *all = json_array(), *params = NULL;
    char *text = options_sentence(opt, 0);
    int code = params_of(opt, &params);
    /* The list of tins looks for one toner, and every other one for words. */
    if (text && params)
        json_object_set_new(params, strcmp(book->list, "stock") == 0 ? "toner" : "text", json_string(text));
    /* Open ones alone are listed where nothing is said: closed ones are the books' affair. */
    if (opt->text[OPTION_ALL] && params)
        json_object_set_new(params, "open", json_false());
    if (code == 0)
        code = ask_open(&a, opt);
    if (code == 0)
        code = ask_pages(&a, book->method, params, book->list, 0, all, &more);
    if (code == 0 && opt->json)
        output_items(all);
    else if (code == 0 && opt->text[OPTION_CSV] && json_array_size(all) > 0)
        print_csv(&a, book, all);
    if (code == 0 && !opt->json && !opt->text[OPTION_CSV]) {
        ask_style(&a);
        print_book(&a, book, all);
    }
    if (code == 0 && json_array_size(all) == 0)
        code = nothing_listed(opt, book, text);
    free(text);
    json_decref(params);
    json_decref(all);
    ask_close(&a);
    return code;
}

/* One function for all lists: which list is meant stands in the command's own name. */
int command_book(struct poise_options *opt)
{
    const struct book *book = books;
    while (strcmp(book->command, opt->command->name) != 0)
        book++; /* commands.c sends no other name here */
    return show_book(opt, book);
}

/* ---- poise import ---- */

/* The daemon stands in another folder than the person, so it is given whole paths. */
static int paths_of(const struct poise_options *opt, json_t *paths)
{
    for (size_t i = 0; i < opt->word_count; i++) {
        char *path = realpath(opt->word[i], NULL);
        if (!path)
            return failure_say(opt->style, EX_NOINPUT, opt->word[i], "import_no_file why=%s",
                               wording_errno(opt->style, errno));
        json_array_append_new(paths, json_string(path));
        free(path);
    }
    return 0;
}

/* Files that are the same as before change nothing, and the person should see that they were read. `changed` counts
 * things, not files. */
static void say_changed(const struct poise_options *opt, const json_t *result)
{
    json_int_t changed = json_integer_value(json_object_get(result, "changed"));
    if (opt->json)
        output_json(result);
    else if (changed == 0)
        output_line(opt->style, "import.unchanged");
    else
        output_line(opt->style, "import.changed count=%d", (int)changed);
}

/* A call with a request, since it changes the catalogue: a connection that breaks after the daemon has read the
 * files does not import them twice. A file with an error changes nothing, and the daemon names file and line. */
int command_import(struct poise_options *opt)
{
    struct ask a;
    json_t *result = NULL, *paths = json_array();
    int code = paths_of(opt, paths);
    if (code == 0) {
        code = ask_open(&a, opt);
        if (code == 0)
            code = ask_change(&a, "catalogue.import", json_pack("{s:O}", "files", paths), &result);
        if (code == 0)
            say_changed(opt, result);
        ask_close(&a);
    }
    json_decref(paths);
    json_decref(result);
    return code;
}
