/* The protocol as it is told: docs/protocol.md is of today's tables, rpc.discover names all, real answers fit.
 *
 * With `--write FILE` this program writes the paper anew instead: `make papers`.
 */
#include "rpc/methods/methods.h"
#include "tests/unit/rpc/protocol_paper.h"
#include "tests/unit/rpc/stub.h"

static const char paper[] = "docs/protocol.md";

/* The paper as it should be, for the caller to free. */
static char *made_anew(void)
{
    char *text = NULL;
    size_t size;
    FILE *from = fopen(paper, "r"), *to = open_memstream(&text, &size);
    if (!from || !to)
        return NULL;
    write_paper(from, to);
    fclose(from);
    fclose(to);
    return text;
}

static char *as_it_is(void)
{
    FILE *from = fopen(paper, "r");
    char *text = from ? calloc(1, 1 << 20) : NULL;
    if (text && fread(text, 1, (1 << 20) - 1, from) == 0)
        text[0] = '\0';
    if (from)
        fclose(from);
    return text;
}

static void the_paper_is_of_todays_tables(void **state)
{
    (void)state;
    char *now = as_it_is(), *anew = made_anew();
    assert_non_null(now);
    assert_non_null(anew);
    size_t same = 0, line = 1;
    for (; now[same] && now[same] == anew[same]; same++)
        line += now[same] == '\n';
    if (now[same] != anew[same])
        fail_msg("%s:%zu is out of date: make papers", paper, line);
    free(now);
    free(anew);
}

/* Every $ref leads to a schema of the document. */
static void check_refs(const json_t *value, const json_t *schemas)
{
    static const char start[] = "#/components/schemas/";
    const char *key;
    json_t *part;
    size_t i;
    json_array_foreach(value, i, part) check_refs(part, schemas);
    json_object_foreach((json_t *)(uintptr_t)value, key, part)
    {
        const char *ref = strcmp(key, "$ref") == 0 ? json_string_value(part) : NULL;
        if (ref && (strncmp(ref, start, sizeof start - 1) != 0 ||
                    !json_is_object(json_object_get(schemas, ref + sizeof start - 1))))
            fail_msg("%s leads nowhere", ref);
        check_refs(part, schemas);
    }
}

static void the_document_names_every_method_and_shape(void **state)
{
    (void)state;
    struct stub stub;
    stub_init(&stub);
    json_t *document = stub_call(&stub, "rpc.discover", "{}"), *method;
    json_t *methods = json_object_get(document, "methods");
    json_t *schemas = json_object_get(json_object_get(document, "components"), "schemas");
    size_t i, rows = 0;
    while (rpc_methods[rows].name)
        rows++;
    assert_int_equal(rows, json_array_size(methods));
    json_array_foreach(methods, i, method)
    {
        assert_string_equal(rpc_methods[i].name, json_string_value(json_object_get(method, "name")));
        assert_true(json_string_length(json_object_get(method, "summary")) > 0);
        assert_non_null(json_object_get(json_object_get(method, "result"), "schema"));
    }
    assert_int_equal(3, json_array_size(json_object_get(document, "x-notifications")));
    assert_non_null(json_object_get(schemas, "screen"));
    check_refs(document, schemas);
    json_decref(document);
    stub_finish(&stub);
}

static void check_told(const struct shape *shape, const char *where)
{
    for (const struct shape_member *m = shape->members; m->name; m++) {
        if (!m->spread && !shape_about(m)[0] && !m->of && !shape_unit(m->name)[0])
            fail_msg("%s: nothing tells what `%s` is", where, m->name);
        if (m->of)
            check_told(m->of, m->of->name);
    }
}

static void every_member_is_told(void **state)
{
    (void)state;
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        check_told(m->params, m->name);
        check_told(m->result, m->name);
    }
    check_told(&result_weight, "weight");
}

