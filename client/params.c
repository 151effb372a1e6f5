#include "client/params.h"

#include "client/fault.h"
#include "client/number.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

enum param_type { PARAM_TEXT, PARAM_NUMBER, PARAM_TRUE, PARAM_LESS, PARAM_LIST };

static const struct {
    enum option_id id;
    const char *member;
    enum param_type type;
} rows[] = {
    {OPTION_VARIANT, "variant", PARAM_TEXT},
    {OPTION_COAT, "coat", PARAM_TEXT},
    {OPTION_GRAMS, "grams", PARAM_NUMBER},
    {OPTION_ML, "ml", PARAM_NUMBER},
    {OPTION_PRODUCT, "product", PARAM_TEXT},
    {OPTION_PARTS, "parts", PARAM_LIST},
    {OPTION_REDUCE, "reduce_pct", PARAM_NUMBER},
    {OPTION_REDUCER, "reducer", PARAM_TEXT},
    {OPTION_CUP, "cup_ml", PARAM_NUMBER},
    {OPTION_ORDER, "order", PARAM_TEXT},
    {OPTION_PAINTER, "painter", PARAM_TEXT},
    {OPTION_AS, "as", PARAM_TEXT},
    {OPTION_SHORT, "short", PARAM_TRUE},
    {OPTION_LESS, "short", PARAM_LESS},
    {OPTION_TARED, "tared", PARAM_TRUE},
    {OPTION_LOT, "lot", PARAM_TEXT},
    {OPTION_REALLY, "really", PARAM_TEXT},
    {OPTION_UNCOUNTED, "uncounted_g", PARAM_NUMBER},
    {OPTION_LOST, "lost_g", PARAM_NUMBER},
    {OPTION_FORMULA, "formula", PARAM_TEXT},
    {OPTION_PLACE, "place", PARAM_TEXT},
    {OPTION_FROM, "from", PARAM_TEXT},
    {OPTION_TO, "to", PARAM_TEXT},
    {OPTION_LIMIT, "limit", PARAM_NUMBER},
};

static json_t *number(double value)
{
    return fabs(value) < 1e15 && floor(value) == value ? json_integer((json_int_t)value) : json_real(value);
}

static json_t *list_of(const char *text)
{
    json_t *list = json_array();
    for (const char *at = text; *at;) {
        size_t space = strspn(at, " ");
        size_t len = strcspn(at += space, ",");
        json_array_append_new(list, json_stringn(at, len));
        at += len + (at[len] == ',');
    }
    return list;
}

static int put_row(json_t *params, size_t i, const char *text)
{
    char what[48];
    double value = 0;
    snprintf(what, sizeof what, "--%s", option_rows[rows[i].id].name);
    switch (rows[i].type) {
    case PARAM_NUMBER: {
        int code = number_read(what, text, &value);
        if (code == 0)
            json_object_set_new(params, rows[i].member, number(value));
        return code;
    }
    case PARAM_TRUE:
        json_object_set_new(params, rows[i].member, json_true());
        return 0;
    case PARAM_LESS:
        json_object_set_new(params, rows[i].member, json_string("less"));
        return 0;
    case PARAM_LIST:
        json_object_set_new(params, rows[i].member, list_of(text));
        return 0;
    default:
        json_object_set_new(params, rows[i].member, json_string(text));
        return 0;
    }
}

/* Adds to the list of that name, made where there is none yet. */
static void add_to(json_t *params, const char *name, json_t *item)
{
    json_t *list = json_object_get(params, name);
    if (!list)
        json_object_set_new(params, name, list = json_array());
    json_array_append_new(list, item);
}

/* `NAME[:COATS]` */
static int put_panel(json_t *params, const char *text)
{
    const char *colon = strrchr(text, ':');
    size_t len = colon ? (size_t)(colon - text) : strlen(text);
    double coats = 1;
    int code = colon ? number_read("--panel", colon + 1, &coats) : 0;
    if (code)
        return code;
    json_t *panel = json_pack("{s:o, s:o}", "name", json_stringn(text, len), "coats", number(coats));
    add_to(params, "panels", panel);
    return 0;
}

/* A batch is a number, `#1042` or `POISE:1042`; anything else in its place is a toner. */
static const char *have_kind(const char *name)
{
    if (strncmp(name, "POISE:", 6) == 0)
        name += 6;
    else if (*name == '#')
        name++;
    return *name && name[strspn(name, "0123456789")] == '\0' ? "batch" : "toner";
}

/* `BATCH:GRAMS` or `TONER:GRAMS` */
static int put_have(json_t *params, const char *text)
{
    char name[64];
    const char *colon = strrchr(text, ':');
    if (!colon || colon == text || (size_t)(colon - text) >= sizeof name)
        return fault_say(EX_USAGE, "--have", "Write it as BATCH:GRAMS.", "\"%s\" names no batch and weight", text);
    snprintf(name, sizeof name, "%.*s", (int)(colon - text), text);
    double grams = 0;
    int code = number_read("--have", colon + 1, &grams);
    if (code)
        return code;
    json_t *have = json_pack("{s:s, s:o}", have_kind(name), name, "grams", number(grams));
    add_to(params, "have", have);
    return 0;
}

int params_of(const struct poise_options *opt, json_t **params)
{
    int code = 0;
    *params = json_object();
    for (size_t i = 0; i < sizeof rows / sizeof *rows && code == 0; i++)
        if (opt->text[rows[i].id])
            code = put_row(*params, i, opt->text[rows[i].id]);
    for (size_t i = 0; i < opt->many_count && code == 0; i++)
        code = opt->many[i].id == OPTION_PANEL ? put_panel(*params, opt->many[i].text)
                                               : put_have(*params, opt->many[i].text);
    if (code) {
        json_decref(*params);
        *params = NULL;
    }
    return code;
}
