/* scale_methods.c - looking at a station and its scale: watch, scale.list, scale.seek, scale.check; and report.checks,
 * the log of check weights. It must not move a batch.
 */
#include "bench/bench.h"
#include "bench/port_search.h"
#include "drivers/ports.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "text/draft.h"
#include "text/json_read.h"
#include "text/number.h"
#include "text/timestamp.h"

#include <stdlib.h>
#include <string.h>

/* Watching is kept by the connection and ends with it. The screen comes first, so that no note is of something
 * unseen. */
void method_watch(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (!b)
        return;
    rpc_watch(call, json_string_value(json_object_get(params, "station")));
    bench_show(b, call);
}

/* A list of ports in the making. */
struct ports {
    const struct daemon *daemon; /* whose stations' ports are left out */
    json_t *list;
};

/* A port of the machine that no station names. */
static void add_port(void *arg, const struct port_found *found)
{
    struct ports *p = arg;
    for (size_t i = 0; i < p->daemon->config.station_count; i++)
        if (port_path_same(p->daemon->config.station[i].port, found->port))
            return;
    char why[SAID_TEXT_MAX];
    json_array_append_new(p->list, json_pack("{s:s, s:s, s:o, s:o, s:o}", "port", found->port, "device", found->device,
                                             "description", view_text(found->description), "why",
                                             view_text(port_words(&found->why, WORDS_EN, why, sizeof why)), "said",
                                             said_json(&found->why, NULL)));
}

/* With `ports` also those that no station names: what a person plugs in before it is in the file. */
void method_scale_list(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    json_t *list = json_array();
    for (size_t i = 0; i < d->config.station_count; i++)
        json_array_append_new(list, bench_scale(d->bench[i]));
    json_t *answer = json_pack("{s:o}", "scales", list);
    if (json_is_true(json_object_get(params, "ports"))) {
        struct ports p = {d, json_array()};
        ports_list(add_port, &p);
        json_object_set_new(answer, "ports", p.list);
    }
    rpc_answer(call, answer);
}

/* The bench leads it through its readings; nothing of it is written before the third. */
void method_scale_check(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct fault f = {0};
    if (daemon_practice(d, station)) { /* it has no scale that could be wrong */
        fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
        rpc_fail(call, &f);
        return;
    }
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_check(b, call, params);
}

/* Takes seconds to minutes. The station that holds the port lets it go meanwhile. */
void method_scale_seek(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    search_begin(d, call, params);
}

/* ---- report.checks: for whoever asks whether the scales were right ----
 *
 * Oldest first, as a log is read. Below a check that failed stand the batches weighed until the next one. Read on a
 * helper thread, since both grow with the shop. */

enum { REPORT_MOST = 10000 }; /* lines; a shop makes one a day and scale */

/* What is asked for, and what came of it on the helper thread. */
struct report {
    struct inquiry inquiry;
    const char *from, *to, *station; /* NULL: any */
    bool csv;                        /* the same lines for a spreadsheet as well */
    json_t *list;                    /* lines, oldest first */
    size_t failed;                   /* of them */
    bool more;                       /* than REPORT_MOST */
};

/* One line: what the journal holds of it, with when, who and where. */
static bool add_line(void *arg, const struct store_event *e)
{
    struct report *r = arg;
    if (json_array_size(r->list) == REPORT_MOST || store_task_stopping(&r->inquiry.task)) {
        r->more = true;
        return false;
    }
    json_t *line = json_read_text(e->body ? e->body : "");
    if (!json_is_object(line)) {
        json_decref(line);
        return true; /* one that cannot be read hides no other */
    }
    json_object_del(line, "next");
    json_object_set_new(line, "station", json_string(e->station ? e->station : ""));
    json_object_set_new(line, "time", json_string(e->time ? e->time : ""));
    json_object_set_new(line, "who", e->person ? json_string(e->person) : json_null());
    json_object_set_new(line, "seq", json_integer((json_int_t)e->seq));
    json_array_append_new(r->list, line);
    return true;
}

/* A store_weighed_after callback. */
static void add_batch(void *arg, const char *batch)
{
    if (batch)
        json_array_append_new(arg, json_string(batch));
}

/* Looked for only below a check that failed: for all of them it would read the whole journal. False: could not be
 * read. */
static bool add_batches(struct report *r, struct store *view)
{
    size_t i;
    json_t *line;
    bool ok = true;
    json_array_foreach(r->list, i, line)
    {
        json_t *batches = json_array();
        json_object_set_new(line, "batches", batches);
        if (json_is_true(json_object_get(line, "passed")))
            continue;
        r->failed++;
        ok = ok && store_weighed_after(view, json_string_value(json_object_get(line, "station")),
                                       (int64_t)json_integer_value(json_object_get(line, "seq")), add_batch, batches);
    }
    return ok;
}

