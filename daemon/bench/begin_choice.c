/* begin_choice.c - which hardener and which reducer of a product: the one named, or the one for this speed and this
 * temperature. It must not know how much of it. */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"
#include "station/recipe.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A product's hardeners, or its reducers. */
struct choices {
    const char *field; /* the member that names one */
    const struct product_choice *of;
    size_t count;
};

/* By speed: how long the mix flows, and how soon it can be polished. */
static struct choices hardeners(const struct product *p)
{
    return (struct choices){"hardener", p->hardeners, p->hardener_count};
}

/* By temperature: a warm shop wants one that leaves more slowly. */
static struct choices reducers(const struct product *p)
{
    return (struct choices){"reducer", p->reducers, p->reducer_count};
}

/* NULL: not in the list. */
static const struct product_choice *find(const struct choices *list, const char *id)
{
    for (size_t i = 0; id && i < list->count; i++)
        if (strcmp(list->of[i].id, id) == 0)
            return &list->of[i];
    return NULL;
}

/* The first of that speed; NULL: none, or no speed was asked for. */
static const struct product_choice *of_speed(const struct choices *list, const char *speed)
{
    for (size_t i = 0; speed && i < list->count; i++)
        if (strcmp(list->of[i].speed, speed) == 0)
            return &list->of[i];
    return NULL;
}

/* How far a temperature lies outside a range; 0 within it, NaN where there is none. */
static double outside(const struct product_choice *c, double celsius)
{
    if (isnan(c->min_c) && isnan(c->max_c))
        return NAN;
    if (celsius < c->min_c)
        return c->min_c - celsius;
    return celsius > c->max_c ? celsius - c->max_c : 0;
}

/* The one whose range holds it; where two meet, the one that it begins, as a day grows warmer. Beyond all the nearest,
 * with a warning: the painter has no other. NULL: none names a temperature. */
static const struct product_choice *for_temperature(struct beginning *c, const struct choices *list, double celsius)
{
    const struct product_choice *best = NULL;
    double least = INFINITY;
    for (size_t i = 0; i < list->count; i++) {
        double off = outside(&list->of[i], celsius);
        if (off < least || (off <= least && best && best->max_c <= celsius)) {
            least = off;
            best = &list->of[i];
        }
    }
    if (best && least > 0)
        begin_warn(c, "temperature", best->id, say("temperature toner=%s celsius=%f", best->id, celsius));
    return best;
}

/* Ids of a list, as `HARD-1, HARD-2`, or its speeds. */
static void names_of(const struct choices *list, bool speeds, char *out, size_t size)
{
    size_t used = 0;
    out[0] = '\0';
    for (size_t i = 0; i < list->count && used < size; i++) {
        const char *name = speeds ? list->of[i].speed : list->of[i].id;
        if (*name)
            used += (size_t)snprintf(out + used, size - used, "%s%s", used ? ", " : "", name);
    }
}

/* The tin that the product names itself is one of its own as well. */
static bool is_own(const struct product *p, const struct choices *list, const char *id)
{
    bool part = false;
    for (size_t i = 1; i < p->part_count; i++)
        part = part || (strcmp(p->parts[i].id, id) == 0 && find(list, id));
    return part || find(list, id);
}

/* Another product's hardener is another ratio: a wrong one must not be taken because its name is known. */
static bool named_fits(struct beginning *c, const struct product *p, struct choices list)
{
    const char *id = NULL;
    char names[200];
    if (!rpc_get_text(c->params, list.field, &id, c->fault))
        return false;
    if (!id || is_own(p, &list, id))
        return true;
    names_of(&list, false, names, sizeof names);
    return fault_said(c->fault, FAULT_INVALID, list.field, "choice", "choice_not_own product=%s given=%s names=%s",
                      p->id, id, names);
}

/* Asked once a product, before its first part, so that one fault is told and not one a part. */
bool begin_choices_fit(struct beginning *c, const struct product *p)
{
    const char *speed = NULL;
    double celsius;
    char names[200];
    struct choices hard = hardeners(p), thin = reducers(p);
    if (!rpc_get_text(c->params, "speed", &speed, c->fault) || !begin_number(c, "temperature_c", -20, 60, &celsius) ||
        !named_fits(c, p, hard) || !named_fits(c, p, thin))
        return false;
    /* A product without hardeners of its own by speed has one speed, and is mixed at that. */
    names_of(&hard, true, names, sizeof names);
    if (!speed || !names[0] || of_speed(&hard, speed) || of_speed(&thin, speed))
        return true;
    return fault_said(c->fault, FAULT_INVALID, "speed", "choice", "choice_not_own product=%s given=%s names=%s", p->id,
                      speed, names);
}

/* `parts` of the call may name the hardener and reducer really used, in the product's order. */
static bool of_parts(struct beginning *c, const struct product *p, size_t i, const char **id)
{
    const json_t *parts = json_object_get(c->params, "parts");
    if (!json_is_array(parts))
        return true;
    if (json_array_size(parts) != p->part_count)
        return fault_said(c->fault, FAULT_INVALID, "parts", "count", "parts_count product=%s count=%zu", p->id,
                          p->part_count);
    const char *asked = json_string_value(json_array_get(parts, i));
    if (!asked || !*asked || strlen(asked) >= RECIPE_ID)
        return fault_said(c->fault, FAULT_PARAMS, "parts", "form", "member_not_id field=%s given=%s", "parts",
                          asked ? asked : "?");
    *id = asked;
    return true;
}

/* The id lives as long as the product and the call. A name goes before a speed, that before a temperature, and both
 * before what the product takes by itself. */
static const char *chosen(struct beginning *c, const struct choices *list, const char *usual)
{
    const char *named = json_string_value(json_object_get(c->params, list->field));
    const json_t *celsius = json_object_get(c->params, "temperature_c");
    const struct product_choice *best = of_speed(list, json_string_value(json_object_get(c->params, "speed")));
    if (named)
        return named;
    if (!best && json_is_number(celsius))
        best = for_temperature(c, list, json_number_value(celsius));
    return best ? best->id : usual;
}

/* `parts` says it for every part at once, so nothing else is looked at then. A flex or matting part has no choices. */
bool begin_choice(struct beginning *c, const struct product *p, size_t i, const char **id)
{
    struct choices hard = hardeners(p), thin = reducers(p);
    *id = p->parts[i].id;
    if (json_is_array(json_object_get(c->params, "parts")))
        return of_parts(c, p, i, id);
    if (find(&hard, *id))
        *id = chosen(c, &hard, *id);
    else if (find(&thin, *id))
        *id = chosen(c, &thin, *id);
    return true;
}
