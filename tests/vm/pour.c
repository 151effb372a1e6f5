/* pour.c - a batch from cup to record, as far as a story needs it. */
#include "tests/vm/stories.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

void begin_with_cup(struct machine *m, enum machine_line line)
{
    painter_weigh(m, line, 0); /* what an earlier story left there would make the cup a doubtful one */
    painter_act(m, line, "batch.begin", json_pack("{s:s, s:i}", "formula", "TI-207", "grams", 100));
    assert_string_equal("cup", painter_text(m, line, "state"));
    painter_weigh(m, line, CUP_G);
    painter_act(m, line, "batch.accept", NULL);
    assert_string_equal("pour", painter_text(m, line, "state"));
}

void pour_step(struct machine *m, enum machine_line line)
{
    double step = painter_number(m, line, NULL, "step");
    double shows = round(painter_number(m, line, "now", "scale_shows_g") * 100) / 100;
    double aim = painter_number(m, line, "now", "aim_g");
    painter_pour(m, line, shows);
    painter_act(m, line, "batch.accept", NULL);
    assert_near(aim, painter_poured(m, line, (size_t)step - 1), 0.05);
}

void finish(struct machine *m, enum machine_line line)
{
    char batch[32];
    snprintf(batch, sizeof batch, "%s", painter_text(m, line, "batch"));
    for (int steps = 0; steps < 8 && strcmp(painter_text(m, line, "state"), "pour") == 0; steps++)
        pour_step(m, line);
    assert_string_equal("done", painter_text(m, line, "state"));
    painter_act(m, line, "batch.finish", NULL);
    json_t *record = json_object_get(machine_call(m, "batch.get", json_pack("{s:s}", "batch", batch)), "result");
    assert_string_equal("finished", json_string_value(json_object_get(record, "state")));
    json_t *first = json_array_get(json_object_get(record, "parts"), 0);
    /* 212 of 276.7 parts; 0.05 g is the station's tolerance. */
    assert_near(100 * 212.0 / 276.7, json_number_value(json_object_get(first, "poured_g")), 0.05);
}

/* What the scale shows with this share of the second step in the cup; to the 0.01 g that it weighs. */
static double shows_at(const struct half_pour *half, double share)
{
    return round((half->shows_g - (1 - share) * half->aim_g) * 100) / 100;
}

struct half_pour pour_half(struct machine *m, enum machine_line line)
{
    begin_with_cup(m, line);
    pour_step(m, line);
    struct half_pour half = {.first_g = painter_poured(m, line, 0),
                             .revision = painter_number(m, line, NULL, "revision"),
                             .shows_g = painter_number(m, line, "now", "scale_shows_g"),
                             .aim_g = painter_number(m, line, "now", "aim_g")};
    painter_pour(m, line, shows_at(&half, 0.5));
    m->station[line].seen_count = 0;
    return half;
}

void poured_on(struct machine *m, enum machine_line line, const struct half_pour *half)
{
    double now_g = shows_at(half, 0.75);
    painter_weigh(m, line, now_g);
    painter_look(m, line);
    assert_near(half->first_g, painter_poured(m, line, 0), 0);
    assert_near(half->revision, painter_number(m, line, NULL, "revision"), 0);
    assert_near(half->aim_g / 4, painter_number(m, line, "now", "to_go_g"), 0.011);
    assert_near(now_g - CUP_G - half->first_g, painter_number(m, line, "now", "in_cup_g"), 0.011);
}
