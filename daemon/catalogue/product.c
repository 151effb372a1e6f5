#include "catalogue/catalogue.h"
#include "catalogue/members.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const lines[] = {"solvent", "waterborne", "two-pack", NULL};
static const char *const roles[] = {"clear", "primer", "sealer", "single", "ground", "base", "mid", NULL};
static const char *const bases[] = {"volume", "weight", NULL};
static const char *const wholes[] = {"paint", "mix", NULL};
static const char ratio_help[] = "Write numbers above 0 joined by : , one for each part, such as 4:1:1 or 4:1:10%.";

/* One number of a ratio at *text, with its % if it has one; moves *text behind it. */
static bool ratio_part(const char **text, struct product_part *out)
{
    const char *p = *text;
    size_t n = strspn(p, "0123456789.");
    char number[32], *end;
    if (n == 0 || n >= sizeof number)
        return false;
    memcpy(number, p, n);
    number[n] = '\0';
    out->ratio = strtod(number, &end);
    if (*end || !(out->ratio > 0) || out->ratio > 1e6)
        return false;
    p += n;
    p += strspn(p, " ");
    out->per_cent = *p == '%';
    p += out->per_cent ? 1 : 0;
    *text = p + strspn(p, " ");
    return !out->per_cent || out->ratio <= 100;
}

static bool ratio_from_text(const char *text, struct product *p, struct fault *fault)
{
    const char *at = text + strspn(text, " ");
    bool fits = true;
    for (size_t n = 0; fits && n < p->part_count; n++) {
        bool last = n + 1 == p->part_count;
        fits = ratio_part(&at, &p->parts[n]) && *at == (last ? '\0' : ':');
        if (fits && !last)
            at += 1 + strspn(at + 1, " ");
    }
    if (!fits)
        return fault_set(fault, FAULT_INVALID, "ratio", "not a ratio of its parts", ratio_help,
                         "ratio %.40s is not a ratio of %zu parts", text, p->part_count);
    if (p->parts[0].per_cent)
        return fault_set(fault, FAULT_INVALID, "ratio", "the first is per cent", ratio_help,
                         "the first part of a ratio is what per cents are of");
    return true;
}

static bool ratio_from_list(const json_t *list, struct product *p, struct fault *fault)
{
    if (json_array_size(list) != p->part_count)
        return fault_set(fault, FAULT_INVALID, "ratio", "not as many as parts", ratio_help,
                         "ratio has %zu numbers, parts %zu", json_array_size(list), p->part_count);
    for (size_t i = 0; i < p->part_count; i++) {
        const json_t *value = json_array_get(list, i);
        if (!json_is_number(value))
            return fault_set(fault, FAULT_PARAMS, "ratio", "not a number", ratio_help, "ratio holds what is no number");
        p->parts[i].ratio = json_number_value(value);
        if (!(p->parts[i].ratio > 0) || p->parts[i].ratio > 1e6)
            return fault_set(fault, FAULT_INVALID, "ratio", "out of range", ratio_help, "ratio holds %g",
                             p->parts[i].ratio);
    }
    return true;
}

static bool parts_from_json(const json_t *json, struct product *p, struct fault *fault)
{
    const json_t *list, *ratio = json_object_get(json, "ratio");
    if (!member_list(json, "parts", 1, PRODUCT_PARTS_MAX, &list, fault))
        return false;
    p->part_count = json_array_size(list);
    for (size_t i = 0; i < p->part_count; i++) {
        const json_t *part = json_array_get(list, i);
        if (!json_is_string(part))
            return fault_set(fault, FAULT_PARAMS, "parts", "not a text", "Give the ids of what is mixed.",
                             "parts holds what is no text");
        if (!id_fits(json_string_value(part)))
            return fault_set(fault, FAULT_INVALID, "parts", "not an id", "Use 1 to 40 of A-Z a-z 0-9 . _ - .",
                             "parts holds %.60s, which is no id", json_string_value(part));
        snprintf(p->parts[i].id, sizeof p->parts[i].id, "%s", json_string_value(part));
    }
    if (json_is_array(ratio))
        return ratio_from_list(ratio, p, fault);
    char text[128];
    return member_text(json, "ratio", true, text, sizeof text, fault) && ratio_from_text(text, p, fault);
}

