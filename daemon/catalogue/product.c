/* product.c - a product as JSON and as a value: its ratio, its hardeners and reducers. Knows no store and no file. */
#include "catalogue/catalogue.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A product stands for the coat of that name: its ratio replaces the reduction there. */
static const char *const roles[] = {"clear", "primer", "sealer", "single", "ground", "base", "mid", NULL};
static const char *const bases[] = {"weight", "volume", NULL}; /* the order of `by_volume` */
static const char *const wholes[] = {"paint", "mix", NULL};    /* the order of `of_mix` */
/* Beyond these a number is a typing error, or Fahrenheit. */
static const struct shape_range celsius = {-50, 100, false};

/* Degrees Celsius of the shop. Both ends may be left out. */
static const struct shape_member choice_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct product_choice, id)},
    {.name = "speed",
     .type = SHAPE_TEXT,
     .nullable = true,
     SHAPE_AT(struct product_choice, speed),
     .about = "of a hardener, such as slow, medium, fast"},
    {.name = "min_c",
     .type = SHAPE_NUMBER,
     .nullable = true,
     .range = &celsius,
     SHAPE_AT(struct product_choice, min_c)},
    {.name = "max_c",
     .type = SHAPE_NUMBER,
     .nullable = true,
     .range = &celsius,
     SHAPE_AT(struct product_choice, max_c)},
    {0},
};
static const struct shape choice_shape = {"product_choice", choice_members,
                                          "a hardener by speed or a reducer by warmth"};

#define AT(member)     SHAPE_AT(struct product, member)
#define NUMBER(member) .type = SHAPE_NUMBER, .nullable = true, AT(member)
#define CHOICES(list, number)                                                                                          \
    .type = SHAPE_LIST, .entry = SHAPE_OBJECT, .of = &choice_shape, SHAPE_LIST_AT(struct product, list, number)
/* `ratio`, `basis` and `of` stand in the struct as other types, so they are read and written by hand. */
static const struct shape_member product_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, AT(id)},
    {.name = "name", .type = SHAPE_TEXT, AT(name), .about = "left out: the id"},
    {.name = "role", .type = SHAPE_CHOICE, .required = true, .choices = roles, AT(role), .about = "of the whole mix"},
    {.name = "line",
     .type = SHAPE_CHOICE,
     .nullable = true,
     .choices = catalogue_lines,
     AT(line),
     .about = "of its parts"},
    {.name = "ratio", .type = SHAPE_ANY, .needed = true, .about = "4:1:1 or 4:1:10%, or a list of numbers"},
    {.name = "basis", .type = SHAPE_CHOICE, .required = true, .choices = bases, .about = "of the ratio"},
    {.name = "of", .type = SHAPE_CHOICE, .choices = wholes, .about = "what a part in per cent is of"},
    {.name = "parts",
     .type = SHAPE_LIST,
     .required = true,
     .entry = SHAPE_ID,
     .entries_least = 1,
     SHAPE_LIST_AT(struct product, parts, part_count),
     .about = "ids in the order of the ratio"},
    {.name = "pot_life_min", .range = &shape_above_0, NUMBER(pot_life_min)},
    {.name = "flash_min", .range = &shape_from_0, NUMBER(flash_min)},
    {.name = "film_um", .range = &shape_above_0, NUMBER(film_um)},
    {.name = "solids_vol_pct", .range = &shape_pct, NUMBER(solids_vol_pct)},
    {.name = "hardener_tolerance_pct", .range = &shape_pct_above_0, NUMBER(hardener_tolerance_pct)},
    {.name = "reducer_tolerance_pct", .range = &shape_pct_above_0, NUMBER(reducer_tolerance_pct)},
    {.name = "hardeners", CHOICES(hardeners, hardener_count)},
    {.name = "reducers", CHOICES(reducers, reducer_count)},
    {0},
};
const struct shape product_shape = {"product", product_members, "what is mixed by ratio"};

/* One number of a ratio at *text, with its % if it has one; moves *text behind it. `4`, `0.5`, `10 %`: above 0, at most
 * a million, a per cent at most 100. No sign and no exponent: whoever writes 1e1 in a ratio means something else. */
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

/* The parts must be read before: they tell how many numbers the ratio has. */
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
        return fault_said(fault, FAULT_INVALID, "ratio", "not a ratio of its parts", "product_ratio given=%s parts=%zu",
                          text, p->part_count);
    if (p->parts[0].per_cent)
        return fault_said(fault, FAULT_INVALID, "ratio", "the first is per cent", "product_ratio_first");
    return true;
}

/* [4,1,1]: a list has no per cent. A number of the wrong type is refused as such, one out of range by its value. */
static bool ratio_from_list(const json_t *list, struct product *p, struct fault *fault)
{
    if (json_array_size(list) != p->part_count)
        return fault_said(fault, FAULT_INVALID, "ratio", "not as many as parts",
                          "product_ratio_count ratio=%zu parts=%zu", json_array_size(list), p->part_count);
    for (size_t i = 0; i < p->part_count; i++) {
        const json_t *value = json_array_get(list, i);
        p->parts[i].ratio = json_number_value(value);
        if (!(p->parts[i].ratio > 0) || p->parts[i].ratio > 1e6)
            return fault_said(fault, json_is_number(value) ? FAULT_INVALID : FAULT_PARAMS, "ratio", "out of range",
                              "product_ratio_number");
    }
    return true;
}

