/* formula.c - a formula as JSON and as a value, coats and parts checked. Knows no store and no file. */
#include "catalogue/catalogue.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* The finish sets how much a colour is reduced where nobody says: 10 % solid, 20 % the others (bench/begin_recipe.c).
 */
static const char *const finishes[] = {"solid", "metallic", "pearl", NULL};
/* In the order in which they are sprayed; `single` is colour and gloss in one. */
static const char *const coats[] = {"sealer", "ground", "base", "mid", "clear", "single", NULL};

/* Coats stand below each other, so they are read by hand, each by its table. */
static const struct shape_member part_members[] = {
    {.name = "toner", .type = SHAPE_ID, .required = true, SHAPE_AT(struct coat_part, toner)},
    {.name = "parts",
     .type = SHAPE_NUMBER,
     .required = true,
     .range = &shape_above_0,
     SHAPE_AT(struct coat_part, parts),
     .about = "by weight"},
    {0},
};
static const struct shape part_shape = {"parts", part_members, "a toner of a coat"};
/* Parts are by weight, any scale: 212 : 61.5 : 3.2 and 66.25 : 19.22 : 1 are one colour. A variant left out is the
 * standard one; one toner may be named twice, since the order of pouring may want it in two pours. */
static const struct shape_member coat_members[] = {
    {.name = "coat", .type = SHAPE_CHOICE, .required = true, .choices = coats, SHAPE_AT(struct coat, coat)},
    {.name = "variant",
     .type = SHAPE_TEXT,
     .fits = variant_fits,
     .unfit = "formula_variant field=%s given=%s",
     SHAPE_AT(struct coat, variant)},
    {.name = "parts",
     .type = SHAPE_LIST,
     .required = true,
     .entry = SHAPE_ANY,
     .of = &part_shape,
     .entries_least = 1,
     .entries_most = COAT_PARTS_MAX,
     .about = "in pouring order"},
    {0},
};
const struct shape formula_coat_shape = {"coat", coat_members, "one coat of one variant"};
/* What a line of a file may set; revision, date and reason are the row's alone. */
static const struct shape_member formula_members[] = {
    {.name = "code", .type = SHAPE_ID, .required = true, SHAPE_AT(struct formula, code), .about = "its code"},
    {.name = "name", .type = SHAPE_TEXT, SHAPE_AT(struct formula, name), .about = "left out: the code"},
    {.name = "finish", .type = SHAPE_CHOICE, .required = true, .choices = finishes, SHAPE_AT(struct formula, finish)},
    {.name = "line",
     .type = SHAPE_CHOICE,
     .required = true,
     .choices = catalogue_lines,
     .about = "of its toners",
     SHAPE_AT(struct formula, line)},
    {0},
};
const struct shape formula_shape = {"formula", formula_members, "a colour's recipe"};
/* What a put may give beside it; of a file it is where it was read. */
static const struct shape_member reason_member = {
    .name = "reason", .type = SHAPE_TEXT, SHAPE_AT(struct formula, reason), .about = "why it was changed"};
static const struct shape_member coats_member = {.name = "coats",
                                                 .type = SHAPE_LIST,
                                                 .required = true,
                                                 .entry = SHAPE_ANY,
                                                 .entries_least = 1,
                                                 .entries_most = COATS_MAX};

/* May be called twice, and for one that was refused half-way. */
void formula_finish(struct formula *f)
{
    for (size_t i = 0; i < f->coat_count; i++)
        free(f->coats[i].parts);
    free(f->coats);
    f->coats = NULL;
    f->coat_count = 0;
}

const struct coat *formula_coat(const struct formula *f, const char *coat, const char *variant)
{
    for (size_t i = 0; i < f->coat_count; i++)
        if (strcasecmp(f->coats[i].coat, coat) == 0 && strcasecmp(f->coats[i].variant, variant) == 0)
            return &f->coats[i];
    return NULL;
}

bool formula_names(const struct formula *f, const char *coat, char *names, size_t size)
{
    size_t len = 0;
    names[0] = '\0';
    for (size_t i = 0; i < f->coat_count && len < size; i++) {
        bool again = coat && strcasecmp(f->coats[i].coat, coat) != 0;
        for (size_t k = 0; k < i && !coat; k++)
            again = again || strcmp(f->coats[k].coat, f->coats[i].coat) == 0;
        if (!again)
            len += (size_t)snprintf(names + len, size - len, "%s%s", len ? ", " : "",
                                    coat ? f->coats[i].variant : f->coats[i].coat);
    }
    return len > 0;
}

const struct coat *formula_coat_or_fault(const struct formula *f, const char *coat, const char *variant,
                                         struct fault *fault)
{
    char names[160];
    const struct coat *found = formula_coat(f, coat, variant);
    if (!found && formula_names(f, coat, names, sizeof names))
        fault_said(fault, FAULT_UNKNOWN, "variant", "unknown", "formula_no_variant formula=%s variant=%s names=%s",
                   f->code, variant, names);
    else if (!found && formula_names(f, NULL, names, sizeof names))
        fault_said(fault, FAULT_UNKNOWN, "coat", "unknown", "formula_no_coat formula=%s given=%s names=%s", f->code,
                   coat, names);
    return found;
}

