#include "config.h"
#include "config_keys.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#define STATION "[station bench]\nport = pty:/tmp/scale\n"

struct place {
    char dir[64], path[96];
};

static int setup(void **state)
{
    struct place *p = calloc(1, sizeof *p);
    strcpy(p->dir, "/tmp/poise-config-XXXXXX");
    assert_non_null(mkdtemp(p->dir));
    snprintf(p->path, sizeof p->path, "%s/poised.ini", p->dir);
    *state = p;
    return 0;
}

static int teardown(void **state)
{
    struct place *p = *state;
    unlink(p->path);
    rmdir(p->dir);
    free(p);
    return 0;
}

static void write_config(const struct place *p, const char *text)
{
    FILE *out = fopen(p->path, "w");
    assert_non_null(out);
    fputs(text, out);
    assert_int_equal(fclose(out), 0);
}

static void what_is_left_out_has_the_contract_s_value(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault fault;
    write_config(p, "[station bench]\nport = tcp:127.0.0.1:4001\n");
    if (!config_read(p->path, &c, &fault))
        fail_msg("%d: %s: %s", fault.line, fault.field, fault.why);
    assert_string_equal(c.shop, "");
    assert_string_equal(c.currency, "EUR");
    assert_false(c.decimal_comma);
    assert_true(c.language == WORDS_EN && !c.language_given);
    assert_string_equal(c.data, "");
    assert_false(c.http);
    assert_string_equal(c.print_command, "");
    assert_string_equal(c.print_size_mm, "62x29");
    assert_int_equal(c.station_count, 1);
    const struct config_station *s = config_station_find(&c, "bench");
    assert_non_null(s);
    assert_null(config_station_find(&c, "bench 2"));
    assert_string_equal(s->profile, "auto");
    assert_int_equal(s->speed, 0);
    assert_string_equal(s->frame, "");
    assert_int_equal(s->poll_len, 0);
    assert_int_equal(s->poll_ms, 200);
    assert_string_equal(s->flow, "none");
    assert_string_equal(s->unit, "");
    assert_true(s->d_g == 0.1 && isnan(s->capacity_g) && s->tolerance_g == 0.1 && s->tolerance_pct == 0.5);
    assert_true(s->auto_grow_pct == 5 && s->error_pct == 5);
    assert_true(s->repeatability_g == 0.1 && s->drop_g == 0.03 && s->drift_g == 0);
    assert_int_equal(s->check_days, 1);
    assert_true(c.limits.connections == 1024 && c.limits.line_s == 10 && c.limits.idle_s == 600);
}

static void every_setting_reaches_its_place(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault fault;
    write_config(p, "[shop]\nname = Tern Island\ncurrency = GBP\ndecimal = comma\ndata = .\n"
                    "[station left]\nport = /dev/serial/by-id/x\nprofile = hdr2\nspeed = 4800\nframe = 7E1\n"
                    "poll = \\x1bP\\r\npoll_ms = 500\nflow = rtscts\nunit = kg\nd_g = 0.01\ncapacity_g = 3000\n"
                    "tolerance_g = 0.05\ntolerance_pct = 1\nauto_grow_pct = 3\nerror_pct = 4\ncheck_days = 7\n"
                    "repeatability_g = 0.02\ndrop_g = 0.05\ndrift_g = 0.01\n"
                    "[station right]\nport = hid:/dev/hidraw0\npoll = Q\n"
                    "[http]\nport = 0\nbind = ::1\nhosts = bench.local, tablet:8470\ntoken_file = poised.ini\n"
                    "[print]\ncommand = lp -d labels\nsize_mm = 50x25\n"
                    "[limits]\nconnections = 64\nline_s = 5\nidle_s = 60\n");
    if (!config_read(p->path, &c, &fault))
        fail_msg("%d: %s: %s", fault.line, fault.field, fault.why);
    char data[128];
    snprintf(data, sizeof data, "%s/.", p->dir);
    assert_string_equal(c.shop, "Tern Island");
    assert_string_equal(c.currency, "GBP");
    assert_true(c.decimal_comma);
    assert_string_equal(c.data, data);
    const struct config_station *s = &c.station[0];
    assert_string_equal(s->name, "left");
    assert_string_equal(s->port, "/dev/serial/by-id/x");
    assert_string_equal(s->profile, "hdr2");
    assert_int_equal(s->speed, 4800);
    assert_string_equal(s->frame, "7E1");
    assert_int_equal(s->poll_len, 3);
    assert_memory_equal(s->poll, "\x1bP\r", 3); /* an escape: sent as it stands */
    assert_int_equal(s->poll_ms, 500);
    assert_string_equal(s->flow, "rtscts");
    assert_string_equal(s->unit, "kg");
    assert_true(s->d_g == 0.01 && s->capacity_g == 3000 && s->tolerance_g == 0.05 && s->tolerance_pct == 1);
    assert_true(s->auto_grow_pct == 3 && s->error_pct == 4);
    assert_true(s->repeatability_g == 0.02 && s->drop_g == 0.05 && s->drift_g == 0.01);
    assert_int_equal(s->check_days, 7);
    assert_int_equal(c.station[1].poll_len, 3);
    assert_memory_equal(c.station[1].poll, "Q\r\n", 3); /* none: CR LF follows */
    assert_true(c.http);
    assert_int_equal(c.http_port, 0);
    assert_string_equal(c.http_bind, "::1");
    assert_string_equal(c.http_hosts, "bench.local tablet:8470");
    assert_string_equal(c.print_command, "lp -d labels");
    assert_string_equal(c.print_size_mm, "50x25");
    assert_int_equal(c.limits.connections, 64);
    assert_int_equal(c.limits.line_s, 5);
    assert_int_equal(c.limits.idle_s, 60);
}

