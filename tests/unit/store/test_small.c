/* test_small.c - the rows of a batch are small and read as they were written; a damaged one is seen, not guessed at. */
#include "store/pack.h"
#include "store/reader.h"
#include "tests/unit/store/world.h"

/* As a bench writes it, but for the figures. */
static const char body[] = "{\"v\":2,\"weight_ug\":80000000,\"base_ug\":30000000,\"has_weight\":true,\"stable\":true,"
                           "\"raw\":\"53542c2b30303038302e30302020670d0a\",\"profile\":\"hdr2\",\"port\":"
                           "\"tcp:127.0.0.1:33479\",\"d_g\":0.01,\"counted_g\":50.0}";

/* What fails now: the malloc of that number of this thread, 0: none. A sanitizer's memory is its own. */
static _Thread_local size_t mallocs, malloc_fails_at;
#if !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
extern void *__libc_malloc(size_t size);
void *malloc(size_t size)
{
    return malloc_fails_at && ++mallocs == malloc_fails_at ? NULL : __libc_malloc(size);
}
#endif

static void a_text_comes_back_byte_by_byte(void **state)
{
    bool no_memory;
    (void)state;
    const char *const texts[] = {body, "{\"v\":2,\"text\":\"D\xc3\xbc"
                                       "ne wei\xc3\x9f \\\"2\\\" aaaaaaaaaaaaaaaaaaaaaaaa\"}"};
    struct packer p = {.made = false};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        size_t length, size = pack(&p, texts[i]);
        assert_true(size > 0 && size < strlen(texts[i]));
        char *text = pack_open(p.out, size, &length, &no_memory);
        assert_non_null(text);
        assert_string_equal(text, texts[i]);
        assert_int_equal(length, strlen(texts[i]));
        free(text);
    }
    assert_true(pack(&p, body) * 3 <= strlen(body));
    assert_int_equal(pack(&p, "~"), 0); /* would only grow */
    pack_finish(&p);
}

/* Cut, longer, of a later version, or with any byte changed: NULL or another text, never a read beyond. */
static void damage_is_refused(void **state)
{
    bool no_memory;
    (void)state;
    struct packer p = {.made = false};
    size_t length, size = pack(&p, body);
    uint8_t bytes[512];
    assert_true(size > 0 && size < sizeof bytes);
    for (size_t cut = 0; cut < size; cut++)
        assert_null(pack_open(p.out, cut, &length, &no_memory));
    memcpy(bytes, p.out, size);
    bytes[size] = 0;
    assert_null(pack_open(bytes, size + 1, &length, &no_memory));
    bytes[0] = PACK_VERSION + 1;
    assert_null(pack_open(bytes, size, &length, &no_memory));
    for (size_t i = 1; i < size; i++) {
        memcpy(bytes, p.out, size);
        bytes[i] ^= 0x55;
        char *text = pack_open(bytes, size, &length, &no_memory);
        assert_true(!text || strlen(text) == length);
        free(text);
    }
    pack_finish(&p);
}

static bool see(void *arg, const struct store_event *e)
{
    ++*(int *)arg;
    assert_string_equal(e->body, body);
    assert_string_equal(e->boot, "b00t");
    assert_string_equal(e->person, "Ann");
    assert_string_equal(e->client, "test");
    assert_string_equal(e->method, "batch.accept");
    assert_string_equal(e->version, "0.1.0");
    return true;
}

static enum store_result write_one(struct world *w, const char *batch, const char *request)
{
    struct store_event e = world_event("accepted", w->answers);
    e.batch = batch;
    e.body = body;
    return world_write(
        w, &(struct store_write){
               .events = &e, .event_count = 1, .request = request, .method = "batch.accept", .answer = STORE_AGAIN});
}

