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

/* The sum makes the check byte an STX, an LF or a NUL as well as any other: it is one where the sum holds and the next
 * frame follows. */
static void a_check_byte_may_look_like_a_line_end(void **state)
{
    (void)state;
    static const char *const checked[] = {"\002,0   8999     0\r\002", "\002,0   1899     0\r\n"};
    for (size_t i = 0; i < 2; i++) {
        for (int together = 0; together < 2; together++) {
            struct seen seen = {0};
            char stream[100] = "";
            open_stream("stx18", true);
            for (int k = 0; k < 4; k++) {
                strcat(stream, checked[i]);
                if (!together)
                    push(&seen, checked[i]);
            }
            if (together)
                push(&seen, stream);
            push(&seen, "\002");
            assert_int_equal(seen.count, 4);
            assert_true(framer.refused == 0);
        }
    }
}

/* A slow scale, or one that speaks when its print key is pressed: the frame counts once it is silent, not with the next
 * one, and from then on no check byte is waited for. */
static void silence_tells_that_no_check_byte_comes(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("stx18", true);
    assert_int_equal(push(&seen, BARE), 0);
    assert_true(framer_waits(&framer));
    framer_quiet(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 1);
    assert_false(framer_waits(&framer));
    assert_int_equal(push(&seen, BARE), 1);
}

static void halves_with_silence_between_are_not_glued(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("plain", true);
    push(&seen, "\r\n+0012");
    framer_break(&framer);
    assert_int_equal(push(&seen, "34.5 g\r\n"), 0); /* the tail of another line */
    assert_int_equal(push(&seen, "+001234.5 g\r\n"), 1);
}

/* Issue 8: such a frame came to light with the next one, however old it was by then, and passed for a new weight. */
static void a_frame_without_its_last_byte_counts_at_silence(void **state)
{
    (void)state;
    static const struct {
        const char *family, *before, *whole, *half;
    } rows[] = {
        {"eq-fwd", "", "=00001.00", "=0001.00"},           {"eq-rev", "=00.10000", "=00.10000", "=00.1"},
        {"plain", "\r\n", "+001234.5 g\r", "+001234.5 g"}, {"plain-u", "\r\n", "     12.30 g\r", "     12.30"},
        {"nu", "\r\n", "+00012.34\r", "+00012.34"},        {"plain-14", "\r\n", "+0012.34 G S\r", "+0012.34 G S"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct seen seen = {0};
        open_stream(rows[i].family, true);
        push(&seen, rows[i].before);
        size_t before = seen.count;
        push(&seen, rows[i].whole);
        framer_quiet(&framer, seen_add, &seen);
        assert_int_equal(seen.count - before, 1 + (rows[i].before[0] == '='));
        framer_break(&framer); /* nothing is left of it */
        assert_true(framer.skipped <= strlen(rows[i].before));
        before = seen.count;
        push(&seen, rows[i].half);
        assert_false(framer_waits(&framer));
        framer_quiet(&framer, seen_add, &seen);
        assert_int_equal(seen.count, before);
    }
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
}

/* A recording may begin in the midst of a line, and `poise decode` reads it like any file. The first line is judged by
 * the second; alone it is all there is. */
static const struct {
    const char *family, *stream;
    size_t readings;
    const char *first;
} heads[] = {
    {"nu", "+00123.45\r\n", 1, "123.45"},
    {"plain", "     192.21 g\r\n     192.21 g\r\n", 2, "192.21"},
    {"plain", "2.21 g\r\n     192.22 g\r\n", 1, "192.22"},
    {"plain", "21 g\r\n     192.22 g ?\r\n     192.23 g ?\r\n", 2, "192.22"}, /* cut behind the point */
    {"plain", "0.4 g  ? NET\r\n-    250.4 g  ? NET\r\n", 1, "-250.4"},
    {"plain", "2.21 kg\r\n     192.22 g\r\n", 2, "2.21"},  /* no end of the second: another unit */
    {"plain", "5.2 g\r\n     192.22 g\r\n", 2, "5.2"},     /* other decimals */
    {"plain", "192.21 g\r\n+99999999 g\r\n", 2, "192.21"}, /* nothing to hold it against */
    {"sics", "S       0.10 g\r\nS S       0.10 g\r\n", 1, "0.10"},
    {"fix16", "   1255.7 g  \r\n-   1255.7    \r\n", 1, "-1255.7"}, /* the sign was cut off */
};

static void a_files_first_line_that_may_be_a_tail_is_dropped(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        for (size_t chunk = 1; chunk < 50; chunk += 48) {
            struct seen seen = {0};
            open_stream(heads[i].family, false);
            for (size_t at = 0, len = strlen(heads[i].stream); at < len; at += chunk)
                framer_push(&framer, (const uint8_t *)heads[i].stream + at, len - at < chunk ? len - at : chunk,
                            seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            if (seen.count != heads[i].readings || strcmp(seen.reading[0].digits, heads[i].first) != 0)
                fail_msg("row %zu: %zu readings, the first `%s`", i, seen.count, seen.reading[0].digits);
        }
    }
}

/* Some send a CR alone. It ends a line once the next byte shows that no LF comes; after three such lines at once, since
 * a weight that is shown one line late is poured past. */
static void lines_that_end_with_cr_alone_are_learnt(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("nu", true);
    assert_int_equal(push(&seen, "\r+00000.01\r"), 0);
    assert_int_equal(push(&seen, "+00000.02\r"), 1);
    assert_int_equal(push(&seen, "+00000.03\r"), 1);
    assert_int_equal(push(&seen, "+00000.04\r"), 2);
    assert_int_equal(push(&seen, "+00000.05\r"), 1);
    assert_string_equal(seen.reading[4].digits, "0.05");
    assert_int_equal(push(&seen, "\n+00000.06\r"), 0); /* an LF after all: from now on it is waited for again */
    assert_int_equal(push(&seen, "\n"), 1);
    assert_int_equal(seen.count, 6);
    assert_true(framer.refused == 0);
}

static void a_file_of_cr_lines_is_read_to_its_end(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("nu", false);
    push(&seen, "+00000.01\r+00000.02\r");
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 2);
    seen.count = 0;
    open_stream("plain", false);
    push(&seen, "12.3g\r"); /* one print key's answer: nothing says that its lines end otherwise */
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 1);
    seen.count = 0;
    open_stream("nu", false);
    push(&seen, "+00000.01\r\n+00000.02\r"); /* these end with CR LF: the last one was cut */
    framer_finish(&framer, seen_add, &seen);
    assert_int_equal(seen.count, 1);
}