/* Contract section 8: of label and page the station's, else the shop's; where neither says it, English. */
static void a_line_keeps_so_many_days(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault fault;
    char day[11];
    write_config(p, "[shop]\nshelf_days = solvent 365, waterborne 90\n[station left]\nport = hid:/dev/hidraw0\n");
    if (!config_read(p->path, &c, &fault))
        fail_msg("%d: %s: %s", fault.line, fault.field, fault.why);
    assert_true(config_keeps_until(&c, "waterborne", "2026-11-25T23:30:00.000+01:00", day));
    assert_string_equal(day, "2027-02-23"); /* 5 of November, 31, 31, 23 */
    assert_true(config_keeps_until(&c, "solvent", "2027-03-01", day));
    assert_string_equal(day, "2028-02-29"); /* 365 days on, in a leap year */
    assert_false(config_keeps_until(&c, "two-pack", "2026-11-25", day));
    assert_false(config_keeps_until(&c, "", "2026-11-25", day));
    assert_false(config_keeps_until(&c, "solvent", "", day));
}

static void a_station_speaks_its_own_language_or_the_shop_s(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault fault;
    write_config(p, STATION "language = en\n[station right]\nport = pty:/x\n[shop]\nlanguage = de\n");
    assert_true(config_read(p->path, &c, &fault));
    assert_true(c.language == WORDS_DE && c.language_given);
    assert_true(c.station[0].language == WORDS_EN && c.station[0].language_given);
    assert_true(c.station[1].language == WORDS_DE && c.station[1].language_given);
    write_config(p, STATION "[station right]\nport = pty:/x\nlanguage = de\n");
    assert_true(config_read(p->path, &c, &fault));
    assert_true(c.language == WORDS_EN && !c.language_given);
    assert_true(c.station[0].language == WORDS_EN && !c.station[0].language_given);
    assert_true(c.station[1].language == WORDS_DE && c.station[1].language_given);
}

static void an_empty_http_section_turns_http_on(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault fault;
    write_config(p, "[http]\n");
    assert_true(config_read(p->path, &c, &fault));
    assert_true(c.http);
    assert_int_equal(c.http_port, 8470);
    assert_string_equal(c.http_bind, "127.0.0.1");
}

