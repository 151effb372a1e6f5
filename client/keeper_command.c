/* keeper_command.c - what whoever keeps the shop changes now and then: `poise people` and `settings`, a tinted batch
 * kept as a variant (`keep`), and what may stand in for a tin that ran out (`substitute`). It must not know who may do
 * that, nor what a value may be: the daemon refuses.
 */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* A call that changes something, its answer handed to `show`. Takes params. */
static int change(struct poise_options *opt, const char *method, json_t *params,
                  void (*show)(struct ask *a, const json_t *result))
{
    struct ask a;
    json_t *result = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_change(&a, method, json_incref(params), &result);
    if (code == 0 && opt->json)
        output_json(result);
    else if (code == 0)
        show(&a, result);
    json_decref(params);
    json_decref(result);
    ask_close(&a);
    return code;
}

/* ---- poise people ---- */

/* The name, and what is not usual of it. */
static void print_person(struct ask *a, const json_t *person)
{
    struct output_style style = a->opt->style;
    bool retired = json_is_true(json_object_get(person, "retired"));
    output_line(style, retired ? "people.retired painter=%s" : "people.kept painter=%s glances=%d",
                member_text(person, "painter"), (int)member_number(person, "glance"));
}

/* The person of that name as the shop has it, else a new one: a put replaces the whole, and one thing is changed here.
 */
static int person_of(struct poise_options *opt, const char *painter, const json_t *wishes, json_t **out)
{
    struct ask a;
    json_t *list = NULL;
    const json_t *one;
    size_t i;
    *out = json_pack("{s:s}", "painter", painter);
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "people.list", json_object(), &list);
    json_array_foreach(member_list(list, "people"), i, one)
    {
        if (strcmp(member_text(one, "painter"), painter) == 0)
            json_object_update(*out, (json_t *)(uintptr_t)one);
    }
    json_object_update(*out, (json_t *)(uintptr_t)wishes);
    json_object_del(*out, "last"); /* the daemon's own */
    if (json_is_null(json_object_get(*out, "trained")))
        json_object_del(*out, "trained");
    json_decref(list);
    ask_close(&a);
    return code;
}

/* Without a name the list. With one the person is kept, so that a name alone brings in somebody new. */
int command_people(struct poise_options *opt)
{
    json_t *wishes = NULL, *person = NULL;
    char *painter = options_sentence(opt, 0);
    if (!painter && (opt->text[OPTION_GLANCES] || opt->text[OPTION_TRAINED] || opt->text[OPTION_RETIRED]))
        return failure_say(opt->style, EX_USAGE, "people", "people_who");
    if (!painter)
        return command_book(opt);
    int code = params_of(opt, &wishes);
    if (code == 0)
        code = person_of(opt, painter, wishes, &person);
    if (code == 0)
        code = change(opt, "people.put", json_incref(person), print_person);
    json_decref(person);
    json_decref(wishes);
    free(painter);
    return code;
}

/* ---- poise keep ---- */

static void print_kept(struct ask *a, const json_t *formula)
{
    output_line(a->opt->style, "keep.kept formula=%s revision=%d", member_text(formula, "code"),
                (int)member_number(formula, "formula_revision"));
}

/* A name may hold spaces, so all further words are one. */
int command_keep(struct poise_options *opt)
{
    char *variant = options_sentence(opt, 1);
    json_t *params = json_pack("{s:s, s:s*}", "batch", opt->word[0], "variant", variant);
    free(variant);
    return change(opt, "formula.keep", params, print_kept);
}

/* ---- poise substitute ---- */

/* The nearest first, each with the rule by which it fits. */
static int print_substitutes(struct ask *a, const json_t *answer)
{
    const struct poise_options *opt = a->opt;
    size_t i;
    const json_t *one, *list = member_list(answer, "with");
    if (opt->json) {
        output_json(answer);
        return 0;
    }
    json_array_foreach(list, i, one)
        output_line(opt->style, "substitute.line toner=%s why=%s", member_text(one, "toner"),
                    wording_said(opt->style, json_object_get(one, "why"), "").text);
    return json_array_size(list) > 0 ? 0
                                     : failure_say(opt->style, FAILURE_NOTHING_FOUND, opt->word[0], "substitute_none");
}

int command_substitute(struct poise_options *opt)
{
    double grams = NAN;
    int code = opt->word_count > 1 ? number_read_above_0(opt->style, "substitute", opt->word[1], &grams) : 0;
    if (code)
        return code;
    json_t *params = json_pack("{s:s}", "toner", opt->word[0]);
    if (isfinite(grams))
        json_object_set_new(params, "grams", params_number(grams));
    return ask_show(opt, "toner.substitute", params, print_substitutes);
}

/* ---- poise settings ---- */

/* A value as it is typed again: texts bare, numbers as the shop writes them, all else as JSON has it. */
static char *value_text(const json_t *value, struct output_style style)
{
    if (json_is_number(value))
        return strdup(figure_plain(json_number_value(value), "", style).text);
    return json_is_string(value) ? strdup(json_string_value(value)) : json_dumps(value, JSON_ENCODE_ANY);
}

/* The key, what holds, its unit, what it is, and the file's line where only that may change it. */
static void setting_row(struct table *t, const json_t *one)
{
    char *value = value_text(json_object_get(one, "value"), t->style);
    table_row(t, (const char *const[]){member_text(one, "key"), value ? value : "",
                                       wording_fixed(t->style, "unit", member_text(one, "unit")),
                                       wording_said(t->style, json_object_get(one, "said"), "").text,
                                       member_text(one, "fixed")});
    free(value);
}

/* All, or the one of that key. */
static int print_settings(struct ask *a, const json_t *answer)
{
    const struct poise_options *opt = a->opt;
    const char *key = opt->word_count > 0 ? opt->word[0] : NULL;
    struct table t;
    size_t i, shown = 0;
    const json_t *one;
    table_init(&t, ".llll", opt->style);
    json_array_foreach(member_list(answer, "settings"), i, one)
    {
        if (key && strcmp(key, member_text(one, "key")) != 0)
            continue;
        shown++;
        if (opt->json)
            output_json(one);
        else
            setting_row(&t, one);
    }
    table_print(&t, "", stdout);
    table_finish(&t);
    return shown > 0 ? 0 : failure_say(opt->style, EX_DATAERR, key ? key : "settings", "settings_no_key");
}

static void print_setting(struct ask *a, const json_t *row)
{
    struct table t;
    table_init(&t, ".llll", a->opt->style);
    setting_row(&t, row);
    table_print(&t, "", stdout);
    table_finish(&t);
}

/* A number as people write it, else what reads as JSON (true, null), else a text: `0,05`, `true`, `point`. */
static json_t *value_of(const char *word)
{
    double number;
    if (number_parse(word, &number) == NUMBER_OK)
        return params_number(number);
    json_t *value = json_loads(word, JSON_DECODE_ANY, NULL);
    return value ? value : json_string(word);
}

/* A key alone shows what holds. */
int command_settings(struct poise_options *opt)
{
    bool puts = opt->word_count > 1 || opt->text[OPTION_DEFAULT];
    if (puts && (opt->word_count == 0 || (opt->word_count > 1) == (opt->text[OPTION_DEFAULT] != NULL)))
        return failure_say(opt->style, EX_USAGE, "settings", "settings_value");
    if (!puts)
        return ask_show(opt, "settings.list", json_object(), print_settings);
    json_t *value = opt->word_count > 1 ? value_of(opt->word[1]) : json_null();
    return change(opt, "settings.put", json_pack("{s:s, s:o}", "key", opt->word[0], "value", value), print_setting);
}
