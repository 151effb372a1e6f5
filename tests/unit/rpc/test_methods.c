/* The table of methods as it is served: whole, without a name twice, and with all that the contract names. */
#include "tests/unit/rpc/stub.h"

#include <stdio.h>

/* Source: contract sections 4, 5 and 7, as far as they are built. */
static const char *const promised[] = {
    "daemon.info",  "scale.list",   "watch",         "mix.plan",    "mix.remedies",  "mix.ratio",      "mix.reduce",
    "mix.spread",   "mix.voc",      "mix.weighable", "mix.premix",  "batch.begin",   "batch.accept",   "batch.undo",
    "batch.remedy", "batch.retare", "batch.tint",    "batch.hold",  "batch.resume",  "batch.note",     "batch.finish",
    "batch.scrap",  "batch.get",    "batch.find",    "batch.label", "toner.list",    "toner.get",      "toner.put",
    "toner.remove", "formula.list", "formula.get",   "formula.put", "formula.check", "product.list",   "product.get",
    "product.put",  "cup.list",     "cup.put",       "panel.list",  "panel.put",     "mix.voc_stages",
};

static const struct rpc_method *find(const char *name)
{
    for (const struct rpc_method *m = rpc_methods; m->name; m++)
        if (strcmp(m->name, name) == 0)
            return m;
    return NULL;
}

static void all_that_is_promised_is_there(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof promised / sizeof *promised; i++)
        if (!find(promised[i]))
            fail_msg("no %s", promised[i]);
}

static void every_row_is_whole_and_its_name_its_own(void **state)
{
    (void)state;
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        if (find(m->name) != m)
            fail_msg("%s stands there twice", m->name);
        if (!m->run || !m->params || !m->result || !m->about)
            fail_msg("%s has no function, no shapes or no sentence", m->name);
    }
}

/* What writes is what the page needs its token for. */
static void what_changes_something_says_so(void **state)
{
    static const char *const reads[] = {"list",   "get",      "find",   "check", "info",
                                        "checks", "discover", "verify", "match", "substitute"};

    (void)state;
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        const char *verb = strchr(m->name, '.');
        bool changes = verb && strncmp(m->name, "mix.", 4) != 0;

        for (size_t i = 0; verb && i < sizeof reads / sizeof *reads; i++)
            if (strcmp(verb + 1, reads[i]) == 0)
                changes = false;
        if (strcmp(m->name, "scale.check") == 0)
            changes = true; /* formula.check only looks; this one is journalled */
        if ((m->needs > RIGHT_READ) != changes)
            fail_msg("%s: is it one that changes something?", m->name);
    }
}

/* Source: contract section 3, "Rights": paint may call section 5, label, shelf, card, order, people.sign_in and
 * scale.check; keep also put, remove, stock and a tint kept as a variant; own also import and people.put. Whoever may
 * only read calls none of them. */
static void every_method_that_changes_needs_the_contracts_role(void **state)
{
    (void)state;
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        const char *verb = strchr(m->name, '.');
        enum right want = RIGHT_PAINT;

        if (m->needs == RIGHT_READ)
            continue;
        if (strcmp(verb, ".put") == 0 || strcmp(verb, ".remove") == 0 || strcmp(m->name, "scale.seek") == 0)
            want = RIGHT_KEEP;
        if (strncmp(m->name, "order.", 6) == 0 || strncmp(m->name, "card.", 5) == 0)
            want = RIGHT_PAINT; /* the painter's own */
        if (strncmp(m->name, "stock.", 6) == 0 || strcmp(m->name, "formula.keep") == 0)
            want = RIGHT_KEEP; /* a tint kept as a variant as well */
        if (strcmp(m->name, "people.put") == 0)
            want = RIGHT_OWN;
        if (strcmp(verb, ".import") == 0 || strcmp(verb, ".backup") == 0 || strcmp(verb, ".mend") == 0 ||
            strncmp(m->name, "settings.", 9) == 0)
            want = RIGHT_OWN;
        if (m->needs != want)
            fail_msg("%s needs %s, want %s", m->name, right_names[m->needs], right_names[want]);
    }
}

static void a_role_too_low_is_refused_before_anything_is_read(void **state)
{
    struct stub stub;

    (void)state;
    stub_init(&stub);
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        if (m->needs == RIGHT_READ)
            continue;
        stub.caller.right = m->needs - 1;
        stub_refused(&stub, m->name, "{}", -32006, "");
    }
    stub_finish(&stub);
}

static void a_refusal_by_the_table_needs_no_daemon(void **state)
{
    struct stub stub;

    (void)state;
    stub_init(&stub);
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        const struct shape_member *first = m->params->members; /* an earlier required one would be named first */
        char params[120];
        if (!first->name || first->type == SHAPE_ANY || first->spread) /* the catalogue checks its own members */
            continue;
        snprintf(params, sizeof params, "{\"%s\":%s}", first->name, first->type == SHAPE_LIST ? "{}" : "[]");
        stub_refused(&stub, m->name, params, -32602, first->name);
    }
    stub_finish(&stub);
}

/* A client that leaves a field empty forgot it: that is told as missing, and never as a thing of no name. */
static void an_empty_text_that_must_be_there_is_missing(void **state)
{
    struct stub stub;
    char params[120];

    (void)state;
    stub_init(&stub);
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        const struct shape_member *first = m->params->members;
        if (!first->name || !first->required || (first->type != SHAPE_TEXT && first->type != SHAPE_LINES))
            continue;
        snprintf(params, sizeof params, "{\"%s\":\"\"}", first->name);
        stub_refused(&stub, m->name, params, -32602, first->name);
    }
    stub_refused(&stub, "batch.get", "{\"batch\":\"\"}", -32602, "batch");
    stub_refused(&stub, "batch.label", "{\"batch\":\"\"}", -32602, "batch");
    stub_finish(&stub);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(all_that_is_promised_is_there),
        cmocka_unit_test(every_row_is_whole_and_its_name_its_own),
        cmocka_unit_test(what_changes_something_says_so),
        cmocka_unit_test(every_method_that_changes_needs_the_contracts_role),
        cmocka_unit_test(a_role_too_low_is_refused_before_anything_is_read),
        cmocka_unit_test(a_refusal_by_the_table_needs_no_daemon),
        cmocka_unit_test(an_empty_text_that_must_be_there_is_missing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