/* Always false, so that a caller may return it. */
static bool out_of_memory(struct fault *fault)
{
    return fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
}

/* Puts `coats[2].` before the member that a nested check named. */
static bool within(struct fault *fault, const char *list, size_t index)
{
    char place[32], field[128];
    snprintf(place, sizeof place, "%s[%zu]", list, index);
    snprintf(field, sizeof field, "%s.%s", place, fault->field);
    snprintf(fault->field, sizeof fault->field, "%.63s", field);
    return false;
}

/* calloc leaves coats and parts that were not read empty, so formula_finish may free them after a refusal. */
static bool parts_from_json(const json_t *list, struct coat *out, struct fault *fault)
{
    size_t n = json_array_size(list);
    out->parts = calloc(n, sizeof *out->parts);
    if (!out->parts)
        return out_of_memory(fault);
    out->part_count = n;
    for (size_t i = 0; i < n; i++) {
        const json_t *part = json_array_get(list, i);
        if (!shape_read(&part_shape, part, &out->parts[i], fault))
            return within(fault, "parts", i);
    }
    return true;
}

/* The coat is counted before its parts are read, so that a refusal frees them too. */
static bool coat_from_json(const json_t *json, struct formula *f, struct fault *fault)
{
    struct coat *out = &f->coats[f->coat_count];
    if (!shape_read(&formula_coat_shape, json, out, fault) || !catalogue_given("coat", out->coat, fault))
        return false;
    if (!out->variant[0])
        utf8_copy(out->variant, sizeof out->variant, "standard");
    if (formula_coat(f, out->coat, out->variant))
        return fault_said(fault, FAULT_INVALID, "variant", "twice", "formula_coat_twice coat=%s variant=%s", out->coat,
                          out->variant);
    f->coat_count++; /* from here on formula_finish frees its parts */
    return parts_from_json(json_object_get(json, "parts"), out, fault);
}

/* Two coats of one name and variant are refused: nobody could say which is meant. */
static bool coats_from_json(const json_t *json, struct formula *out, struct fault *fault)
{
    const json_t *list = json_object_get(json, "coats");
    if (!shape_read_member(&coats_member, list, out, fault))
        return false;
    size_t n = json_array_size(list);
    out->coats = calloc(n, sizeof *out->coats);
    if (!out->coats)
        return out_of_memory(fault);
    for (size_t i = 0; i < n; i++)
        if (!coat_from_json(json_array_get(list, i), out, fault))
            return within(fault, "coats", i);
    return true;
}

/* A formula without a name is called by its code: a screen never shows an empty name. False: *out owns nothing. */
bool formula_from_json(const json_t *json, struct formula *out, struct fault *fault)
{
    *out = (struct formula){0};
    if (shape_read(&formula_shape, json, out, fault) && catalogue_given("finish", out->finish, fault) &&
        catalogue_given("line", out->line, fault) &&
        shape_read_member(&reason_member, json_object_get(json, "reason"), out, fault) &&
        coats_from_json(json, out, fault)) {
        if (!out->name[0])
            utf8_copy(out->name, sizeof out->name, out->code);
        return true;
    }
    formula_finish(out);
    return false;
}

/* The parts stand below the coat, so its table cannot write them. NULL only without memory. */
static json_t *coat_to_json(const struct coat *c)
{
    json_t *parts = json_array(), *out = shape_write(&formula_coat_shape, c);
    for (size_t i = 0; i < c->part_count; i++)
        json_array_append_new(parts, shape_write(&part_shape, &c->parts[i]));
    json_object_set_new(out, "parts", parts);
    return out;
}

/* Each variant's name once, in the order of the coats. */
static json_t *variants_to_json(const struct formula *f)
{
    json_t *out = json_array();
    for (size_t i = 0; i < f->coat_count; i++) {
        bool there = false;
        for (size_t k = 0; !there && k < i; k++)
            there = strcmp(f->coats[k].variant, f->coats[i].variant) == 0;
        if (!there)
            json_array_append_new(out, json_string(f->coats[i].variant));
    }
    return out;
}

/* `variants` is made of the coats for who shows a choice; it is never read back. */
json_t *formula_to_json(const struct formula *f)
{
    json_t *list = json_array();
    for (size_t i = 0; i < f->coat_count; i++)
        json_array_append_new(list, coat_to_json(&f->coats[i]));
    json_t *out = shape_write(&formula_shape, f);
    json_object_set_new(out, "variants", variants_to_json(f));
    json_object_set_new(out, "coats", list);
    if (out && f->revision > 0) {
        json_object_set_new(out, "formula_revision", json_integer(f->revision));
        json_object_set_new(out, "date", f->date[0] ? json_string(f->date) : json_null());
        json_object_set_new(out, "reason", f->reason[0] ? json_string(f->reason) : json_null());
    }
    return out;
}
