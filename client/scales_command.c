/* scales_command.c - `poise scales`: the benches' scales as they are now, and the ports that wait for one. It must
 * not know why a scale says nothing: the daemon tells it as a said. A bench has two to four lines: what the scale
 * shows, what ails it, where it is and what it is, its last check weight. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/table.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

/* `bench  live  123.4 g stable, 41 ms old`: a line of 80 columns has no room for more, a port's name being long. The
 * age is that of the reading when the daemon answered: more than a few hundred ms says that the scale sends seldom. */
static void print_weight(const struct poise_options *opt, const json_t *s)
{
    const json_t *stable = json_object_get(s, "stable");
    output_text(member_text(s, "station"), opt->style, stdout);
    fputs("  ", stdout);
    output_text(wording_fixed(opt->style, "state", member_text(s, "state")), opt->style, stdout);
    bool live = strcmp(member_text(s, "state"), "live") == 0; /* what is not live must not look like a weight */
    if (live && isfinite(member_number(s, "weight_g"))) {
        int decimals = number_decimals(member_number(s, "d_g"));
        struct figure weight = figure_of(member_number(s, "weight_g"), decimals, "g", opt->style);
        struct figure age = figure_of(member_number(s, "age_ms"), 0, "ms", opt->style);
        fputs("  ", stdout);
        output_say(opt->style, stdout,
                   json_is_true(stable)    ? "scales.stable weight=%s age=%s"
                   : json_is_false(stable) ? "scales.moving weight=%s age=%s"
                                           : "scales.weight weight=%s age=%s",
                   weight.text, age.text);
    }
    fputc('\n', stdout);
}

/* `hdr2 at /dev/serial/by-id/..., d 0.1 g, up to 3000 g`. The port's name may be 70 characters long, so it has a
 * line of its own. */
static void print_port(const struct poise_options *opt, const json_t *s)
{
    double capacity = member_number(s, "capacity_g");
    fputs("    ", stdout);
    output_say(opt->style, stdout, "scales.port profile=%s port=%s reads=%s", member_text(s, "profile"),
               member_text(s, "port"), figure_plain(member_number(s, "d_g"), "g", opt->style).text);
    if (isfinite(capacity))
        output_say(opt->style, stdout, "scales.capacity capacity=%s", figure_plain(capacity, "g", opt->style).text);
    fputc('\n', stdout);
}

/* `good`, or what was beyond the tolerance. What was further out is told: an error at the weight, or an empty pan
 * that did not come back to 0. `due` counts days to the next check; 0 and below, the daemon's trouble says it. */
static void print_check(const struct poise_options *opt, const json_t *check, int decimals)
{
    struct output_style style = opt->style;
    double error = member_number(check, "error_g"), zero = member_number(check, "zero_g");
    double days = member_number(check, "due_days");
    output_say(style, stdout, "scales.check weight=%s time=%s",
               figure_plain(member_number(check, "grams"), "g", style).text,
               figure_minute(member_text(check, "time")).text);
    fputc(' ', stdout);
    if (json_is_true(json_object_get(check, "passed")))
        output_say(style, stdout, "scales.check_good error=%s", figure_signed(error, decimals, "g", style).text);
    else if (fabs(zero) > fabs(error))
        output_say(style, stdout, "scales.check_pan zero=%s", figure_signed(zero, decimals, "g", style).text);
    else
        output_say(style, stdout, "scales.check_off error=%s", figure_signed(error, decimals, "g", style).text);
    if (days > 0)
        output_say(style, stdout, "scales.check_due days=%d", (int)days);
    fputc('\n', stdout);
}

/* The sentence of a port's trouble, from its said. */
static struct wording why_of(const struct poise_options *opt, const json_t *s)
{
    return wording_said(opt->style, json_object_get(s, "said"), member_text(s, "why"));
}

/* A bench: what its scale shows or what is wrong with it, where it is, and its last check weight. */
static void print_scale(const struct poise_options *opt, const json_t *s)
{
    const json_t *check = json_object_get(s, "check");
    struct wording why = why_of(opt, s);
    print_weight(opt, s);
    if (*why.text) {
        fputs("    ", stdout);
        output_text(why.text, opt->style, stdout);
        fputc('\n', stdout);
    }
    print_port(opt, s);
    fputs("    ", stdout);
    if (json_is_object(check))
        print_check(opt, check, number_decimals(member_number(s, "d_g")));
    else
        output_line(opt->style, "scales.no_check");
}

/* Ports of the machine that no station names, with why they cannot be used where that is so. A name under
 * /dev/serial/by-id and the device behind it: the first is for the configuration, the second for the person who
 * pulled the cable. */
static void ports(const struct poise_options *opt, const json_t *list)
{
    struct table t;
    size_t i;
    const json_t *p;
    if (json_array_size(list) == 0)
        return;
    fputc('\n', stdout);
    output_line(opt->style, "scales.unused");
    table_init(&t, "llll", opt->style);
    json_array_foreach(list, i, p)
    {
        const char *device = member_text(p, "device"), *port = member_text(p, "port");
        table_row(&t, (const char *const[]){port, strcmp(device, port) == 0 ? "" : device,
                                            member_text(p, "description"), why_of(opt, p).text});
    }
    table_print(&t, "  ", stdout);
    table_finish(&t);
}

/* A copy: the answer is still owned by the caller, and a port gets the members a bench has. */
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

/* Scales first, since they answer `is my bench all right`; ports after them answer `where is the new one`. A shop
 * without a bench yet is exit 1, its ports are shown all the same. */
static int show_scales(struct ask *a, const json_t *answer)
{
    size_t i;
    const json_t *s, *scales = member_list(answer, "scales");
    if (a->opt->json) {
        output_items(scales);
        ports_as_json(member_list(answer, "ports"));
    } else {
        json_array_foreach(scales, i, s) print_scale(a->opt, s);
        ports(a->opt, member_list(answer, "ports"));
    }
    return json_array_size(scales) > 0 ? 0 : failure_say(a->opt->style, FAILURE_NOTHING_FOUND, a->what, "station_none");
}

/* Looking for ports opens none of them, so no scale is disturbed in a pour. */
int command_scales(struct poise_options *opt)
{
    return ask_show(opt, "scale.list", json_pack("{s:b}", "ports", 1), show_scales);
}
