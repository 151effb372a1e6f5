/* check.c - scale.seek, scale.check and report.checks: what a port speaks, is the scale right, and was it. */
#include "bench/bench.h"
#include "bench/search.h"
#include "rpc/methods/dates.h"
#include "rpc/methods/methods.h"

#include <stdlib.h>
#include <string.h>

#define REPORT_MOST 10000 /* lines; a shop makes one a day and scale */

const struct rpc_member members_scale_check[] = {
    {"station", RPC_TEXT, true},    {"grams", RPC_NUMBER, false}, {"tolerance_g", RPC_NUMBER, false},
    {"person", RPC_TEXT, false},    {"cancel", RPC_FLAG, false},  {"drift", RPC_FLAG, false},
    {"seconds", RPC_NUMBER, false}, {"request", RPC_TEXT, false}, {NULL, RPC_ANY, false},
};
void method_scale_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = daemon_bench(d, station);
    struct fault f;
    if (b) {
        bench_check(b, call, params);
        return;
    }
    fault_set(&f, FAULT_UNKNOWN, "station", "unknown", "Name one that daemon.info lists.", "no station %.40s", station);
    rpc_fail(call, &f);
}

const struct rpc_member members_scale_seek[] = {
    {"port", RPC_TEXT, true},   {"ask", RPC_FLAG, false},     {"speed", RPC_NUMBER, false},
    {"frame", RPC_TEXT, false}, {"profile", RPC_TEXT, false}, {"passes", RPC_NUMBER, false},
    {"name", RPC_TEXT, false},  {"request", RPC_TEXT, false}, {NULL, RPC_ANY, false},
};
void method_scale_seek(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    search_begin(d, call, params);
}

/* One line: what the journal holds of it, with when, who and where. */
static bool add_line(void *arg, const struct store_event *e)
{
    json_t *list = arg, *line = json_loads(e->body ? e->body : "{}", 0, NULL);
    if (!json_is_object(line)) {
        json_decref(line);
        return true; /* one that cannot be read hides no other */
    }
    json_object_del(line, "next");
    json_object_set_new(line, "station", json_string(e->station ? e->station : ""));
    json_object_set_new(line, "time", json_string(e->time ? e->time : ""));
    json_object_set_new(line, "who", e->person ? json_string(e->person) : json_null());
    json_object_set_new(line, "seq", json_integer((json_int_t)e->seq));
    json_array_append_new(list, line);
    return json_array_size(list) < REPORT_MOST;
}

static double number_of(const json_t *line, const char *name)
{
    return json_number_value(json_object_get(line, name));
}

/* The same lines for a spreadsheet. */
static json_t *csv_of(const json_t *list)
{
    char *text = NULL;
    size_t size, i;
    const json_t *line;
    FILE *page = open_memstream(&text, &size);
    if (!page)
        return json_null();
    fputs("time,station,who,grams,empty_g,loaded_g,again_g,error_g,error_d,zero_g,tolerance_g,passed\n", page);
    json_array_foreach(list, i, line)
    {
        const char *who = json_string_value(json_object_get(line, "who"));
        fprintf(page, "%s,%s,\"", json_string_value(json_object_get(line, "time")),
                json_string_value(json_object_get(line, "station")));
        for (; who && *who; who++)
            fprintf(page, *who == '"' ? "\"\"" : "%c", *who);
        fprintf(page, "\",%g,%.6g,%.9g,%.6g,%.6g,%.4g,%.6g,%g,%s\n", number_of(line, "grams"),
                number_of(line, "empty_g"), number_of(line, "loaded_g"), number_of(line, "again_g"),
                number_of(line, "error_g"), number_of(line, "error_d"), number_of(line, "zero_g"),
                number_of(line, "tolerance_g"), json_is_true(json_object_get(line, "passed")) ? "yes" : "no");
    }
    fclose(page);
    json_t *out = json_string(text);
    free(text);
    return out;
}

const struct rpc_member members_report_checks[] = {
    {"from", RPC_TEXT, false}, {"to", RPC_TEXT, false},  {"station", RPC_TEXT, false},
    {"csv", RPC_FLAG, false},  {"rule", RPC_ANY, false}, {NULL, RPC_ANY, false},
};
void method_report_checks(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *from = NULL, *to = NULL, *station = NULL;
    bool csv = false;
    struct fault f;
    bool ok = rpc_get_text(params, "from", &from, &f) && rpc_get_text(params, "to", &to, &f) &&
              rpc_get_text(params, "station", &station, &f) && rpc_get_flag(params, "csv", &csv, &f);
    if (ok && ((from && !date_is(from)) || (to && !date_is(to))))
        ok = fault_set(&f, FAULT_INVALID, from && !date_is(from) ? "from" : "to", "date", "Give a date as YYYY-MM-DD.",
                       "no such date");
    if (ok && station && !daemon_bench(d, station))
        ok = fault_set(&f, FAULT_UNKNOWN, "station", "unknown", "Name one that daemon.info lists.", "no station %.40s",
                       station);
    if (!ok) {
        rpc_fail(call, &f);
        return;
    }
    json_t *list = json_array();
    if (!store_weight_checks(d->store, station, from, to, add_line, list)) {
        json_decref(list);
        fault_set(&f, FAULT_STORE, NULL, "io", "Look at the disk.", "the journal could not be read");
        rpc_fail(call, &f);
        return;
    }
    json_t *answer = json_pack("{s:o}", "checks", list);
    if (csv)
        json_object_set_new(answer, "csv", csv_of(list));
    rpc_answer(call, answer);
}
