/* export_command.c - `poise export [DIR]`: toners, formulas, products, panels and cups as the INI files that `poise
 * import` reads, one a kind. It must not know what a setting means: what the daemon tells of a thing is written as it
 * is told. What is not known is left out, so an import leaves it unknown. No file is written over.
 *
 * What is exported and imported again is the same shop, but for revisions and dates: those are each store's own. What
 * files have no line for (a premix's composition, optics) stays behind: the backup has everything. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "text/utf8.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sysexits.h>

/* Lines are those of contract.md, section 8. */
struct file {
    FILE *to;
    struct ask *ask;
    char refused[80]; /* the last text that a line cannot hold, as much of it as is told; "": none */
};

/* ` ;` begins a comment, and so does `#` at the beginning: no line can hold such a value. */
static bool fits(const char *text)
{
    return *text && !strstr(text, " ;") && *text != '#' && *text != ';';
}

/* One line. What cannot stand in one is remembered and told at the end, with the file: an import would read another
 * text there, and nobody would know. */
static void setting(struct file *f, const char *name, const char *text)
{
    if (fits(text))
        fprintf(f->to, "%s = %s\n", name, text);
    else if (*text)
        utf8_copy(f->refused, sizeof f->refused, text);
}

/* Digits as many as it has, with a point whatever the shop's sign. */
static const char *number_text(double value, char out[32])
{
    snprintf(out, 32, "%.10g", value);
    return out;
}

/* `danger H225 H319`. */
static void hazards(struct file *f, const json_t *value)
{
    char text[512];
    size_t i, used = (size_t)snprintf(text, sizeof text, "%s", member_text(value, "signal"));
    const json_t *one;
    json_array_foreach(member_list(value, "statements"), i, one) if (used < sizeof text) used +=
        (size_t)snprintf(text + used, sizeof text - used, "%s%s", used ? " " : "", json_string_value(one));
    setting(f, "hazards", text);
}

/* A list that files know is a line with commas. A list of ids or codes, or of hardeners and reducers: `HARD-1 fast`,
 * `THN-M 18-26`. */
static void list(struct file *f, const char *name, const json_t *value)
{
    char text[900] = "", from[32], to[32];
    size_t i, used = 0;
    const json_t *one;
    json_array_foreach(value, i, one)
    {
        const json_t *least = json_object_get(one, "min_c"), *most = json_object_get(one, "max_c");
        const char *speed = member_text(one, "speed");
        bool warm = json_is_number(least) && json_is_number(most);
        if (json_is_object(one) && !*member_text(one, "id"))
            return; /* a list of things that files do not know */
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s%s%s", used ? ", " : "",
                                 json_is_string(one) ? json_string_value(one) : member_text(one, "id"),
                                 *speed ? " " : "", speed);
        if (warm && used < sizeof text)
            used +=
                (size_t)snprintf(text + used, sizeof text - used, " %s-%s", number_text(json_number_value(least), from),
                                 number_text(json_number_value(most), to));
        if (used >= sizeof text) { /* no line of a file is as long: told at the end, as what no line can hold */
            utf8_copy(f->refused, sizeof f->refused, text);
            return;
        }
    }
    setting(f, name, text);
}

/* What the daemon adds to a thing and no file says. A toner's one code stands among its codes. */
static bool is_told_alone(const char *name)
{
    static const char *const told[] = {"id",    "code", "revision", "formula_revision", "date",  "reason",
                                       "coats", "made", "variants", "composition",      "optics"};
    for (size_t i = 0; i < sizeof told / sizeof *told; i++)
        if (strcmp(told[i], name) == 0)
            return true;
    return false;
}

/* Every member that says something, in the order in which the daemon tells them: a member that a later daemon adds is
 * written as well, where a line can hold it. */
static void settings(struct file *f, const json_t *thing)
{
    const char *name;
    char text[32];
    json_t *value;
    json_object_foreach((json_t *)(uintptr_t)thing, name, value)
    {
        if (is_told_alone(name))
            continue;
        if (json_is_string(value))
            setting(f, name, json_string_value(value));
        else if (json_is_number(value))
            setting(f, name, number_text(json_number_value(value), text));
        else if (json_is_true(value))
            setting(f, name, "yes");
        else if (json_is_array(value))
            list(f, name, value);
        else if (strcmp(name, "hazards") == 0)
            hazards(f, value);
    }
}