/* More digits than anything weighs are noise; a count has no weight and needs none. */
static void a_number_beyond_all_weights_is_refused(void **state)
{
    (void)state;
    struct seen seen = {0};
    open_stream("hdr2", true);
    assert_int_equal(push(&seen, "ST,+9300000000000  g\r\n"), 0); /* 2^63 ug are 9223372036854.775807 g */
    assert_int_equal(push(&seen, "ST,+9200000000000  g\r\n"), 1);
    assert_int_equal(push(&seen, "ST,+0000000000000000000001 g\r\n"), 1);
    assert_int_equal(push(&seen, "ST,+123456789012345678901  g\r\n"), 0);
    assert_int_equal(push(&seen, "QT,+00000012 PC\r\n"), 1);
    assert_true(framer.refused == 2 && !seen.reading[2].has_weight);
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
    assert_true(framer.skipped == 0); /* what closed it was not sent */
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
        cmocka_unit_test(a_check_byte_may_look_like_a_line_end),
        cmocka_unit_test(silence_tells_that_no_check_byte_comes),
        cmocka_unit_test(halves_with_silence_between_are_not_glued),
        cmocka_unit_test(a_frame_without_its_last_byte_counts_at_silence),
        cmocka_unit_test(a_distant_line_end_harms_no_frame),
        cmocka_unit_test(the_first_line_of_an_opened_stream_is_dropped),
        cmocka_unit_test(a_files_first_line_that_may_be_a_tail_is_dropped),
        cmocka_unit_test(lines_that_end_with_cr_alone_are_learnt),
        cmocka_unit_test(a_file_of_cr_lines_is_read_to_its_end),
        cmocka_unit_test(a_number_beyond_all_weights_is_refused),
        cmocka_unit_test(nothing_is_believed_at_the_end_but_a_frame_of_full_width),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
