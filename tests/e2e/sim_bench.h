/* sim_bench.h - a poise-sim that runs for one test: its pipes, its folder, lines said to it and lines it answers.
 *
 *   cmocka_unit_test_setup_teardown(test, sim_bench_begin, sim_bench_end), *state is the struct sim_bench
 * A wait that lasts 30 s fails the test; nothing sleeps. The end of a test kills what still runs.
 */
#ifndef TESTS_E2E_SIM_BENCH_H
#define TESTS_E2E_SIM_BENCH_H
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>
/* cmocka wants the standard ones first */
#include <cmocka.h>

struct sim_bench {
    char dir[64], link[96], file[96]; /* the folder, and paths in it that may be used */
    pid_t pid;                        /* 0: not running */
    int in, out;                      /* its stdin and stdout (or stderr) */
    int port;                         /* sim_bench_start_tcp: where it listens */
};

int sim_bench_begin(void **state);
int sim_bench_end(void **state);

/* Starts it with these options, at most 22, then NULL; out gets its stdout, or with err its stderr. */
void sim_bench_start(struct sim_bench *b, const char *const options[], bool err);
/* On a free TCP port, with a hand and a quick settling; more: one option, or NULL. */
void sim_bench_start_tcp(struct sim_bench *b, const char *family, const char *rate, const char *more);
/* Waits for its end: the exit code, or -1. */
int sim_bench_reap(struct sim_bench *b);
/* Its next line, without its end. */
char *sim_bench_line(struct sim_bench *b, char text[512]);
/* Says words; the answer must begin as told. */
void sim_bench_say(struct sim_bench *b, const char *words, const char *answer);
/* A connection to its TCP port; room: bytes of receive buffer, 0 as it comes. The caller closes it. */
int sim_bench_connect(const struct sim_bench *b, int room);
/* Waits until fd is readable or at its end. */
void sim_bench_wait(int fd, const char *what);

#endif
