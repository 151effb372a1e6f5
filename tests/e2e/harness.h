/* harness.h - one story's world: a real poised in a folder of its own, a fake scale a station, one client.
 *
 *   static int begin(void **state) { return harness_begin(state, NULL); }       // cmocka setup
 *   static int end(void **state) { return harness_end(state); }                 // cmocka teardown, also on failure
 *   ...
 *   struct harness *h = *state;
 *   harness_act(h, "bench", "batch.begin", json_pack("{s:s,s:i}", "formula", "TI-207", "grams", 250));
 *   harness_weigh(h, "bench", 31.2);                                             // until the daemon has seen it
 *   harness_act(h, "bench", "batch.accept", NULL);
 *   assert_string_equal("pour", harness_text(h, "bench", "state"));
 *
 * A helper whose deadline (20 s) passes, or whose call is refused, fails the test with the method and the answer, and
 * with what the daemon said on stderr. Nothing sleeps: every wait is a poll() on the daemon, the scales and the clock.
 * Owner   Answers and screens handed out as json_t* are borrowed, valid until the next harness call; a params object
 *         given is taken over.
 * Environment   POISE_BUILD names the build folder, `build` if unset. Run from the top of the tree.
 */
#ifndef TESTS_E2E_HARNESS_H
#define TESTS_E2E_HARNESS_H

#include "tests/e2e/fake_scale.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

enum { HARNESS_STATIONS = 8, HARNESS_PATH = 256 };

struct harness_setup {
    const char *stations[HARNESS_STATIONS]; /* names; none: one station `bench` */
    const char *station_lines;              /* put into every [station]; NULL: d 0.01, capacity 3000, tolerance 0.05 */
    const char *config_lines;               /* put at the end of the configuration, sections of their own; or NULL */
    const char *shop_lines;                 /* put into [shop]; or NULL */
    const char *data;                       /* folder of *.ini; NULL: tests/data/e2e */
    const char *options[8];                 /* more words for poised, such as "--port-http", "0" */
    void (*beside)(int64_t now_ms);         /* scales of the story's own, moved on in every wait; monotonic. Or NULL */
};

struct harness_station {
    char name[41];
    struct fake_scale scale;
    json_t *screen; /* the newest, NULL before the first */
    json_t *weight; /* the newest `weight` note, NULL before the first */
};

struct harness {
    char dir[HARNESS_PATH];    /* removed at the end; holds poised.ini, state/, sock, poised.err */
    char socket[HARNESS_PATH]; /* the daemon's socket */
    char ready[512];           /* the line it printed once ready */
    struct harness_setup setup;
    struct harness_station station[HARNESS_STATIONS];
    size_t stations;
    pid_t poised; /* 0: not running */
    int pidfd;    /* readable once it has ended */
    int out;      /* its stdout */
    int client;   /* the story's own connection, watching all stations */
    json_t *answers;
    json_t *last;
    char *inbox;
    size_t inbox_len;
    int next_id;
    int next_request;
};

/* Setup and teardown for cmocka; *state is the struct harness. A NULL setup is all defaults. */
int harness_begin(void **state, const struct harness_setup *setup);
/* The same as a cmocka setup of its own: all defaults, and the scale of `bench` is live before the story begins. */
int harness_begin_live(void **state);
int harness_end(void **state);

/* Starts poised on the story's folder, waits for `ready`, connects and watches. */
void harness_start(struct harness *h);
/* Sends SIGTERM or SIGKILL, waits for the end; the exit code, or -signal. */
int harness_stop(struct harness *h, int signal);
/* Starts poised as it stands and expects it to end by itself: its exit code; its stderr in `err`. */
int harness_refuses_to_start(struct harness *h, char *err, size_t size);

/* Sends a call, does not wait: the id for harness_answer. */
int harness_send(struct harness *h, const char *method, json_t *params);
/* Waits for the answer to that id: the whole object, with `result` or `error`. */
json_t *harness_answer(struct harness *h, int id);
/* Both: harness_ask hands out the whole answer; harness_call its result, failing the test on an error. */
json_t *harness_ask(struct harness *h, const char *method, json_t *params);
json_t *harness_call(struct harness *h, const char *method, json_t *params);
/* A batch call of section 5 of the contract: adds station, revision (of the newest screen) and a new request where
 * `params` does not hold them. harness_act fails the test on an error and gives the screen; harness_refused expects one
 * with this code and gives the error object. */
json_t *harness_act(struct harness *h, const char *station, const char *method, json_t *params);
json_t *harness_refused(struct harness *h, const char *station, const char *method, json_t *params, int code);

/* The newest screen; a text member of it ("" for null); a number by path such as "now.to_go_g" (NAN for null). */
json_t *harness_screen(struct harness *h, const char *station);
const char *harness_text(struct harness *h, const char *station, const char *member);
double harness_number(struct harness *h, const char *station, const char *path);
/* Reads notifications until the predicate holds for the newest screen; that screen. */
json_t *harness_wait_screen(struct harness *h, const char *station, bool (*holds)(json_t *screen, const void *with),
                            const void *with);
json_t *harness_wait_state(struct harness *h, const char *station, const char *state);
/* The same until the scale of that station is `live`, `stale`, `absent`. */
void harness_wait_scale(struct harness *h, const char *station, const char *state);

/* The station's row of scale.list; borrowed until the next call. */
json_t *harness_scale_row(struct harness *h, const char *station);
struct fake_scale *harness_scale(struct harness *h, const char *station);
/* The scale shows `grams`, stable; returns once a `weight` note has said the same. */
void harness_weigh(struct harness *h, const char *station, double grams);

/* Runs a program of the build folder (argv[0] such as "poise", with POISE_SOCKET set) while the scales go on; `in` is
 * its stdin, or NULL. Its exit code, or -signal; stdout and stderr as text. */
int harness_run(struct harness *h, const char *const argv[], const char *in, char *out, size_t out_size, char *err,
                size_t err_size);
/* One more connection to the daemon, for the caller to close. */
int harness_connect(struct harness *h);
/* Waits for the next thing to happen, at most 50 ms, and takes it in; fails the test when `deadline_ms` has passed. */
void harness_step(struct harness *h, int64_t deadline_ms, const char *waiting_for);
/* When a wait that begins now gives up; monotonic. */
int64_t harness_deadline(void);

#endif