static void a_row_of_a_batch_is_small(void **state)
{
    struct world *w = *state;
    char *answer, *method, head[65];
    int64_t bad;
    int seen = 0;
    for (int i = 0; i < 40; i++) {
        char request[16];
        snprintf(request, sizeof request, "r%02d", i);
        assert_int_equal(write_one(w, "7", request), STORE_DONE);
    }
    assert_true(store_events(w->store, "7", see, &seen));
    assert_int_equal(seen, 40);
    assert_int_equal(world_number(w, "SELECT count(*) FROM word"), 5);
    assert_true(world_number(w, "SELECT max(length(body)) FROM event") * 3 <= (int64_t)strlen(body));
    assert_int_equal(world_number(w, "SELECT max(length(boot) + length(person) + length(client) + length(method) + "
                                     "length(version)) FROM event"),
                     5);
    assert_true(store_verify(w->store, &bad, head)); /* over the texts, not over what stands in the row */
    assert_int_equal(write_one(w, "7", "r03"), STORE_REPEATED);
    assert_string_equal(w->result[w->answers - 1].answer, STORE_AGAIN);
    assert_string_equal(w->result[w->answers - 1].method, "batch.accept");
    assert_int_equal(store_answer(w->store, "r03", &answer, &method), STORE_FOUND);
    assert_string_equal(method, "batch.accept");
    free(answer);
    free(method);
}

/* A body that only found no memory, read as one that says nothing, made a cup of a pour half done. Whichever malloc
 * fails, of the body's or of a word's: the reading ends, or hands out each row as it was written. */
static void a_row_that_finds_no_memory_is_not_read(void **state)
{
    struct world *w = *state;
    size_t refused = 0;
    assert_int_equal(write_one(w, "7", "r1"), STORE_DONE);
    for (size_t at = 1; at < 200; at++) {
        struct reader r;
        struct fault fault;
        int seen = 0;
        assert_true(reader_open(&r, w->state, &fault)); /* a new one: it knows no word yet */
        sqlite3_stmt *stmt = reader_take(&r, "SELECT " READER_EVENT " FROM event WHERE batch = 7 ORDER BY seq");
        mallocs = 0;
        malloc_fails_at = at;
        bool read = reader_events(&r, stmt, see, &seen);
        bool failed = mallocs >= at;
        malloc_fails_at = 0;
        reader_close(&r);
        assert_int_equal(seen, read);
        refused += !read;
        if (!failed)
            break;
    }
#if !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
    assert_true(refused >= 8);
#endif
}

/* Whoever reads the file with other means reads what is not a pour as text. */
static void other_rows_stand_as_texts(void **state)
{
    struct world *w = *state;
    assert_int_equal(write_one(w, NULL, "r1"), STORE_DONE);
    assert_int_equal(world_number(w, "SELECT count(*) FROM event WHERE typeof(body) = 'text' AND person = 'Ann'"), 1);
    assert_int_equal(world_number(w, "SELECT count(*) FROM word"), 0);
}

#define OPEN_UP "DROP TRIGGER event_not_changed; "

/* The chain shows each. */
static void damage_is_seen_by_the_chain(void **state)
{
    static const char *const rows[] = {
        OPEN_UP "UPDATE event SET body = x'01' || substr(body, 2, 20) WHERE seq = 2",
        OPEN_UP "UPDATE event SET person = x'63' WHERE seq = 2",
        "UPDATE word SET text = 'Bo' WHERE text = 'Ann'",
        "DELETE FROM word WHERE text = 'Ann'",
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct world *w;
        char head[65];
        int64_t bad = -1;
        world_setup((void **)&w);
        assert_int_equal(write_one(w, NULL, "r1"), STORE_DONE);
        assert_int_equal(write_one(w, "7", "r2"), STORE_DONE);
        world_sql(w, rows[i]);
        assert_false(store_verify(w->store, &bad, head));
        assert_int_equal(bad, 2);
        world_teardown((void **)&w);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_text_comes_back_byte_by_byte),
        cmocka_unit_test(damage_is_refused),
        cmocka_unit_test_setup_teardown(a_row_of_a_batch_is_small, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(other_rows_stand_as_texts, world_setup, world_teardown),
        cmocka_unit_test_setup_teardown(a_row_that_finds_no_memory_is_not_read, world_setup, world_teardown),
        cmocka_unit_test(damage_is_seen_by_the_chain),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