static const struct {
    const char *name, *text;
    int line;
    const char *field, *code; /* code: how it begins */
} bad[] = {
    {"a section not known", "[shops]\nname = x\n", 1, "shops", "config_section"},
    {"a catalogue's section", "[toner N10]\nname = White\n", 1, "toner N10", "config_section"},
    {"a setting not known", "[shop]\ncurency = EUR\n", 2, "curency", "ini_unknown_key"},
    {"a setting twice", STATION "d_g = 0.1\nd_g = 0.2\n", 4, "d_g", "ini_twice"},
    {"a section twice", "[shop]\nname = a\n[shop]\nname = b\n", 3, "shop", "config_section_twice"},
    {"a station twice", STATION STATION, 3, "station bench", "config_station_twice"},
    {"a station without a name", "[station]\nport = pty:/x\n", 1, "station", "config_station_name"},
    {"a station's name with a space", "[station bench 1]\nport = pty:/x\n", 1, "station", "config_station_name"},
    {"no port", "[station bench]\nd_g = 0.1\n", 1, "port", "config_no_port"},
    {"a port without a host", "[station b]\nport = tcp:4001\n", 2, "port", "config_port"},
    {"a port above 65535", "[station b]\nport = tcp:h:70000\n", 2, "port", "config_port"},
    {"port 0", "[station b]\nport = tcp:h:0\n", 2, "port", "config_port"},
    {"a bare IPv6 address", "[station b]\nport = tcp:fe80::1:4001\n", 2, "port", "config_port"},
    {"a relative device", "[station b]\nport = ttyUSB0\n", 2, "port", "config_port"},
    {"a speed that no port has", STATION "speed = 960\n", 3, "speed", "config_speed"},
    {"a speed in words", STATION "speed = fast\n", 3, "speed", "member_no_number"},
    {"a frame", STATION "frame = 9N1\n", 3, "frame", "config_frame"},
    {"another frame", STATION "frame = 8N1x\n", 3, "frame", "member_too_long"},
    {"a poll with an escape not known", STATION "poll = W\\t\n", 3, "poll", "config_poll_escape"},
    {"a poll with half an escape", STATION "poll = \\x1\n", 3, "poll", "config_poll_escape"},
    {"a poll in quotes", STATION "poll = \"Q\"\n", 3, "poll", "config_poll_quote"},
    {"a poll too long", STATION "poll = 123456789012345678901234567890123456789012345678901234567890123\n", 3, "poll",
     "config_poll_long"},
    {"poll_ms too short", STATION "poll_ms = 5\n", 3, "poll_ms", "member_from_to"},
    {"poll_ms not whole", STATION "poll_ms = 200.5\n", 3, "poll_ms", "member_not_whole"},
    {"flow", STATION "flow = dtr\n", 3, "flow", "member_choice"},
    {"unit", STATION "unit = pcs\n", 3, "unit", "member_choice"},
    {"d_g of 0", STATION "d_g = 0\n", 3, "d_g", "member_above"},
    {"d_g with a comma", STATION "d_g = 0,1\n", 3, "d_g", "file_comma"},
    {"capacity below d", STATION "d_g = 1\ncapacity_g = 0.5\n", 4, "capacity_g", "config_capacity"},
    {"a tolerance that no reading could meet", STATION "d_g = 0.1\ntolerance_g = 0.04\n", 4, "tolerance_g",
     "config_tolerance"},
    {"the same, d_g left out", STATION "tolerance_g = 0.01\n", 3, "tolerance_g", "config_tolerance"},
    {"the same, d_g below it", STATION "tolerance_g = 0.1\nd_g = 1\n", 3, "tolerance_g", "config_tolerance"},
    {"a per cent above 100", STATION "tolerance_pct = 101\n", 3, "tolerance_pct", "member_"},
    {"a drop of nothing", STATION "drop_g = 0\n", 3, "drop_g", "member_"},
    {"a per cent below 0", STATION "auto_grow_pct = -1\n", 3, "auto_grow_pct", "member_"},
    {"error_pct of 0", STATION "error_pct = 0\n", 3, "error_pct", "member_"},
    {"check_days of 0", STATION "check_days = 0\n", 3, "check_days", "member_"},
    {"decimal", "[shop]\ndecimal = dot\n", 2, "decimal", "member_choice"},
    {"a language", "[shop]\nlanguage = fr\n", 2, "language", "member_choice"},
    {"a station's language", STATION "language = german\n", 3, "language", "member_choice"},
    {"a currency too long", "[shop]\ncurrency = Sovereigns\n", 2, "currency", "member_too_long"},
    {"data that is not there", "[shop]\ndata = nowhere\n", 2, "data", "file_no_path"},
    {"an HTTP port", "[http]\nport = 99999\n", 2, "port", "member_"},
    {"bind in words", "[http]\nbind = bench.local\n", 2, "bind", "config_bind"},
    {"bind beyond loopback, bare", "[http]\nbind = 0.0.0.0\n", 2, "bind", "config_bind_bare"},
    {"bind beyond loopback without hosts", "[http]\nbind = 0.0.0.0\ntoken_file = poised.ini\n", 2, "bind",
     "config_bind_bare"},
    {"bind beyond loopback without a token", "[http]\nhosts = a\nbind = ::\n", 3, "bind", "config_bind_bare"},
    {"an address that only begins like loopback", "[http]\nbind = 127.0.0.1.example\n", 2, "bind", "config_bind"},
    {"a token file that is not there", "[http]\ntoken_file = nowhere\n", 2, "token_file", "file_no_path"},
    {"hosts with a slash", "[http]\nhosts = http://bench\n", 2, "hosts", "config_host"},
    {"a user that is unknown", "[rights]\nown = user:no-such-user-here\n", 2, "own", "config_rights"},
    {"a name without its kind", "[rights]\npaint = root\nown = user:root\n", 2, "paint", "config_rights"},
    {"a role that is none", "[rights]\nown = user:root\nread = user:root\n", 3, "read", "ini_unknown_key"},
    {"nobody who owns", "[rights]\npaint = user:root\n", 1, "own", "config_rights_nobody"},
    {"a label's size", "[print]\nsize_mm = 62\n", 2, "size_mm", "config_size"},
    {"a label too small", "[print]\nsize_mm = 20x10\n", 2, "size_mm", "config_size"},
    {"a line inih would join", STATION "poll = Q\n  R\n", 4, "", "ini_indented"},
};

