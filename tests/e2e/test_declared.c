/* A family that the shop declares in a file: poised speaks it; a mistake in the file keeps poised from starting. */
#include "tests/e2e/harness.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include <cmocka.h>

static struct fake_scale star;
static char config[256];

static void go_on(int64_t now_ms)
{
    fake_scale_tick(&star, now_ms);
}

/* The row of scale.list once the weight is there; borrowed until the next call. */
static const json_t *row_with(struct harness *h, double grams)
{
    for (int64_t until = harness_deadline();; harness_step(h, until, "the declared family's weight")) {
        const json_t *row = harness_scale_row(h, "star"), *weight = json_object_get(row, "weight_g");
        if (json_is_number(weight) && fabs(json_number_value(weight) - grams) < 1e-9)
            return row;
    }
}

static void a_declared_family_is_spoken(void **state)
{
    struct harness *h = *state;
    snprintf(star.frame, sizeof star.frame, "*S*  0012,50 GRM N\r\n");
    const json_t *row = row_with(h, 12.5);
    assert_string_equal(json_string_value(json_object_get(row, "profile")), "star");
    assert_string_equal(json_string_value(json_object_get(row, "state")), "live");
    assert_true(json_is_true(json_object_get(row, "stable")));
    snprintf(star.frame, sizeof star.frame, "*M*  1,250 KGM N\r\n");
    assert_true(json_is_false(json_object_get(row_with(h, 1250), "stable")));
}

/* Beside the configuration, where the folder of data holds none of that name. */
static void a_mistake_in_it_is_named(void **state)
{
    struct harness *h = *state;
    char path[HARNESS_PATH + 64], err[2048];
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    snprintf(path, sizeof path, "%s/poised.ini", h->dir);
    FILE *f = fopen(path, "a");
    assert_non_null(f);
    fputs("[station other]\nport = tcp:127.0.0.1:9\nprofile = bad\n", f);
    fclose(f);
    assert_int_equal(harness_refuses_to_start(h, err, sizeof err), 78);
    assert_non_null(strstr(err, "profile: no such family: bad"));
    snprintf(path, sizeof path, "%s/profiles", h->dir);
    assert_int_equal(mkdir(path, 0700), 0);
    strcat(path, "/bad.ini");
    f = fopen(path, "w");
    assert_non_null(f);
    fputs("[profile bad]\ndelimiter = \\r\\n\norder = everything\n", f);
    fclose(f);
    assert_int_equal(harness_refuses_to_start(h, err, sizeof err), 78);
    assert_non_null(strstr(err, "/profiles/bad.ini:3: order: "));
}

static int begin(void **state)
{
    if (!fake_scale_init(&star))
        return -1;
    snprintf(config, sizeof config, "[station star]\nport = tcp:127.0.0.1:%d\nprofile = star\nd_g = 0.01\n", star.port);
    return harness_begin(state, &(struct harness_setup){.config_lines = config, .beside = go_on});
}

static int end(void **state)
{
    int code = harness_end(state);
    fake_scale_finish(&star);
    return code;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(a_declared_family_is_spoken, begin, end),
        cmocka_unit_test_setup_teardown(a_mistake_in_it_is_named, begin, end),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
