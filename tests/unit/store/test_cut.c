/* The file and its log as a power cut may leave them: the log cut off or damaged at many points, and a store started on
 * each. What was committed before that point is there, whole; nothing of what came after. */
#include "tests/unit/store/world.h"

enum { COMMITS = 24 };
#define FRAME (24L + 4096) /* of the log: head and page */

struct history {
    long size[COMMITS + 1]; /* of the log when the first n writes were acknowledged */
    char *log, *file;
    long log_length, file_length;
};

/* How far the log is written; room made beforehand follows. Each frame bears the two salts of the log's head. */
static long used_of(const char *path)
{
    long length, at = 32;
    if (access(path, F_OK) != 0)
        return 0;
    char *log = world_read_file(path, &length);
    while (at + FRAME <= length && memcmp(log + at + 8, log + 16, 8) == 0)
        at += FRAME;
    free(log);
    return at == 32 ? 0 : at;
}

/* Write n: two events, a batch row with words, an answer. */
static void write_one(struct world *w, int n)
{
    char request[16], batch[16];
    snprintf(request, sizeof request, "r%d", n);
    snprintf(batch, sizeof batch, "%d", n + 1);
    struct store_event e[2] = {world_event("accepted", n), world_event("grew", n)};
    struct store_batch b = {.batch = batch, .state = "finished", .station = "bench", .name = "Copperwing"};
    struct store_write write = {.events = e,
                                .event_count = 2,
                                .batches = &b,
                                .batch_count = 1,
                                .request = request,
                                .method = "m",
                                .answer = "{}"};
    e[0].request = e[1].request = request;
    e[0].batch = e[1].batch = batch;
    assert_int_equal(world_write(w, &write), STORE_DONE);
}

static struct history make_history(struct world *w)
{
    struct history h = {0};
    char log[128];
    snprintf(log, sizeof log, "%s-wal", w->file);
    for (int n = 0; n < COMMITS; n++) {
        h.size[n] = used_of(log);
        write_one(w, n);
    }
    h.size[COMMITS] = used_of(log);
    h.log = world_read_file(log, &h.log_length);
    h.log_length = h.size[COMMITS];
    h.file = world_read_file(w->file, &h.file_length);
    return h;
}

/* How many writes had been acknowledged when the log was that long. */
static int committed_by(const struct history *h, long length)
{
    int n = 0;
    while (n < COMMITS && h->size[n + 1] <= length)
        n++;
    return n;
}

/* Starts a store on the file and this log and expects exactly the first `want` writes. */
static void expect(const struct history *h, const char *log, long length, int want, const char *what, long at)
{
    struct world *w = world_at(access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    void *state = w;
    char path[128], head[65];
    int64_t bad;
    assert_int_equal(mkdir(w->state, 0700), 0);
    world_write_file(w->file, h->file, h->file_length);
    snprintf(path, sizeof path, "%s-wal", w->file);
    world_write_file(path, log, length);
    if (!world_open(w))
        fail_msg("%s at %ld: does not open: %s", what, at, w->fault.message);
    int64_t events = world_number(w, "SELECT count(*) FROM event");
    int64_t others =
        world_number(w, "SELECT 1000000 * (SELECT count(*) FROM batch) + 1000 * (SELECT count(answer) "
                        "FROM event) + (SELECT count(*) FROM batch_words WHERE batch_words MATCH 'copper*')");
    if (events != 2L * want || others != 1001001L * want)
        fail_msg("%s at %ld: %lld events and %lld others, want %d writes", what, at, (long long)events,
                 (long long)others, want);
    if (!store_verify(w->store, &bad, head))
        fail_msg("%s at %ld: the chain is broken at %lld", what, at, (long long)bad);
    assert_string_equal(world_open_batch(w, "bench"), "");
    write_one(w, want); /* and it goes on from there */
    world_teardown(&state);
}

static void free_history(struct history *h)
{
    free(h->log);
    free(h->file);
}

static void a_log_cut_anywhere(void **state)
{
    struct history h = make_history(*state);
    assert_true(h.log_length > FRAME * COMMITS * 3);
    assert_int_equal(committed_by(&h, h.log_length), COMMITS);
    for (long at = 0; at < h.log_length; at += 7001) /* no multiple of a frame: every part of one is met */
        expect(&h, h.log, at, committed_by(&h, at), "cut", at);
    for (int n = 1; n <= COMMITS; n++) { /* and just at the edges of each commit */
        expect(&h, h.log, h.size[n], n, "cut", h.size[n]);
        expect(&h, h.log, h.size[n] - 1, n - 1, "cut", h.size[n] - 1);
    }
    free_history(&h);
}

static void a_log_damaged_anywhere(void **state)
{
    struct history h = make_history(*state);
    for (long at = 0; at < h.log_length; at += 9973) {
        h.log[at] = (char)(h.log[at] ^ 0x40);
        expect(&h, h.log, h.log_length, committed_by(&h, at), "damage", at);
        h.log[at] = (char)(h.log[at] ^ 0x40);
    }
    free_history(&h);
}

/* Pages that were in flight when the power went: a stretch of the log is nought. */
static void a_log_with_a_hole(void **state)
{
    struct history h = make_history(*state);
    char *log = malloc((size_t)h.log_length);
    assert_non_null(log);
    for (long at = 40; at + 4096 < h.log_length; at += 15013) {
        memcpy(log, h.log, (size_t)h.log_length);
        memset(log + at, 0, 4096);
        expect(&h, log, h.log_length, committed_by(&h, at), "hole", at);
    }
    free(log);
    free_history(&h);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_log_cut_anywhere, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_log_damaged_anywhere, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_log_with_a_hole, world_setup, world_teardown),
    };
    return cmocka_run_group_tests_name("store: cut", tests, NULL, NULL);
}