/* Calls that need no store; their answers hold what the table says, each member of its type. */
static const struct {
    const char *method, *params;
} calls[] = {
    {"mix.remedies", "{\"parts\":[50,30,15,5],\"total_g\":100,\"poured_g\":[50,33,15,0]}"},
    {"mix.remedies", "{\"parts\":[50,50,0],\"total_g\":100,\"poured_g\":[50,33,15]}"},
    {"mix.ratio", "{\"parts\":[4,1,1],\"basis\":\"weight\",\"densities_g_per_ml\":[1,1,null],\"total_g\":500}"},
    {"mix.reduce", "{\"paint_g\":260,\"pct\":10,\"basis\":\"weight\"}"},
    {"mix.weighable", "{\"parts\":[99,1],\"d_g\":0.1,\"error_pct\":5}"},
    {"mix.spread", "{\"area_m2\":1.5,\"coats\":1,\"film_um\":50,\"solids_vol_pct\":40,\"transfer_pct\":65}"},
    {"mix.voc", "{\"components\":[{\"grams\":10,\"density_g_per_ml\":1,\"voc_pct\":50}]}"},
    {"mix.voc_stages", "{\"ground_g_per_l\":720,\"mids_g_per_l\":[650],\"clear_g_per_l\":500}"},
    {"mix.premix", "{\"grams\":[0.09,0.24],\"d_g\":0.01}"},
    {"mix.de00", "{\"lab\":[50,2.6772,-79.7751],\"other\":[50,0,-82.7485]}"},
    {"mix.uncertainty", "{\"grams\":[50,3],\"d_g\":0.01}"},
};

static const struct rpc_method *method_named(const char *name)
{
    const struct rpc_method *m = rpc_methods;
    while (m->name && strcmp(m->name, name) != 0)
        m++;
    assert_non_null(m->name);
    return m;
}

static void answers_are_as_told(void **state)
{
    (void)state;
    struct stub stub;
    stub_init(&stub);
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        json_t *result = stub_call(&stub, calls[i].method, calls[i].params);
        const struct rpc_method *m = method_named(calls[i].method);
        struct fault f;
        if (!shape_check(m->result, result, &f))
            fail_msg("%s: %s", m->name, f.message);
        json_decref(result);
    }
    stub_finish(&stub);
}

/* Each member of each call is left out in turn: what a call is refused without is told as needed, and nothing else. */
static void what_a_call_needs_is_told_as_needed(void **state)
{
    (void)state;
    struct stub stub;
    stub_init(&stub);
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        json_t *params = json_loads(calls[i].params, 0, NULL), *value;
        const char *name;
        json_object_foreach(params, name, value)
        {
            if (strcmp(calls[i].method, "mix.ratio") == 0 && strcmp(name, "total_g") == 0)
                continue; /* or total_ml: no row tells of two that one of them is needed */
            json_t *less = json_copy(params);
            json_object_del(less, name);
            char *text = json_dumps(less, JSON_COMPACT);
            json_t *answer = stub_answer(&stub, calls[i].method, text);
            bool needed = shape_is_needed(shape_find(method_named(calls[i].method)->params, name), NULL);
            if ((stub_code(answer) != 0) != needed)
                fail_msg("%s without `%s`, told as %s: %s", calls[i].method, name, needed ? "needed" : "not needed",
                         stub.last);
            free(text);
            json_decref(answer);
            json_decref(less);
        }
        json_decref(params);
    }
    stub_finish(&stub);
}

int main(int count, char **arguments)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_paper_is_of_todays_tables),
        cmocka_unit_test(the_document_names_every_method_and_shape),
        cmocka_unit_test(every_member_is_told),
        cmocka_unit_test(answers_are_as_told),
        cmocka_unit_test(what_a_call_needs_is_told_as_needed),
    };
    if (count == 3 && strcmp(arguments[1], "--write") == 0) {
        char *text = made_anew();
        FILE *to = text ? fopen(arguments[2], "w") : NULL;
        bool written = to && fputs(text, to) >= 0;
        written = to && fclose(to) == 0 && written;
        free(text);
        return written ? 0 : 74;
    }
    return cmocka_run_group_tests(tests, NULL, NULL);
}
