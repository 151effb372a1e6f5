/* ask.c - calls of the daemon with their faults. It must not know what an answer means. A command is a straight line
 * of such calls: each says what went wrong in one line and gives the exit code, and the command ends with it. Two
 * things are settled here for all of them: a call that changes something bears a request and is sent again once if
 * the connection breaks, and figures are written as the shop and the scale of the station write them. */
#include "client/ask.h"

#include "client/output.h"

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <sysexits.h>
#include <time.h>

/* A daemon that is started anew listens again within about a second; 5 s leaves room for a slow disk. */
enum { COMEBACK_MS = 5000, COMEBACK_STEP_MS = 100 };

/* The time leads, so that requests of one bench sort as they were made; the random part keeps two benches apart that
 * press a key in the same nanosecond. strtoull reads the time of `last` and stops at its dash. */
bool request_make(char id[REQUEST_SIZE], const char *last)
{
    struct timespec t;
    uint64_t chance;
    if (clock_gettime(CLOCK_REALTIME, &t) < 0 || getrandom(&chance, sizeof chance, 0) != (ssize_t)sizeof chance)
        return false;
    uint64_t now = (uint64_t)t.tv_sec * 1000000000u + (uint64_t)t.tv_nsec;
    uint64_t before = last[0] ? strtoull(last, NULL, 16) : 0;
    if (now <= before)
        now = before + 1; /* the clock was set back, or is coarse */
    snprintf(id, REQUEST_SIZE, "%016" PRIx64 "-%016" PRIx64, now, chance);
    return true;
}

/* A socket that this user may not open is the fault a new user meets first, so it has words of its own. */
static int not_reached(const struct ask *a, int why)
{
    struct output_style style = a->opt->style;
    if (why == EACCES)
        return failure_say(style, EX_UNAVAILABLE, a->opt->socket, "daemon_denied");
    return failure_say(style, EX_UNAVAILABLE, a->opt->socket, "daemon_not_reached why=%s", wording_errno(style, why));
}

/* Only a connection: no call is made, so a typing error that is found before it costs the daemon nothing. */
int ask_open(struct ask *a, struct poise_options *opt)
{
    *a = (struct ask){.opt = opt, .what = opt->command->name, .socket.fd = -1};
    return socket_open(&a->socket, opt->socket) ? 0 : not_reached(a, errno);
}

/* Safe after a failed ask_open as well: the socket is -1 then and there is no daemon.info. */
void ask_close(struct ask *a)
{
    json_decref(a->info);
    a->info = NULL;
    socket_close(&a->socket);
}

/* The daemon went while a call was under way. What it did with the call is not known: only ask_change may send
 * again. In each case the person must look before acting again, since the call may have been done. */
static int lost(const struct ask *a, enum socket_outcome outcome)
{
    struct output_style style = a->opt->style;
    if (outcome == SOCKET_LATE)
        return failure_say(style, EX_UNAVAILABLE, a->what, "daemon_late wait_s=%d", SOCKET_PATIENCE_MS / 1000);
    return failure_say(style, EX_UNAVAILABLE, a->what, outcome == SOCKET_LIES ? "daemon_lies" : "daemon_lost");
}

/* SOCKET_PATIENCE_MS is longer than the longest wait of the daemon (an accept waits up to 3 s for a steady weight, a
 * printer may take more), so a daemon that is late is one that hangs. */
int ask_answer(struct ask *a, const char *method, json_t *params, json_t **answer)
{
    enum socket_outcome outcome = socket_call(&a->socket, method, params, answer, SOCKET_PATIENCE_MS);
    return outcome == SOCKET_OK ? 0 : lost(a, outcome);
}

/* daemon.info is asked at most once a command. NULL where it was not told; each caller has a value to fall back to.
 * The answer is kept for the rest of the command: stations, decimal sign and intervals do not change meanwhile. */
static const json_t *info(struct ask *a)
{
    json_t *answer = NULL;
    if (!a->info && socket_call(&a->socket, "daemon.info", json_object(), &answer, SOCKET_PATIENCE_MS) == SOCKET_OK)
        a->info = json_incref(json_object_get(answer, "result"));
    json_decref(answer);
    return a->info;
}

/* `decimal` is the shop's, d_g the scale's of the station in a->station. Without a station figures have as many
 * decimals as they need. */
