/* page_scales.c - the shop's scales, and what can be done at one of them. It must not judge a reading. */
#include "client/screen/page.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* What a live scale shows, else why it shows nothing. */
static void scale_text(const struct paint *p, const json_t *scale, char *buf, size_t size)
{
    struct number_style own = p->m->style;
    double d_g = member_number(scale, "d_g"), capacity_g = member_number(scale, "capacity_g");
    int age_ms = (int)json_number_value(json_object_get(scale, "age_ms"));
    const char *profile = member_text(scale, "profile"), *why = member_text(scale, "why");
    char g[NUMBER_ROOM];
    own.d_g = d_g;
    number_weight(&own, member_number(scale, "weight_g"), false, g, sizeof g);
    if (strcmp(member_text(scale, "state"), "live") != 0)
        snprintf(buf, size, "%s%s%s", profile, profile[0] && why[0] ? ", " : "", why);
    else if (isfinite(capacity_g))
        model_text(p->m,
                   say("page.scale_to weight=%s age=%d d_g=%f capacity=%d profile=%s", g, age_ms, d_g, (int)capacity_g,
                       profile),
                   buf, size);
    else
        model_text(p->m, say("page.scale weight=%s age=%d d_g=%f profile=%s", g, age_ms, d_g, profile), buf, size);
}

/* Which scale or port it is, in two rows or more: where it is, what it says or why it says nothing. Rows used. */
static int paint_scale(const struct paint *p, int row, int to, const json_t *scale)
{
    static const char *const states[] = {"page.scale_live", "page.scale_stale", "page.scale_absent",
                                         "page.scale_seeking"};
    const char *station = member_text(scale, "station"), *port = member_text(scale, "port");
    enum scale_state state = SCALE_ABSENT;
    char text[LINE_ROOM];
    int end = p->g->cols - END_PAGE;
    shown_scale_state(member_text(scale, "state"), &state);
    if (station[0])
        end = grid_text_right(p->g, row, end, paint_word(p, states[state]), INK_BOLD) - 2;
    snprintf(text, sizeof text, "%.80s%s%.300s", station, station[0] ? "  " : "", port);
    grid_text(p->g, row, COL_CODE, end - COL_CODE, text, INK_BOLD);
    if (station[0])
        scale_text(p, scale, text, sizeof text);
    else
        snprintf(text, sizeof text, "%s",
                 member_text(scale, "description")[0] ? member_text(scale, "description")
                 : member_text(scale, "why")[0]       ? member_text(scale, "why")
                                                      : paint_word(p, "state.unused"));
    return 1 + paint_wrap(p, row + 1, COL_CODE, p->g->cols - END_PAGE, to - row - 1, text, INK_PLAIN);
}

/* All benches' scales as the daemon last read them, then the ports that none uses; a digit opens one. */
static void paint_scales(const struct paint *p, int from, int to)
{
    const json_t *scale;
    paint_title(p, from, paint_word(p, "page.scales"));
    int row = from + 3;
    for (size_t i = 0; row + 1 < to && (scale = lists_scale(&p->m->lists, i)); i++) {
        paint_digit(p, row, (int)i + 1, i < 9, false);
        row += 1 + paint_scale(p, row, to, scale);
    }
}

/* The last check weight, as far as one was made. */
static void check_text(const struct paint *p, const json_t *check, char *buf, size_t size)
{
    const struct number_style *style = &p->m->style;
    double error_g = member_number(check, "error_g"), zero_g = member_number(check, "zero_g");
    bool passed = json_is_true(json_object_get(check, "passed"));
    char number[NUMBER_ROOM], weight[64], time[CLOCK_DAY], result[LINE_ROOM];
    if (!member_text(check, "time")[0]) {
        snprintf(buf, size, "%s", paint_word(p, "scales.no_check"));
        return;
    }
    snprintf(time, sizeof time, "%.16s", member_text(check, "time"));
    snprintf(result, sizeof result, "%s g", number_plain(style, member_number(check, "grams"), number, sizeof number));
    model_text(p->m, say("scales.check weight=%s time=%s", result, time), buf, size);
    snprintf(weight, sizeof weight, "%s g",
             number_weight(style, isfinite(error_g) ? error_g : zero_g, true, number, sizeof number));
    model_text(p->m,
               !isfinite(error_g) ? say("scales.check_pan zero=%s", weight)
               : passed           ? say("scales.check_good error=%s", weight)
                                  : say("scales.check_off error=%s", weight),
               result, sizeof result);
    size_t n = strlen(buf);
    snprintf(buf + n, size - n, " %.200s", result);
}

