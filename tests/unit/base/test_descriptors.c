/* How the descriptors of this process are shared out, under limits from tight to none. */
#include "descriptors.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <sys/resource.h>

#include <cmocka.h>

static void each_has_its_part(void **state)
{
    static const struct {
        rlim_t limit;
        size_t pages, clients, clients_alone;
    } rows[] = {
        {64, 16, 8, 8},    /* fewer than the others need */
        {160, 21, 43, 64}, /* a third of 64 */
        {400, 101, 203, 304}, {1024, 256, 672, 928}, {4096, 256, 3744, 4000},
    };
    struct rlimit was, now;
    (void)state;
    assert_int_equal(getrlimit(RLIMIT_NOFILE, &was), 0);
    now = was;
    for (size_t i = 0; i < sizeof rows / sizeof *rows && rows[i].limit <= was.rlim_max; i++) {
        now.rlim_cur = rows[i].limit;
        assert_int_equal(setrlimit(RLIMIT_NOFILE, &now), 0);
        assert_int_equal(descriptors_for_pages(), rows[i].pages);
        assert_int_equal(descriptors_for_clients(true), rows[i].clients);
        assert_int_equal(descriptors_for_clients(false), rows[i].clients_alone);
    }
    assert_int_equal(setrlimit(RLIMIT_NOFILE, &was), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_has_its_part)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