void ask_style(struct ask *a)
{
    struct number_style *number = &a->opt->style.number;
    const json_t *scale = json_object_get(json_object_get(info(a), "scales"), a->station);
    double d_g = member_number(scale, "d_g");
    number->point = strcmp(member_text(info(a), "decimal"), "comma") == 0 ? ',' : '.';
    number->d_g = isfinite(d_g) ? d_g : 0;
}

/* The result out of an answer, or its error said. Frees the answer. An error that cannot be said in the shop's
 * figures is shown all the same: ask_style falls back to a point. */
static int unpack(struct ask *a, json_t *answer, json_t **result)
{
    json_t *error = json_object_get(answer, "error");
    if (error)
        ask_style(a); /* its figures read as those of the scale */
    int code = error ? failure_error(a->opt->style, a->what, error) : 0;
    *result = error ? NULL : json_incref(json_object_get(answer, "result"));
    json_decref(answer);
    if (!error && !*result)
        return failure_say(a->opt->style, EX_SOFTWARE, a->what, "daemon_empty");
    return code;
}

/* The usual way: a result, or one line about the daemon's error and its exit code. Not for what changes the journal,
 * which needs a request: ask_change. */
int ask_call(struct ask *a, const char *method, json_t *params, json_t **result)
{
    json_t *answer = NULL;
    *result = NULL;
    int code = ask_answer(a, method, params, &answer);
    return code ? code : unpack(a, answer, result);
}

/* A page without items ends it, whatever `next` says: a daemon that gave the same page for ever would hold us. */
int ask_pages(struct ask *a, const char *method, json_t *params, const char *list, size_t most, json_t *all, bool *more)
{
    for (;;) {
        json_t *page = NULL;
        if (most > 0)
            json_object_set_new(params, "limit", json_integer((json_int_t)(most - json_array_size(all))));
        int code = ask_call(a, method, json_deep_copy(params), &page);
        const json_t *items = member_list(page, list);
        json_t *next = json_object_get(page, "next");
        *more = next && !json_is_null(next) && json_array_size(items) > 0;
        json_array_extend(all, (json_t *)(uintptr_t)items);
        json_object_set(params, "after", next);
        json_decref(page);
        if (code || !*more || (most > 0 && json_array_size(all) >= most))
            return code;
    }
}

/* Takes params over. The exit code is that of show, or of what went wrong before. */
int ask_show(struct poise_options *opt, const char *method, json_t *params,
             int (*show)(struct ask *a, const json_t *result))
{
    struct ask a;
    json_t *result = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, method, json_incref(params), &result);
    /* A batch's figures read as those of the scale that it was weighed on. */
    snprintf(a.station, sizeof a.station, "%.63s", member_text(result, "station"));
    if (code == 0 && !opt->json)
        ask_style(&a);
    if (code == 0)
        code = show(&a, result);
    json_decref(params);
    json_decref(result);
    ask_close(&a);
    return code;
}

/* One bench needs no name. With several a guess would move the wrong cup, so the person must choose. The names go
 * into one line of stderr; more than 256 bytes of them are cut, and the person still sees that there are several. */
static int choose_station(struct ask *a, const json_t *stations)
{
    char names[256] = "";
    size_t i, len = 0;
    const json_t *one;
    json_array_foreach(stations, i, one)
    {
        const char *name = json_string_value(one);
        if (name && len < sizeof names)
            len += (size_t)snprintf(names + len, sizeof names - len, "%s%s", len ? ", " : "", name);
    }
    if (json_array_size(stations) == 1 && strlen(names) < sizeof a->station) {
        memcpy(a->station, names, strlen(names) + 1);
        return 0;
    }
    if (json_array_size(stations) == 0)
        return failure_say(a->opt->style, EX_USAGE, a->what, "station_none");
    return failure_say(a->opt->style, EX_USAGE, a->what, "station_several names=%s", names);
}

/* --station is trusted without a question: the daemon refuses a name that it does not know, and says so better.
 * Asked for once, since a command may act more than once. */
int ask_station(struct ask *a)
{
    if (a->opt->station) {
        if (strlen(a->opt->station) >= sizeof a->station)
            return failure_say(a->opt->style, EX_USAGE, "--station", "station_long");
        memcpy(a->station, a->opt->station, strlen(a->opt->station) + 1);
    }
    if (a->station[0])
        return 0;
    int code = a->info ? 0 : ask_call(a, "daemon.info", json_object(), &a->info);
    return code ? code : choose_station(a, json_object_get(a->info, "stations"));
}

/* Borrowed from daemon.info, which is asked here where nobody has asked yet; "" prints a cost without a currency
 * rather than with a wrong one. */
