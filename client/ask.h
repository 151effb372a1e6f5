/* ask.h - a command's talk with the daemon: opens, asks, says what went wrong, and gives the exit code.
 *
 *   struct ask a;
 *   int code = ask_open(&a, opt);
 *   if (code == 0)
 *       code = ask_call(&a, "toner.list", json_object(), &result);
 *   ask_close(&a);
 *
 * Every function that returns int returns 0, or the exit code after one line on stderr has been printed.
 * Owner   A params object is taken over; a result belongs to the caller. ask_close may always be called.
 */
#pragma once

#include "client/options.h"
#include "client/request.h"
#include "client/socket.h"

struct ask {
    struct poise_options *opt;
    const char *what; /* the command's name, first word of its faults */
    struct poise_socket socket;
    json_t *info;     /* daemon.info, once it was needed; or NULL */
    char station[64]; /* once ask_station has found it */
    char request[REQUEST_SIZE];
};

int ask_open(struct ask *a, struct poise_options *opt);
void ask_close(struct ask *a);

/* The result of a call. */
int ask_call(struct ask *a, const char *method, json_t *params, json_t **result);
/* The whole answer, also where it is an error: only a lost daemon is a fault. */
int ask_answer(struct ask *a, const char *method, json_t *params, json_t **answer);

/* Learns from daemon.info how the shop writes numbers: before the first figure is printed. Where it is not told,
 * numbers have a point: no fault. */
void ask_style(struct ask *a);
/* The shop's currency, "" where it is not told; borrowed until ask_close. */
const char *ask_currency(struct ask *a);
/* Decimals of a gram as the station's scale shows them; 2 where that is not known. */
int ask_decimals(struct ask *a);

/* Puts the bench meant into a->station: --station, else the only one, else 64 with the names of all. */
int ask_station(struct ask *a);
/* Watches the station: its screen. Notes come from then on. */
int ask_screen(struct ask *a, json_t **screen);
/* A batch call on the station: adds station, the revision just read and a new request. Where the connection drops
 * before the answer it is sent once more with the same request, so it is done once. */
int ask_act(struct ask *a, const char *method, json_t *params, json_t **screen);
/* A call that changes something but no station: takes a request and is sent again in the same way. */
int ask_change(struct ask *a, const char *method, json_t *params, json_t **result);
