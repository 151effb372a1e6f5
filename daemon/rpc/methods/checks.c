/* checks.c - report.checks: the log of check weights, for whoever asks whether the scales were right.
 *
 * Oldest first, as a log is read. Below a check that failed stand the batches weighed until the next one.
 */
#include "bench/bench.h"
#include "rpc/methods/methods.h"
#include "text/timestamp.h"

#include <stdlib.h>
#include <string.h>

#define REPORT_MOST 10000 /* lines; a shop makes one a day and scale */

struct report {
    struct daemon *daemon;
    json_t *list;
    size_t failed;
    bool more; /* than REPORT_MOST */
};

/* One line: what the journal holds of it, with when, who and where. */
static bool add_line(void *arg, const struct store_event *e)
{
    struct report *r = arg;
    if (json_array_size(r->list) == REPORT_MOST) {
        r->more = true;
        return false;
    }
    json_t *line = json_loads(e->body ? e->body : "{}", 0, NULL);
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

static void add_batch(void *arg, const char *batch)
{
    if (batch)
        json_array_append_new(arg, json_string(batch));
}

static bool add_batches(struct report *r)
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
        ok = ok && store_weighed_after(r->daemon->store, json_string_value(json_object_get(line, "station")),
                                       (int64_t)json_integer_value(json_object_get(line, "seq")), add_batch, batches);
    }
    return ok;
}

/* ---- the same lines for a spreadsheet: RFC 4180, numbers with a point ---- */

static void csv_text(FILE *page, const char *text)
{
    if (!text || !strpbrk(text, ",\"\r\n")) {
        fputs(text ? text : "", page);
        return;
    }
    fputc('"', page);
    for (; *text; text++)
        fprintf(page, *text == '"' ? "\"\"" : "%c", *text);
    fputc('"', page);
}

/* At most 6 decimals, as all weights have; what is not known stays empty. */
static void csv_number(FILE *page, const json_t *value)
{
    char digits[40];
    if (!json_is_number(value))
        return;
    snprintf(digits, sizeof digits, "%.6f", json_number_value(value));
    size_t len = strlen(digits);
    while (digits[len - 1] == '0')
        len--;
    fwrite(digits, 1, digits[len - 1] == '.' ? len - 1 : len, page);
}

static void csv_line(FILE *page, const json_t *line)
{
    static const char *const texts[] = {"time", "station", "who"};
    static const char *const numbers[] = {"grams",   "tolerance_g", "d_g",     "empty_g", "loaded_g",
                                          "again_g", "error_g",     "error_d", "zero_g",  "zero_d"};
    size_t i;
    const json_t *batch;
    for (i = 0; i < sizeof texts / sizeof *texts; i++) {
        csv_text(page, json_string_value(json_object_get(line, texts[i])));
        fputc(',', page);
    }
    for (i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        csv_number(page, json_object_get(line, numbers[i]));
        fputc(',', page);
    }
    fprintf(page, "%s,", json_is_true(json_object_get(line, "passed")) ? "yes" : "no");
    json_array_foreach(json_object_get(line, "batches"), i, batch)
        fprintf(page, "%s%s", i ? " " : "", json_string_value(batch));
    fputs("\r\n", page);
}

static json_t *csv_of(const json_t *list)
{
    char *text = NULL;
    size_t size, i;
    const json_t *line;
    FILE *page = open_memstream(&text, &size);
    if (!page)
        return json_null();
    fputs("time,station,who,grams,tolerance_g,d_g,empty_g,loaded_g,again_g,error_g,error_d,zero_g,zero_d,passed,"
          "batches\r\n",
          page);
    json_array_foreach(list, i, line) csv_line(page, line);
    fclose(page);
    json_t *out = json_string(text);
    free(text);
    return out;
}

/* ---- the call ---- */

struct asked {
    const char *from, *to, *station;
    bool csv;
};

static bool no_day(struct fault *f, const char *field)
{
    return fault_set(f, FAULT_INVALID, field, "date", "Give a date as YYYY-MM-DD.", "%s is no such date", field);
}

static bool read_asked(struct daemon *d, const json_t *params, struct asked *a, struct fault *f)
{
    if (!rpc_get_text(params, "from", &a->from, f) || !rpc_get_text(params, "to", &a->to, f) ||
        !rpc_get_text(params, "station", &a->station, f) || !rpc_get_flag(params, "csv", &a->csv, f))
        return false;
    if (a->from && !timestamp_is_day(a->from))
        return no_day(f, "from");
    if (a->to && !timestamp_is_day(a->to))
        return no_day(f, "to");
    if (a->from && a->to && strcmp(a->from, a->to) > 0)
        return fault_set(f, FAULT_INVALID, "to", "order", "Give the first day first.", "%s is before %s", a->to,
                         a->from);
    if (a->station && !daemon_bench(d, a->station))
        return fault_set(f, FAULT_UNKNOWN, "station", "unknown", "Name one that poise scales lists.",
                         "no station %.40s", a->station);
    return true;
}

void method_report_checks(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct asked a = {0};
    struct fault f;
    if (!read_asked(d, params, &a, &f)) {
        rpc_fail(call, &f);
        return;
    }
    struct report r = {.daemon = d, .list = json_array()};
    if (!store_weight_checks(d->store, a.station, a.from, a.to, add_line, &r) || !add_batches(&r)) {
        json_decref(r.list);
        fault_set(&f, FAULT_STORE, NULL, "io", "Look at the disk.", "the journal could not be read");
        rpc_fail(call, &f);
        return;
    }
    json_t *answer = json_pack("{s:O, s:I, s:I, s:b}", "checks", r.list, "made", (json_int_t)json_array_size(r.list),
                               "failed", (json_int_t)r.failed, "more", r.more);
    if (a.csv)
        json_object_set_new(answer, "csv", csv_of(r.list));
    json_decref(r.list);
    rpc_answer(call, answer);
}
