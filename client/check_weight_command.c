/* check_weight_command.c - `poise check-weight STATION GRAMS`: a check weight off, on and off again; or an empty pan
 * watched. It must not know what makes a check pass: each scale.check takes one reading and waits up to 3 s for it,
 * and the daemon judges the three together. Here the person is led, and a reading is asked for again until the
 * weight is there. Whoever leaves in the middle (Ctrl-C, a terminal that closes) takes the check back first: nothing
 * stays half done. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/options.h"
#include "client/output.h"
#include "client/socket.h"
#include "client/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* Seconds to wait for a weight, to watch a pan; MORE_MS is the daemon's own time for a watch on top of it. */
enum { GIVE_UP_S = 300, WATCH_S = 60, MORE_MS = 15000, CANCEL_MS = 2000, NAME_MAX_BYTES = 64 };

struct checking {
    struct ask ask;
    struct leave leave;
    const char *station, *grams; /* as typed; grams NULL: left out */
    json_t *params;
};

/* The bench is the first word; where --station names it, the only word is the weight. Both ways of naming the bench
 * are taken; two different names are a mistake that would check the wrong scale. */
static int read_words(struct checking *c, const struct poise_options *opt)
{
    bool drift = opt->text[OPTION_DRIFT] != NULL;
    size_t at = opt->station && opt->word_count == 1 && !drift ? 0 : 1;
    c->station = at == 0 ? opt->station : opt->word[0];
    c->grams = opt->word_count > at ? opt->word[at] : NULL;
    if (opt->station && strcmp(opt->station, c->station) != 0)
        return failure_say(opt->style, EX_USAGE, "check-weight", "station_two first=%s second=%s", c->station,
                           opt->station);
    if (!drift && !c->grams)
        return failure_say(opt->style, EX_USAGE, "check-weight", "check_no_grams");
    return 0;
}

/* Left out where it was not typed: the daemon's own defaults hold then. */
static int put_number(struct output_style style, json_t *params, const char *member, const char *what, const char *text)
{
    double value = 0;
    int code = text ? number_read(style, what, text, &value) : 0;
    if (text && code == 0)
        json_object_set_new(params, member, json_real(value));
    return code;
}

/* Numbers are checked for being numbers and nothing else: what a check weight may weigh and how narrow a tolerance
 * may be depends on the scale, and the daemon knows it. */
static int read_params(struct checking *c, const struct poise_options *opt)
{
    int code = read_words(c, opt);
    if (code)
        return code;
    c->params = json_pack("{s:s}", "station", c->station);
    if ((code = put_number(opt->style, c->params, "grams", "GRAMS", c->grams)) != 0 ||
        (code = put_number(opt->style, c->params, "tolerance_g", "--tolerance", opt->text[OPTION_TOLERANCE])) != 0 ||
        (code = put_number(opt->style, c->params, "seconds", "--seconds", opt->text[OPTION_SECONDS])) != 0)
        return code;
    if (opt->text[OPTION_PAINTER])
        json_object_set_new(c->params, "painter", json_string(opt->text[OPTION_PAINTER]));
    return 0;
}

/* At once, whatever stdout is: the person stands at the scale with a weight in the hand and waits for the next word.
 * With --json nothing but the daemon's objects is printed. */
static void say_it(const struct checking *c, const char *text)
{
    if (c->ask.opt->json)
        return;
    output_text(text, c->ask.opt->style, stdout);
    fputc('\n', stdout);
    fflush(stdout);
}

/* ---- leaving in the middle ---- */

/* On a connection of its own: on the first one a call may wait. What goes wrong here lapses by itself. CANCEL_MS is
 * short: the program is ending, and a check that nobody ends lapses in the daemon within a second of the lost
 * connection. */
static void cancel(const struct checking *c)
{
    struct poise_socket socket = {.fd = -1};
    json_t *answer = NULL;
    if (!socket_open(&socket, c->ask.opt->socket))
        return;
    socket_call(&socket, "scale.check", json_pack("{s:s, s:b}", "station", c->station, "cancel", 1), &answer,
                CANCEL_MS);
    json_decref(answer);
    socket_close(&socket);
}

/* First the check is taken back, then the person is told, then the signal does its work: a terminal that closes
 * leaves no check half done that would block the bench until it lapses. */
