/* optics.c - absorption and scattering out of JSON or a file's text. It must not know what a colour is. */
#include "catalogue/optics.h"

#include "shape/shape.h"
#include "text/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* One sentence for all that can be wrong: its help shows how a point is written. `why` tells a program which it was. */
static bool refuse(struct fault *f, const char *why)
{
    return fault_said(f, FAULT_INVALID, "optics", why, "toner_optics");
}

/* Kept in rising order, whatever the order given; a wavelength twice makes no sense. */
static bool add(struct optics *o, double nm, double k, double s, struct fault *f)
{
    if (!(nm >= 300 && nm <= 1000 && k >= 0 && k <= 1e9 && s >= 0 && s <= 1e9))
        return refuse(f, "range");
    if (o->count == OPTICS_MAX)
        return refuse(f, "many");
    size_t at = o->count;
    for (; at > 0 && o->nm[at - 1] >= nm; at--) {
        if (!(o->nm[at - 1] > nm))
            return refuse(f, "twice");
        o->nm[at] = o->nm[at - 1];
        o->k[at] = o->k[at - 1];
        o->s[at] = o->s[at - 1];
    }
    o->nm[at] = nm;
    o->k[at] = k;
    o->s[at] = s;
    o->count++;
    return true;
}

/* `450 0.02 1.1, 550 0.03 1.0`; the figures of a point stand apart by a space or a colon. */
static bool of_text(const char *text, struct optics *o, struct fault *f)
{
    while (*text) {
        char point[64], *colon;
        double nm, k, s;
        int end = 0;
        size_t len = strcspn(text, ",");
        snprintf(point, sizeof point, "%.*s", (int)(len < 63 ? len : 63), text);
        while ((colon = strchr(point, ':')))
            *colon = ' ';
        if (sscanf(point, "%lf %lf %lf %n", &nm, &k, &s, &end) != 3 || point[end])
            return refuse(f, "form");
        if (!add(o, nm, k, s, f))
            return false;
        text += len + (text[len] == ',');
        text += strspn(text, " \t");
    }
    return true;
}

/* A text comes from a file, a list from a put; what was kept comes back as a list. */
bool optics_of_json(const json_t *value, struct optics *o, struct fault *f)
{
    size_t i;
    const json_t *one;
    o->count = 0;
    if (!value || json_is_null(value))
        return true;
    if (json_is_string(value))
        return of_text(json_string_value(value), o, f);
    if (!json_is_array(value))
        return fault_said(f, FAULT_PARAMS, "optics", "wrong type", "toner_optics");
    json_array_foreach((json_t *)(uintptr_t)value, i, one)
    {
        const json_t *nm = json_object_get(one, "nm"), *k = json_object_get(one, "k"), *s = json_object_get(one, "s");
        if (!json_is_number(nm) || !json_is_number(k) || !json_is_number(s))
            return fault_said(f, FAULT_PARAMS, "optics", "wrong type", "toner_optics");
        if (!add(o, json_number_value(nm), json_number_value(k), json_number_value(s), f))
            return false;
    }
    return true;
}

/* As it was given, not as the sixteen bands of mix/kubelka.h: a later version may use more of it. */
json_t *optics_to_json(const struct optics *o)
{
    if (o->count == 0)
        return json_null();
    json_t *list = json_array();
    for (size_t i = 0; i < o->count; i++)
        json_array_append_new(list, json_pack("{s:o, s:o, s:o}", "nm", number_json(o->nm[i]), "k", number_json(o->k[i]),
                                              "s", number_json(o->s[i])));
    return list;
}
