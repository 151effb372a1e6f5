/* The order of the search, what it may send, and which family three frames in a row are believed to be of. */
#include "tests/unit/drivers/rows.h"

#include "drivers/decode/guess.h"
#include "drivers/seek.h"

static void listening_goes_over_all_speeds_and_round_again(void **state)
{
    (void)state;
    static const int order[] = {9600, 2400, 1200, 4800, 19200, 38400, 115200, 600, 9600, 2400};
    struct seek seek;
    seek_init(&seek, true, false, 0);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        bool over;
        struct seek_step step = seek_next(&seek, &over);
        assert_int_equal(step.speed, order[i]);
        assert_null(step.question);
        assert_true(step.ms >= 2500);
        assert_int_equal(over, i == 8);
        assert_int_equal(step.pass, i < 8 ? 1 : 2);
    }
}

static void a_chosen_speed_beside_the_usual_ones_comes_first(void **state)
{
    (void)state;
    static const int order[] = {57600, 9600, 2400, 1200, 4800, 19200, 38400, 115200, 600};
    struct seek seek;
    bool over;
    seek_init(&seek, true, true, 57600);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        assert_int_equal(seek_next(&seek, &over).speed, order[i]);
    struct seek_step step = seek_next(&seek, &over);
    assert_int_equal(step.speed, 57600);
    assert_string_equal(step.spoken, "LF W CR");
}

static void without_consent_nothing_is_ever_sent(void **state)
{
    (void)state;
    struct seek seek;
    seek_init(&seek, true, false, 9600);
    for (int i = 0; i < 100; i++) {
        bool over;
        assert_null(seek_next(&seek, &over).question);
        seek_heard_clean(&seek);
    }
}

static void questions_are_asked_only_where_it_was_clean_or_chosen(void **state)
{
    (void)state;
    struct seek seek;
    bool over;
    seek_init(&seek, true, true, 1200);
    for (int i = 0; i < SEEK_SPEEDS; i++) {
        assert_null(seek_next(&seek, &over).question);
        if (i == 4)
            seek_heard_clean(&seek); /* 19200 */
    }
    static const char *const spoken[] = {"LF W CR", "SI CR LF", "ESC P", "IP CR LF", "ENQ"};
    for (int i = 0; i < 10; i++) {
        struct seek_step step = seek_next(&seek, &over);
        assert_int_equal(step.speed, i < 5 ? 1200 : 19200);
        assert_string_equal(step.spoken, spoken[i % 5]);
        assert_true(step.ms >= 3000);
        assert_false(over);
    }
    assert_null(seek_next(&seek, &over).question);
    assert_true(over);
}

static void a_silent_line_is_not_asked_at_a_guess(void **state)
{
    (void)state;
    struct seek seek;
    bool over;
    seek_init(&seek, true, true, 0);
    for (int i = 0; i < 3 * SEEK_SPEEDS; i++)
        assert_null(seek_next(&seek, &over).question);
}

static void a_port_without_speeds_listens_once_then_asks(void **state)
{
    (void)state;
    struct seek seek;
    bool over;
    seek_init(&seek, false, true, 0);
    assert_null(seek_next(&seek, &over).question);
    for (int i = 0; i < 5; i++) {
        struct seek_step step = seek_next(&seek, &over);
        assert_string_equal(step.question, seek_question((size_t)i));
        assert_int_equal(step.speed, 0);
    }
    assert_null(seek_next(&seek, &over).question);
    assert_true(over);
}

/* The frames page: no bare P, no T Z R C U X L H F O E A B K M @, no other ESC code. */
static void no_question_can_change_a_scale(void **state)
{
    (void)state;
    static const char *const allowed[] = {"\nW\r", "SI\r\n", "\033P", "IP\r\n", "\5"};
    size_t i = 0;
    for (; seek_question(i); i++)
        assert_string_equal(seek_question(i), allowed[i]);
    assert_int_equal(i, 5);
}

static const struct {
    const char *name, *bytes;
    enum guess_result result;
    const char *names, *frame;
} streams[] = {
    {"three in a row", "+00.1 g\r\nST,+00123.45  g\r\nUS,+00124.00  g\r\nST,+00124.00  g\r\n", GUESS_FOUND, "hdr2",
     "8N1"},
    {"two are not enough", "ST,+00123.45  g\r\nUS,+00124.00  g\r\n", GUESS_NOTHING, "hdr2", "8N1"},
    {"broken by a bad one", "ST,+00123.45  g\r\nST,+00123.45  g\r\nST,+001#3.45  g\r\nST,+00123.45  g\r\n",
     GUESS_NOTHING, "hdr2", "8N1"},
    {"the same to syntax", "\r\n+00123.45\r\n+00124.45\r\n+00124.45\r\n+00124.45\r\n", GUESS_TIE, "plain, nu", "8N1"},
    {"digits reversed or not", "=000.3000=000.3000=000.3000=000.3000=", GUESS_TIE, "eq-rev, eq-fwd", "8N1"},
    {"a sign in front is not reversed", "=-00.3000=-00.3000=-00.3000=-00.3000=", GUESS_TIE, "eq-fwd", "8N1"},
    {"its first line is one of plain's", "\n 12.34lb\r\n00\r\003\n 12.34lb\r\n00\r\003\n 12.34lb\r\n00\r\003",
     GUESS_FOUND, "scp", "8N1"},
    {"nothing known", "hello\r\nhello\r\nhello\r\nhello\r\n", GUESS_NOTHING, "", "8N1"},
};

