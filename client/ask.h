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

#include "client/member.h"
#include "client/options.h"
#include "client/socket.h"

enum { REQUEST_SIZE = 34 }; /* 16 + '-' + 16 + NUL */

/* The id of one wish, so that the same call sent twice is done once: 16 hexadecimal digits of nanoseconds since 1970
 * first, so that ids rise with time and the journal's index grows at its end; then 16 digits of randomness, so that two
 * benches never meet. Within one process each is greater than the one before, even if the clock is set back. `last` is
 * the id before it, or "". False with errno where the system gives no randomness. */
bool request_make(char id[REQUEST_SIZE], const char *last);

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
/* A command that is one call: opens, calls, and hands the result to `show`, which prints it and gives the exit code.
 * Figures read as the shop's by then; with --json nothing is asked for that. `params` is taken over. */
int ask_show(struct poise_options *opt, const char *method, json_t *params,
             int (*show)(struct ask *a, const json_t *result));
/* A list of the daemon, page after page, until `most` items are in *all (0: all there are). `list` is the member of the
 * answer that holds a page; the daemon decides how long one is. *more: it has others beyond `most`. `params` stays the
 * caller's; its `limit` and `after` are overwritten. */
int ask_pages(struct ask *a, const char *method, json_t *params, const char *list, size_t most, json_t *all,
              bool *more);
/* The whole answer, also where it is an error: only a lost daemon is a fault. */
int ask_answer(struct ask *a, const char *method, json_t *params, json_t **answer);

/* Learns from daemon.info how the shop writes numbers: before the first figure is printed. Where it is not told,
 * numbers have a point: no fault. */
void ask_style(struct ask *a);
/* The shop's currency, "" where it is not told; borrowed until ask_close. */
const char *ask_currency(struct ask *a);

/* Puts the bench meant into a->station: --station, else the only one, else 64 with the names of all. */
int ask_station(struct ask *a);
/* Watches the station: its screen. Notes come from then on. */
int ask_screen(struct ask *a, json_t **screen);
/* A batch call on the station: adds station, the revision just read and a new request. Where the connection drops
 * before the answer it is sent once more with the same request, so it is done once. */
int ask_act(struct ask *a, const char *method, json_t *params, json_t **screen);
/* A call that changes something but no station: takes a request and is sent again in the same way. */
int ask_change(struct ask *a, const char *method, json_t *params, json_t **result);
/* What a CODE names, a formula or a product mixed by ratio: *member is what it fills in a plan or a beginning. A code
 * that is neither is told as the formula's fault. */
int ask_code_member(struct ask *a, const char *code, const char **member);
