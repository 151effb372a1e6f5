/* A program that takes all connections there are, in every bad manner at once: a new bench gets its screen all the
 * same, and who watched before goes on watching. */
#include "tests/e2e/raw_client.h"

#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

enum { CROWD = 1000 };

#define WATCH "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"watch\",\"params\":{\"station\":\"bench\"}}"

#define CALLS                                                                                                          \
    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"daemon.info\"}\n"                                                      \
    "{\"jsonrpc\":\"2.0\",\"id\":2,\"method\":\"toner.list\"}\n"

/* What each of them sends, in turn: nothing, a line that never ends, a watch, calls whose answers nobody reads. */
static const char *const manners[] = {"", "{\"jsonrpc\":\"2.0\",\"id\":1,\"met", WATCH "\n", CALLS};

/* In the child: connects CROWD times, says so by closing `ready`, and holds on until `leash` ends. */
static void be_a_crowd(const char *path, int leash, int ready)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    struct rlimit files;
    char end;
    if (getrlimit(RLIMIT_NOFILE, &files) == 0) {
        files.rlim_cur = files.rlim_max;
        setrlimit(RLIMIT_NOFILE, &files);
    }
    signal(SIGPIPE, SIG_IGN);
    memcpy(address.sun_path, path, strnlen(path, sizeof address.sun_path - 1));
    for (int i = 0; i < CROWD; i++) {
        const char *words = manners[i % 4];
        int fd = socket(AF_UNIX, SOCK_STREAM, 0);
        if (fd < 0 || connect(fd, (struct sockaddr *)&address, sizeof address) != 0)
            _exit(1);
        (void)!send(fd, words, strlen(words), MSG_NOSIGNAL | MSG_DONTWAIT);
    }
    (void)!write(ready, "!", 1);
    (void)!read(leash, &end, 1);
    _exit(0);
}

struct crowd {
    pid_t pid;
    int leash;
};

static struct crowd crowd_begin(struct harness *h)
{
    struct crowd c;
    int leash[2], ready[2];
    char said = 0;
    assert_int_equal(pipe2(leash, O_CLOEXEC), 0);
    assert_int_equal(pipe2(ready, O_CLOEXEC | O_NONBLOCK), 0);
    c.pid = fork();
    assert_true(c.pid >= 0);
    if (c.pid == 0) {
        close(leash[1]);
        be_a_crowd(h->socket, leash[0], ready[1]);
    }
    close(leash[0]);
    close(ready[1]);
    for (int64_t deadline = harness_deadline(); said != '!' && read(ready[0], &said, 1) != 0;)
        harness_step(h, deadline, "the crowd");
    assert_int_equal(said, '!');
    close(ready[0]);
    c.leash = leash[1];
    return c;
}

static void crowd_end(struct crowd c)
{
    close(c.leash);
    assert_int_equal(waitpid(c.pid, NULL, 0), c.pid);
}

/* The answer to a watch is the screen of the bench. */
static void gets_its_screen(struct harness *h)
{
    struct raw_client *c = raw_client_open(h);
    assert_true(raw_client_say(c, WATCH));
    json_t *answer = NULL;
    while ((answer = raw_client_answer(c)) && !json_is_integer(json_object_get(answer, "id")))
        json_decref(answer); /* a note */
    assert_string_equal(json_string_value(json_object_get(json_object_get(answer, "result"), "state")), "idle");
    json_decref(answer);
    raw_client_lives(c);
    raw_client_close(c);
}

/* Room for 256, and 1,000 who want it. */
static void a_new_bench_gets_its_screen_in_a_crowd(void **state)
{
    struct harness *h = *state;
    struct crowd c = crowd_begin(h);
    gets_its_screen(h);
    harness_weigh(h, "bench", 12.5); /* the story's own client has watched since before, and still does */
    gets_its_screen(h);
    crowd_end(c);
    gets_its_screen(h);
}

/* The descriptors that the daemon may have at most were few when it started; it takes all that it may. */
static void the_limit_of_descriptors_is_raised(void **state)
{
    struct harness *h = *state;
    struct rlimit was, files;
    char path[64], line[256], word[64] = "";
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &was), 0);
    files = (struct rlimit){.rlim_cur = 64, .rlim_max = was.rlim_max};
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &files), 0);
    harness_start(h);
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &was), 0);
    snprintf(path, sizeof path, "/proc/%d/limits", (int)h->poised);
    FILE *f = fopen(path, "re");
    assert_non_null(f);
    while (fgets(line, sizeof line, f))
        if (sscanf(line, "Max open files %63s", word) == 1)
            break;
    fclose(f);
    if (strtoull(word, NULL, 10) != was.rlim_max)
        fail_msg("%s, of %llu", word, (unsigned long long)was.rlim_max);
}

static int begin(void **state)
{
    static const struct harness_setup setup = {.config_lines = "[limits]\nconnections = 256\n"};
    return harness_begin(state, &setup);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_new_bench_gets_its_screen_in_a_crowd, begin, harness_end),
        cmocka_unit_test_setup_teardown(the_limit_of_descriptors_is_raised, begin, harness_end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
