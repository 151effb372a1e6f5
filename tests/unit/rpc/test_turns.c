/* Which of a client's calls are taken, and when: those sent before it hung up, those behind calls at work. */
#include "tests/unit/rpc/socket.h"

#include <signal.h>

static struct rpc_call *kept[RPC_OPEN_MAX]; /* those of `keep` */
static size_t keeping;
static int acts; /* that `act` did */

static void run_act(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    acts++;
    rpc_answer(call, json_true());
}

static void run_keep(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    (void)d;
    (void)params;
    assert_true(keeping < RPC_OPEN_MAX);
    kept[keeping++] = call;
}

const struct rpc_method rpc_methods[] = {
    {.name = "act", .run = run_act},
    {.name = "keep", .run = run_keep},
    {0},
};

/* Whoever closes at once, or dies, with answers unread or not to be sent: what was sent is done, each call once. */
static void what_a_client_sent_before_it_hung_up_is_done(void **state)
{
    static const struct {
        int calls;
        bool seen; /* the daemon has read and answered the first of them before the end */
    } rows[] = {{1, false}, {3, false}, {3, true}, {600, false}, {600, true}};
    struct bench_socket *b = *state;

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        int fd = socket_client(b->path);

        acts = 0;
        for (int n = 0; n < rows[i].calls; n++) {
            socket_ask(b, fd, "act", n);
            if (n == 0 && rows[i].seen)
                socket_settle(b);
        }
        close(fd);
        socket_settle(b);
        if (acts != rows[i].calls)
            fail_msg("row %zu: %d of %d were done", i, acts, rows[i].calls);
        assert_null(b->server->first);
    }
}

/* As many calls as a client may have at work, and one behind them. */
static void fill(struct bench_socket *b, int fd)
{
    acts = 0;
    for (int n = 0; n < (int)RPC_OPEN_MAX; n++)
        socket_ask(b, fd, "keep", n);
    socket_ask(b, fd, "act", 99);
}

/* As many calls as a client may have at work wait when it goes; the one behind them has its turn once one is done. */
static void what_waits_behind_calls_at_work_is_done_too(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);

    fill(b, fd);
    close(fd);
    socket_settle(b);
    assert_int_equal(RPC_OPEN_MAX, keeping);
    assert_int_equal(0, acts);
    while (keeping > 0)
        rpc_answer(kept[--keeping], json_true());
    socket_settle(b);
    assert_int_equal(1, acts);
    assert_null(b->server->first);
}

/* Whoever answers may stand in the midst of its own state: the client's next call must not run within the answer. */
static void an_answer_runs_no_other_call(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);

    fill(b, fd);
    socket_settle(b);
    assert_int_equal(RPC_OPEN_MAX, keeping);
    rpc_answer(kept[--keeping], json_true());
    assert_int_equal(0, acts);
    socket_expect(b, fd, (int)RPC_OPEN_MAX - 1, "true");
    socket_expect(b, fd, 99, "true");
    assert_int_equal(1, acts);
    close(fd);
    socket_settle(b);
    while (keeping > 0)
        rpc_answer(kept[--keeping], json_true());
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_a_client_sent_before_it_hung_up_is_done, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(what_waits_behind_calls_at_work_is_done_too, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(an_answer_runs_no_other_call, socket_setup, socket_teardown),
    };
    signal(SIGPIPE, SIG_IGN); /* as the daemon does */
    return cmocka_run_group_tests(tests, NULL, NULL);
}
