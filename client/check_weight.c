/* check_weight.c - `poise check-weight STATION GRAMS`: a check weight off, on and off again; or an empty pan watched.
 *
 * Each scale.check takes one reading and waits up to 3 s for it; here it is asked again until the weight is there.
 */
#include "client/ask.h"
#include "client/commands.h"
#include "client/fault.h"
#include "client/figure.h"
#include "client/member.h"
#include "client/number.h"
#include "client/output.h"
#include "client/table.h"

#include <stdio.h>
#include <string.h>
#include <sysexits.h>
#include <time.h>
#include <unistd.h>

enum { GIVE_UP_S = 300, WATCH_S = 60, WATCH_MORE_S = 15 };

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static int params_for(const struct poise_options *opt, const char *station, json_t **params)
{
    double value = 0;
    int code = 0;
    *params = json_pack("{s:s}", "station", station);
    if (opt->word_count > 1 && (code = number_read("GRAMS", opt->word[1], &value)) == 0)
        json_object_set_new(*params, "grams", json_real(value));
    if (code == 0 && opt->text[OPTION_TOLERANCE] &&
        (code = number_read("--tolerance", opt->text[OPTION_TOLERANCE], &value)) == 0)
        json_object_set_new(*params, "tolerance_g", json_real(value));
    if (code == 0 && opt->text[OPTION_SECONDS] &&
        (code = number_read("--seconds", opt->text[OPTION_SECONDS], &value)) == 0)
        json_object_set_new(*params, "seconds", json_real(value));
    if (opt->text[OPTION_PAINTER])
        json_object_set_new(*params, "person", json_string(opt->text[OPTION_PAINTER]));
    if (code) {
        json_decref(*params);
        *params = NULL;
    }
    return code;
}

static void say(const struct ask *a, const char *text)
{
    if (a->opt->json)
        return;
    table_say(text, a->opt->style.utf8, stdout);
    fputc('\n', stdout);
    fflush(stdout);
}

/* The person's hand is asked for before the first reading: nobody can tell an empty pan from a full one by itself. */
static void wait_for_empty(const struct ask *a)
{
    if (a->opt->json || !isatty(STDIN_FILENO))
        return;
    fputs("take the check weight off the pan, then press Enter ", stdout);
    fflush(stdout);
    for (int c = 0; c != '\n' && c != EOF;)
        c = getchar();
}

/* One reading. The weight may take its time: refusals that only say so are asked again. */
static int take(struct ask *a, const json_t *params, json_t **result)
{
    for (double until = now_s() + GIVE_UP_S;;) {
        json_t *answer = NULL;
        int code = ask_answer(a, "scale.check", json_deep_copy(params), &answer);
        if (code)
            return code;
        const json_t *error = json_object_get(answer, "error");
        const char *why = member_text(json_object_get(error, "data"), "why");
        bool not_yet = strcmp(why, "unsteady") == 0 || strcmp(why, "nothing") == 0 || strcmp(why, "loaded") == 0;
        if (error && not_yet && now_s() < until) {
            json_decref(answer);
            continue;
        }
        code = error ? fault_say_error(a->what, error) : 0;
        *result = json_incref(json_object_get(answer, "result"));
        json_decref(answer);
        return code;
    }
}

static void show(const struct ask *a, const json_t *r)
{
    int decimals = figure_decimals(member_number(r, "d_g"));
    struct figure error = figure_signed(member_number(r, "error_g"), decimals, "g", a->opt->style);
    struct figure zero = figure_signed(member_number(r, "zero_g"), decimals, "g", a->opt->style);
    printf("read %s off (%.0f d), the empty pan %s (%.0f d)\n", error.text, member_number(r, "error_d"), zero.text,
           member_number(r, "zero_d"));
}

static int weigh(struct ask *a, const json_t *params)
{
    wait_for_empty(a);
    for (const char *next = "empty"; strcmp(next, "done") != 0;) {
        json_t *r = NULL;
        int code = take(a, params, &r);
        if (code)
            return code;
        if (a->opt->json) {
            output_json(r);
            fflush(stdout);
        }
        bool done = strcmp(member_text(r, "next"), "done") == 0, passed = json_is_true(json_object_get(r, "passed"));
        if (done && !a->opt->json)
            show(a, r);
        if (!done || passed)
            say(a, member_text(r, "message"));
        if (done && !passed)
            code = fault_say(EX_DATAERR, a->what,
                             "Clean and level the scale, let it warm up, check again; if it stays, have it serviced",
                             "%s", member_text(r, "message"));
        json_decref(r);
        if (done)
            return code;
    }
    return 0;
}

static int watch(struct ask *a, json_t *params)
{
    double seconds = WATCH_S;
    json_t *answer = NULL;
    if (a->opt->text[OPTION_SECONDS])
        seconds = member_number(params, "seconds");
    if (!(seconds >= 0 && seconds < 3600)) /* the daemon says what is wrong with it */
        seconds = WATCH_S;
    json_object_set_new(params, "drift", json_true());
    say(a, "watching the empty pan: hands off, air off");
    if (socket_call(&a->socket, "scale.check", json_incref(params), &answer, (int)((seconds + WATCH_MORE_S) * 1000)) !=
        SOCKET_OK)
        return fault_say(EX_UNAVAILABLE, a->what, NULL, "the daemon was lost before it answered");
    const json_t *error = json_object_get(answer, "error"), *r = json_object_get(answer, "result");
    int code = error ? fault_say_error(a->what, error) : 0;
    const char *kind = member_text(r, "drift");
    if (r && a->opt->json)
        output_json(r);
    else if (r && strcmp(kind, "drift") == 0)
        printf("drift: %+.1f d a minute. Let the scale warm up and the room settle.\n", member_number(r, "d_per_min"));
    else if (r && strcmp(kind, "draught") == 0)
        printf("draught: the pan trembles by %.1f d. Keep air, doors and machines away.\n", member_number(r, "span_d"));
    else if (r)
        puts("steady");
    json_decref(answer);
    return code;
}

int command_check_weight(struct poise_options *opt)
{
    struct ask a;
    json_t *params = NULL;
    bool drift = opt->text[OPTION_DRIFT] != NULL;
    if (!drift && opt->word_count < 2)
        return fault_say(EX_USAGE, "check-weight", "Give what the check weight weighs, or --drift.",
                         "GRAMS is missing");
    int code = params_for(opt, opt->word[0], &params);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0) {
        ask_style(&a);
        code = drift ? watch(&a, params) : weigh(&a, params);
    }
    json_decref(params);
    ask_close(&a);
    return code;
}
