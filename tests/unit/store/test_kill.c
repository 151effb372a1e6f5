/* A writer in a process of its own is killed at many moments. What it had acknowledged is there once; what was on its
 * way is there whole or not at all, and sent again it is answered, not written twice. */
#include "tests/unit/store/world.h"

#include <signal.h>
#include <sys/wait.h>

enum { KILLS = 25, AT_ONCE = 4 };

/* ---- the child: writes without end, AT_ONCE on their way, and says each acknowledged number on a pipe ---- */
struct child {
    struct store *store;
    int pipe, next;
};

static void child_submit(struct child *c);

static void child_done(void *arg, const struct store_outcome *o)
{
    struct child *c = arg;
    int64_t seq = o->first_seq;
    if (o->result != STORE_DONE || write(c->pipe, &seq, sizeof seq) != (ssize_t)sizeof seq)
        _exit(70);
    child_submit(c);
}

static void child_submit(struct child *c)
{
    char request[32], batch[16];
    int n = c->next++;
    snprintf(request, sizeof request, "r%d", n);
    snprintf(batch, sizeof batch, "%d", n);
    struct store_event e[2] = {world_event("accepted", n), world_event("grew", n)};
    struct store_batch b = {.batch = batch, .state = "open", .name = "Copperwing"};
    e[0].request = e[1].request = request;
    store_submit(c->store,
                 &(struct store_write){.events = e,
                                       .event_count = 2,
                                       .batches = &b,
                                       .batch_count = 1,
                                       .request = request,
                                       .method = "m",
                                       .answer = "{}"},
                 child_done, c);
}

static _Noreturn void child_run(const char *dir, int pipe)
{
    uv_loop_t loop;
    struct fault fault;
    if (uv_loop_init(&loop) != 0)
        _exit(70);
    struct child c = {.store = store_open(&loop, dir, NULL, NULL, &fault), .pipe = pipe};
    if (!c.store)
        _exit(74);
    int64_t last;
    if (store_last_batch(c.store, &last) == STORE_UNREAD)
        _exit(74);
    c.next = (int)last + 1;
    for (int i = 0; i < AT_ONCE; i++)
        child_submit(&c);
    uv_run(&loop, UV_RUN_DEFAULT);
    _exit(70);
}

/* Lets a child write until it has acknowledged `acks`, kills it, and adds up what it said: the last event's number. */
static int64_t let_write(const char *dir, int acks)
{
    int ends[2], status;
    int64_t seq, last = 0;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(ends[0]);
        child_run(dir, ends[1]);
    }
    close(ends[1]);
    for (int i = 0; read(ends[0], &seq, sizeof seq) == (ssize_t)sizeof seq; i++) {
        if (i >= acks && kill(child, SIGKILL) != 0)
            break;
        assert_true(seq > last);
        last = seq + 1; /* two events a write */
    }
    kill(child, SIGKILL);
    close(ends[0]);
    assert_int_equal(waitpid(child, &status, 0), child);
    if (!WIFSIGNALED(status) || WTERMSIG(status) != SIGKILL)
        fail_msg("the writer ended by itself: %d", WIFEXITED(status) ? WEXITSTATUS(status) : -1);
    return last;
}

static void nothing_acknowledged_is_missing(void **state)
{
    struct world *w = *state;
    for (int i = 0; i < KILLS; i++) {
        int64_t bad, seq, last = let_write(w->state, i * 7 % 40);
        char head[65];
        if (!world_open(w))
            fail_msg("kill %d: does not open: %s", i, w->fault.message);
        assert_true(store_head(w->store, &seq, head));
        if (seq < last)
            fail_msg("kill %d: %lld was acknowledged, the last is %lld", i, (long long)last, (long long)seq);
        if (!store_verify(w->store, &bad, head))
            fail_msg("kill %d: the chain is broken at %lld", i, (long long)bad);
        int64_t writes;
        assert_int_not_equal(store_last_batch(w->store, &writes), STORE_UNREAD);
        assert_int_equal(seq, 2 * writes);
        assert_int_equal(world_number(w, "SELECT count(answer) FROM event"), writes);
        assert_int_equal(world_number(w, "SELECT count(*) FROM batch"), writes);
        assert_int_equal(world_number(w, "SELECT count(DISTINCT request) FROM event"), writes);
        char request[32];
        snprintf(request, sizeof request, "r%d", (int)writes);
        if (writes) /* the last one, acknowledged or not, sent again */
            assert_int_equal(world_note(w, "accepted", request), STORE_REPEATED);
        world_close(w);
    }
    assert_true(world_number(w, "SELECT count(*) FROM event") > 0);
}

static int bare(void **state)
{
    *state = world_bare();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(nothing_acknowledged_is_missing, bare, world_teardown),
    };
    return cmocka_run_group_tests_name("store: kill", tests, NULL, NULL);
}
