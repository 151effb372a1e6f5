/* Every row of the frames page, however it is chopped, dirtied and cut. */
#include "tests/unit/drivers/rows.h"

static struct row rows[ROWS_MOST];
static size_t row_count;
static struct framer framer; /* too large for some stacks */

static int read_rows(void **state)
{
    (void)state;
    row_count = rows_read(rows);
    return 0;
}

static const struct scale_family *family_of(const struct row *row)
{
    const struct scale_family *family = scale_family_find(row->family);
    if (!family)
        fail_msg("no family %s", row->family);
    return family;
}

static void push(const struct scale_family *family, const uint8_t *bytes, size_t len, size_t chunk, struct seen *seen)
{
    framer_init(&framer, family, SCALE_UNIT_G, false);
    for (size_t at = 0; at < len; at += chunk)
        framer_push(&framer, bytes + at, len - at < chunk ? len - at : chunk, seen_add, seen);
    framer_finish(&framer, seen_add, seen);
}

static void each_row_reads_as_it_says_in_any_chunks(void **state)
{
    (void)state;
    static const size_t chunks[] = {300, 1, 2, 7};
    for (size_t r = 0; r < row_count; r++) {
        for (size_t c = 0; c < sizeof chunks / sizeof *chunks; c++) {
            struct seen seen = {0};
            push(family_of(&rows[r]), rows[r].bytes, rows[r].len, chunks[c], &seen);
            row_check(&rows[r], &seen, 1, "chunks of", chunks[c]);
        }
    }
}

static void each_row_may_be_cut_in_two_anywhere(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t cut = 1; cut < rows[r].len; cut++) {
            struct seen seen = {0};
            framer_init(&framer, family_of(&rows[r]), SCALE_UNIT_G, false);
            framer_push(&framer, rows[r].bytes, cut, seen_add, &seen);
            framer_push(&framer, rows[r].bytes + cut, rows[r].len - cut, seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            row_check(&rows[r], &seen, 1, "cut at", cut);
        }
    }
}

static void several_frames_may_come_at_once(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        uint8_t thrice[3 * ROW_BYTES];
        if (rows[r].stream)
            continue;
        for (size_t i = 0; i < 3; i++)
            memcpy(thrice + i * rows[r].len, rows[r].bytes, rows[r].len);
        struct seen seen = {0};
        push(family_of(&rows[r]), thrice, 3 * rows[r].len, 300, &seen);
        row_check(&rows[r], &seen, 3, "at once", 3);
    }
}

/* What lacks only line ends is whole for a family that knows a dialect without them. */
static bool only_line_ends(const uint8_t *bytes, size_t len)
{
    for (size_t i = 0; i < len; i++) {
        if (bytes[i] != '\r' && bytes[i] != '\n')
            return false;
    }
    return true;
}

static void a_cut_frame_gives_nothing(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t cut = 1; cut < rows[r].len && !rows[r].stream; cut++) {
            struct seen seen = {0};
            if (family_of(&rows[r])->optional_check && cut + 1 == rows[r].len)
                break; /* without its check byte it is the same family's other form */
            if (only_line_ends(rows[r].bytes + cut, rows[r].len - cut))
                break;
            push(family_of(&rows[r]), rows[r].bytes, cut, 300, &seen);
            if (seen.count)
                fail_msg("%s line %d: a reading from %zu bytes", rows[r].family, rows[r].line, cut);
        }
    }
}

/* A port opened in the middle of a frame: its tail is dropped, the next one stands. */
static void a_tail_gives_nothing_once_opened(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t cut = 1; cut < rows[r].len && !rows[r].stream; cut++) {
            struct seen seen = {0};
            framer_init(&framer, family_of(&rows[r]), SCALE_UNIT_G, true);
            framer_push(&framer, rows[r].bytes + cut, rows[r].len - cut, seen_add, &seen);
            framer_push(&framer, rows[r].bytes, rows[r].len, seen_add, &seen);
            framer_finish(&framer, seen_add, &seen);
            for (size_t i = 0; i < seen.count; i++) {
                if (!row_matches(&rows[r], 0, &seen.reading[i]))
                    fail_msg("%s line %d: tail from %zu read as `%s`", rows[r].family, rows[r].line, cut,
                             seen.reading[i].digits);
            }
            if (seen.count == 0)
                fail_msg("%s line %d: tail from %zu took the next frame with it", rows[r].family, rows[r].line, cut);
        }
    }
}

static void noise_in_front_costs_no_frame(void **state)
{
    (void)state;
    static const char *const noises[] = {"\xff\xfe\r\n", "x7@#\xb1\xb2\r\n", "\r\n\r\n", "Err?\x7f\x01\r\n"};
    for (size_t r = 0; r < row_count; r++) {
        for (size_t i = 0; i < sizeof noises / sizeof *noises; i++) {
            uint8_t dirty[2 * ROW_BYTES];
            size_t n = strlen(noises[i]);
            struct seen seen = {0};
            memcpy(dirty, noises[i], n);
            memcpy(dirty + n, rows[r].bytes, rows[r].len);
            push(family_of(&rows[r]), dirty, n + rows[r].len, 7, &seen);
            row_check(&rows[r], &seen, 1, "noise", i);
        }
    }
}