/* Text or list; what a put may give and what a file may hold are the same. */
static bool ratio_from_json(const json_t *ratio, struct product *p, struct fault *fault)
{
    if (json_is_array(ratio))
        return ratio_from_list(ratio, p, fault);
    if (!json_is_string(ratio))
        return fault_said(fault, FAULT_PARAMS, "ratio", "missing", "member_missing field=%s", "ratio");
    return ratio_from_text(json_string_value(ratio), p, fault);
}

/* `THN-M 18-26` (degrees Celsius) or `HARD-1 fast` or an id alone, as the object that it means. */
static json_t *choice_of_text(const char *text)
{
    int from, to, end = 0;
    int id = (int)strcspn(text, " \t");
    const char *rest = text + id + strspn(text + id, " \t");
    if (!*rest)
        return json_pack("{s:s}", "id", text);
    if (sscanf(rest, "%d-%d%n", &from, &to, &end) == 2 && rest[end] == '\0')
        return json_pack("{s:s%, s:i, s:i}", "id", text, (size_t)id, "min_c", from, "max_c", to);
    return json_pack("{s:s%, s:s}", "id", text, (size_t)id, "speed", rest);
}

/* The same JSON with each choice as an object: a file writes `THN-M 18-26`, a put may give {"id","min_c","max_c"}. What
 * is neither is left for the table to refuse. A new reference. */
static json_t *with_choices(const json_t *json)
{
    static const char *const lists[] = {"hardeners", "reducers"};
    json_t *out = json_copy((json_t *)json);
    for (size_t k = 0; k < 2; k++) {
        json_t *list = json_object_get(json, lists[k]), *objects = json_array(), *entry;
        size_t i;
        json_array_foreach(list, i, entry) json_array_append_new(
            objects, json_is_string(entry) ? choice_of_text(json_string_value(entry)) : json_incref(entry));
        if (json_is_array(list))
            json_object_set(out, lists[k], objects);
        json_decref(objects);
    }
    return out;
}

/* From must not lie above to: such a reducer would never be offered. NaN compares false, so an open end fits. */
static bool temperatures_fit(const char *list, const struct product_choice *c, size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++)
        if (c[i].max_c < c[i].min_c)
            return fault_said(fault, FAULT_INVALID, list, "out of range",
                              "product_temperatures toner=%s from_c=%f to_c=%f", c[i].id, c[i].min_c, c[i].max_c);
    return true;
}

/* A fault within a list of choices names the list, not `min_c` of one of them: a file has a line for the list, and a
 * screen a field. Always false. */
static bool in_list(const json_t *json, struct fault *fault)
{
    struct product scratch;
    struct fault again = {0};
    if (shape_find(&product_shape, fault->field) && strcmp(fault->field, "id") != 0)
        return false;
    for (const struct shape_member *m = product_members; m->name; m++)
        if (m->of && !shape_read_member(m, json_object_get(json, m->name), &scratch, &again))
            utf8_copy(fault->field, sizeof fault->field, m->name);
    return false;
}

/* Left out are: 3 % for a hardener and 5 % for a reducer as tolerances, temperatures open at both ends, `of = paint`.
 * The order matters: the ratio is read against the parts, and `basis` must be known before it is compared. */
bool product_from_json(const json_t *json, struct product *out, struct fault *fault)
{
    *out = (struct product){.pot_life_min = NAN,
                            .flash_min = NAN,
                            .film_um = NAN,
                            .solids_vol_pct = NAN,
                            .hardener_tolerance_pct = 3, /* what the contract takes where the product does not say */
                            .reducer_tolerance_pct = 5};
    for (size_t i = 0; i < PRODUCT_CHOICES_MAX; i++)
        out->hardeners[i].min_c = out->hardeners[i].max_c = out->reducers[i].min_c = out->reducers[i].max_c = NAN;
    json_t *whole = with_choices(json);
    bool fits = shape_read(&product_shape, whole ? whole : json, out, fault) || in_list(whole, fault);
    json_decref(whole);
    if (!fits || !catalogue_given("role", out->role, fault) ||
        !catalogue_given("basis", json_string_value(json_object_get(json, "basis")), fault) ||
        !ratio_from_json(json_object_get(json, "ratio"), out, fault) ||
        !temperatures_fit("hardeners", out->hardeners, out->hardener_count, fault) ||
        !temperatures_fit("reducers", out->reducers, out->reducer_count, fault))
        return false;
    const char *of = json_string_value(json_object_get(json, "of"));
    out->by_volume = strcmp(json_string_value(json_object_get(json, "basis")), "volume") == 0;
    out->of_mix = of && strcmp(of, "mix") == 0;
    if (!out->name[0])
        utf8_copy(out->name, sizeof out->name, out->id);
    return true;
}

/* What comes back may be put again unchanged. The ratio is written as a person writes it, so that what was given and
 * what comes back look alike. */
json_t *product_to_json(const struct product *p)
{
    char ratio[PRODUCT_PARTS_MAX * 26] = "";
    json_t *out = shape_write(&product_shape, p);
    for (size_t i = 0; i < p->part_count; i++) {
        size_t used = strlen(ratio);
        snprintf(ratio + used, sizeof ratio - used, "%s%.12g%s", i ? ":" : "", p->parts[i].ratio,
                 p->parts[i].per_cent ? "%" : "");
    }
    json_object_set_new(out, "ratio", json_string(ratio));
    json_object_set_new(out, "basis", json_string(bases[p->by_volume]));
    json_object_set_new(out, "of", json_string(wholes[p->of_mix]));
    if (out && p->revision > 0)
        json_object_set_new(out, "revision", json_integer(p->revision));
    return out;
}
