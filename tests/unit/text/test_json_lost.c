/* A value that lacks a member for want of memory is never written: each allocation of a value put together without a
 * look at any result fails in its turn. */
#include "text/json_write.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* A sanitizer's memory is its own: nothing fails there. */
static size_t mallocs, fails_at;
#if !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
extern void *__libc_malloc(size_t size);
void *malloc(size_t size)
{
    return fails_at && ++mallocs == fails_at ? NULL : __libc_malloc(size);
}
#endif

/* As most answers are made. */
static json_t *put_together(void)
{
    json_t *list = json_array(), *o = json_object();
    for (int i = 0; i < 20; i++)
        json_array_append_new(list, json_pack("{s:i, s:s}", "n", i, "name", "a name"));
    json_object_set_new(o, "list", list);
    json_object_set_new(o, "total_g", json_real(12.5));
    json_object_set_new(o, "none", json_null());
    return o;
}

static void no_value_is_written_half(void **state)
{
    (void)state;
    json_watch();
    json_t *o = put_together();
    char *whole = json_write(o, JSON_COMPACT), *text;
    json_decref(o);
    assert_non_null(whole);
    size_t refused = 0;
    for (fails_at = 1;; fails_at++) {
        mallocs = 0;
        o = put_together();
        bool lost = json_lost();
        text = json_write(o, JSON_COMPACT);
        bool failed = mallocs >= fails_at;
        json_decref(o);
        if (!failed)
            break;
        assert_null(text);
        assert_true(lost || mallocs == fails_at); /* the text itself is the last that is asked for */
        assert_false(json_lost());
        refused++;
    }
    fails_at = 0;
    assert_string_equal(text, whole);
    free(text);
    free(whole);
#if !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
    assert_true(refused > 60);
#endif
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_value_is_written_half),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