static int give_up(struct checking *c)
{
    cancel(c);
    fputc('\n', stdout);
    fflush(stdout);
    int code = failure_say(c->ask.opt->style, EX_TEMPFAIL, c->ask.what, "check_given_up");
    leave_end(&c->leave); /* by the signal that came, if one did */
    return code;
}

/* ---- one call ---- */

/* The whole answer; 0, or an exit code with its line said. `more` is added to the params of all calls of this check
 * (station, grams, tolerance). A signal while it waits ends the check and the program. */
static int call(struct checking *c, const json_t *more, int timeout_ms, json_t **answer)
{
    json_t *params = json_deep_copy(c->params);
    json_object_update(params, (json_t *)(uintptr_t)more);
    switch (leave_call(&c->leave, &c->ask.socket, "scale.check", params, answer, timeout_ms)) {
    case LEAVE_ANSWERED:
        return 0;
    case LEAVE_ASKED:
        return give_up(c);
    default:
        return failure_say(c->ask.opt->style, EX_UNAVAILABLE, c->ask.what, "check_lost");
    }
}

/* Frees the answer. With --json each result is printed as it comes, so that a program can follow the check step by
 * step. */
static int unpack(struct checking *c, json_t *answer, json_t **result)
{
    const json_t *error = json_object_get(answer, "error");
    *result = json_incref(json_object_get(answer, "result"));
    int code = error ? failure_error(c->ask.opt->style, c->ask.what, error) : 0;
    json_decref(answer);
    if (*result && c->ask.opt->json) {
        output_json(*result);
        fflush(stdout);
    }
    return code;
}

/* What a refusal says that only asks for more patience; NULL: it is final. */
static const char *patience_of(const json_t *error)
{
    static const char *const waits[] = {"unsteady", "nothing", "loaded", "lighter", "trouble"};
    const char *why = member_text(json_object_get(error, "data"), "why");
    for (size_t i = 0; error && i < sizeof waits / sizeof *waits; i++)
        if (strcmp(why, waits[i]) == 0)
            return waits[i];
    return NULL;
}

/* One reading. The weight may take its time; what keeps it is shown once, but for what was asked for just before.
 * Refusals that only ask for patience are not errors of the person: they are told once each, and the same reading is
 * asked for again until GIVE_UP_S (or --seconds) have passed. */
static int take(struct checking *c, const char *asked_for, json_t **result)
{
    double patience = json_object_get(c->params, "seconds") ? member_number(c->params, "seconds") : GIVE_UP_S;
    const char *said = asked_for;
    for (double until = (double)now_ms() + 1000 * patience;;) {
        json_t *answer = NULL;
        int code = call(c, NULL, SOCKET_PATIENCE_MS, &answer);
        if (code)
            return code;
        const json_t *error = json_object_get(answer, "error");
        const char *why = patience_of(error);
        if (!why || (double)now_ms() >= until) {
            if (why)
                cancel(c);
            return unpack(c, answer, result);
        }
        if (strcmp(why, said) != 0 && strcmp(why, asked_for) != 0) {
            struct output_style style = c->ask.opt->style;
            struct wording refusal = wording_said(style, json_object_get(error, "data"), member_text(error, "message"));
            say_it(c, wording_of(style, "check.waiting text=%s", refusal.text).text);
        }
        said = why;
        json_decref(answer);
    }
}

/* ---- the check ---- */

/* The person's hand is asked for before the first reading: nobody can tell an empty pan from a full one by itself.
 * Who it is may be said in the same breath. A script, or --json, has cleared the pan by itself and is not asked. */
static int wait_for_hand(struct checking *c)
{
    char name[NAME_MAX_BYTES];
    if (c->ask.opt->json || !isatty(STDIN_FILENO))
        return 0;
    bool named = c->ask.opt->text[OPTION_PAINTER] != NULL;
    output_say(c->ask.opt->style, stdout, named ? "check.clear_pan" : "check.clear_pan_name");
    fputc(' ', stdout);
    fflush(stdout);
    if (!leave_line(&c->leave, name, sizeof name))
        return give_up(c);
    if (!named && *name)
        json_object_set_new(c->params, "painter", json_string(name));
    return 0;
}

/* A check that failed is exit 65 even though the daemon answered: a script that runs the daily check must notice.
 * Which of the two words is shown depends on what was further out, the weight or the empty pan after it. */
