#include "catalogue/catalogue.h"
#include "catalogue/hazards.h"
#include "catalogue/members.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

static const char *const lines[] = {"solvent", "waterborne", "two-pack", NULL};
static const char *const roles[] = {"toner", "binder", "pearl",  "metallic", "additive", "reducer", "hardener",
                                    "clear", "primer", "sealer", "filler",   "single",   "base",    NULL};

static bool add_statement(struct toner *t, const char *word, size_t len, struct fault *fault)
{
    char code[12];
    if (len >= sizeof code || !hazard_code_fits(word, len))
        return fault_set(fault, FAULT_INVALID, "hazards", "not a hazard statement",
                         "Give a signal word and codes such as H226 or EUH204.", "hazards holds %.*s", (int)len, word);
    memcpy(code, word, len);
    code[len] = '\0';
    for (size_t i = 0; i < t->hazard_count; i++)
        if (strcmp(t->hazards[i], code) == 0)
            return true;
    if (t->hazard_count == HAZARDS_MAX)
        return fault_set(fault, FAULT_INVALID, "hazards", "too many", "Give the gravest.",
                         "hazards holds more than %d statements", HAZARDS_MAX);
    memcpy(t->hazards[t->hazard_count++], code, len + 1);
    return true;
}

static bool is_signal(const char *word, size_t len)
{
    return (len == 6 && strncasecmp(word, "danger", len) == 0) || (len == 7 && strncasecmp(word, "warning", len) == 0);
}

/* `Danger H225 H319 EUH066`: as a person writes it. */
static bool hazards_of_text(const char *text, struct toner *t, struct fault *fault)
{
    for (const char *p = text; *p;) {
        size_t n = strcspn(p, " ,+\t"); /* a combined one, H302+H312, is kept as its parts */
        if (n > 0 && is_signal(p, n)) {
            for (size_t i = 0; i < n; i++)
                t->signal[i] = (char)tolower((unsigned char)p[i]);
            t->signal[n] = '\0';
        } else if (n > 0 && !add_statement(t, p, n, fault)) {
            return false;
        }
        p += n + strspn(p + n, " ,+\t");
    }
    return true;
}

static bool hazards_of_list(const json_t *list, struct toner *t, struct fault *fault)
{
    size_t i;
    const json_t *entry;
    json_array_foreach((json_t *)list, i, entry)
    {
        if (!json_is_string(entry))
            return fault_set(fault, FAULT_PARAMS, "hazards", "not a text", "Give codes such as H226.",
                             "a hazard statement is not a text");
        if (!hazards_of_text(json_string_value(entry), t, fault))
            return false;
    }
    return true;
}

/* {"signal","statements"} as given back; a list of statements or one text are taken as well. */
static bool hazards_of_json(const json_t *value, struct toner *t, struct fault *fault)
{
    if (!value || json_is_null(value))
        return true;
    if (json_is_string(value))
        return hazards_of_text(json_string_value(value), t, fault);
    if (json_is_array(value))
        return hazards_of_list(value, t, fault);
    if (!json_is_object(value))
        return fault_set(fault, FAULT_PARAMS, "hazards", "wrong type", "Give {\"signal\", \"statements\"}.",
                         "hazards is neither an object nor a list");
    static const char *const signals[] = {"danger", "warning", "Danger", "Warning", NULL};
    const json_t *list;
    if (!member_word(value, "signal", false, signals, t->signal, sizeof t->signal, fault) ||
        !member_list(value, "statements", 0, HAZARDS_MAX, &list, fault))
        return false;
    t->signal[0] = (char)tolower((unsigned char)t->signal[0]);
    return !list || hazards_of_list(list, t, fault);
}

static bool numbers_from_json(const json_t *json, struct toner *t, struct fault *fault)
{
    const struct {
        const char *name;
        double *out;
        const struct member_range *range;
    } numbers[] = {
        {"density_g_per_ml", &t->density_g_per_ml, &range_density},
        {"voc_pct", &t->voc_pct, &range_per_cent},
        {"water_pct", &t->water_pct, &range_per_cent},
        {"exempt_pct", &t->exempt_pct, &range_per_cent},
        {"exempt_density_g_per_ml", &t->exempt_density_g_per_ml, &range_density},
        {"solids_vol_pct", &t->solids_vol_pct, &range_per_cent},
        {"price_per_kg", &t->price_per_kg, &range_from_0},
        {"metals_pct", &t->metals_pct, &range_per_cent},
    };
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++) {
        *numbers[i].out = NAN;
        if (!member_number(json, numbers[i].name, false, numbers[i].range, numbers[i].out, fault))
            return false;
    }
    double volatiles = fmax(t->voc_pct, 0) + fmax(t->water_pct, 0) + fmax(t->exempt_pct, 0);
    if (volatiles > 100 + 1e-9)
        return fault_set(fault, FAULT_INVALID, "voc_pct", "more than 100 %",
                         "voc_pct, water_pct and exempt_pct are shares of one weight: together at most 100.",
                         "VOC, water and exempt compounds are %g %% together", volatiles);
    return true;
}

bool toner_from_json(const json_t *json, struct toner *t, struct fault *fault)
{
    *t = (struct toner){0};
    if (!member_object(json, "toner", fault) || !member_id(json, "id", true, t->id, fault) ||
        !member_text(json, "name", false, t->name, sizeof t->name, fault) ||
        !member_text(json, "pigment", false, t->pigment, sizeof t->pigment, fault) ||
        !member_word(json, "line", false, lines, t->line, sizeof t->line, fault) ||
        !member_word(json, "role", false, roles, t->role, sizeof t->role, fault) ||
        !member_text(json, "bank", false, t->bank, sizeof t->bank, fault) ||
        !member_text(json, "code", false, t->code, sizeof t->code, fault) || !numbers_from_json(json, t, fault) ||
        !hazards_of_json(json_object_get(json, "hazards"), t, fault))
        return false;
    if (!t->name[0])
        snprintf(t->name, sizeof t->name, "%s", t->id);
    if (!t->role[0])
        snprintf(t->role, sizeof t->role, "toner");
    return true;
}

json_t *toner_to_json(const struct toner *t)
{
    json_t *statements = json_array();
    for (size_t i = 0; i < t->hazard_count; i++)
        json_array_append_new(statements, json_string(t->hazards[i]));
    json_t *out = json_pack(
        "{s:s, s:s, s:o, s:o, s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:{s:o, s:o}}", "id", t->id,
        "name", t->name, "pigment", member_of_text(t->pigment), "line", member_of_text(t->line), "role", t->role,
        "density_g_per_ml", member_of_number(t->density_g_per_ml), "voc_pct", member_of_number(t->voc_pct), "water_pct",
        member_of_number(t->water_pct), "exempt_pct", member_of_number(t->exempt_pct), "exempt_density_g_per_ml",
        member_of_number(t->exempt_density_g_per_ml), "solids_vol_pct", member_of_number(t->solids_vol_pct),
        "price_per_kg", member_of_number(t->price_per_kg), "metals_pct", member_of_number(t->metals_pct), "bank",
        member_of_text(t->bank), "code", member_of_text(t->code), "hazards", "signal", member_of_text(t->signal),
        "statements", statements);
    if (out && t->revision > 0)
        json_object_set_new(out, "revision", json_integer(t->revision));
    return out;
}