/* A coat's toners stand in the order of pouring. */
static void coats(struct file *f, const json_t *formula)
{
    size_t i, p;
    const json_t *coat, *part;
    char text[32];
    json_array_foreach(member_list(formula, "coats"), i, coat)
    {
        bool standard = strcmp(member_text(coat, "variant"), "standard") == 0;
        fprintf(f->to, "\n[coat %s%s%s]\n", member_text(coat, "coat"), standard ? "" : " / ",
                standard ? "" : member_text(coat, "variant"));
        json_array_foreach(member_list(coat, "parts"), p, part)
            fprintf(f->to, "%s = %s\n", member_text(part, "toner"), number_text(member_number(part, "parts"), text));
    }
}

/* A list of formulas tells no parts, so each is asked for by itself. */
static int one_thing(struct file *f, const char *kind, const json_t *row)
{
    json_t *whole = NULL;
    int code = 0;
    bool formula = strcmp(kind, "formula") == 0;
    const char *id = member_text(row, formula ? "code" : "id");
    if (formula)
        code = ask_call(f->ask, "formula.get", json_pack("{s:s}", "formula", id), &whole);
    if (code == 0) {
        fprintf(f->to, "\n[%s %s]\n", kind, id);
        settings(f, formula ? whole : row);
        coats(f, whole);
    }
    json_decref(whole);
    return code;
}

/* One kind into one file, which must not be there yet. In the order in which the files were read: the first reducer of
 * a line is the one that a formula takes where nothing else is named, and an import elsewhere must take the same one.
 */
static int one_file(struct ask *a, const char *folder, const char *kind, size_t *count)
{
    char path[PATH_MAX], method[32], name[32];
    json_t *all = json_array(), *params = json_pack("{s:b}", "as_read", 1);
    const json_t *row;
    bool more = false;
    size_t i;
    snprintf(method, sizeof method, "%s.list", kind);
    snprintf(name, sizeof name, "%ss", kind);
    snprintf(path, sizeof path, "%s/%s.ini", folder, name);
    int code = ask_pages(a, method, params, name, 0, all, &more);
    /* `x`: a file that is there already belongs to somebody. */
    struct file f = {.ask = a, .to = code == 0 ? fopen(path, "wx") : NULL};
    if (code == 0 && !f.to)
        code = failure_say(a->opt->style, failure_errno(errno), path, "export_no_file why=%s",
                           wording_errno(a->opt->style, errno));
    if (f.to)
        fprintf(f.to, "# Written by poise export; poise import reads it.\n");
    json_array_foreach(all, i, row) if (f.to && code == 0) code = one_thing(&f, kind, row);
    if (f.to && (fflush(f.to) != 0 || ferror(f.to)) && code == 0)
        code = failure_say(a->opt->style, EX_IOERR, path, "export_no_file why=%s", wording_errno(a->opt->style, errno));
    if (f.to)
        fclose(f.to);
    if (code == 0 && f.refused[0])
        code = failure_say(a->opt->style, EX_DATAERR, path, "export_text text=%s", f.refused);
    *count = json_array_size(all);
    json_decref(params);
    json_decref(all);
    return code;
}

/* The folder is made where it is missing, but not those above it: a misspelt path is told. What was written before a
 * fault stays, since the files that are whole are worth having. */
int command_export(struct poise_options *opt)
{
    static const char *const kinds[] = {"toner", "formula", "product", "panel", "cup"};
    struct ask a;
    const char *folder = opt->word_count > 0 ? opt->word[0] : ".";
    size_t count[sizeof kinds / sizeof *kinds] = {0};
    int code = ask_open(&a, opt);
    if (code == 0 && mkdir(folder, 0777) < 0 && errno != EEXIST)
        code = failure_say(opt->style, failure_errno(errno), folder, "export_no_file why=%s",
                           wording_errno(opt->style, errno));
    for (size_t i = 0; code == 0 && i < sizeof kinds / sizeof *kinds; i++)
        code = one_file(&a, folder, kinds[i], &count[i]);
    if (code == 0 && opt->json) {
        json_t *told = json_pack("{s:i, s:i, s:i, s:i, s:i}", "toners", (int)count[0], "formulas", (int)count[1],
                                 "products", (int)count[2], "panels", (int)count[3], "cups", (int)count[4]);
        output_json(told);
        json_decref(told);
    } else if (code == 0) {
        output_line(opt->style, "export.done folder=%s toners=%zu formulas=%zu products=%zu panels=%zu cups=%zu",
                    folder, count[0], count[1], count[2], count[3], count[4]);
    }
    ask_close(&a);
    return code;
}
