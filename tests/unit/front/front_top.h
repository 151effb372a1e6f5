/* front_top.h - a bench of bench_top.h as its front sees it, for the tests of what is shown. */
#pragma once

#include "front/front.h"
#include "tests/unit/station/bench_top.h"
#include "text/words.h"

static const struct bench_part two[] = {{"N10", 60, PART_COLOUR, 0}, {"K01", 40, PART_COLOUR, 0}};

static inline struct front front_of(const struct bench_top *t, bool settled)
{
    return (struct front){.station = "bench",
                          .revision = 7,
                          .batch = &t->batch,
                          .track = &t->track,
                          .cue = front_resting_cue(&t->batch, &t->track),
                          .settled = settled,
                          .wall_ms = 1800000000000LL,
                          .d_g = 0.01,
                          .currency = "EUR"};
}

static inline json_t *at(const json_t *o, const char *name)
{
    return json_object_get(o, name);
}

static inline void has_words(const json_t *said)
{
    const struct words_row *row = words_find(json_string_value(at(said, "code")));
    if (!row || !words_text(row, WORDS_EN)[0] || !words_text(row, WORDS_DE)[0])
        fail_msg("no words for %s", json_string_value(at(said, "code")));
}
