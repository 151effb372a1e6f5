/* test_told.c - real answers held against what rpc.discover tells of them: every member that comes is told, has the
 * type that is told, and what is told as always there is there. A client written from the paper meets nothing else. */
#include "tests/e2e/story.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* The document; the test owns it. */
static json_t *document;

static const json_t *schema_of(const json_t *schema, bool *null)
{
    static const char start[] = "#/components/schemas/";
    const char *ref = json_string_value(json_object_get(schema, "$ref"));
    const json_t *either = json_object_get(schema, "anyOf");
    if (either) {
        *null = true;
        return schema_of(json_array_get(either, 0), null);
    }
    if (!ref)
        return schema;
    const json_t *named =
        json_object_get(json_object_get(json_object_get(document, "components"), "schemas"), ref + sizeof start - 1);
    assert_non_null(named);
    return named;
}

static bool is_of(const json_t *value, const char *type)
{
    static const struct {
        const char *name;
        json_type kind;
    } kinds[] = {{"string", JSON_STRING}, {"object", JSON_OBJECT}, {"array", JSON_ARRAY}, {"integer", JSON_INTEGER}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (strcmp(type, kinds[i].name) == 0)
            return json_typeof(value) == kinds[i].kind;
    return strcmp(type, "number") == 0 ? json_is_number(value) : json_is_boolean(value);
}

static void check(const char *where, const json_t *value, const json_t *told);

/* Of an object whose members are told. */
static void check_members(const char *where, const json_t *value, const json_t *schema)
{
    const json_t *properties = json_object_get(schema, "properties"), *required = json_object_get(schema, "required");
    const char *name;
    json_t *member;
    size_t i;
    char path[400];
    json_array_foreach(required, i, member) if (!json_object_get(value, json_string_value(member)))
        fail_msg("%s has no `%s`, which is told as always there", where, json_string_value(member));
    json_object_foreach((json_t *)(uintptr_t)value, name, member)
    {
        snprintf(path, sizeof path, "%s.%s", where, name);
        if (!json_object_get(properties, name))
            fail_msg("%s is not told", path);
        check(path, member, json_object_get(properties, name));
    }
}

static void check(const char *where, const json_t *value, const json_t *told)
{
    bool null = false;
    const json_t *schema = schema_of(told, &null), *choices = json_object_get(schema, "enum");
    const char *type = json_string_value(json_object_get(schema, "type"));
    json_t *entry;
    size_t i;
    bool chosen = !choices;
    if (json_is_null(value) && (null || !type))
        return;
    if (type && !is_of(value, type))
        fail_msg("%s is told as %s%s", where, type, null ? " or null" : "");
    json_array_foreach(choices, i, entry) chosen = chosen || json_equal(entry, value);
    if (!chosen)
        fail_msg("%s: `%s` is none of its words", where, json_string_value(value));
    if (json_is_object(value) && json_object_get(schema, "properties"))
        check_members(where, value, schema);
    json_array_foreach(value, i, entry)
    {
        char path[400];
        snprintf(path, sizeof path, "%s.%zu", where, i);
        if (json_object_get(schema, "items"))
            check(path, entry, json_object_get(schema, "items"));
        else if (json_is_object(entry))
            fail_msg("%s: an object of which nothing is told", path);
    }
}

static void check_answer(const char *method, const json_t *result)
{
    json_t *one;
    size_t i;
    json_array_foreach(json_object_get(document, "methods"), i, one)
    {
        if (strcmp(method, json_string_value(json_object_get(one, "name"))) != 0)
            continue;
        check(method, result, json_object_get(json_object_get(one, "result"), "schema"));
        return;
    }
    fail_msg("%s is not told", method);
}

/* Calls that need no batch, and those that look at one that is finished; the shop is that of tests/data/story. */
static const struct {
    const char *method, *params;
} before[] =
    {
        {"daemon.info", ""},
        {"scale.list", "{'ports':true}"},
        {"toner.list", "{'limit':3}"},
        {"toner.get", "{'id':'A'}"},
        {"toner.put", "{'id':'X3','name':'Tried','density_g_per_ml':1}"},
        {"toner.put", "{'id':'X9','name':'Soon gone'}"},
        {"toner.remove", "{'id':'X9'}"},
        {"formula.put", "{'code':'X-1','finish':'solid','line':'solvent','coats':[{'coat':'base',"
                        "'parts':[{'toner':'X3','parts':1}]}]}"},
        {"formula.check", "{'formula':'X-1'}"},
        {"formula.list", ""},
        {"formula.get", "{'formula':'TS-1'}"},
        {"product.list", ""},
        {"product.get", "{'product':'CLEAR-A'}"},
        {"product.put", "{'id':'X-2','role':'clear','ratio':'4:1','basis':'weight','parts':['CL','H']}"},
        {"cup.list", ""},
        {"cup.put", "{'id':'X4','ml':100}"},
        {"panel.put", "{'id':'X5','area_m2':1}"},
        {"panel.list", ""},
        {"order.put", "{'order':'4417','vehicle':'van','coats':[{'coat':'base','formula':'TS-1','grams':100,"
                      "'panels':[{'name':'X5'}]}]}"},
        {"order.get", "{'order':'4417'}"},
        {"order.list", ""},
        {"mix.plan", "{'formula':'TS-1','grams':100}"},
        {"mix.plan", "{'formula':'TS-1','grams':1}"},
        {"mix.plan", "{'product':'CLEAR-A','ml':400}"},
        {"mix.plan", "{'order':'4417'}"},
        {"mix.remedies", "{'parts':[50,0],'total_g':100,'poured_g':[50,33]}"},
        {"mix.ratio", "{'parts':[4,1],'basis':'weight','densities_g_per_ml':[1,null],'total_g':100}"},
        {"mix.rescue", "{'parts':[50,50],'total_g':100,'poured_g':[60,0],'leftovers':[]}"},
        {"mix.workoff", "{'parts':[50,50],'total_g':100,'leftovers':[{'grams':20,'parts':[1,1]}]}"},
        {"people.put", "{'painter':'Ines'}"},
        {"people.list", ""},
        {"people.sign_in", "{'station':'bench','painter':'Ines'}"},
        {"people.sign_out", "{'station':'bench'}"},
        {"stock.receive", "{'toner':'A','grams':500,'lot':'A17'}"},
        {"stock.count", "{'toner':'A','grams':400}"},
        {"stock.list", ""},
        {"stock.stir", "{'all':true}"},
        {"settings.list", ""},
        {"toner.substitute", "{'toner':'A'}"},
        {"scan", "{'code':'4417','station':'bench'}"},
        {"learn.start", "{'painter':'Ines','scenario':'overpour'}"},
        {"learn.hand", "{'station':'learn-1','act':'cup'}"},
        {"learn.end", "{'station':'learn-1'}"},
        {"scale.check", "{'station':'bench','grams':100,'begin':true}"},
        {"scale.check", "{'station':'bench','cancel':true}"},
        {"store.verify", ""},
        {"store.mend", ""},
},
  after[] = {
      {"batch.get", "{'batch':'1'}"},
      {"batch.find", ""},
      {"batch.label", "{'batch':'1'}"},
      {"batch.weigh_back", "{'batch':'1','gross_g':80,'cup_tare_g':30}"},
      {"batch.shelve", "{'batch':'1','place':'A3'}"},
      {"shelf.list", ""},
      {"mix.workoff", "{'formula':'TS-1','grams':100}"},
      {"formula.keep", "{'batch':'1','variant':'kept'}"},
      {"card.put", "{'batch':'1','light':['sun'],'verdict':'match','lab':[50,0,0]}"},
      {"card.list", ""},
      {"card.match", "{'batch':'1'}"},
      {"mix.plan", "{'formula':'TS-1','grams':100}"},
      {"order.get", "{'order':'4417'}"},
      {"scan", "{'code':'POISE:1','station':'bench'}"},
      {"batch.discard", "{'batch':'1','grams':10}"},
      {"report.checks", "{'csv':true}"},
};

static void ask(struct harness *h, const char *method, const char *params)
{
    check_answer(method, story_call(h, method, "%s", params));
}

static void act(struct harness *h, const char *word, const char *params)
{
    char method[64];
    snprintf(method, sizeof method, "batch.%s", word);
    check_answer(method, story_act(h, word, "%s", params));
}

static void every_answer_is_as_it_is_told(void **state)
{
    struct harness *h = *state;
    document = json_incref(harness_call(h, "rpc.discover", NULL));
    for (size_t i = 0; i < sizeof before / sizeof *before; i++)
        ask(h, before[i].method, before[i].params);
    act(h, "begin", "{'formula':'TS-1','grams':100,'order':'4417','painter':'Ines'}");
    act(h, "note", "{'text':'a word'}");
    harness_weigh(h, "bench", 30);
    act(h, "accept", "{}");
    ask(h, "watch", "{'station':'bench'}");
    story_add(h, 53); /* 3 g of the 50 too much, more than the station adds to by itself */
    act(h, "accept", "{'lot':'A17'}");
    story_is(h, "state", "over");
    act(h, "undo", "{}");
    act(h, "accept", "{}");
    act(h, "remedy", "{'choice':'leave'}");
    act(h, "tint", "{'toner':'D'}");
    story_add(h, 2);
    act(h, "accept", "{}");
    act(h, "retare", "{}");
    act(h, "hold", "{}");
    act(h, "resume", "{'batch':'1'}");
    act(h, "accept", "{'sure':true}");
    while (strcmp(harness_text(h, "bench", "state"), "pour") == 0)
        check_answer("batch.accept", story_pour(h, harness_number(h, "bench", "now.to_go_g")));
    act(h, "finish", "{'label':0}");
    for (size_t i = 0; i < sizeof after / sizeof *after; i++)
        ask(h, after[i].method, after[i].params);
    act(h, "begin", "{'formula':'TS-1','grams':100}");
    act(h, "scrap", "{'why':'a word'}");
    json_decref(document);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_answer_is_as_it_is_told, story_begin, story_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
