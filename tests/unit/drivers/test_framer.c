/* What a framer learns from a stream: whether a check byte follows, which unit was named last, where a line begins. */
#include "tests/unit/drivers/rows.h"

static struct framer framer;

static void open_stream(const char *family, bool opened)
{
    framer_init(&framer, scale_family_find(family), SCALE_UNIT_KG, opened);
}

static size_t push(struct seen *seen, const char *text)
{
    size_t before = seen->count;
    framer_push(&framer, (const uint8_t *)text, strlen(text), seen_add, seen);
    return seen->count - before;
}

#define BARE    "\002-0!  1234     0\r"
#define CHECKED "\002;1! 75000   250\rQ"
#define WRONG   "\002;1! 75000   250\rR"

static void a_check_byte_is_waited_for_until_none_comes(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("stx18", true);
    assert_int_equal(push(&seen, BARE), 0); /* its check may yet come */
    assert_int_equal(push(&seen, BARE), 1);
    assert_int_equal(push(&seen, BARE), 1);
    assert_int_equal(push(&seen, BARE), 2); /* learnt: the last byte of this one is enough */
    assert_int_equal(push(&seen, BARE), 1);
    assert_string_equal(seen.reading[4].digits, "1.234");
}

static void a_scale_that_checks_is_believed_only_with_its_check(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("stx18", true);
    assert_int_equal(push(&seen, CHECKED), 1);
    assert_int_equal(push(&seen, WRONG), 0);
    assert_true(framer.refused == 1);
    assert_int_equal(push(&seen, CHECKED), 1);
}

/* A scale whose check is switched on while we listen: at most a few frames go unchecked, then it is learnt anew. */
static void a_check_that_begins_later_is_learnt(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("stx18", true);
    for (int i = 0; i < 5; i++)
        push(&seen, BARE);
    push(&seen, CHECKED);
    push(&seen, CHECKED);
    size_t believed = seen.count;
    assert_int_equal(push(&seen, WRONG), 0);
    assert_int_equal(seen.count, believed);
}

/* A slow scale: between two of its frames passes longer than within any. */
static void silence_tells_that_no_check_byte_comes(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("stx18", true);
    for (int i = 0; i < 3; i++) {
        push(&seen, BARE);
        framer_break(&framer);
    }
    assert_int_equal(seen.count, 0);
    assert_int_equal(push(&seen, BARE), 1);
}

static void halves_with_silence_between_are_not_glued(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("plain", false);
    push(&seen, "+0012");
    framer_break(&framer);
    assert_int_equal(push(&seen, "34.5 g\r\n"), 0); /* the tail of another line */
    assert_int_equal(push(&seen, "+001234.5 g\r\n"), 1);
}

/* A slow scale whose frames are closed by the next one's first byte. */
static void a_whole_frame_outlasts_silence(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("eq-fwd", true);
    push(&seen, "=00001.00");
    framer_break(&framer);
    assert_int_equal(push(&seen, "=00002.00"), 1);
    open_stream("plain", false);
    push(&seen, "+001234.5 g\r");
    framer_break(&framer);
    assert_int_equal(push(&seen, "+001234.5 g\r"), 1);
}

static void the_first_line_of_an_opened_stream_is_dropped(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("nu", true);
    assert_int_equal(push(&seen, "+0012"), 0);
    assert_int_equal(push(&seen, "3.45\r\n"), 0); /* may have been -10123.45 */
    assert_int_equal(push(&seen, "+00123.45\r\n"), 1);
    assert_true(seen.reading[0].weight_ug == 123450000000); /* the assumed unit is kg */
    open_stream("nu", false);
    assert_int_equal(push(&seen, "+00123.45\r\n"), 1);
}

static void nothing_is_believed_at_the_end_but_a_frame_of_full_width(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("eq-fwd", false);
    push(&seen, "=0001.00");
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 0);
    open_stream("eq-fwd", false);
    push(&seen, "=00001.00");
    assert_int_equal(seen.count, 0); /* a pause is no end */
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 1);
}

/* Found by fuzzing: an LF too far back took the one that begins the frame with it, but only when bytes came singly. */
static void a_distant_line_end_harms_no_frame(void **state)
{
    (void)state;
    const char *stream = "\n        .       .       .     \n______lb\r\n01\r\003";
    for (size_t chunk = 1; chunk < 50; chunk += 48) {
        struct seen seen = {0};
        open_stream("scp", false);
        for (size_t at = 0, len = strlen(stream); at < len; at += chunk)
            framer_push(&framer, (const uint8_t *)stream + at, len - at < chunk ? len - at : chunk, seen_add, &seen);
        assert_int_equal(seen.count, 1);
        assert_int_equal(seen.reading[0].status, SCALE_UNDER);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_check_byte_is_waited_for_until_none_comes),
        cmocka_unit_test(a_scale_that_checks_is_believed_only_with_its_check),
        cmocka_unit_test(a_check_that_begins_later_is_learnt),
        cmocka_unit_test(silence_tells_that_no_check_byte_comes),
        cmocka_unit_test(halves_with_silence_between_are_not_glued),
        cmocka_unit_test(a_whole_frame_outlasts_silence),
        cmocka_unit_test(a_distant_line_end_harms_no_frame),
        cmocka_unit_test(the_first_line_of_an_opened_stream_is_dropped),
        cmocka_unit_test(nothing_is_believed_at_the_end_but_a_frame_of_full_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
