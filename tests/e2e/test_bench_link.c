/* The link of `poise bench`: a move that a broken link left without an answer is sent again with the same request. The
 * daemon is played by this test, since a real one cannot be told to break the link at that moment. */
#include "tests/e2e/terminal.h"

#include <jansson.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

enum { LIMIT_MS = 20000, FRAME_MS = 50 };

struct played {
    char dir[40], path[64];
    int listener, peer; /* peer -1: nobody is connected */
    char inbox[65536];
    size_t len;
    int accepts;         /* calls of batch.accept so far */
    char request[2][65]; /* of the first two */
    int64_t revision[2];
    bool accepted; /* the second one was answered */
    bool done;     /* the first one was done before the link broke, and the second is refused as too late */
    int64_t next_ms;
    struct terminal t;
};

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static void say_it(struct played *p, json_t *message)
{
    char *line = json_dumps(message, JSON_COMPACT);
    json_decref(message);
    assert_non_null(line);
    (void)send(p->peer, line, strlen(line), MSG_NOSIGNAL);
    (void)send(p->peer, "\n", 1, MSG_NOSIGNAL);
    free(line);
}

/* N10 on aim; after the accept M42 is open. */
static json_t *screen(const struct played *p)
{
    const char *text =
        p->accepted
            ? "{\"station\":\"bench\",\"state\":\"pour\",\"revision\":6,\"batch\":\"1\",\"formula\":\"TI-207\","
              "\"step\":2,\"steps\":[{\"toner\":\"N10\",\"aim_g\":212,\"poured_g\":212,\"state\":\"done\"},"
              "{\"toner\":\"M42\",\"aim_g\":61.5,\"poured_g\":0,\"state\":\"now\"}],\"now\":{\"toner\":\"M42\","
              "\"aim_g\":61.5,\"in_cup_g\":0,\"to_go_g\":61.5,\"tolerance_g\":0.3,\"cue\":\"pour\"},"
              "\"next\":{\"kind\":\"hand\",\"said\":{\"code\":\"next_pour\",\"args\":{\"toner\":\"M42\"}}},"
              "\"scale\":{\"state\":\"live\"}}"
            : "{\"station\":\"bench\",\"state\":\"pour\",\"revision\":5,\"batch\":\"1\",\"formula\":\"TI-207\","
              "\"step\":1,\"steps\":[{\"toner\":\"N10\",\"aim_g\":212,\"poured_g\":0,\"state\":\"now\"},"
              "{\"toner\":\"M42\",\"aim_g\":61.5,\"poured_g\":0,\"state\":\"next\"}],\"now\":{\"toner\":\"N10\","
              "\"aim_g\":212,\"in_cup_g\":212,\"to_go_g\":0,\"tolerance_g\":1,\"cue\":\"ok\"},"
              "\"next\":{\"kind\":\"key\",\"said\":{\"code\":\"tomorrow\",\"args\":{},\"text\":\"accept 212.0 g, then "
              "M42\"},"
              "\"act\":{\"method\":\"batch.accept\",\"params\":{\"station\":\"bench\",\"revision\":5}}},"
              "\"scale\":{\"state\":\"live\"}}";
    json_t *json = json_loads(text, 0, NULL);
    assert_non_null(json);
    return json;
}

static void hang_up(struct played *p)
{
    close(p->peer);
    p->peer = -1;
    p->len = 0;
}

static void answer(struct played *p, const json_t *call)
{
    const char *method = json_string_value(json_object_get(call, "method"));
    const json_t *params = json_object_get(call, "params");
    json_t *result = NULL;
    assert_non_null(method);
    if (strcmp(method, "batch.accept") == 0) {
        assert_true(p->accepts < 2);
        snprintf(p->request[p->accepts], sizeof p->request[0], "%s",
                 json_string_value(json_object_get(params, "request")));
        p->revision[p->accepts++] = json_integer_value(json_object_get(params, "revision"));
        if (p->accepts == 1) {
            p->accepted = p->done;
            hang_up(p);
            return;
        }
        if (p->done) {
            say_it(p,
                   json_pack("{s:s, s:O, s:{s:i, s:s, s:{s:s, s:s, s:i}}}", "jsonrpc", "2.0", "id",
                             json_object_get(call, "id"), "error", "code", -32003, "message", "the bench has moved on",
                             "data", "why", "stale", "help", "Look at the new screen.", "revision", 6));
            return;
        }
        p->accepted = true;
        result = screen(p);
    } else if (strcmp(method, "watch") == 0) {
        result = screen(p);
    } else if (strcmp(method, "daemon.info") == 0) {
        result = json_pack("{s:[s]}", "stations", "bench");
    } else {
        result = json_object();
    }
    say_it(p, json_pack("{s:s, s:O, s:o}", "jsonrpc", "2.0", "id", json_object_get(call, "id"), "result", result));
}

static void listen_to(struct played *p)
{
    ssize_t got = recv(p->peer, p->inbox + p->len, sizeof p->inbox - p->len, MSG_DONTWAIT);
    if (got == 0) {
        hang_up(p);
        return;
    }
    p->len += got > 0 ? (size_t)got : 0;
    for (char *end; p->peer >= 0 && (end = memchr(p->inbox, '\n', p->len));) {
        size_t line = (size_t)(end - p->inbox) + 1;
        json_t *call = json_loadb(p->inbox, line, 0, NULL);
        memmove(p->inbox, p->inbox + line, p->len - line);
        p->len -= line;
        assert_non_null(call);
        answer(p, call);
        json_decref(call);
    }
}