static void three_whole_frames_in_a_row_are_believed(void **state)
{
    (void)state;
    struct guess *guess = guess_create();
    assert_non_null(guess);
    for (size_t i = 0; i < sizeof streams / sizeof *streams; i++) {
        const struct scale_family *family = NULL;
        char names[GUESS_NAMES];
        guess_reset(guess);
        guess_push(guess, (const uint8_t *)streams[i].bytes, strlen(streams[i].bytes));
        guess_names(guess, names);
        if (guess_result(guess, &family) != streams[i].result || strcmp(names, streams[i].names) != 0)
            fail_msg("%s: result %d, `%s`", streams[i].name, (int)guess_result(guess, &family), names);
        assert_int_equal(family != NULL, streams[i].result == GUESS_FOUND);
        assert_string_equal(guess_frame(guess), streams[i].frame);
        assert_int_equal(guess_heard(guess), strlen(streams[i].bytes));
        assert_true(guess_clean(guess));
    }
    guess_destroy(guess);
}

/* A scale that is over all the while is found, but says nothing of its last digit; then it does. */
static void what_bears_no_weight_is_no_sample(void **state)
{
    (void)state;
    struct guess *guess = guess_create();
    const struct scale_family *family = NULL;
    const char *over = "OL,+99999999  g\r\nOL,+99999999  g\r\nOL,+99999999  g\r\n";
    guess_push(guess, (const uint8_t *)over, strlen(over));
    assert_int_equal(guess_result(guess, &family), GUESS_FOUND);
    assert_null(guess_sample(guess));
    guess_push(guess, (const uint8_t *)"ST,+00123.45  g\r\n", 17);
    assert_string_equal(guess_sample(guess)->digits, "123.45");
    guess_destroy(guess);
    guess_destroy(NULL);
}

static void bit_7_tells_the_parity(void **state)
{
    (void)state;
    struct guess *guess = guess_create();
    const char *text = "ST,+00123.45  g\r\nUS,+00124.00  g\r\nST,+00124.00  g\r\n";
    for (int odd = 0; odd < 2; odd++) {
        uint8_t bytes[100];
        const struct scale_family *family = NULL;
        size_t len = strlen(text);
        for (size_t i = 0; i < len; i++)
            bytes[i] = (uint8_t)text[i] | (__builtin_parity((uint8_t)text[i]) == !odd ? 0x80 : 0);
        guess_reset(guess);
        guess_push(guess, bytes, len);
        assert_int_equal(guess_result(guess, &family), GUESS_FOUND);
        assert_string_equal(guess_frame(guess), odd ? "7O1" : "7E1");
        assert_true(guess_clean(guess));
    }
    guess_reset(guess);
    guess_push(guess, (const uint8_t *)"\x81\x12\x93\xff\x00\xa7\x42\x99\x10", 9);
    assert_false(guess_clean(guess));
    guess_destroy(guess);
}

/* Every family that speaks by itself is found from its own frames, or is a tie that names it. */
static void each_family_is_found_by_its_frames(void **state)
{
    (void)state;
    static struct row rows[ROWS_MOST];
    size_t count = rows_read(rows);
    struct guess *guess = guess_create();
    for (size_t r = 0; r < count; r++) {
        const struct scale_family *family = NULL;
        char names[GUESS_NAMES];
        if (rows[r].stream || strcmp(rows[r].family, "hid") == 0)
            continue;
        guess_reset(guess);
        guess_push(guess, (const uint8_t *)"\r\n", 2);
        for (int i = 0; i < 5; i++)
            guess_push(guess, rows[r].bytes, rows[r].len);
        guess_names(guess, names);
        enum guess_result result = guess_result(guess, &family);
        if (result == GUESS_NOTHING || (result == GUESS_FOUND && strcmp(family->name, rows[r].family) != 0) ||
            !strstr(names, rows[r].family))
            fail_msg("%s line %d: result %d, `%s`", rows[r].family, rows[r].line, (int)result, names);
    }
    guess_destroy(guess);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(listening_goes_over_all_speeds_and_round_again),
        cmocka_unit_test(a_chosen_speed_beside_the_usual_ones_comes_first),
        cmocka_unit_test(without_consent_nothing_is_ever_sent),
        cmocka_unit_test(questions_are_asked_only_where_it_was_clean_or_chosen),
        cmocka_unit_test(a_silent_line_is_not_asked_at_a_guess),
        cmocka_unit_test(a_port_without_speeds_listens_once_then_asks),
        cmocka_unit_test(no_question_can_change_a_scale),
        cmocka_unit_test(three_whole_frames_in_a_row_are_believed),
        cmocka_unit_test(what_bears_no_weight_is_no_sample),
        cmocka_unit_test(bit_7_tells_the_parity),
        cmocka_unit_test(each_family_is_found_by_its_frames),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