/* What the empty pan did, in scale intervals; NULL: not watched. */
static void drift_text(const struct paint *p, const json_t *drift, char *buf, size_t size)
{
    const struct number_style *style = &p->m->style;
    const char *kind = member_text(drift, "drift");
    char number[NUMBER_ROOM];
    buf[0] = '\0';
    if (!drift)
        return;
    if (!kind[0])
        snprintf(buf, size, "%s",
                 member_text(drift, "refused")[0] ? member_text(drift, "refused") : paint_word(p, "check.watching"));
    else if (strcmp(kind, "steady") == 0)
        snprintf(buf, size, "%s", paint_word(p, "check.steady"));
    else if (strcmp(kind, "drift") == 0)
        model_text(p->m,
                   say("check.drift rate=%s",
                       number_fixed(style, member_number(drift, "d_per_min"), 1, true, number, sizeof number)),
                   buf, size);
    else
        model_text(p->m,
                   say("check.draught span=%s",
                       number_fixed(style, member_number(drift, "span_d"), 1, false, number, sizeof number)),
                   buf, size);
}

/* One try of a search: how it was asked or listened to, and what came. */
static void try_text(const struct paint *p, const json_t *one, char *buf, size_t size)
{
    char how[LINE_ROOM], came[LINE_ROOM], time[NUMBER_ROOM + 2], number[NUMBER_ROOM], speed[32] = "";
    const char *question = member_text(one, "question"), *frame = member_text(one, "frame");
    snprintf(time, sizeof time, "%s s",
             number_fixed(&p->m->style, member_number(one, "ms") / 1000, 1, false, number, sizeof number));
    model_text(
        p->m, question[0] ? say("seek.asked question=%s time=%s", question, time) : say("seek.listening time=%s", time),
        how, sizeof how);
    if (member_number(one, "speed") > 0)
        snprintf(speed, sizeof speed, "%.0f baud ", member_number(one, "speed"));
    int bytes = (int)json_integer_value(json_object_get(one, "bytes"));
    snprintf(came, sizeof came, "%s", paint_word(p, "seek.nothing"));
    if (bytes > 0)
        model_text(p->m, say("seek.bytes count=%d", bytes), came, sizeof came);
    snprintf(buf, size, "%s%s%.200s: %.100s %.250s", speed, frame, how[0] == ',' && !frame[0] ? how + 2 : how, came,
             member_text(one, "came"));
}

/* The last try first: it is the one that found the scale, or the last that did not. Rows used. */
static int paint_tried(const struct paint *p, int row, int to, const json_t *tried)
{
    int used = 0, end = p->g->cols - END_PAGE;
    for (size_t i = json_array_size(tried); i-- > 0 && row + used < to;) {
        char text[LINE_ROOM * 2];
        try_text(p, json_array_get(tried, i), text, sizeof text);
        used += paint_wrap(p, row + used, COL_CODE, end, to - row - used, text, INK_DIM);
    }
    return used;
}