static void nuls_between_frames_are_filler(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        uint8_t padded[2 * ROW_BYTES] = {0};
        struct seen seen = {0};
        if (!family_of(&rows[r])->seven_bit || rows[r].stream)
            continue;
        memcpy(padded + 3, rows[r].bytes, rows[r].len);
        memcpy(padded + 6 + rows[r].len, rows[r].bytes, rows[r].len);
        push(family_of(&rows[r]), padded, 2 * rows[r].len + 9, 7, &seen);
        row_check(&rows[r], &seen, 2, "NULs", 3);
    }
}

static uint8_t with_bit7(uint8_t c, int how)
{
    if (how == 0)
        return c | 0x80;
    bool odd = __builtin_parity(c);
    return odd == (how == 1) ? c | 0x80 : c;
}

static void bit_7_as_parity_sets_it_is_masked(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (int how = 0; how < 3; how++) { /* mark, even, odd */
            uint8_t dirty[ROW_BYTES];
            struct seen seen = {0};
            if (!family_of(&rows[r])->seven_bit)
                continue;
            for (size_t i = 0; i < rows[r].len; i++)
                dirty[i] = with_bit7(rows[r].bytes[i] & 0x7f, how);
            push(family_of(&rows[r]), dirty, rows[r].len, 7, &seen);
            row_check(&rows[r], &seen, 1, "parity", (size_t)how);
        }
    }
}

static void a_single_bit_7_is_damage(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t at = 0; at < rows[r].len; at++) {
            uint8_t dirty[ROW_BYTES];
            struct seen seen = {0};
            if (!family_of(&rows[r])->seven_bit || rows[r].stream || rows[r].want[0].digits[0] == '\0' ||
                rows[r].bytes[at] < '0' || rows[r].bytes[at] > '9')
                continue;
            memcpy(dirty, rows[r].bytes, rows[r].len);
            dirty[at] ^= 0x80;
            push(family_of(&rows[r]), dirty, rows[r].len, 300, &seen);
            if (seen.count)
                fail_msg("%s line %d: believed with bit 7 of byte %zu turned", rows[r].family, rows[r].line, at);
        }
    }
}

/* Kin whose lines are the same to syntax while nothing moves: finding out asks the user. The first line of scp's frames
 * is one of plain's with the unit at the digits, but the second, which plain refuses, breaks the row. */
static bool alike(const char *one, const char *other)
{
    static const char *const pairs[][2] = {
        {"plain", "plain-u"}, {"plain", "nu"}, {"plain", "scp"}, {"plain", "scp-ecr"}};
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
        if ((!strcmp(one, pairs[i][0]) && !strcmp(other, pairs[i][1])) ||
            (!strcmp(one, pairs[i][1]) && !strcmp(other, pairs[i][0])))
            return true;
    }
    return false;
}

/* Believing is not enough: a scale is found out by its frames, so none may be read by a family that is not its own. */
static void no_other_family_takes_a_frame(void **state)
{
    (void)state;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t f = 0; scale_families[f] && !rows[r].stream; f++) {
            struct seen seen = {0};
            if (strcmp(scale_families[f]->name, rows[r].family) == 0 || scale_families[f]->never_sought)
                continue;
            push(scale_families[f], rows[r].bytes, rows[r].len, 300, &seen);
            if (seen.count && !alike(scale_families[f]->name, rows[r].family))
                fail_msg("%s line %d: %s reads it as `%s`", rows[r].family, rows[r].line, scale_families[f]->name,
                         seen.reading[0].digits);
        }
    }
}

static void every_family_has_rows_and_sound_slots(void **state)
{
    (void)state;
    for (size_t f = 0; scale_families[f]; f++) {
        const struct scale_family *family = scale_families[f];
        bool found = false;
        for (size_t r = 0; r < row_count; r++)
            found = found || strcmp(rows[r].family, family->name) == 0;
        assert_true(found);
        assert_ptr_equal(scale_family_find(family->name), family);
        assert_true(family->frame && family->decode && !family->line);
        assert_in_range(family->max_frame, 4, SCALE_FRAME_MAX);
    }
    assert_null(scale_family_find("hdr"));
    assert_null(scale_family_find(""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_row_reads_as_it_says_in_any_chunks),
        cmocka_unit_test(each_row_may_be_cut_in_two_anywhere),
        cmocka_unit_test(several_frames_may_come_at_once),
        cmocka_unit_test(a_cut_frame_gives_nothing),
        cmocka_unit_test(a_tail_gives_nothing_once_opened),
        cmocka_unit_test(noise_in_front_costs_no_frame),
        cmocka_unit_test(nuls_between_frames_are_filler),
        cmocka_unit_test(bit_7_as_parity_sets_it_is_masked),
        cmocka_unit_test(a_single_bit_7_is_damage),
        cmocka_unit_test(no_other_family_takes_a_frame),
        cmocka_unit_test(every_family_has_rows_and_sound_slots),
    };
    return cmocka_run_group_tests(tests, read_rows, NULL);
}
