/* profilegap.c - what a declared line lacks or contradicts, as one table of questions. It knows no file and no keys but
 * their names, which go into the message. */
#include "drivers/decode/profilegap.h"

#include <string.h>

/* How often a part stands in the order. */
static size_t times(const struct scale_line *line, enum line_part part)
{
    size_t n = 0;
    for (size_t i = 0; i < line->parts; i++)
        n += line->order[i] == part;
    return n;
}

/* `blank` is something too: then the absence of the word is what speaks. */
static bool says_something(const struct line_words *words)
{
    return words->count > 0 || words->blank;
}

/* Exactly this word, in its own case. */
static bool holds(const struct line_words *words, const char *word)
{
    for (size_t i = 0; i < words->count; i++) {
        if (strcmp(words->word[i], word) == 0)
            return true;
    }
    return false;
}

/* Two lists may not both claim that nothing stands there, either. */
static bool share_a_word(const struct line_words *a, const struct line_words *b)
{
    for (size_t i = 0; i < a->count; i++) {
        if (holds(b, a->word[i]))
            return true;
    }
    return a->blank && b->blank;
}

/* Some two of the lists have a word in common. */
static bool clash(const struct line_words *const lists[], size_t count)
{
    for (size_t i = 0; i < count; i++) {
        for (size_t j = i + 1; j < count; j++) {
            if (share_a_word(lists[i], lists[j]))
                return true;
        }
    }
    return false;
}

static bool has_no_end(const struct scale_line *line)
{
    return line->delimiter[0] == '\0';
}

static bool has_no_order(const struct scale_line *line)
{
    return line->parts == 0;
}

/* A sign taken twice would lose the first. */
static bool has_a_part_twice(const struct scale_line *line)
{
    for (int part = LINE_SIGN; part < LINE_SKIP; part++) {
        if (times(line, (enum line_part)part) > 1)
            return true;
    }
    return false;
}

/* The marks and the part that carries them need each other: one without the other would never be read. */
static bool tells_motion(const struct scale_line *line)
{
    return says_something(&line->stable) || says_something(&line->moving);
}

static bool tells_kind(const struct scale_line *line)
{
    return says_something(&line->net) || says_something(&line->gross) || says_something(&line->tare);
}

/* A mark in the order, but no word for it: every line would be refused. */
static bool has_an_empty_mark(const struct scale_line *line)
{
    return times(line, LINE_MARK) > 0 && !tells_motion(line);
}

/* Words for a mark, but no place for it: they would never be read. */
static bool lacks_its_mark(const struct scale_line *line)
{
    return times(line, LINE_MARK) == 0 && tells_motion(line);
}

static bool has_an_empty_kind(const struct scale_line *line)
{
    return times(line, LINE_KIND) > 0 && !tells_kind(line);
}

static bool lacks_its_kind(const struct scale_line *line)
{
    return times(line, LINE_KIND) == 0 && tells_kind(line);
}

/* A unit left out can only be seen where a unit is looked for. */
static bool lacks_its_unit(const struct scale_line *line)
{
    return line->unit_tells_stability && times(line, LINE_UNIT) == 0;
}

/* The lists are read in turn, so the second of two would never be reached. */
static bool has_marks_alike(const struct scale_line *line)
{
    const struct line_words *const lists[] = {&line->stable, &line->moving, &line->over, &line->under, &line->error};
    return clash(lists, 5);
}

/* Net taken for gross moves every weight by the tare. */
static bool has_kinds_alike(const struct scale_line *line)
{
    const struct line_words *const lists[] = {&line->net, &line->gross, &line->tare};
    return clash(lists, 3);
}

/* Kilograms taken for grams move it by a thousand. */
static bool has_units_alike(const struct scale_line *line)
{
    const struct line_words *lists[SCALE_UNIT_PCS];
    for (size_t i = 0; i < SCALE_UNIT_PCS; i++)
        lists[i] = &line->unit[i + SCALE_UNIT_G];
    return clash(lists, SCALE_UNIT_PCS);
}

/* What may stand between words is skipped before the value too: a minus or a point would be lost with it. */
static bool skips_what_counts(const struct scale_line *line)
{
    return strpbrk(line->separators, "+-0123456789") || strchr(line->separators, line->point);
}

/* In the order of a person who fixes one after the other: what is missing first, then what clashes. */
static const struct profile_gap gaps[] = {
    {has_no_end, "delimiter", "missing", "What ends a line, such as `delimiter = \\r\\n`."},
    {has_no_order, "order", "missing", "Such as `order = mark sign value unit`."},
    {has_a_part_twice, "order", "a word stands in it twice", "Each of them once, but for `skip`."},
    {has_an_empty_mark, "order", "a mark that means nothing", "Give `stable` or `moving`."},
    {lacks_its_mark, "order", "`stable` and `moving` need a mark", "Put `mark` where it stands in the line."},
    {has_an_empty_kind, "order", "a kind that means nothing", "Give `net`, `gross` or `tare`."},
    {lacks_its_kind, "order", "`net`, `gross` and `tare` need a kind", "Put `kind` where it stands in the line."},
    {lacks_its_unit, "unit", "`blank_moving` needs a unit", "Put `unit` in the order where it stands in the line."},
    {has_marks_alike, "stable", "one word says two things", "Give each word to one of stable moving over under error."},
    {has_kinds_alike, "net", "one word says two things", "Give each word to one of net gross tare."},
    {has_units_alike, "unit", "one word names two units", "Give each spelling to one unit."},
    {skips_what_counts, "separators", "a sign, a digit or the point would be skipped",
     "Take it out of the separators."},
};

const struct profile_gap *profile_gap_of(const struct scale_line *line)
{
    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++) {
        if (gaps[i].is(line))
            return &gaps[i];
    }
    return NULL;
}
