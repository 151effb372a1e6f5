#include "catalogue/catalogue.h"
#include "catalogue/members.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const lines[] = {"solvent", "waterborne", "two-pack", NULL};
static const char *const finishes[] = {"solid", "metallic", "pearl", NULL};
static const char *const coats[] = {"sealer", "ground", "base", "mid", "clear", "single", NULL};

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
        if (strcmp(f->coats[i].coat, coat) == 0 && strcmp(f->coats[i].variant, variant) == 0)
            return &f->coats[i];
    return NULL;
}

static bool out_of_memory(struct fault *fault)
{
    return fault_set(fault, FAULT_INTERNAL, NULL, NULL, "Free memory and try again.", "out of memory");
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

static bool parts_from_json(const json_t *list, struct coat *out, struct fault *fault)
{
    size_t n = json_array_size(list);
    out->parts = calloc(n, sizeof *out->parts);
    if (!out->parts)
        return out_of_memory(fault);
    out->part_count = n;
    for (size_t i = 0; i < n; i++) {
        const json_t *part = json_array_get(list, i);
        if (!member_object(part, "parts", fault) || !member_id(part, "toner", true, out->parts[i].toner, fault) ||
            !member_number(part, "parts", true, &range_above_0, &out->parts[i].parts, fault))
            return within(fault, "parts", i);
    }
    return true;
}

static bool variant_from_json(const json_t *json, struct coat *out, struct fault *fault)
{
    if (!member_text(json, "variant", false, out->variant, sizeof out->variant, fault))
        return false;
    if (!out->variant[0])
        snprintf(out->variant, sizeof out->variant, "standard");
    return variant_fits(out->variant) ||
           fault_set(fault, FAULT_INVALID, "variant", "not a name", "Use 1 to 40 of A-Z a-z 0-9 . _ - and spaces.",
                     "%.60s cannot be a variant's name", out->variant);
}

static bool coat_from_json(const json_t *json, struct formula *f, struct fault *fault)
{
    struct coat *out = &f->coats[f->coat_count];
    const json_t *list;
    if (!member_object(json, "coat", fault) ||
        !member_word(json, "coat", true, coats, out->coat, sizeof out->coat, fault) ||
        !variant_from_json(json, out, fault) || !member_list(json, "parts", 1, COAT_PARTS_MAX, &list, fault))
        return false;
    if (formula_coat(f, out->coat, out->variant))
        return fault_set(fault, FAULT_INVALID, "variant", "twice", "Keep one of the two.", "%s / %s stands there twice",
                         out->coat, out->variant);
    f->coat_count++; /* from here on formula_finish frees its parts */
    return parts_from_json(list, out, fault);
}

static bool coats_from_json(const json_t *json, struct formula *out, struct fault *fault)
{
    const json_t *list;
    if (!member_list(json, "coats", 1, COATS_MAX, &list, fault))
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

bool formula_from_json(const json_t *json, struct formula *out, struct fault *fault)
{
    *out = (struct formula){0};
    if (member_object(json, "formula", fault) && member_id(json, "code", true, out->code, fault) &&
        member_text(json, "name", false, out->name, sizeof out->name, fault) &&
        member_word(json, "finish", true, finishes, out->finish, sizeof out->finish, fault) &&
        member_word(json, "line", true, lines, out->line, sizeof out->line, fault) &&
        member_text(json, "reason", false, out->reason, sizeof out->reason, fault) &&
        coats_from_json(json, out, fault)) {
        if (!out->name[0])
            snprintf(out->name, sizeof out->name, "%s", out->code);
        return true;
    }
    formula_finish(out);
    return false;
}

static json_t *coat_to_json(const struct coat *c)
{
    json_t *parts = json_array();
    for (size_t i = 0; i < c->part_count; i++)
        json_array_append_new(
            parts, json_pack("{s:s, s:o}", "toner", c->parts[i].toner, "parts", member_of_number(c->parts[i].parts)));
    return json_pack("{s:s, s:s, s:o}", "coat", c->coat, "variant", c->variant, "parts", parts);
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

json_t *formula_to_json(const struct formula *f)
{
    json_t *list = json_array();
    for (size_t i = 0; i < f->coat_count; i++)
        json_array_append_new(list, coat_to_json(&f->coats[i]));
    json_t *out = json_pack("{s:s, s:s, s:s, s:s, s:o, s:o}", "code", f->code, "name", f->name, "finish", f->finish,
                            "line", f->line, "variants", variants_to_json(f), "coats", list);
    if (out && f->revision > 0) {
        json_object_set_new(out, "formula_revision", json_integer(f->revision));
        json_object_set_new(out, "date", member_of_text(f->date));
        json_object_set_new(out, "reason", member_of_text(f->reason));
    }
    return out;
}