/* One turn of the played daemon, its scale and the terminal; waits for something to happen, at most a frame's time. */
static void turn(struct played *p)
{
    struct pollfd fds[] = {
        {.fd = p->listener, .events = POLLIN}, {.fd = p->t.fd, .events = POLLIN}, {.fd = p->peer, .events = POLLIN}};
    (void)poll(fds, 3, FRAME_MS);
    if (p->peer < 0 && (fds[0].revents & POLLIN))
        p->peer = accept(p->listener, NULL, NULL);
    if (p->peer >= 0)
        listen_to(p);
    if (p->peer >= 0 && now_ms() >= p->next_ms) {
        p->next_ms = now_ms() + FRAME_MS;
        say_it(p, json_pack("{s:s, s:s, s:{s:s, s:f, s:b, s:i, s:s}}", "jsonrpc", "2.0", "method", "weight", "params",
                            "station", "bench", "weight_g", 243.2, "stable", 1, "age_ms", 0, "state", "live"));
    }
    terminal_drain(&p->t);
}

static bool seen(struct played *p, const char *text, int64_t until_ms)
{
    while (!strstr(terminal_page(&p->t), text)) {
        if (now_ms() >= until_ms)
            return false;
        turn(p);
    }
    return true;
}

static int begin(void **state)
{
    static struct played played;
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    struct played *p = &played;
    memset(p, 0, sizeof *p);
    snprintf(p->dir, sizeof p->dir, "/tmp/poise-link-XXXXXX");
    if (!mkdtemp(p->dir))
        return -1;
    snprintf(p->path, sizeof p->path, "%.39s/sock", p->dir);
    memcpy(at.sun_path, p->path, sizeof p->path);
    p->peer = -1;
    p->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (p->listener < 0 || bind(p->listener, (struct sockaddr *)&at, sizeof at) < 0 || listen(p->listener, 4) < 0)
        return -1;
    terminal_open(&p->t, p->path);
    *state = p;
    return 0;
}

static int end(void **state)
{
    struct played *p = *state;
    int status = 0;
    terminal_press(&p->t, "\003");
    for (int64_t until = now_ms() + LIMIT_MS; waitpid(p->t.pid, &status, WNOHANG) == 0;) {
        if (now_ms() > until) {
            kill(p->t.pid, SIGKILL);
            waitpid(p->t.pid, &status, 0);
            break;
        }
        turn(p);
    }
    if (p->peer >= 0)
        close(p->peer);
    close(p->t.fd);
    close(p->listener);
    unlink(p->path);
    rmdir(p->dir);
    return WIFEXITED(status) && WEXITSTATUS(status) == 0 ? 0 : -1;
}

static void an_unanswered_move_is_sent_again(void **state)
{
    struct played *p = *state;
    int64_t until = now_ms() + LIMIT_MS;
    assert_true(seen(p, "accept 212.0 g, then M42", until));
    while (p->accepts == 0 && now_ms() < until) { /* Enter is refused for a moment after a page has changed */
        terminal_press(&p->t, "\r");
        for (int64_t pause = now_ms() + 500; p->accepts == 0 && now_ms() < pause;)
            turn(p);
    }
    assert_int_equal(p->accepts, 1);
    if (!seen(p, "No link to Poise", until))
        fail_msg("%s", terminal_page(&p->t));
    if (!seen(p, "pour M42", until))
        fail_msg("%s", terminal_page(&p->t));
    assert_int_equal(p->accepts, 2);
    assert_true(strlen(p->request[0]) > 0);
    assert_string_equal(p->request[0], p->request[1]);
    assert_int_equal(p->revision[0], 5);
    assert_int_equal(p->revision[1], 5);
}

/* Another screen did it meanwhile, so the move sent again is refused: that is an answer too, and the page waits for
 * none any more. It once said so for good. */
static void a_move_refused_after_the_break_waits_no_more(void **state)
{
    struct played *p = *state;
    int64_t until = now_ms() + LIMIT_MS;
    p->done = true;
    assert_true(seen(p, "accept 212.0 g, then M42", until));
    while (p->accepts == 0 && now_ms() < until) {
        terminal_press(&p->t, "\r");
        for (int64_t pause = now_ms() + 500; p->accepts == 0 && now_ms() < pause;)
            turn(p);
    }
    if (!seen(p, "pour M42", until))
        fail_msg("%s", terminal_page(&p->t));
    while (p->accepts < 2 && now_ms() < until)
        turn(p);
    while (strstr(terminal_page(&p->t), "no answer yet") && now_ms() < until)
        turn(p);
    assert_int_equal(p->accepts, 2);
    if (strstr(terminal_page(&p->t), "no answer yet"))
        fail_msg("%s", terminal_page(&p->t));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(an_unanswered_move_is_sent_again, begin, end),
        cmocka_unit_test_setup_teardown(a_move_refused_after_the_break_waits_no_more, begin, end),
    };
    return cmocka_run_group_tests_name("bench link", tests, NULL, NULL);
}
