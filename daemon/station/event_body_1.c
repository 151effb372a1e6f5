/* event_body_1.c - a body of version 1 as the present one: what poised wrote before it kept codes.
 *
 * Version 1 kept fixed words as numbers, a step as a pair, and what the station said as an English sentence. The
 * numbers stand here once more, so that nobody needs to keep an enum's order for their sake. Never changed again.
 */
#include "station/event.h"

#include <string.h>

static const char *const roles[] = {"colour", "reducer", "hardener", "additive", NULL};
static const char *const remedies[] = {"", "grow", "dip", "leave", "again", NULL};
static const char *const shorts[] = {"", "counted", "less", NULL};

/* The member `from` as a word under the name `to`. A number that none of them bears stays one, and is refused later. */
static void to_word(json_t *object, const char *from, const char *to, const char *const *words)
{
    const json_t *value = json_object_get(object, from);
    json_int_t n = json_integer_value(value);
    if (!json_is_integer(value))
        return;
    for (json_int_t i = 0; words[i]; i++)
        if (i == n) {
            json_object_del(object, from);
            json_object_set_new(object, to, json_string(words[i]));
            return;
        }
    json_object_set_new(object, to, json_integer(n));
}

static json_t *as_written(const json_t *text)
{
    struct said said = say("as_written text=%s", json_string_value(text));
    return said_bare_json(&said);
}

static void recipe_of_1(json_t *recipe)
{
    size_t i;
    const json_t *made = json_object_get(recipe, "made");
    if (made)
        json_object_set_new(recipe, "made", as_written(made));
    json_t *parts = json_object_get(recipe, "parts"), *steps = json_object_get(recipe, "steps"), *step;
    for (i = 0; i < json_array_size(parts); i++)
        to_word(json_array_get(parts, i), "role", "role", roles);
    json_array_foreach(steps, i, step)
    {
        json_t *pair = json_incref(step);
        json_array_set_new(
            steps, i, json_pack("{s:O?, s:O?}", "part", json_array_get(pair, 0), "share", json_array_get(pair, 1)));
        json_decref(pair);
    }
}

json_t *event_body_of_1(enum event_kind kind, const json_t *body)
{
    json_t *o = json_is_object(body) ? json_deep_copy(body) : NULL;
    const json_t *text = json_object_get(o, "text");
    /* What a person typed stays text. */
    if (kind != EVENT_NOTED && kind != EVENT_SCRAPPED && json_string_length(text) > 0)
        json_object_set_new(o, "said", as_written(text));
    to_word(o, "remedy", "remedy", remedies);
    to_word(o, "short_mode", "short", shorts);
    json_t *begun = json_object_get(o, "begun"), *cautions = json_object_get(begun, "caution"), *caution;
    size_t i;
    json_array_foreach(cautions, i, caution)
    {
        if (json_is_string(caution))
            json_array_set_new(cautions, i, as_written(caution));
    }
    to_word(json_object_get(o, "part"), "role", "role", roles);
    if (begun)
        recipe_of_1(json_object_get(begun, "recipe"));
    return o;
}