/* ---- the same lines for a spreadsheet ---- */

static const char *const columns[] = {"time",    "station", "who",      "grams",   "tolerance_g",
                                      "d_g",     "empty_g", "loaded_g", "again_g", "error_g",
                                      "error_d", "zero_g",  "zero_d",   "passed",  "batches"};
enum { COLUMNS = sizeof columns / sizeof *columns, TEXTS = 3, PASSED = 13, BATCHES = 14 };

/* What is not known stays empty. False: no memory. */
static bool csv_line(FILE *page, const json_t *line)
{
    static const struct number_style point = {.point = '.'};
    char numbers[COLUMNS][NUMBER_ROOM];
    struct draft batches = {0};
    const char *fields[COLUMNS] = {NULL};
    size_t i;
    const json_t *batch;
    for (i = 0; i < PASSED; i++) {
        const json_t *value = json_object_get(line, columns[i]);
        if (i < TEXTS)
            fields[i] = json_string_value(value);
        else if (json_is_number(value))
            fields[i] = number_plain(&point, json_number_value(value), numbers[i], NUMBER_ROOM);
    }
    fields[PASSED] = json_is_true(json_object_get(line, "passed")) ? "yes" : "no";
    json_array_foreach(json_object_get(line, "batches"), i, batch)
    {
        draft_print(&batches, "%s%s", i ? " " : "", json_string_value(batch));
    }
    fields[BATCHES] = batches.text;
    bool good = !batches.lost && csv_record(page, fields, COLUMNS);
    free(draft_take(&batches));
    return good;
}

/* NULL: no memory. Numbers bear a point whatever the shop's sign is: a spreadsheet reads it so from a file. */
static json_t *csv_of(const json_t *list)
{
    char *text = NULL;
    size_t size, i;
    const json_t *line;
    FILE *page = open_memstream(&text, &size);
    bool good = page && csv_record(page, columns, COLUMNS);
    for (i = 0; good && (line = json_array_get(list, i)); i++)
        good = csv_line(page, line);
    good = page && fclose(page) == 0 && good; /* what a memory stream lost it tells at that write alone */
    json_t *out = good ? json_string(text) : NULL;
    free(text);
    return out;
}

/* ---- the call ---- */

/* On the slow lane: a report of ten years stands before no find. */
static void run(struct inquiry *inquiry, struct store *view)
{
    struct report *r = (struct report *)(void *)inquiry;
    r->list = json_array();
    if (store_weight_checks(view, r->station, r->from, r->to, add_line, r) && add_batches(r, view)) {
        json_t *csv = r->csv ? csv_of(r->list) : NULL;
        json_t *answer =
            json_pack("{s:O, s:I, s:I, s:b}", "checks", r->list, "made", (json_int_t)json_array_size(r->list), "failed",
                      (json_int_t)r->failed, "more", r->more);
        if (csv)
            json_object_set_new(answer, "csv", csv);
        if (r->csv && !csv) {
            json_decref(answer);
            answer = NULL;
        }
        inquiry_answer(inquiry, answer);
    } else {
        inquiry_unread(inquiry, view);
    }
    json_decref(r->list);
}

/* Days are inclusive; `from` after `to` is a slip that is told, not an empty report. */
static bool read_asked(struct daemon *d, const json_t *params, struct report *r, struct fault *f)
{
    if (!rpc_get_text(params, "from", &r->from, f) || !rpc_get_text(params, "to", &r->to, f) ||
        !rpc_get_text(params, "station", &r->station, f) || !rpc_get_flag(params, "csv", &r->csv, f))
        return false;
    if (r->from && !timestamp_is_day(r->from))
        return fault_said(f, FAULT_INVALID, "from", "date", "member_not_day field=%s given=%s", "from", r->from);
    if (r->to && !timestamp_is_day(r->to))
        return fault_said(f, FAULT_INVALID, "to", "date", "member_not_day field=%s given=%s", "to", r->to);
    if (r->from && r->to && strcmp(r->from, r->to) > 0)
        return fault_said(f, FAULT_INVALID, "to", "order", "days_turned from=%s to=%s", r->from, r->to);
    if (r->station && !daemon_bench(d, r->station))
        return fault_said(f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", r->station);
    return true;
}

/* The answer has at most REPORT_MOST lines and says whether there were more. */
void method_report_checks(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault f = {0};
    struct report *r = inquiry_new(d, call, params, sizeof *r);
    if (!r)
        return;
    if (read_asked(d, params, r, &f))
        inquiry_start(&r->inquiry, STORE_SLOW, run);
    else
        inquiry_refuse(&r->inquiry, &f);
}
