/* [limits]: who is let in, who gives way, and who is ended for the time it takes. Time is moved by hand. */
#include "tests/unit/rpc/called.h"
#include "tests/unit/rpc/socket.h"

#include <sys/wait.h>

enum { ROOM = 8 };

const struct rpc_method rpc_methods[] = {
    CALLED,
    {0},
};

static int setup(void **state)
{
    int failed = socket_setup(state);
    if (failed == 0)
        ((struct bench_socket *)*state)->daemon.config.limits.connections = ROOM;
    return failed;
}

static int client(struct bench_socket *b)
{
    int fd = socket_client(b->path);
    socket_settle(b);
    return fd;
}

static int watcher(struct bench_socket *b)
{
    int fd = client(b);
    socket_ask(b, fd, "watch", 0);
    socket_expect(b, fd, 0, "true");
    return fd;
}

/* It hears why in one line with id null, and then the end. */
static void hears(struct bench_socket *b, int fd, int code, const char *why)
{
    char line[600], want[32];
    if (!socket_line(b, fd, line, sizeof line))
        fail_msg("closed without a word");
    snprintf(want, sizeof want, "\"code\":%d", code);
    if (!strstr(line, want) || !strstr(line, why) || !strstr(line, "\"id\":null"))
        fail_msg("not %d %s: %s", code, why, line);
    assert_false(socket_line(b, fd, line, sizeof line));
    close(fd);
}

static void is_alive(struct bench_socket *b, int fd)
{
    socket_ask(b, fd, "echo", 7);
    socket_expect(b, fd, 7, "7");
}

/* Clients of a process of their own, each watching or not; ends when its end of the pipe is closed. */
struct others {
    pid_t pid;
    int leash;
};

static struct others others(struct bench_socket *b, int count, bool watching)
{
    struct others o;
    int leash[2], ready[2];
    char end;
    assert_int_equal(pipe(leash), 0);
    assert_int_equal(pipe(ready), 0);
    fflush(NULL);
    o.pid = fork();
    assert_true(o.pid >= 0);
    if (o.pid == 0) {
        static const char watch[] = "{\"jsonrpc\":\"2.0\",\"id\":0,\"method\":\"watch\",\"params\":{}}\n";
        close(leash[1]);
        for (int i = 0; i < count; i++) {
            int fd = socket_client(b->path);
            if (watching)
                (void)!write(fd, watch, sizeof watch - 1);
        }
        close(ready[1]);
        close(ready[0]);
        (void)!read(leash[0], &end, 1);
        _exit(0);
    }
    close(leash[0]);
    close(ready[1]);
    assert_int_equal(read(ready[0], &end, 1), 0); /* it has connected and asked for all */
    close(ready[0]);
    socket_settle(b);
    o.leash = leash[1];
    return o;
}

static void end_others(struct bench_socket *b, struct others o)
{
    close(o.leash);
    assert_int_equal(waitpid(o.pid, NULL, 0), o.pid);
    socket_settle(b);
}

static void the_longest_idle_gives_way(void **state)
{
    struct bench_socket *b = *state;
    int fd[ROOM], newest;
    for (int i = 0; i < ROOM; i++)
        fd[i] = i == 0 ? watcher(b) : client(b);
    for (struct rpc_conn *c = b->server->first; c; c = c->next) /* the newest stands first */
        c->last_ms = c->next ? 100 : 1;
    b->server->first->next->next->last_ms = 50; /* of clients 0 ... 7 the sixth */
    newest = client(b);
    hears(b, fd[ROOM - 3], -32004, "crowded");
    is_alive(b, newest);
    for (int i = 0; i < ROOM; i++)
        if (i != ROOM - 3) {
            is_alive(b, fd[i]);
            close(fd[i]);
        }
    close(newest);
}

/* Nobody of one program is over its share beside itself: where all watch, the last one hears that there is no room. */
static void where_all_watch_the_last_is_refused(void **state)
{
    struct bench_socket *b = *state;
    int fd[ROOM];
    for (int i = 0; i < ROOM; i++)
        fd[i] = watcher(b);
    hears(b, client(b), -32004, "crowded");
    for (int i = 0; i < ROOM; i++)
        is_alive(b, fd[i]);
    close(fd[0]);
    socket_settle(b);
    is_alive(b, fd[0] = client(b)); /* room comes back */
    for (int i = 0; i < ROOM; i++)
        close(fd[i]);
}