static void each_fault_names_line_field_and_what_fixes_it(void **state)
{
    struct place *p = *state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct config c;
        struct file_fault f;
        write_config(p, bad[i].text);
        if (config_read(p->path, &c, &f))
            fail_msg("%s: taken", bad[i].name);
        if (f.line != bad[i].line || strcmp(f.field, bad[i].field) != 0 ||
            strncmp(f.said.code, bad[i].code, strlen(bad[i].code)) != 0 || strcmp(f.file, p->path) != 0)
            fail_msg("%s: got %d: %s: %s", bad[i].name, f.line, f.field, f.why);
        if (!f.why[0] || !f.help[0])
            fail_msg("%s: no words, or nothing that fixes it", bad[i].name);
    }
}

static void a_slip_is_told_as_what_it_is(void **state)
{
    struct place *p = *state;
    static const struct {
        const char *text, *help;
    } rows[] = {
        {STATION "d_g = 0,1\n", "point for the decimals"},
        {STATION "capacity_g = 7500 # from the plate\n", "begins with a space and ;"},
        {STATION "capacity_g = 7500; from the plate\n", "begins with a space and ;"},
        {STATION "profile = auto # finds out\n", "begins with a space and ;"},
        {STATION "capacity_g = 7.5kg\n", "Give a number"},
        {STATION "profile = a b\n", "poise decode --help"},
        {"[station]\nport = pty:/x\n", "[station NAME]"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct config c;
        struct file_fault f;
        write_config(p, rows[i].text);
        assert_false(config_read(p->path, &c, &f));
        if (!strstr(f.help, rows[i].help))
            fail_msg("%s: %s", rows[i].text, f.help);
    }
}

static void all_faults_are_found_at_once(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_faults faults = {0};
    write_config(p, "[shop]\ndecimal = dot\n[station b]\nport = x\nd_g = 0\n[nonsense]\n");
    assert_false(config_read_all(p->path, &c, &faults));
    assert_int_equal(faults.count, 4);
    file_faults_finish(&faults);
}

static void half_of_d_is_still_a_tolerance(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault f;
    write_config(p, STATION "d_g = 0.1\ntolerance_g = 0.05\n");
    assert_true(config_read(p->path, &c, &f));
    write_config(p, STATION "d_g = 0.3\ntolerance_g = 0.15\n"); /* 0.3 / 2 is not 0.15 in double */
    assert_true(config_read(p->path, &c, &f));
}

static void sixteen_stations_and_no_more(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault f;
    char text[2048] = "";
    for (int i = 0; i < STATIONS_MAX + 1; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used, "[station s%d]\nport = pty:/x%d\n", i, i);
    }
    write_config(p, text);
    assert_false(config_read(p->path, &c, &f));
    assert_int_equal(f.line, 2 * STATIONS_MAX + 1);
    assert_int_equal(c.station_count, STATIONS_MAX);
}

static void a_configuration_that_is_not_there_says_so(void **state)
{
    struct place *p = *state;
    struct config c;
    struct file_fault f;
    assert_false(config_read(p->path, &c, &f));
    assert_string_equal(f.file, p->path);
    assert_int_equal(f.line, 0);
}

static const char example[] = "docs/poised.example.ini";

static size_t example_text(char *text, size_t size)
{
    FILE *in = fopen(example, "r");
    assert_non_null(in);
    size_t n = fread(text, 1, size - 1, in);
    text[n] = '\0';
    fclose(in);
    return n;
}

