#include "catalogue/order.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* Letters stand for ids; NULL: none yet. */
static const struct {
    const char *name, *kept, *read, *want;
} merges[] = {
    {"the first reading", NULL, "BAC", "BAC"},
    {"the same again", "BAC", "BAC", "BAC"},
    {"nothing read", "BAC", "", "BAC"},
    {"another order", "ABC", "CBA", "CBA"},
    {"a new one at the beginning", "ABC", "XABC", "XABC"},
    {"a new one in the middle", "ABC", "AXBC", "AXBC"},
    {"a new one at the end", "ABC", "ABCX", "ABCX"},
    {"one taken out of the file keeps its place", "ABC", "AC", "ABC"},
    {"a file imported alone comes after", "ABC", "XY", "ABCXY"},
    {"a file imported alone with one known", "ABCD", "XCY", "ABXCDY"},
    {"two swapped about one not read", "ABC", "CA", "CBA"},
    {"new ones and another order", "ABC", "CXBYA", "CXBYA"},
};

static json_t *letters(const char *text)
{
    if (!text)
        return NULL;
    json_t *out = json_array();
    for (; *text; text++)
        json_array_append_new(out, json_stringn(text, 1));
    return out;
}

static void the_order_read_is_merged_into_the_one_kept(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof merges / sizeof *merges; i++) {
        json_t *kept = letters(merges[i].kept), *read = letters(merges[i].read), *want = letters(merges[i].want);
        json_t *got = order_merge(kept, read);
        char *text = json_dumps(got, JSON_COMPACT);
        if (!json_equal(got, want))
            fail_msg("%s: got %s, want %s", merges[i].name, text, merges[i].want);
        free(text);
        json_decref(got);
        json_decref(want);
        json_decref(read);
        json_decref(kept);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(the_order_read_is_merged_into_the_one_kept)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
