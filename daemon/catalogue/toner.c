/* toner.c - a toner as JSON and as a value. Knows no store and no file. */
#include "catalogue/catalogue.h"
#include "catalogue/hazards.h"
#include "catalogue/tin_code.h"
#include "text/utf8.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

/* Waterborne never stands in one cup with another (station/recipe.c); solvent and two-pack do, in a product. */
const char *const catalogue_lines[] = {"solvent", "waterborne", "two-pack", NULL};
/* What a toner is for; `toner` where nobody says. */
static const char *const roles[] = {"toner", "binder", "pearl",  "metallic", "additive", "reducer", "hardener",
                                    "clear", "primer", "sealer", "filler",   "single",   "base",    NULL};

/* Shares of the whole, as really poured. */
static const struct shape_range share_range = {0, 1, true};
static const struct shape_member share_members[] = {
    {.name = "toner", .type = SHAPE_ID, .required = true, SHAPE_AT(struct toner_share, toner)},
    {.name = "share",
     .type = SHAPE_NUMBER,
     .required = true,
     .exact = true,
     .range = &share_range,
     .about = "of its weight; all of them make 1",
     SHAPE_AT(struct toner_share, share)},
    {0},
};
static const struct shape share_shape = {"toner_share", share_members, "a toner that a premix is made of"};

#define AT(member)     SHAPE_AT(struct toner, member)
#define NUMBER(member) .type = SHAPE_NUMBER, .nullable = true, AT(member)
/* The members `hazards` and `optics` have forms of their own and are read by hand below; the table names them so that
 * papers and files know of them. Numbers not known are null, never 0: a density of 0 would be a division by it. */
static const struct shape_member toner_members[] = {
    {.name = "id", .type = SHAPE_ID, .required = true, AT(id)},
    {.name = "name", .type = SHAPE_TEXT, AT(name), .about = "as a painter calls it; left out: the id"},
    {.name = "pigment",
     .type = SHAPE_TEXT,
     .nullable = true,
     AT(pigment),
     .about = "its Colour Index name, such as PW6"},
    {.name = "line",
     .type = SHAPE_CHOICE,
     .nullable = true,
     .choices = catalogue_lines,
     AT(line),
     .about = "which toners it goes with"},
    {.name = "role", .type = SHAPE_CHOICE, .choices = roles, AT(role), .about = "what it is for; left out: `toner`"},
    {.name = "density_g_per_ml", .range = &shape_density, NUMBER(density_g_per_ml)},
    {.name = "voc_pct", .range = &shape_pct, NUMBER(voc_pct)},
    {.name = "water_pct", .range = &shape_pct, NUMBER(water_pct)},
    {.name = "exempt_pct", .range = &shape_pct, NUMBER(exempt_pct)},
    {.name = "exempt_density_g_per_ml", .range = &shape_density, NUMBER(exempt_density_g_per_ml)},
    {.name = "solids_vol_pct", .range = &shape_pct, NUMBER(solids_vol_pct)},
    {.name = "price_per_kg", .range = &shape_from_0, NUMBER(price_per_kg)},
    {.name = "metals_pct", .range = &shape_pct, NUMBER(metals_pct)},
    {.name = "bank", .type = SHAPE_TEXT, .nullable = true, AT(bank), .about = "its place on the wall"},
    {.name = "code",
     .type = SHAPE_TEXT,
     .nullable = true,
     AT(code),
     .about = "the first of `codes`; alone it is the one"},
    {.name = "codes",
     .type = SHAPE_LIST,
     .entry = SHAPE_TEXT,
     .fits = code_fits,
     .unfit = "code_unfit field=%s given=%s",
     SHAPE_LIST_AT(struct toner, codes, code_count),
     .about = "what a scanner reads; one may end in `*`, what stands there is the lot"},
    {.name = "reorder_g", .range = &shape_from_0, NUMBER(reorder_g), .about = "order anew below this"},
    {.name = "stir", .type = SHAPE_FLAG, AT(stir), .about = "must be stirred each day"},
    {.name = "optics",
     .type = SHAPE_ANY,
     .about =
         "[{nm, k, s}] or null: what it absorbs and scatters per unit of weight; also one text, `450 0.02 1.1, ...`"},
    {.name = "composition",
     .type = SHAPE_LIST,
     .nullable = true,
     .entry = SHAPE_OBJECT,
     .of = &share_shape,
     .entries_most = COMPOSITION_MAX,
     .about = "of a premix: what it counts as wherever it is poured",
     SHAPE_LIST_AT(struct toner, composition, composition_count)},
    {.name = "made", .type = SHAPE_DAY, .nullable = true, AT(made), .about = "the day on which a premix was mixed"},
    {.name = "hazards", .type = SHAPE_ANY, .about = "{signal, statements}; also one text or a list of H and EUH codes"},
    {0},
};
const struct shape toner_shape = {"toner", toner_members, "a toner of the bank, or what else is poured"};