/* By the tables that the file is read with, so that a setting cannot be added without its line. */
static void the_example_passes_and_shows_every_setting(void **state)
{
    (void)state;
    static const struct shape *const shapes[] = {&config_shop_shape,  &config_station_shape, &config_http_shape,
                                                 &config_print_shape, &config_rights_shape,  &config_limits_shape};
    static char text[32768];
    struct config c;
    struct file_fault f;
    if (!config_read(example, &c, &f))
        fail_msg("%s:%d: %s: %s", example, f.line, f.field, f.why);
    assert_string_equal(c.data, ""); /* a shop that copies it must not load the invented paint */
    assert_true(example_text(text, sizeof text) < sizeof text - 1);
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++)
        for (const struct shape_member *m = shapes[i]->members; m->name; m++) {
            char line[64], commented[64];
            snprintf(line, sizeof line, "\n%s = ", m->name);
            snprintf(commented, sizeof commented, "\n; %s = ", m->name);
            if (!strstr(text, line) && !strstr(text, commented))
                fail_msg("%s does not show %s of [%s]", example, m->name, shapes[i]->name);
        }
}

/* What is compared: all but where it was read. */
static void read_without(const struct place *p, const char *text, struct config *out)
{
    struct file_fault f;
    write_config(p, text);
    memset(out, 0, sizeof *out);
    if (!config_read(p->path, out, &f))
        fail_msg("%d: %s: %s", f.line, f.field, f.why);
    memset(out->shop_line, 0, sizeof out->shop_line);
    memset(out->print_line, 0, sizeof out->print_line);
    for (size_t i = 0; i < out->station_count; i++) {
        struct config_station *s = &out->station[i];
        s->profile_line = 0;
        s->language_own = false;
        memset(s->line, 0, sizeof s->line);
    }
}

/* Its first lines say so: a setting has the value that it has when left out, unless the comments on it speak of that.
 */
static void the_example_tells_the_truth_of_what_is_left_out(void **state)
{
    struct place *p = *state;
    static char text[32768], comment[2048], without[32768];
    static struct config whole, other;
    size_t settings = 0;
    example_text(text, sizeof text);
    read_without(p, text, &whole);
    for (char *line = text, *end; (end = strchr(line, '\n')); line = end + 1) {
        size_t len = (size_t)(end - line);
        bool setting = line[0] >= 'a' && line[0] <= 'z';
        if (line[0] != '#')
            snprintf(comment + strlen(comment), sizeof comment - strlen(comment), "%.*s\n", (int)len, line);
        else
            snprintf(comment + strlen(comment), sizeof comment - strlen(comment), "%.*s ", (int)len, line);
        if (setting && !strstr(comment, "eft out") && !strstr(comment, "must be")) {
            memcpy(without, text, sizeof without);
            without[line - text] = '#'; /* its first letter: the line is a comment then */
            read_without(p, without, &other);
            if (memcmp(&whole, &other, sizeof whole) != 0)
                fail_msg("left out it has another value: %.*s", (int)len, line);
            settings++;
        }
        if (line[0] != '#')
            comment[0] = '\0';
    }
    assert_true(settings > 10);
}

static void loopback_is_this_machine(void **state)
{
    (void)state;
    assert_true(config_is_loopback("127.0.0.1"));
    assert_true(config_is_loopback("127.1.2.3"));
    assert_true(config_is_loopback("::1"));
    assert_true(config_is_loopback("localhost"));
    assert_false(config_is_loopback("0.0.0.0"));
    assert_false(config_is_loopback("::"));
    assert_false(config_is_loopback("12.7.0.1"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(what_is_left_out_has_the_contract_s_value, setup, teardown),
        cmocka_unit_test_setup_teardown(every_setting_reaches_its_place, setup, teardown),
        cmocka_unit_test_setup_teardown(a_line_keeps_so_many_days, setup, teardown),
        cmocka_unit_test_setup_teardown(a_station_speaks_its_own_language_or_the_shop_s, setup, teardown),
        cmocka_unit_test_setup_teardown(an_empty_http_section_turns_http_on, setup, teardown),
        cmocka_unit_test_setup_teardown(each_fault_names_line_field_and_what_fixes_it, setup, teardown),
        cmocka_unit_test_setup_teardown(a_slip_is_told_as_what_it_is, setup, teardown),
        cmocka_unit_test_setup_teardown(all_faults_are_found_at_once, setup, teardown),
        cmocka_unit_test_setup_teardown(half_of_d_is_still_a_tolerance, setup, teardown),
        cmocka_unit_test_setup_teardown(sixteen_stations_and_no_more, setup, teardown),
        cmocka_unit_test_setup_teardown(a_configuration_that_is_not_there_says_so, setup, teardown),
        cmocka_unit_test(the_example_passes_and_shows_every_setting),
        cmocka_unit_test_setup_teardown(the_example_tells_the_truth_of_what_is_left_out, setup, teardown),
        cmocka_unit_test(loopback_is_this_machine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
