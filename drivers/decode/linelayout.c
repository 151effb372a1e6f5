/* linelayout.c - reads a line by what a profile says of it, and says what a profile lacks or contradicts. It knows
 * words and their order, and no file: profile.c fills the struct. */
#include "drivers/decode/linelayout.h"

#include "drivers/decode/text.h"

#include <string.h>

/* Where `mark` stands first at or after `from`; len where it does not. */
static size_t find(const uint8_t *buf, size_t len, size_t from, const char *mark)
{
    size_t size = strlen(mark);
    for (; from + size <= len; from++) {
        if (memcmp(buf + from, mark, size) == 0)
            return from;
    }
    return len;
}

/* A frame begins at its start mark, or where the one before ended. A line that is too long is skipped whole,
 * as its tail would pass for a frame. */
size_t line_frame(const struct scale_line *line, const uint8_t *buf, size_t len, size_t *skip)
{
    size_t from = 0;
    for (;;) {
        if (line->start[0])
            from = find(buf, len, from, line->start);
        else
            while (from < len && (buf[from] == 0 || buf[from] == '\r' || buf[from] == '\n'))
                from++; /* filler, and the other half of a line end */
        *skip = from;
        size_t end = find(buf, len, from, line->delimiter);
        if (end == len) {
            /* A start mark may be cut in two: keep its first bytes. */
            size_t part = line->start[0] ? strlen(line->start) - 1 : 0;
            if (part > 0 && from == len)
                *skip = len > part ? len - part : 0;
            return 0;
        }
        size_t whole = end + strlen(line->delimiter) - from;
        if (whole <= SCALE_FRAME_MAX)
            return whole;
        from = end + strlen(line->delimiter);
    }
}

/* Both in any mixture, since many scales put a comma and pad with blanks. */
static void skip_between(struct text *t, const char *separators)
{
    while (text_skip_spaces(t) > 0 || (separators[0] && text_take_any(t, separators)))
        ;
}

/* `S` and `ST` may both be words of one list: the shorter must not win. */
/* The longest of the words. */
static bool take_words(struct text *t, const struct line_words *words)
{
    size_t best = LINE_WORDS;
    for (size_t i = 0; i < words->count; i++) {
        struct text probe = *t;
        if (text_take(&probe, words->word[i]) &&
            (best == LINE_WORDS || strlen(words->word[i]) > strlen(words->word[best])))
            best = i;
    }
    return best < LINE_WORDS && text_take(t, words->word[best]);
}

/* A word in place of a weight, or of a mark. What stands there is then no weight, so it counts as moving. */
static bool take_off_scale(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    if (take_words(t, &line->over))
        out->status = SCALE_OVER;
    else if (take_words(t, &line->under))
        out->status = SCALE_UNDER;
    else if (take_words(t, &line->error))
        out->status = SCALE_ERROR;
    else
        return false;
    out->stability = SCALE_MOVING;
    return true;
}

/* A status word may stand in the mark's place. Without any word what counts is which of the two may be left out. */
static bool take_mark(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    const uint8_t *from = t->at;
    if (take_off_scale(t, line, out))
        return true;
    bool said_moving = !take_words(t, &line->stable) && take_words(t, &line->moving);
    bool said_stable = t->at != from && !said_moving;
    if (said_stable || (!said_moving && line->stable.blank))
        out->stability = SCALE_STABLE;
    else if (said_moving || line->moving.blank)
        out->stability = SCALE_MOVING;
    else
        return false;
    return true;
}

/* No word is right only where the profile says that one of them may be left out. */
static bool take_kind(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    if (take_words(t, &line->net))
        out->kind = SCALE_KIND_NET;
    else if (take_words(t, &line->gross))
        out->kind = SCALE_KIND_GROSS;
    else if (take_words(t, &line->tare))
        out->kind = SCALE_KIND_TARE;
    else
        return line->net.blank || line->gross.blank || line->tare.blank;
    return true;
}

/* A spelling of the profile's own, else the unit's usual name; a missing one where the profile knows what it then is.
 */
