/* note.c - a weight note's members, out of its line or its JSON. It must not know what a weight is shown as. */
#include "client/screen/note.h"

#include <math.h>
#include <string.h>

/* What a line of it begins with; the members follow. */
static const char head[] = "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{";

enum { WORD = 16, DIGITS = 15 }; /* a double holds so many digits exactly, so a division by a power of ten is right */

/* One scalar: a number, or the name that stands there (`true`, `null`, a text without its signs). */
struct scalar {
    bool number;
    double value;
    char word[WORD];
};

/* Nothing is known yet. */
static void none(struct weighing *w)
{
    double nan = (double)NAN;
    *w = (struct weighing){.g = nan, .age_ms = nan, .to_go_g = nan, .in_cup_g = nan, .landing_g = nan};
}

/* What each member means; others mean nothing here. */
static void keep(struct weighing *w, const char *name, size_t len, const struct scalar *s)
{
    static const char *const numbers[] = {"weight_g", "age_ms", "to_go_g", "in_cup_g", "landing_g"};
    double *const to[] = {&w->g, &w->age_ms, &w->to_go_g, &w->in_cup_g, &w->landing_g};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (strlen(numbers[i]) == len && memcmp(numbers[i], name, len) == 0) {
            *to[i] = s->number ? s->value : (double)NAN;
            w->pours = w->pours || to[i] == &w->to_go_g;
            return;
        }
    if (len == 5 && memcmp(name, "state", len) == 0)
        w->has_state = shown_scale_state(s->word, &w->state);
    else if (len == 3 && memcmp(name, "cue", len) == 0)
        shown_cue(s->word, &w->cue);
    else if (len == 7 && memcmp(name, "settled", len) == 0)
        w->settled = strcmp(s->word, "true") == 0;
}

/* [-]digits[.digits]. NULL: more than a double holds, or written otherwise. */
static const char *number_at(const char *at, const char *end, struct scalar *s)
{
    double scale = 1;
    bool minus = *at == '-', point = false;
    int digits = 0;
    s->number = true;
    s->value = 0;
    for (at += minus; at < end && ((*at >= '0' && *at <= '9') || (*at == '.' && !point)); at++) {
        if (*at == '.') {
            point = true;
            continue;
        }
        s->value = s->value * 10 + (*at - '0');
        scale *= point ? 10 : 1;
        if (++digits > DIGITS)
            return NULL;
    }
    s->value = (minus ? -s->value : s->value) / scale;
    return digits > 0 ? at : NULL;
}

/* A word of letters, bare or between signs. NULL: it holds something else, or is too long to mean anything here. */
static const char *word_at(const char *at, const char *end, struct scalar *s)
{
    bool text = *at == '"';
    size_t n = 0;
    for (at += text; at < end && *at != '"' && *at != ',' && *at != '}'; at++) {
        if (n + 1 == WORD || *at == '\\' || *at == '{' || *at == '[')
            return NULL;
        s->word[n++] = *at;
    }
    s->word[n] = '\0';
    if (text)
        return at < end && *at == '"' ? at + 1 : NULL;
    bool known = strcmp(s->word, "true") == 0 || strcmp(s->word, "false") == 0 || strcmp(s->word, "null") == 0;
    return known ? at : NULL;
}

/* The bench's own name is passed over: it may be longer than a word. */
static const char *text_over(const char *at, const char *end)
{
    const char *close = at < end && *at == '"' ? memchr(at + 1, '"', (size_t)(end - at - 1)) : NULL;
    return close && !memchr(at, '\\', (size_t)(close - at)) ? close + 1 : NULL;
}

/* One member and the sign behind it; NULL: this is no such note. */
static const char *member_at(const char *at, const char *end, struct weighing *w)
{
    struct scalar s = {.number = false, .value = 0, .word = ""};
    const char *name = at + 1, *close = text_over(at, end);
    if (!close || close >= end || *close != ':' || close + 1 >= end)
        return NULL;
    size_t len = (size_t)(close - 1 - name);
    at = close + 1;
    if (len == 7 && memcmp(name, "station", len) == 0)
        at = text_over(at, end);
    else
        at = *at == '-' || (*at >= '0' && *at <= '9') ? number_at(at, end, &s) : word_at(at, end, &s);
    if (at)
        keep(w, name, len, &s);
    return at && at < end && (*at == ',' || *at == '}') ? at : NULL;
}

bool note_line(const char *line, size_t len, struct weighing *w)
{
    const char *at = line + sizeof head - 1, *end = line + len;
    if (len < sizeof head || memcmp(line, head, sizeof head - 1) != 0)
        return false;
    none(w);
    while ((at = member_at(at, end, w)) && *at == ',')
        at++;
    return at && end - at == 2 && at[1] == '}';
}

bool note_params(const json_t *params, struct weighing *w)
{
    if (!json_is_object(params))
        return false;
    const char *state = json_string_value(json_object_get(params, "state"));
    none(w);
    w->has_state = state && shown_scale_state(state, &w->state);
    w->pours = json_object_get(params, "to_go_g") != NULL;
    w->settled = json_is_true(json_object_get(params, "settled"));
    w->g = member_number(params, "weight_g");
    w->age_ms = member_number(params, "age_ms");
    w->to_go_g = member_number(params, "to_go_g");
    w->in_cup_g = member_number(params, "in_cup_g");
    w->landing_g = member_number(params, "landing_g");
    shown_cue(json_string_value(json_object_get(params, "cue")), &w->cue);
    return true;
}
