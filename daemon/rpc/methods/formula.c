/* formula.c - formula.list, get, put, check. A put makes a new formula_revision; batches keep theirs. */
#include "catalogue/catalogue.h"
#include "daemon.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"

#include <math.h>
#include <string.h>

#define LIMIT_DEFAULT 200
#define LIMIT_MOST    1000

static const struct put_kind kind = {"formula", "formula_revision", true};
static const char *const code_names[] = {"formula", "code", NULL};

const struct rpc_member members_formula_list[] = {
    {"text", RPC_TEXT, false}, {"limit", RPC_NUMBER, false}, {"after", RPC_TEXT, false}, {NULL, RPC_ANY, false}};

static json_t *coat_of(json_t *coats, const char *name)
{
    size_t i;
    json_t *coat;

    json_array_foreach(coats, i, coat) if (strcmp(json_string_value(json_object_get(coat, "coat")), name) ==
                                           0) return json_object_get(coat, "variants");
    coat = json_pack("{s:s,s:[]}", "coat", name, "variants");
    json_array_append_new(coats, coat);
    return json_object_get(coat, "variants");
}

/* A row of the list: the formula with each coat as its name and variants, without parts. */
static json_t *row_of(const json_t *formula)
{
    static const char *const kept[] = {"code", "name", "finish", "line", "variants", "formula_revision", "date"};
    json_t *row = json_object(), *coats = json_array(), *coat;
    size_t i;

    for (i = 0; i < sizeof kept / sizeof *kept; i++)
        json_object_set(row, kept[i], json_object_get(formula, kept[i]));
    json_array_foreach(json_object_get(formula, "coats"), i, coat)
    {
        const char *name = json_string_value(json_object_get(coat, "coat"));

        if (name)
            json_array_append(coat_of(coats, name), json_object_get(coat, "variant"));
    }
    json_object_set_new(row, "coats", coats);
    return row;
}

static bool list_asked(const json_t *params, const char **text, const char **after, size_t *limit, struct fault *fault)
{
    double number = LIMIT_DEFAULT;

    if (!rpc_get_text(params, "text", text, fault) || !rpc_get_text(params, "after", after, fault) ||
        !rpc_get_number(params, "limit", &number, fault))
        return false;
    if (number < 1 || number > LIMIT_MOST || number != trunc(number))
        return fault_set(fault, FAULT_INVALID, "limit", NULL, "Give 1 to 1000.", "limit must be 1 to %d", LIMIT_MOST);
    *limit = (size_t)number;
    return true;
}

void method_formula_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *text = NULL, *after = NULL, *last = NULL;
    json_t *all, *rows, *formula;
    struct fault fault;
    bool more = false;
    size_t limit = LIMIT_DEFAULT, i;

    if (!list_asked(params, &text, &after, &limit, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    all = catalogue_list(d->store, "formula", text);
    rows = json_array();
    json_array_foreach(all, i, formula)
    {
        const char *code = json_string_value(json_object_get(formula, "code"));

        if (!code || (after && strcmp(code, after) <= 0))
            continue;
        more = json_array_size(rows) == limit;
        if (more)
            break;
        json_array_append_new(rows, row_of(formula));
        last = code;
    }
    rpc_answer(call, json_pack("{s:o,s:s?}", "formulas", rows, "next", more ? last : NULL));
    json_decref(all);
}

const struct rpc_member members_formula_get[] = {
    {"formula", RPC_TEXT, false}, {"code", RPC_TEXT, false}, {"revision", RPC_NUMBER, false}, {NULL, RPC_ANY, false}};

/* 0: the present one. False: *fault. */
static bool revision_asked(const json_t *params, int64_t *revision, struct fault *fault)
{
    double number = NAN;

    *revision = 0;
    if (!rpc_get_number(params, "revision", &number, fault))
        return false;
    if (isnan(number))
        return true;
    if (number < 1 || number > 1e9 || number != trunc(number))
        return fault_set(fault, FAULT_INVALID, "revision", NULL, "Give 1 or more, or leave it out for the present one.",
                         "revision must be a whole number from 1");
    *revision = (int64_t)number;
    return true;
}

void method_formula_get(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault;
    int64_t revision;
    const char *code = put_id(params, code_names, &fault);
    json_t *formula, *present = NULL;

    if (!code || !revision_asked(params, &revision, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    formula = catalogue_get(d->store, "formula", code, revision);
    if (!formula && revision > 0)
        present = catalogue_get(d->store, "formula", code, 0);
    if (formula)
        rpc_answer(call, formula);
    else if (present)
        put_unknown(call, "such revision of", "revision", code);
    else
        put_unknown(call, "formula", "formula", code);
    json_decref(present);
}

const struct rpc_member members_formula_put[] = {
    {"code", RPC_TEXT, true}, {"coats", RPC_LIST, false}, {"reason", RPC_TEXT, false}, {NULL, RPC_ANY, false}};

void method_formula_put(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct formula formula;
    struct fault fault;

    if (!formula_from_json(params, &formula, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (formula_toners_known(d->store, &formula, &fault)) {
        formula.revision = 0; /* the store gives it */
        put_thing(d, call, params, &kind, formula.code, formula_to_json(&formula));
    } else {
        rpc_fail(call, &fault);
    }
    formula_finish(&formula);
}

const struct rpc_member members_formula_check[] = {
    {"formula", RPC_TEXT, false}, {"code", RPC_TEXT, false}, {"coats", RPC_LIST, false}, {NULL, RPC_ANY, false}};

/* A formula as given, or one of the store by its code. */
void method_formula_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    bool given = json_is_array(json_object_get(params, "coats"));
    struct formula formula;
    struct fault fault;
    const char *code = put_id(params, code_names, &fault);

    if (!code || (given && !formula_from_json(params, &formula, &fault))) {
        rpc_fail(call, &fault);
        return;
    }
    if (!given && !catalogue_formula(d->store, code, 0, &formula)) {
        put_unknown(call, "formula", "formula", code);
        return;
    }
    rpc_answer(call, json_pack("{s:s,s:o}", "formula", formula.code, "warnings", formula_check(d->store, &formula)));
    formula_finish(&formula);
}