bool catalogue_given(const char *field, const char *text, struct fault *fault)
{
    return text[0] || fault_said(fault, FAULT_PARAMS, field, "missing", "member_missing field=%s", field);
}

/* A statement twice is kept once. `word` need not end with a NUL. */
static bool add_statement(struct toner *t, const char *word, size_t len, struct fault *fault)
{
    char code[12], given[40];
    snprintf(given, sizeof given, "%.*s", len < 30 ? (int)len : 30, word);
    if (len >= sizeof code || !hazard_code_fits(word, len))
        return fault_said(fault, FAULT_INVALID, "hazards", "not a hazard statement", "toner_hazard given=%s", given);
    memcpy(code, word, len);
    code[len] = '\0';
    for (size_t i = 0; i < t->hazard_count; i++)
        if (strcmp(t->hazards[i], code) == 0)
            return true;
    if (t->hazard_count == HAZARDS_MAX)
        return fault_said(fault, FAULT_INVALID, "hazards", "too many", "toner_hazards_many most=%d", HAZARDS_MAX);
    memcpy(t->hazards[t->hazard_count++], code, len + 1);
    return true;
}

/* The signal word of a safety data sheet, in any case: people write Danger, DANGER and danger. */
static bool is_signal(const char *word, size_t len)
{
    return (len == 6 && strncasecmp(word, "danger", len) == 0) || (len == 7 && strncasecmp(word, "warning", len) == 0);
}

/* `Danger H225 H319 EUH066`: as a person writes it, with spaces or commas between. Of two signal words the last holds.
 */
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