const char *ask_currency(struct ask *a)
{
    return member_text(info(a), "currency");
}

/* `watch` answers the whole screen, and from then on the connection brings notes too: a command that wants one
 * answer only throws them away (struct poise_socket.notify is NULL). */
int ask_screen(struct ask *a, json_t **screen)
{
    *screen = NULL;
    int code = ask_station(a);
    return code ? code : ask_call(a, "watch", json_pack("{s:s}", "station", a->station), screen);
}

/* Waits until the daemon listens again, at most COMEBACK_MS: it may be starting anew. socket_open closes nothing: the
 * lost socket was closed by socket_call. */
static bool come_back(struct ask *a)
{
    for (int waited = 0; waited < COMEBACK_MS; waited += COMEBACK_STEP_MS) {
        if (socket_open(&a->socket, a->opt->socket))
            return true;
        (void)poll(NULL, 0, COMEBACK_STEP_MS);
    }
    return false;
}

/* The request in params is the same both times, so the daemon answers the second call with what the first one did.
 * Once more, never a third time: a daemon that dies twice on one call would die on the next as well, and the person
 * must hear of it. */
static int send_twice_at_most(struct ask *a, const char *method, json_t *params, json_t **result)
{
    json_t *answer = NULL;
    json_incref(params);
    enum socket_outcome outcome = socket_call(&a->socket, method, params, &answer, SOCKET_PATIENCE_MS);
    if (outcome == SOCKET_LOST && come_back(a)) {
        json_incref(params);
        outcome = socket_call(&a->socket, method, params, &answer, SOCKET_PATIENCE_MS);
    }
    json_decref(params);
    return outcome == SOCKET_OK ? unpack(a, answer, result) : lost(a, outcome);
}

/* The request is kept in *a: should the answer be lost, the second call bears the same one, and the daemon answers
 * what the first one did in place of doing it again. */
int ask_change(struct ask *a, const char *method, json_t *params, json_t **result)
{
    /* request_make wants the id before it, to rise even where the clock does not. */
    char before[REQUEST_SIZE];
    memcpy(before, a->request, sizeof before);
    *result = NULL;
    if (!request_make(a->request, before)) {
        json_decref(params);
        return failure_say(a->opt->style, EX_SOFTWARE, a->what, "random_none why=%s", said_reason(errno));
    }
    json_object_set_new(params, "request", json_string(a->request));
    return send_twice_at_most(a, method, params, result);
}

/* The revision is read just before, so a person who looked at an old screen is refused (-32003) only by what
 * happened in the last milliseconds; the screen of `bench` sends the revision that it showed. */
int ask_act(struct ask *a, const char *method, json_t *params, json_t **screen)
{
    json_t *now = NULL;
    *screen = NULL;
    int code = ask_screen(a, &now);
    if (code) {
        json_decref(params);
        return code;
    }
    json_object_set_new(params, "station", json_string(a->station));
    json_object_set(params, "revision", json_object_get(now, "revision"));
    json_decref(now);
    return ask_change(a, method, params, screen);
}

/* Neither a formula nor a product: the fault that has a guess at what was meant, a formula's first. */
static const json_t *nearer(const json_t *formula, const json_t *product)
{
    const json_t *a = json_object_get(json_object_get(formula, "data"), "args");
    const json_t *b = json_object_get(json_object_get(product, "data"), "args");
    return !json_object_get(a, "near") && json_object_get(b, "near") ? product : formula;
}

/* Two questions at most, the formula first: a shop has many formulas and few products. An unknown formula is asked
 * for as a product only where no product was named beside it. */
int ask_code_member(struct ask *a, const char *code, const char **member)
{
    json_t *answer = NULL, *product = NULL;
    *member = "formula";
    int exit = ask_answer(a, "formula.get", json_pack("{s:s}", "formula", code), &answer);
    json_t *error = json_object_get(answer, "error");
    bool unknown = error && json_integer_value(json_object_get(error, "code")) == -32001;
    if (exit == 0 && unknown && !a->opt->text[OPTION_PRODUCT])
        exit = ask_answer(a, "product.get", json_pack("{s:s}", "product", code), &product);
    if (exit == 0 && json_object_get(product, "result"))
        *member = "product";
    else if (exit == 0 && error)
        exit = failure_error(a->opt->style, a->what, nearer(error, json_object_get(product, "error")));
    json_decref(product);
    json_decref(answer);
    return exit;
}
