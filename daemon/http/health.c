/* health.c - /healthz for whoever watches the service, /metrics in Prometheus' text format (version 0.0.4). Both ask
 * the same calls as any client. They must not know a bench.
 */
#include "http/server.h"

#include "daemon.h"
#include "text/draft.h"
#include "text/json_read.h"
#include "text/version.h"

#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>

/* The result within the answer, borrowed; the caller lets go of *answer. NULL: a refusal, or no answer. */
static json_t *result_of(const struct http_exchange *e, json_t **answer)
{
    *answer = e->answer ? json_read(e->answer, e->answer_len, JSON_READ_DEPTH, NULL) : NULL;
    return json_object_get(*answer, "result");
}

/* ---- /healthz ---- */

/* Poised is well while it can keep what is acknowledged; a scale that is off is the bench's business. */
static enum MHD_Result tell_health(struct http_exchange *e)
{
    json_t *answer, *result = result_of(e, &answer);
    const char *code = json_string_value(json_object_get(json_object_get(result, "trouble"), "code"));
    enum MHD_Result done;
    if (code && strncmp(code, "disk", 4) == 0)
        done = http_say(e, MHD_HTTP_SERVICE_UNAVAILABLE, code);
    else if (!result)
        done = http_say(e, MHD_HTTP_SERVICE_UNAVAILABLE, "no answer");
    else
        done = http_say(e, MHD_HTTP_OK, "ok");
    json_decref(answer);
    return done;
}

/* The first station does for all: disk and clock are the daemon's, and any screen shows their trouble. */
enum MHD_Result http_run_health(struct http_exchange *e)
{
    const struct config *c = &e->server->daemon->config;
    char params[96];
    if (c->station_count == 0)
        return http_say(e, MHD_HTTP_OK, "ok");
    snprintf(params, sizeof params, "{\"station\":\"%s\"}",
             c->station[0].name); /* a name is an id: nothing to escape */
    e->answered = tell_health;
    http_call(e, "watch", params);
    return http_answer_or_wait(e);
}

/* ---- /metrics ---- */

/* A gauge a bench. A scale that never sent a weight has no age, and so no line. */
static void tell_scales(struct draft *out, const json_t *scales)
{
    size_t i;
    json_t *scale;
    draft_print(out,
                "# HELP poise_scale_live Whether the bench's scale sends weights.\n# TYPE poise_scale_live gauge\n");
    json_array_foreach(scales, i, scale)
    {
        const char *state = json_string_value(json_object_get(scale, "state"));
        draft_print(out, "poise_scale_live{station=\"%s\"} %d\n", json_string_value(json_object_get(scale, "station")),
                    state && strcmp(state, "live") == 0);
    }
    draft_print(out, "# HELP poise_scale_age_seconds Age of the last weight.\n# TYPE poise_scale_age_seconds gauge\n");
    json_array_foreach(scales, i, scale)
    {
        const json_t *age = json_object_get(scale, "age_ms");
        if (json_is_number(age))
            draft_print(out, "poise_scale_age_seconds{station=\"%s\"} %.3f\n",
                        json_string_value(json_object_get(scale, "station")), json_number_value(age) / 1000);
    }
}

/* Help, type and value, in the order that the format wants. */
static void gauge(struct draft *out, const char *name, const char *help, double value)
{
    draft_print(out, "# HELP %s %s\n# TYPE %s gauge\n%s %.15g\n", name, help, name, name, value);
}

/* What the process used, as getrusage tells it. */
static void tell_process(struct draft *out, struct http_server *s)
{
    struct rusage used = {0};
    struct http_link *link;
    int links = 0;
    getrusage(RUSAGE_SELF, &used);
    LIST_FOREACH(link, &s->links, entry) links++;
    gauge(out, "poise_http_connections", "Connections over HTTP.", links);
    gauge(out, "poise_last_batch", "The highest batch number given.", (double)s->daemon->last_batch);
    gauge(out, "process_resident_memory_peak_bytes", "Most memory held at once.", (double)used.ru_maxrss * 1024);
    draft_print(out,
                "# HELP process_cpu_seconds_total Processor time used.\n# TYPE process_cpu_seconds_total counter\n"
                "process_cpu_seconds_total %.3f\n",
                (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
                    (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec) / 1e6);
}

/* Made anew for each question: a few kilobytes, asked for every 15 s or so. */
static enum MHD_Result tell_metrics(struct http_exchange *e)
{
    json_t *answer, *result = result_of(e, &answer);
    struct draft out = {0};
    enum MHD_Result done = MHD_NO;
    draft_print(&out, "# HELP poise_info Version.\n# TYPE poise_info gauge\npoise_info{version=\"%s\"} 1\n",
                POISE_VERSION);
    tell_scales(&out, json_object_get(result, "scales"));
    tell_process(&out, e->server);
    size_t len = out.length;
    char *text = draft_take(&out);
    if (text)
        done = http_reply(
            e, MHD_HTTP_OK,
            (struct http_body){.type = "text/plain; version=0.0.4; charset=utf-8", .data = text, .len = len});
    free(text);
    json_decref(answer);
    return done;
}

/* Asks as any client asks, so that the figures cannot say other than scale.list does. */
enum MHD_Result http_run_metrics(struct http_exchange *e)
{
    e->answered = tell_metrics;
    http_call(e, "scale.list", "{}");
    return http_answer_or_wait(e);
}