/* Each entry may itself hold several statements. */
static bool hazards_of_list(const json_t *list, struct toner *t, struct fault *fault)
{
    size_t i;
    const json_t *entry;
    json_array_foreach((json_t *)list, i, entry)
    {
        if (!json_is_string(entry))
            return fault_said(fault, FAULT_PARAMS, "hazards", "not a text", "toner_hazards_type");
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
        return fault_said(fault, FAULT_PARAMS, "hazards", "wrong type", "toner_hazards_type");
    static const char *const signals[] = {"danger", "warning", "Danger", "Warning", NULL};
    static const struct shape_member members[] = {
        {.name = "signal", .type = SHAPE_CHOICE, .choices = signals, SHAPE_AT(struct toner, signal)},
        {.name = "statements", .type = SHAPE_LIST, .entry = SHAPE_TEXT, .entries_most = HAZARDS_MAX},
        {0},
    };
    static const struct shape shape = {"hazards", members, NULL};
    if (!shape_read(&shape, value, t, fault))
        return false;
    const json_t *list = json_object_get(value, "statements");
    t->signal[0] = (char)tolower((unsigned char)t->signal[0]);
    return !json_is_array(list) || hazards_of_list(list, t, fault);
}

/* `codes` hold where they are given; `code` alone is from before there were several, and from files that have one. */
static void take_codes(const json_t *json, struct toner *t)
{
    if (!json_is_array(json_object_get(json, "codes")) && code_fits(t->code))
        utf8_copy(t->codes[t->code_count++], CODE_MAX, t->code);
    size_t kept = 0; /* an empty one between two commas says nothing */
    for (size_t i = 0; i < t->code_count; i++)
        if (t->codes[i][0] && kept++ < i)
            memmove(t->codes[kept - 1], t->codes[i], CODE_MAX);
    t->code_count = kept;
    if (kept > 0 || json_is_array(json_object_get(json, "codes")))
        utf8_copy(t->code, sizeof t->code, kept > 0 ? t->codes[0] : "");
}

/* Each toner once, and no premix of itself: whoever takes from it walks the list without looking. One premix may hold
 * another; it then counts as that, and no deeper.
 * 0.1 % of slack, for shares that were rounded; they are then made to sum to 1. */
static bool composition_whole(struct toner *t, struct fault *fault)
{
    double sum = 0;
    for (size_t i = 0; i < t->composition_count; i++) {
        sum += t->composition[i].share;
        for (size_t k = 0; k < i; k++)
            if (strcasecmp(t->composition[k].toner, t->composition[i].toner) == 0)
                return fault_said(fault, FAULT_INVALID, "composition", "twice", "composition_twice toner=%s",
                                  t->composition[i].toner);
        if (strcasecmp(t->composition[i].toner, t->id) == 0)
            return fault_said(fault, FAULT_INVALID, "composition", "itself", "composition_itself toner=%s", t->id);
    }
    if (t->composition_count && fabs(sum - 1) > 0.001)
        return fault_said(fault, FAULT_INVALID, "composition", "sum", "composition_sum pct=%f", sum * 100);
    for (size_t i = 0; i < t->composition_count; i++)
        t->composition[i].share /= sum;
    return true;
}

/* What a person leaves out is not known, never 0: a density of 0 would divide, a price of 0 would be a gift. */
bool toner_from_json(const json_t *json, struct toner *t, struct fault *fault)
{
    *t = (struct toner){.role = "toner",
                        .density_g_per_ml = NAN,
                        .voc_pct = NAN,
                        .water_pct = NAN,
                        .exempt_pct = NAN,
                        .exempt_density_g_per_ml = NAN,
                        .solids_vol_pct = NAN,
                        .price_per_kg = NAN,
                        .metals_pct = NAN,
                        .reorder_g = NAN};
    if (!shape_read(&toner_shape, json, t, fault) || !composition_whole(t, fault) ||
        !hazards_of_json(json_object_get(json, "hazards"), t, fault) ||
        !optics_of_json(json_object_get(json, "optics"), &t->optics, fault))
        return false;
    /* Mass per cent of one whole. A hair of rounding is let pass: 33.3 + 33.3 + 33.4 is 100 to whoever types it.
     * fmax takes the number where the other is NaN: what is not known counts as 0 here. */
    double volatiles = fmax(t->voc_pct, 0) + fmax(t->water_pct, 0) + fmax(t->exempt_pct, 0);
    if (volatiles > 100 + 1e-9)
        return fault_said(fault, FAULT_INVALID, "voc_pct", "more than 100 %", "toner_volatiles pct=%f", volatiles);
    take_codes(json, t);
    if (!t->name[0])
        utf8_copy(t->name, sizeof t->name, t->id);
    return true;
}

/* `revision` is what the row alone knows, and stands there only where it does. */
json_t *toner_to_json(const struct toner *t)
{
    json_t *out = shape_write(&toner_shape, t), *statements = json_array();
    if (t->composition_count == 0)
        json_object_set_new(out, "composition", json_null());
    for (size_t i = 0; i < t->hazard_count; i++)
        json_array_append_new(statements, json_string(t->hazards[i]));
    json_object_set_new(out, "hazards",
                        json_pack("{s:o, s:o}", "signal", t->signal[0] ? json_string(t->signal) : json_null(),
                                  "statements", statements));
    json_object_set_new(out, "optics", optics_to_json(&t->optics));
    if (out && t->revision > 0)
        json_object_set_new(out, "revision", json_integer(t->revision));
    return out;
}
