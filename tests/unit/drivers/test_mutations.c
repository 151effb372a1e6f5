/* Each frame of the page with a byte changed, taken out or put in: a check byte finds it, and whatever is still
 * believed keeps the promises of scale.h. */
#include "tests/unit/drivers/rows.h"

static struct row rows[ROWS_MOST];
static size_t row_count;
static struct framer framer;

static int read_rows(void **state)
{
    (void)state;
    row_count = rows_read(rows);
    return 0;
}

static void keeps_its_promises(void *arg, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    int64_t ug;
    (void)frame;
    ++*(size_t *)arg;
    assert_true(len <= framer.family->max_frame);
    assert_non_null(memchr(r->digits, '\0', sizeof r->digits));
    assert_true(r->status == SCALE_OK || r->digits[0] == '\0');
    assert_true(!r->has_weight || r->status == SCALE_OK);
    if (r->digits[0] && r->unit != SCALE_UNIT_PCS) {
        assert_true(scale_weight_ug(r->digits, r->unit ? r->unit : framer.unit, &ug) == r->has_weight);
        assert_true(!r->has_weight || ug == r->weight_ug);
    }
}

static size_t believed(const struct row *row, const uint8_t *bytes, size_t len)
{
    size_t count = 0;
    framer_init(&framer, scale_family_find(row->family), SCALE_UNIT_G, false);
    framer_push(&framer, bytes, len, keeps_its_promises, &count);
    framer_finish(&framer, keeps_its_promises, &count);
    assert_true(framer.frames == count);
    return count;
}

static const uint8_t others[] = " \0+-.,;019AEGHIKLMNORSTUZagkmnov?^_[]=\x01\x02\x03\x04\r\n\x7f\xff";

static void a_changed_byte_breaks_no_promise(void **state)
{
    (void)state;
    size_t refused = 0;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t at = 0; at < rows[r].len; at++) {
            uint8_t bytes[ROW_BYTES];
            memcpy(bytes, rows[r].bytes, rows[r].len);
            for (size_t i = 0; i < sizeof others - 1; i++) {
                bytes[at] = others[i];
                refused += believed(&rows[r], bytes, rows[r].len) < rows[r].wanted;
            }
        }
    }
    assert_true(refused > 10000);
}

static void a_byte_less_or_more_breaks_no_promise(void **state)
{
    (void)state;
    size_t refused = 0;
    for (size_t r = 0; r < row_count; r++) {
        for (size_t at = 0; at < rows[r].len; at++) {
            uint8_t bytes[ROW_BYTES + 1];
            memcpy(bytes, rows[r].bytes, at);
            memcpy(bytes + at, rows[r].bytes + at + 1, rows[r].len - at - 1);
            refused += believed(&rows[r], bytes, rows[r].len - 1) < rows[r].wanted;
            for (size_t i = 0; i < sizeof others - 1; i++) {
                memcpy(bytes, rows[r].bytes, at);
                bytes[at] = others[i];
                memcpy(bytes + at + 1, rows[r].bytes + at, rows[r].len - at);
                refused += believed(&rows[r], bytes, rows[r].len + 1) < rows[r].wanted;
            }
        }
    }
    assert_true(refused > 10000);
}

static bool same_hex(uint8_t one, uint8_t other)
{
    return one != other && (one | 0x20) == (other | 0x20) && (one | 0x20) >= 'a' && (one | 0x20) <= 'f';
}

/* Families whose every frame carries a check: no single changed byte passes, but a hex digit in the other case. */
static void no_changed_byte_passes_a_check(void **state)
{
    (void)state;
    static const char *const checked[] = {"stx-xor", "wg-xor", "enq-bcc"};
    size_t tried = 0;
    for (size_t r = 0; r < row_count; r++) {
        bool is_checked = false;
        for (size_t i = 0; i < sizeof checked / sizeof *checked; i++)
            is_checked = is_checked || strcmp(rows[r].family, checked[i]) == 0;
        for (size_t at = 0; is_checked && at < rows[r].len; at++) {
            uint8_t bytes[ROW_BYTES];
            memcpy(bytes, rows[r].bytes, rows[r].len);
            for (int c = 0x20; c < 0x7f; c++) {
                bytes[at] = (uint8_t)c;
                if (c == rows[r].bytes[at] || same_hex(bytes[at], rows[r].bytes[at]))
                    continue;
                tried++;
                if (believed(&rows[r], bytes, rows[r].len))
                    fail_msg("%s line %d: believed with byte %zu as `%c`", rows[r].family, rows[r].line, at, c);
            }
        }
    }
    assert_true(tried > 3000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_changed_byte_breaks_no_promise),
        cmocka_unit_test(a_byte_less_or_more_breaks_no_promise),
        cmocka_unit_test(no_changed_byte_passes_a_check),
    };
    return cmocka_run_group_tests(tests, read_rows, NULL);
}
