/* config_shown.c - see config_shown.h. It must not know which keys there are.
 *
 * A number is shown as it was given, not as a scale shows grams: a tolerance of 0.05 g at a scale of 0.1 g is still
 * 0.05. */
#include "config_shown.h"

#include "text/said.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A fixed word: its code is made of the name, so `say` cannot check it. */
static struct said choice(const char *name)
{
    struct said said = {.used = 0};
    snprintf(said.code, sizeof said.code, "choice.%.32s", name);
    return said;
}

static struct said number(const struct shape_member *m, const char *currency, double value)
{
    const char *unit = shape_unit(m->name);
    if (strcmp(m->name, "accept_after_s") == 0 && value == 0)
        return choice("never");
    if (strcmp(unit, "g") == 0)
        return say("setting_grams value=%f", value);
    if (strcmp(unit, "%") == 0)
        return say("setting_percent value=%f", value);
    if (strcmp(unit, "days") == 0)
        return say("setting_days days=%d", (int)lround(value));
    if (strcmp(unit, "s") == 0)
        return say("setting_seconds value=%f", value);
    return strstr(m->name, "cost") ? say("setting_money value=%f currency=%s", value, currency)
                                   : say("setting_number value=%f", value);
}

json_t *setting_shown(const struct shape_member *m, const char *currency, const json_t *value)
{
    struct said said = choice("none");
    const char *text = json_string_value(value);
    if (json_is_number(value))
        said = number(m, currency, json_number_value(value));
    else if (json_is_boolean(value))
        said = choice(json_is_true(value) ? "yes" : "no");
    else if (text && m->choices)
        said = choice(text);
    else if (text && *text)
        said = strcmp(shape_unit(m->name), "mm") == 0 ? say("setting_mm value=%s", text)
                                                      : say("setting_text value=%s", text);
    return said_json(&said, NULL);
}

static json_t *offer(json_t *value, const char *name)
{
    struct said said = choice(name);
    return json_pack("{s:o, s:o}", "value", value, "said", said_json(&said, NULL));
}

json_t *setting_offers(const struct shape_member *m)
{
    if (m->type != SHAPE_FLAG && !m->choices)
        return json_null();
    json_t *list = json_array();
    if (m->type == SHAPE_FLAG) {
        json_array_append_new(list, offer(json_false(), "no"));
        json_array_append_new(list, offer(json_true(), "yes"));
    }
    for (size_t i = 0; m->choices && m->choices[i]; i++)
        json_array_append_new(list, offer(json_string(m->choices[i]), m->choices[i]));
    return list;
}
