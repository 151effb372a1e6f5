#include "client/ask.h"

#include "client/fault.h"
#include "client/member.h"

#include <errno.h>
#include <poll.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>

enum { COMEBACK_MS = 5000, COMEBACK_STEP_MS = 100 };

static int not_reached(const struct ask *a, int why)
{
    const char *help = "Start poised, or name its socket with --socket PATH.";
    if (why == EACCES)
        help = "Ask to join the group that owns the socket.";
    return fault_say(EX_UNAVAILABLE, a->opt->socket, help, "poised is not reached there (%s)", strerror(why));
}

int ask_open(struct ask *a, struct poise_options *opt)
{
    *a = (struct ask){.opt = opt, .what = opt->command->name, .socket.fd = -1};
    return socket_open(&a->socket, opt->socket) ? 0 : not_reached(a, errno);
}

void ask_close(struct ask *a)
{
    json_decref(a->info);
    a->info = NULL;
    socket_close(&a->socket);
}

static int lost(const struct ask *a, enum socket_outcome outcome)
{
    if (outcome == SOCKET_LATE)
        return fault_say(EX_UNAVAILABLE, a->what, "Look at poise status before it is done again.",
                         "the daemon has not answered for %d s", SOCKET_PATIENCE_MS / 1000);
    if (outcome == SOCKET_LIES)
        return fault_say(EX_UNAVAILABLE, a->what, "Is that the socket of poised?", "what answers speaks no JSON-RPC");
    return fault_say(EX_UNAVAILABLE, a->what, "Look at poise status before it is done again.",
                     "the daemon was lost before it answered");
}

int ask_answer(struct ask *a, const char *method, json_t *params, json_t **answer)
{
    enum socket_outcome outcome = socket_call(&a->socket, method, params, answer, SOCKET_PATIENCE_MS);
    return outcome == SOCKET_OK ? 0 : lost(a, outcome);
}

/* The result out of an answer, or its error said. Frees the answer. */
static int unpack(const struct ask *a, json_t *answer, json_t **result)
{
    json_t *error = json_object_get(answer, "error");
    int code = error ? fault_say_error(a->what, error) : 0;
    *result = error ? NULL : json_incref(json_object_get(answer, "result"));
    json_decref(answer);
    if (!error && !*result)
        return fault_say(EX_SOFTWARE, a->what, NULL, "the daemon's answer holds neither result nor error");
    return code;
}

int ask_call(struct ask *a, const char *method, json_t *params, json_t **result)
{
    json_t *answer = NULL;
    *result = NULL;
    int code = ask_answer(a, method, params, &answer);
    return code ? code : unpack(a, answer, result);
}

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
        return fault_say(EX_USAGE, a->what, "Put a [station] section into poised.ini.", "the daemon has no station");
    return fault_say(EX_USAGE, a->what, "Say which with --station NAME.", "there are several stations: %s", names);
}

int ask_station(struct ask *a)
{
    if (a->opt->station) {
        if (strlen(a->opt->station) >= sizeof a->station)
            return fault_say(EX_USAGE, "--station", NULL, "no station has so long a name");
        memcpy(a->station, a->opt->station, strlen(a->opt->station) + 1);
    }
    if (a->station[0])
        return 0;
    int code = a->info ? 0 : ask_call(a, "daemon.info", json_object(), &a->info);
    return code ? code : choose_station(a, json_object_get(a->info, "stations"));
}

static const json_t *info(struct ask *a)
{
    json_t *answer = NULL;
    if (!a->info && socket_call(&a->socket, "daemon.info", json_object(), &answer, SOCKET_PATIENCE_MS) == SOCKET_OK)
        a->info = json_incref(json_object_get(answer, "result"));
    json_decref(answer);
    return a->info;
}

void ask_style(struct ask *a)
{
    a->opt->style.comma = strcmp(member_text(info(a), "decimal"), "comma") == 0;
}

const char *ask_currency(struct ask *a)
{
    return member_text(info(a), "currency");
}

int ask_decimals(struct ask *a)
{
    const json_t *scale = json_object_get(json_object_get(info(a), "scales"), a->station);
    return figure_decimals(member_number(scale, "d_g"));
}

int ask_screen(struct ask *a, json_t **screen)
{
    *screen = NULL;
    int code = ask_station(a);
    return code ? code : ask_call(a, "watch", json_pack("{s:s}", "station", a->station), screen);
}

/* Waits until the daemon listens again, at most COMEBACK_MS: it may be starting anew. */
static bool come_back(struct ask *a)
{
    for (int waited = 0; waited < COMEBACK_MS; waited += COMEBACK_STEP_MS) {
        if (socket_open(&a->socket, a->opt->socket))
            return true;
        (void)poll(NULL, 0, COMEBACK_STEP_MS);
    }
    return false;
}

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

int ask_change(struct ask *a, const char *method, json_t *params, json_t **result)
{
    char before[REQUEST_SIZE];
    memcpy(before, a->request, sizeof before);
    *result = NULL;
    if (!request_make(a->request, before)) {
        json_decref(params);
        return fault_say(EX_SOFTWARE, a->what, NULL, "no random numbers: %s", strerror(errno));
    }
    json_object_set_new(params, "request", json_string(a->request));
    return send_twice_at_most(a, method, params, result);
}

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