/* A list of ids, or of {"id", "speed" | "min_c", "max_c"}. */
static bool choices_from_json(const json_t *json, const char *name, struct product_choice *out, size_t *count,
                              struct fault *fault)
{
    const json_t *list;
    if (!member_list(json, name, 0, PRODUCT_CHOICES_MAX, &list, fault))
        return false;
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *entry = json_array_get(list, i);
        struct product_choice *c = &out[i];
        *c = (struct product_choice){.min_c = NAN, .max_c = NAN};
        json_t *object = json_is_string(entry) ? json_pack("{s:O}", "id", entry) : json_incref((json_t *)entry);
        bool fits = member_object(object, name, fault) && member_id(object, "id", true, c->id, fault) &&
                    member_text(object, "speed", false, c->speed, sizeof c->speed, fault) &&
                    member_number(object, "min_c", false, &range_celsius, &c->min_c, fault) &&
                    member_number(object, "max_c", false, &range_celsius, &c->max_c, fault);
        json_decref(object);
        if (fits && c->max_c < c->min_c)
            fits = fault_set(fault, FAULT_INVALID, name, "out of range", "Give the lower temperature first.",
                             "%s: %s is for %g to %g degrees", name, c->id, c->min_c, c->max_c);
        if (!fits) {
            snprintf(fault->field, sizeof fault->field, "%s", name);
            return false;
        }
        *count = i + 1;
    }
    return true;
}

static bool numbers_from_json(const json_t *json, struct product *p, struct fault *fault)
{
    p->pot_life_min = p->flash_min = p->film_um = p->solids_vol_pct = NAN;
    p->hardener_tolerance_pct = 3; /* what the contract takes where the product does not say */
    p->reducer_tolerance_pct = 5;
    return member_number(json, "pot_life_min", false, &range_above_0, &p->pot_life_min, fault) &&
           member_number(json, "flash_min", false, &range_from_0, &p->flash_min, fault) &&
           member_number(json, "film_um", false, &range_above_0, &p->film_um, fault) &&
           member_number(json, "solids_vol_pct", false, &range_per_cent, &p->solids_vol_pct, fault) &&
           member_number(json, "hardener_tolerance_pct", false, &range_tolerance, &p->hardener_tolerance_pct, fault) &&
           member_number(json, "reducer_tolerance_pct", false, &range_tolerance, &p->reducer_tolerance_pct, fault);
}

bool product_from_json(const json_t *json, struct product *out, struct fault *fault)
{
    char basis[16], of[16];
    *out = (struct product){0};
    if (!member_object(json, "product", fault) || !member_id(json, "id", true, out->id, fault) ||
        !member_text(json, "name", false, out->name, sizeof out->name, fault) ||
        !member_word(json, "role", true, roles, out->role, sizeof out->role, fault) ||
        !member_word(json, "line", false, lines, out->line, sizeof out->line, fault) ||
        !member_word(json, "basis", true, bases, basis, sizeof basis, fault) ||
        !member_word(json, "of", false, wholes, of, sizeof of, fault) || !parts_from_json(json, out, fault) ||
        !numbers_from_json(json, out, fault) ||
        !choices_from_json(json, "hardeners", out->hardeners, &out->hardener_count, fault) ||
        !choices_from_json(json, "reducers", out->reducers, &out->reducer_count, fault))
        return false;
    if (!out->name[0])
        snprintf(out->name, sizeof out->name, "%s", out->id);
    out->by_volume = strcmp(basis, "volume") == 0;
    out->of_mix = strcmp(of, "mix") == 0;
    return true;
}

static json_t *choices_to_json(const struct product_choice *choice, size_t count)
{
    json_t *out = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(
            out, json_pack("{s:s, s:o, s:o, s:o}", "id", choice[i].id, "speed", member_of_text(choice[i].speed),
                           "min_c", member_of_number(choice[i].min_c), "max_c", member_of_number(choice[i].max_c)));
    return out;
}

json_t *product_to_json(const struct product *p)
{
    char ratio[PRODUCT_PARTS_MAX * 26] = "";
    json_t *parts = json_array();
    for (size_t i = 0; i < p->part_count; i++) {
        size_t used = strlen(ratio);
        snprintf(ratio + used, sizeof ratio - used, "%s%.12g%s", i ? ":" : "", p->parts[i].ratio,
                 p->parts[i].per_cent ? "%" : "");
        json_array_append_new(parts, json_string(p->parts[i].id));
    }
    json_t *out = json_pack(
        "{s:s, s:s, s:s, s:o, s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "id", p->id, "name",
        p->name, "role", p->role, "line", member_of_text(p->line), "ratio", ratio, "basis",
        p->by_volume ? "volume" : "weight", "of", p->of_mix ? "mix" : "paint", "parts", parts, "pot_life_min",
        member_of_number(p->pot_life_min), "flash_min", member_of_number(p->flash_min), "film_um",
        member_of_number(p->film_um), "solids_vol_pct", member_of_number(p->solids_vol_pct), "hardener_tolerance_pct",
        member_of_number(p->hardener_tolerance_pct), "reducer_tolerance_pct",
        member_of_number(p->reducer_tolerance_pct), "hardeners", choices_to_json(p->hardeners, p->hardener_count),
        "reducers", choices_to_json(p->reducers, p->reducer_count));
    if (out && p->revision > 0)
        json_object_set_new(out, "revision", json_integer(p->revision));
    return out;
}