static bool take_unit(struct text *t, const struct scale_line *line, struct scale_reading *out)
{
    for (int i = SCALE_UNIT_G; i <= SCALE_UNIT_PCS; i++) {
        if (take_words(t, &line->unit[i])) {
            out->unit = (enum scale_unit)i;
            return true;
        }
    }
    return text_take_unit(t, &out->unit) || line->unit_tells_stability || line->unit_unsaid != SCALE_UNIT_NONE ||
           out->status != SCALE_OK;
}

/* One word of the order. True also where nothing is taken, if nothing may stand there. */
static bool take_part(struct text *t, const struct scale_line *line, enum line_part part, bool *negative,
                      struct scale_reading *out)
{
    switch (part) {
    case LINE_SIGN:
        *negative = text_peek(t) == '-';
        text_take_any(t, "+-");
        return true;
    case LINE_VALUE:
        return take_off_scale(t, line, out) || text_take_number(t, TEXT_SIGN_MAY, line->point, out->digits) ||
               out->status != SCALE_OK;
    case LINE_UNIT:
        return take_unit(t, line, out);
    case LINE_MARK:
        return take_mark(t, line, out);
    case LINE_KIND:
        return take_kind(t, line, out);
    case LINE_SKIP:
        break;
    }
    while (text_left(t) > 0 && *t->at != ' ' && !strchr(line->separators, *t->at))
        t->at++;
    return true;
}

/* Puts together what the parts have said: a sign that stood apart, a unit left out, a status without digits. */
static bool settle(const struct scale_line *line, bool negative, struct scale_reading *out)
{
    if (out->status != SCALE_OK) {
        out->digits[0] = '\0';
        return true;
    }
    if (line->unit_tells_stability && out->stability == SCALE_STABILITY_UNKNOWN)
        out->stability = out->unit == SCALE_UNIT_NONE ? SCALE_MOVING : SCALE_STABLE;
    if (out->unit == SCALE_UNIT_NONE)
        out->unit = line->unit_unsaid;
    if (!negative)
        return out->digits[0] != '\0';
    /* A minus of its own before a number with a minus: two signs, so one was not what the profile says. */
    char unsigned_digits[SCALE_DIGITS];
    memcpy(unsigned_digits, out->digits, sizeof unsigned_digits);
    return unsigned_digits[0] != '-' && text_write_digits(true, unsigned_digits, strlen(unsigned_digits), out->digits);
}

/* Every part in its order, separators between, nothing left over: else the line is another family's. */
bool line_decode(const struct scale_line *line, const uint8_t *frame, size_t len, struct scale_reading *out)
{
    size_t before = strlen(line->start);
    size_t after = strlen(line->delimiter);
    if (len < before + after)
        return false;
    struct text t = text_of(frame + before, len - before - after);
    bool negative = false;
    for (size_t i = 0; i < line->parts; i++) {
        skip_between(&t, line->separators);
        if (!take_part(&t, line, line->order[i], &negative, out))
            return false;
    }
    skip_between(&t, line->separators);
    return text_left(&t) == 0 && settle(line, negative, out);
}

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

/* Without an end no line is ever whole. */
static bool has_no_end(const struct scale_line *line)
{
    return line->delimiter[0] == '\0';
}

/* Without an order nothing is looked for in it, and every line would be refused. */
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

/* The same two for the kind: a place without words, and words without a place. */
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
    {has_no_end, "delimiter", "profile_no_end"},        {has_no_order, "order", "profile_no_order"},
    {has_a_part_twice, "order", "profile_part_twice"},  {has_an_empty_mark, "order", "profile_mark_empty"},
    {lacks_its_mark, "order", "profile_mark_missing"},  {has_an_empty_kind, "order", "profile_kind_empty"},
    {lacks_its_kind, "order", "profile_kind_missing"},  {lacks_its_unit, "unit", "profile_unit_missing"},
    {has_marks_alike, "stable", "profile_marks_alike"}, {has_kinds_alike, "net", "profile_kinds_alike"},
    {has_units_alike, "unit", "profile_units_alike"},   {skips_what_counts, "separators", "profile_skips"},
};

const struct profile_gap *profile_gap_of(const struct scale_line *line)
{
    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++) {
        if (gaps[i].is(line))
            return &gaps[i];
    }
    return NULL;
}
