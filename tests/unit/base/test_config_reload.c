/* SIGHUP: what changes at once, what is named and left. */
#include "config_reload.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static void told(void *arg, const char *station, const char *key)
{
    char *all = arg;
    size_t used = strlen(all);
    snprintf(all + used, 400 - used, "%s/%s ", station, key);
}

static void read_text(const char *text, struct config *out)
{
    char path[] = "/tmp/poise-reload-XXXXXX";
    struct file_fault fault;
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, strlen(text)), strlen(text));
    close(fd);
    bool fine = config_read(path, out, &fault);
    unlink(path);
    if (!fine)
        fail_msg("%d: %s: %s", fault.line, fault.field, fault.why);
}

static const char before[] = "[station left]\nport = pty:/l\nd_g = 0.01\ncapacity_g = 3000\n"
                             "[station right]\nport = pty:/r\n"
                             "[http]\nport = 8470\n";

/* Rows of one changed file each: what is told, and whether the station's and the shop's values took effect. */
static void what_may_change_does_and_the_rest_is_named(void **state)
{
    static const struct {
        const char *text, *left;
        double tolerance_g, d_g;
        const char *port, *shop;
        int connections, http_port;
    } rows[] = {
        {before, "", 0.01, 0.01, "pty:/l", "", 1024, 8470},
        {"[shop]\nname = Tern\n[limits]\nconnections = 9\n[station right]\nport = pty:/r\n" /* another order */
         "[station left]\nport = pty:/l\nd_g = 0.01\ncapacity_g = 3000\ntolerance_g = 0.5\n[http]\nport = 8470\n",
         "", 0.5, 0.01, "pty:/l", "Tern", 9, 8470},
        {"[shop]\nname = Tern\n[station left]\nport = pty:/other\nd_g = 0.1\ntolerance_g = 0.2\npoll = Q\n"
         "capacity_g = 3000\n[station new]\nport = pty:/n\n",
         "new/station left/port left/poll left/d_g right/station /http ", 0.2, 0.01, "pty:/l", "Tern", 1024, 8470},
        {"[station left]\nport = pty:/l\nd_g = 0.01\ncapacity_g = 3000\n[station right]\nport = pty:/r\n"
         "[http]\nport = 1\nhosts = bench.local\n",
         "/http port /http hosts ", 0.01, 0.01, "pty:/l", "", 1024, 8470},
    };
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        static struct config live, fresh;
        char left[400] = "";
        read_text(before, &live);
        const struct config_station *s = &live.station[0];
        read_text(rows[i].text, &fresh);
        config_take_over(&live, &fresh, told, left);
        if (strcmp(left, rows[i].left) != 0)
            fail_msg("row %zu: %s", i, left);
        assert_string_equal(s->name, "left"); /* at the same place */
        assert_true(s->tolerance_g == rows[i].tolerance_g && s->d_g == rows[i].d_g && s->capacity_g == 3000);
        assert_string_equal(s->port, rows[i].port);
        assert_string_equal(live.shop, rows[i].shop);
        assert_int_equal(live.limits.connections, rows[i].connections);
        assert_true(live.http && live.http_port == rows[i].http_port);
        assert_int_equal(live.station_count, 2);
        assert_string_equal(live.station[1].name, "right");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(what_may_change_does_and_the_rest_is_named)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