static int verdict(const struct checking *c, const json_t *r)
{
    struct output_style style = c->ask.opt->style;
    struct wording message = wording_said(style, json_object_get(r, "said"), member_text(r, "message"));
    if (json_is_true(json_object_get(r, "passed"))) {
        say_it(c, message.text);
        return 0;
    }
    bool pan = fabs(member_number(r, "zero_g")) > fabs(member_number(r, "error_g"));
    return failure_say(style, EX_DATAERR, c->ask.what, pan ? "check_pan_off text=%s" : "check_scale_off text=%s",
                       message.text);
}

/* Begin, empty pan, weight, empty pan again. Another `next` than expected means that a second person began a check.
 * The order is that of the daemon's own `next`; it is compared at each step, so a check that somebody else began
 * over ours is noticed and never mixed with it. */
static int weigh(struct checking *c)
{
    static const struct {
        const char *asked_for, *then; /* the refusal that needs no words, and what is wanted next */
    } readings[] = {{"", "loaded"}, {"nothing", "again"}, {"loaded", "done"}};
    json_t *begin = json_pack("{s:b}", "begin", 1), *answer = NULL, *r = NULL;
    int code = call(c, begin, SOCKET_PATIENCE_MS, &answer);
    json_decref(begin);
    if (code == 0)
        code = unpack(c, answer, &r);
    json_decref(r);
    if (code == 0)
        code = wait_for_hand(c);
    for (size_t i = 0; i < sizeof readings / sizeof *readings && code == 0; i++) {
        r = NULL;
        code = take(c, readings[i].asked_for, &r);
        const char *next = member_text(r, "next");
        if (code == 0 && strcmp(next, readings[i].then) != 0)
            code = failure_say(c->ask.opt->style, EX_TEMPFAIL, c->ask.what, "check_another station=%s", c->station);
        else if (code == 0 && strcmp(next, "done") == 0)
            code = verdict(c, r);
        else if (code == 0)
            say_it(c, wording_said(c->ask.opt->style, json_object_get(r, "said"), member_text(r, "message")).text);
        json_decref(r);
    }
    return code;
}

/* ---- the watch ---- */

/* d_per_min and span_d are in scale intervals: a drift of 0.3 d a minute means the same on a scale of 0.01 g and of
 * 0.1 g. */
static void tell(const struct checking *c, const json_t *r)
{
    const struct output_style style = c->ask.opt->style;
    const char *kind = member_text(r, "drift");
    if (c->ask.opt->json)
        return;
    if (strcmp(kind, "drift") == 0)
        output_line(style, "check.drift rate=%s", figure_signed(member_number(r, "d_per_min"), 1, "", style).text);
    else if (strcmp(kind, "draught") == 0)
        output_line(style, "check.draught span=%s", figure_of(member_number(r, "span_d"), 1, "", style).text);
    else
        output_line(style, "check.steady");
}

/* One call that lasts as long as the watch: the daemon sees every reading, the client none. MORE_MS is its time to
 * answer on top of that. */
static int watch(struct checking *c)
{
    double seconds = WATCH_S;
    json_t *answer = NULL, *r = NULL;
    if (json_object_get(c->params, "seconds"))
        seconds = member_number(c->params, "seconds");
    if (!(seconds >= 0 && seconds < 3600)) /* the daemon says what is wrong with it */
        seconds = WATCH_S;
    json_object_set_new(c->params, "drift", json_true());
    say_it(c, words_of(c->ask.opt->style.language, "check.watching"));
    int code = call(c, NULL, (int)(seconds * 1000) + MORE_MS, &answer);
    if (code == 0)
        code = unpack(c, answer, &r);
    if (code == 0)
        tell(c, r);
    json_decref(r);
    return code;
}

/* The station's name goes into the ask so that figures read as that scale's; leave_begin comes after ask_open, since
 * until then there is nothing to take back. */
int command_check_weight(struct poise_options *opt)
{
    struct checking c = {0};
    int code = read_params(&c, opt);
    if (code == 0) {
        code = ask_open(&c.ask, opt);
        if (code == 0) {
            snprintf(c.ask.station, sizeof c.ask.station, "%.63s", c.station);
            ask_style(&c.ask);
            leave_begin(&c.leave);
            code = opt->text[OPTION_DRIFT] ? watch(&c) : weigh(&c);
            leave_end(&c.leave);
        }
        ask_close(&c.ask);
    }
    json_decref(c.params);
    return code;
}
