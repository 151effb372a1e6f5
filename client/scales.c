/* scales.c - `poise scales`: the benches' scales as they are now, and the ports that wait for one. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/figure.h"
#include "client/member.h"
#include "client/output.h"
#include "client/table.h"
#include "client/when.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* `bench  live  123.4 g stable, 41 ms old`: a line of 80 columns has no room for more, a port's name being long. */
static void print_weight(const struct poise_options *opt, const json_t *s)
{
    const json_t *stable = json_object_get(s, "stable");
    table_say(member_text(s, "station"), opt->style.utf8, stdout);
    printf("  %s", member_text(s, "state"));
    bool live = strcmp(member_text(s, "state"), "live") == 0; /* what is not live must not look like a weight */
    if (live && isfinite(member_number(s, "weight_g"))) {
        int decimals = figure_decimals(member_number(s, "d_g"));
        printf("  %s%s", figure_of(member_number(s, "weight_g"), decimals, "g", opt->style).text,
               json_is_true(stable)    ? " stable"
               : json_is_false(stable) ? " moving"
                                       : "");
        printf(", %s", figure_of(member_number(s, "age_ms"), 0, "ms old", opt->style).text);
    }
    fputc('\n', stdout);
}

/* `hdr2 at /dev/serial/by-id/..., d 0.1 g, up to 3000 g` */
static void print_port(const struct poise_options *opt, const json_t *s)
{
    double capacity = member_number(s, "capacity_g");
    printf("    %s at ", member_text(s, "profile"));
    table_say(member_text(s, "port"), opt->style.utf8, stdout);
    printf(", d %s", figure_plain(member_number(s, "d_g"), "g", opt->style).text);
    if (isfinite(capacity))
        printf(", up to %s", figure_plain(capacity, "g", opt->style).text);
    fputc('\n', stdout);
}

/* `good`, or what was beyond the tolerance. */
static void print_check(const struct poise_options *opt, const json_t *check, int decimals)
{
    double error = member_number(check, "error_g"), zero = member_number(check, "zero_g");
    printf("check weight %s on %.16s, ", figure_plain(member_number(check, "grams"), "g", opt->style).text,
           when_of(member_text(check, "time")).text);
    if (json_is_true(json_object_get(check, "passed")))
        printf("%s off, good", figure_signed(error, decimals, "g", opt->style).text);
    else if (fabs(zero) > fabs(error))
        printf("FAILED: the empty pan came back at %s", figure_signed(zero, decimals, "g", opt->style).text);
    else
        printf("FAILED: %s off", figure_signed(error, decimals, "g", opt->style).text);
    double days = member_number(check, "due_days");
    if (days > 0)
        printf("; none for %.0f day%s", days, days < 2 ? "" : "s");
    fputc('\n', stdout);
}

/* A bench: what its scale shows or what is wrong with it, where it is, and its last check weight. */
static void print_scale(const struct poise_options *opt, const json_t *s)
{
    const json_t *check = json_object_get(s, "check");
    const char *why = member_text(s, "why");
    print_weight(opt, s);
    if (*why) {
        fputs("    ", stdout);
        table_say(why, opt->style.utf8, stdout);
        fputc('\n', stdout);
    }
    print_port(opt, s);
    fputs("    ", stdout);
    if (json_is_object(check))
        print_check(opt, check, figure_decimals(member_number(s, "d_g")));
    else
        puts("no check weight yet");
}

/* Ports of the machine that no station names, with why they cannot be used where that is so. */
static void ports(const struct poise_options *opt, const json_t *list)
{
    struct table t;
    size_t i;
    const json_t *p;
    if (json_array_size(list) == 0)
        return;
    puts("\nports that no station uses (poise seek PORT finds out what is there)");
    table_init(&t, "llll", opt->style.utf8);
    json_array_foreach(list, i, p)
    {
        const char *device = member_text(p, "device"), *port = member_text(p, "port");
        table_row(&t, (const char *const[]){port, strcmp(device, port) == 0 ? "" : device,
                                            member_text(p, "description"), member_text(p, "why")});
    }
    table_print(&t, "  ", stdout);
    table_finish(&t);
}

static void ports_as_json(const json_t *list)
{
    size_t i;
    const json_t *p;
    json_array_foreach(list, i, p)
    {
        json_t *row = json_copy((json_t *)(uintptr_t)p);
        json_object_set_new(row, "station", json_null());
        json_object_set_new(row, "state", json_string("unused"));
        output_json(row);
        json_decref(row);
    }
}

int command_scales(struct poise_options *opt)
{
    struct ask a;
    json_t *answer = NULL;
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_call(&a, "scale.list", json_pack("{s:b}", "ports", 1), &answer);
    if (code == 0 && opt->json) {
        output_items(member_list(answer, "scales"));
        ports_as_json(member_list(answer, "ports"));
    } else if (code == 0) {
        size_t i;
        const json_t *s;
        ask_style(&a);
        json_array_foreach(member_list(answer, "scales"), i, s) print_scale(opt, s);
        if (json_array_size(member_list(answer, "scales")) == 0)
            puts("no station: put a [station NAME] section into poised.ini");
        ports(opt, member_list(answer, "ports"));
    }
    json_decref(answer);
    ask_close(&a);
    return code;
}
