/* Lines out of bytes, however these come; the limit counts a line without its newline. */
#include "rpc/conn.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void put(struct rpc_line *l, const char *bytes, size_t len)
{
    while (len > 0) {
        size_t room;
        char *data = rpc_line_room(l, &room);

        assert_non_null(data);
        if (room > len)
            room = len;
        memcpy(data, bytes, room);
        rpc_line_filled(l, room);
        bytes += room;
        len -= room;
    }
}

static void expect(struct rpc_line *l, const char *want)
{
    const char *line;
    size_t len;

    assert_int_equal(RPC_LINE_WHOLE, rpc_line_next(l, &line, &len));
    assert_int_equal(strlen(want), len);
    assert_memory_equal(want, line, len);
}

static void expect_none(struct rpc_line *l)
{
    const char *line;
    size_t len;

    assert_int_equal(RPC_LINE_NONE, rpc_line_next(l, &line, &len));
}

static void lines_come_whole_in_any_pieces(void **state)
{
    static const char text[] = "one\n\ntwo and more\nthree";

    (void)state;
    for (size_t piece = 1; piece < sizeof text; piece++) {
        struct rpc_line l = {0};
        const char *line = "", *wants[] = {"one", "", "two and more"};
        size_t len = 0, got = 0;

        for (size_t at = 0; at < sizeof text - 1; at += piece) {
            put(&l, text + at, at + piece < sizeof text - 1 ? piece : sizeof text - 1 - at);
            while (got < 3 && rpc_line_next(&l, &line, &len) == RPC_LINE_WHOLE) {
                assert_int_equal(strlen(wants[got]), len);
                assert_memory_equal(wants[got], line, len);
                got++;
            }
        }
        assert_int_equal(3, got);
        put(&l, "!\n", 2);
        expect(&l, "three!");
        expect_none(&l);
        rpc_line_finish(&l);
    }
}

static void the_longest_line_passes_and_one_byte_more_does_not(void **state)
{
    char *text = malloc(RPC_LINE_MAX + 2);
    struct rpc_line l = {0};
    const char *line;
    size_t len;

    (void)state;
    assert_non_null(text);
    memset(text, 'x', RPC_LINE_MAX + 2);
    text[RPC_LINE_MAX] = '\n';
    put(&l, text, RPC_LINE_MAX + 1);
    assert_int_equal(RPC_LINE_WHOLE, rpc_line_next(&l, &line, &len));
    assert_int_equal(RPC_LINE_MAX, len);
    expect_none(&l);
    text[RPC_LINE_MAX] = 'x';
    put(&l, text, RPC_LINE_MAX);
    expect_none(&l);
    put(&l, text, 1);
    assert_int_equal(RPC_LINE_TOO_LONG, rpc_line_next(&l, &line, &len));
    rpc_line_drop(&l);
    put(&l, "short\n", 6);
    expect(&l, "short");
    rpc_line_finish(&l);
    free(text);
}

static void an_idle_buffer_is_small_again(void **state)
{
    struct rpc_line l = {0};
    char text[20001];
    const char *line;
    size_t len;

    (void)state;
    memset(text, 'x', sizeof text);
    text[20000] = '\n';
    put(&l, text, sizeof text);
    assert_int_equal(RPC_LINE_WHOLE, rpc_line_next(&l, &line, &len));
    expect_none(&l);
    assert_true(l.cap <= RPC_LINE_ROOM);
    rpc_line_finish(&l);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_come_whole_in_any_pieces),
        cmocka_unit_test(the_longest_line_passes_and_one_byte_more_does_not),
        cmocka_unit_test(an_idle_buffer_is_small_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