/* One program took all the room and watches with each: another one gets its place. */
static void one_program_keeps_no_other_out(void **state)
{
    struct bench_socket *b = *state;
    struct others o = others(b, ROOM, true);
    assert_int_equal(b->server->held, ROOM);
    int fd = watcher(b), second = client(b);
    assert_int_equal(b->server->held, ROOM);
    is_alive(b, fd);
    is_alive(b, second);
    end_others(b, o);
    assert_int_equal(b->server->held, 2);
    close(fd);
    close(second);
}

/* None of them is over its share, and all watch: who holds fewer than they do gets a place, who holds as many none. */
static void many_small_programs_keep_no_other_out(void **state)
{
    struct bench_socket *b = *state;
    struct others o[ROOM / 2];
    for (int i = 0; i < ROOM / 2; i++)
        o[i] = others(b, 2, true);
    assert_int_equal(b->server->held, ROOM);
    int fd = watcher(b);
    is_alive(b, fd);
    hears(b, client(b), -32004, "crowded");
    is_alive(b, fd);
    for (int i = ROOM / 2; i-- > 0;)
        end_others(b, o[i]); /* the last first: it was born with the leashes of the others */
    close(fd);
}

/* An idle one of the program that holds most goes before the longest idle of all. */
static void the_greedy_go_before_the_idle(void **state)
{
    struct bench_socket *b = *state;
    int idle = client(b), newest;
    struct others o;
    b->server->first->last_ms = 1;
    o = others(b, ROOM - 1, false);
    newest = client(b);
    is_alive(b, newest);
    is_alive(b, idle);
    end_others(b, o);
    close(newest);
    close(idle);
}

/* One that waits for an answer is not idle, however long it waits: a watcher of the greedy goes before it. */
static void an_open_call_keeps_its_place(void **state)
{
    struct bench_socket *b = *state;
    struct others o = others(b, ROOM - 1, true);
    int asks = client(b), newest;
    socket_ask(b, asks, "later", 3);
    socket_settle(b);
    assert_non_null(parked);
    b->server->first->last_ms = 1;
    newest = client(b);
    is_alive(b, newest);
    rpc_answer(parked, json_true());
    parked = NULL;
    socket_expect(b, asks, 3, "true");
    end_others(b, o);
    close(asks);
    close(newest);
}

/* The server's timer, now. */
static void fire(struct bench_socket *b)
{
    assert_true(uv_is_active((uv_handle_t *)&b->server->due));
    b->server->due.timer_cb(&b->server->due);
    socket_settle(b);
}

static void a_line_that_drips_ends_its_connection(void **state)
{
    struct bench_socket *b = *state;
    int fd = client(b), quick = client(b);
    struct rpc_conn *drips = b->server->first->next;
    socket_write(b, fd, "{\"json", 6);
    socket_settle(b);
    assert_true(drips->line_since > 0);
    uint64_t begun = uv_now(&b->loop) - 5000; /* the loop's clock began when the machine did */
    drips->line_since = begun;
    for (int i = 0; i < 5; i++) { /* each byte is within the time, the line is not */
        socket_write(b, fd, "r", 1);
        socket_settle(b);
        assert_int_equal(drips->line_since, begun);
    }
    b->daemon.config.limits.line_s = 5;
    fire(b);
    hears(b, fd, -32600, "slow");
    is_alive(b, quick);
    socket_write(b, quick, "{\"jso", 5); /* a line that ends begins no other */
    socket_settle(b);
    assert_true(b->server->first->line_since > 0);
    socket_write(b, quick, "n\"}\n", 4);
    socket_settle(b);
    assert_int_equal(b->server->first->line_since, 0);
    close(quick);
}

static void the_idle_end_and_watchers_stay(void **state)
{
    struct bench_socket *b = *state;
    int idle = client(b), watching = watcher(b);
    for (struct rpc_conn *c = b->server->first; c; c = c->next)
        c->last_ms = 1;
    b->daemon.config.limits.idle_s = 1;
    fire(b);
    hears(b, idle, -32004, "idle");
    is_alive(b, watching);
    close(watching);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, setup, socket_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_longest_idle_gives_way),
        TEST(where_all_watch_the_last_is_refused),
        TEST(many_small_programs_keep_no_other_out),
        TEST(one_program_keeps_no_other_out),
        TEST(the_greedy_go_before_the_idle),
        TEST(an_open_call_keeps_its_place),
        TEST(a_line_that_drips_ends_its_connection),
        TEST(the_idle_end_and_watchers_stay),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