/* What a port speaks, as lines for the configuration. Rows used. */
static int paint_seek(const struct paint *p, int row, int to, const json_t *seek)
{
    const char *line = member_text(seek, "section"), *why = member_text(seek, "why");
    int end = p->g->cols - END_PAGE, used = 0;
    if (!seek || row >= to)
        return 0;
    if (!json_is_true(json_object_get(seek, "found"))) {
        const char *refused = member_text(seek, "refused");
        const char *text = refused[0]                       ? refused
                           : json_object_get(seek, "found") ? why
                                                            : paint_word(p, "page.scale_seeking");
        used = paint_wrap(p, row, COL_CODE, end, to - row, text[0] ? text : paint_word(p, "seek.nothing"), INK_PLAIN);
        return used + paint_tried(p, row + used, to, json_object_get(seek, "tried"));
    }
    for (; *line && row + used < to; used++) {
        char text[LINE_ROOM];
        int n = (int)strcspn(line, "\n");
        snprintf(text, sizeof text, "%.*s", n, line);
        grid_text(p->g, row + used, COL_CODE, end - COL_CODE, text, INK_BOLD);
        line += n + (line[n] == '\n');
    }
    used += paint_wrap(p, row + used, COL_CODE, end, to - row - used, paint_word(p, "page.into_the_file"), INK_DIM);
    return used + paint_tried(p, row + used, to, json_object_get(seek, "tried"));
}

/* One scale: how it stands, its last check weight, what came of a watch or a search, and what can be done. */
static void paint_one(const struct paint *p, int from, int to)
{
    const json_t *scale = lists_scale(&p->m->lists, p->m->view.scale);
    char text[LINE_ROOM];
    int end = p->g->cols - END_PAGE, menu = 0;
    paint_title(p, from, paint_word(p, "menu.scales"));
    int row = from + 2;
    row += paint_scale(p, row, to, scale);
    if (member_text(scale, "sent")[0] && row < to) {
        model_text(p->m, say("page.scale_sent sent=%s", member_text(scale, "sent")), text, sizeof text);
        row += paint_wrap(p, row, COL_CODE, end, to - row, text, INK_PLAIN);
    }
    if (member_text(scale, "station")[0] && row < to) {
        check_text(p, json_object_get(scale, "check"), text, sizeof text);
        row += paint_wrap(p, row, COL_CODE, end, 2, text, INK_PLAIN);
    }
    const json_t *doubt = json_object_get(scale, "doubt");
    for (size_t i = 0; i < json_array_size(doubt) && row < to; i++)
        row += paint_wrap(p, row, COL_CODE, end, 2, model_told(p->m, json_array_get(doubt, i), text, sizeof text),
                          INK_PLAIN);
    drift_text(p, p->m->lists.answer[LIST_DRIFT], text, sizeof text);
    for (int digit = 1; digit <= 3; digit++)
        menu += menu_line(p->m, digit).there;
    if (text[0] && row < to - menu)
        row += paint_wrap(p, row, COL_CODE, end, to - menu - row, text, INK_BOLD);
    row += paint_seek(p, row, to - menu, p->m->lists.answer[LIST_SEEK]);
    paint_menu(p, row, to);
}

/* A check weight: what the hand must do, the weight as it is now; once it is done, how the scale did. */
static void paint_check(const struct paint *p, int from, int to)
{
    const json_t *check = p->m->lists.answer[LIST_CHECK];
    char text[LINE_ROOM], g[NUMBER_ROOM];
    int end = p->g->cols - END_PAGE;
    bool done = strcmp(member_text(check, "next"), "done") == 0;
    paint_title(p, from, paint_word(p, "page.check_weight"));
    model_sentence(p->m, shown_object(check, "said"), text, sizeof text);
    int row = from + 3 + paint_wrap(p, from + 3, COL_CODE, end, to - from - 3, text, INK_BOLD);
    if (done || row + 1 >= to)
        return;
    if (p->life == LIFE_LIVE)
        snprintf(text, sizeof text, "%s g", number_weight(&p->m->style, p->m->weight.g, false, g, sizeof g));
    grid_text(p->g, row + 1, COL_CODE, end - COL_CODE, p->life == LIFE_LIVE ? text : paint_word(p, "page.no_weight"),
              INK_BOLD);
}

void page_scales(const struct paint *p, int from, int to)
{
    if (p->m->view.page == PAGE_SCALES)
        paint_scales(p, from, to);
    else if (p->m->view.page == PAGE_SCALE)
        paint_one(p, from, to);
    else
        paint_check(p, from, to);
}
