/* cautions.c - which caution belongs to which moment, and whom it is about. It must not know scale, page or words.
 *
 * Standards, all from memory, named for who wants to look them up; the safety data sheet and the rules of the place go
 * before any of them:
 *   isocyanate, sensitised   EUH204, H334; Regulation (EC) No 1907/2006 (REACH), annex XVII, entry 74
 *   eyes_skin                H314, H318; EN 166 (goggles), EN ISO 374-1 (gloves). An amine hardener is one of these.
 *   dust                     EUH212, H228; EN 149 (FFP3 mask)
 *   target_metals            40 CFR 63 subpart HHHHHH: chromium, lead, manganese, nickel, cadmium
 *   flammable, earth_tins    H224 to H226; IEC TS 60079-32-1 (earthing, static electricity)
 *   rags                     NFPA 33
 *   never_close              common practice, no source: the reaction goes on, warms and gives off gas
 *   waste_rules              European waste code 08 01 11*; elsewhere the local list
 */
#include "station/cautions.h"

#include <math.h>
#include <string.h>

/* Pigments that hold a target metal, by Colour Index generic name (from memory; a sheet that says more goes before).
 * Pb PY34 PR103 PR104 PO21 PW1, Cr PY31 PY32 PY36 PG17 PG18 PG26 PB36 PBr24 PBr29 PBk28 PBk30, Cd PY35 PY37 PO20 PR108,
 * Ni PY53 PY150 PG10 PG50, Mn PV16 PR48:4 PBk14 PBk26 PBk33 PBr8. */
static const char *const metal_pigments[] = {
    "PY34", "PR103", "PR104", "PO21",  "PW1",   "PY31",   "PY32",  "PY36",  "PG17",  "PG18",
    "PG26", "PB36",  "PBr24", "PBr29", "PBk28", "PBk30",  "PY35",  "PY37",  "PO20",  "PR108",
    "PY53", "PY150", "PG10",  "PG50",  "PV16",  "PR48:4", "PBk14", "PBk26", "PBk33", "PBr8",
};

/* All solid, give or take what a sheet rounds: a powder. */
static const double POWDER_SOLIDS_PCT = 99.5;

/* Whether a word stands in a list of words apart by blanks, whole. */
static bool holds(const char *list, const char *word)
{
    size_t len = strlen(word);
    for (const char *at = strstr(list, word); at; at = strstr(at + 1, word))
        if ((at == list || at[-1] == ' ') && (at[len] == '\0' || at[len] == ' '))
            return true;
    return false;
}

bool recipe_part_is_isocyanate(const struct recipe_part *p)
{
    return (p->role == PART_HARDENER && !p->hazards[0]) || holds(p->hazards, "EUH204") || holds(p->hazards, "H334");
}

bool recipe_part_is_flammable(const struct recipe_part *p)
{
    return holds(p->hazards, "H224") || holds(p->hazards, "H225") || holds(p->hazards, "H226");
}

/* Burns skin or eyes, or is a hardener that makes allergic without being an isocyanate: an amine, for the most part. */
static bool is_corrosive(const struct recipe_part *p)
{
    bool amine = p->role == PART_HARDENER && holds(p->hazards, "H317") && !recipe_part_is_isocyanate(p);
    return holds(p->hazards, "H314") || holds(p->hazards, "H318") || amine;
}

/* Dry pigment flies: a statement says so, or nothing in it is liquid. */
static bool is_powder(const struct recipe_part *p)
{
    return holds(p->hazards, "EUH212") || holds(p->hazards, "H228") ||
           (p->pigment[0] && p->solids_vol_pct >= POWDER_SOLIDS_PCT);
}

/* By pigment, since few sheets name the metal; a toner without a pigment name tells nothing. */
static bool has_target_metal(const struct recipe_part *p)
{
    for (size_t i = 0; i < sizeof metal_pigments / sizeof *metal_pigments; i++)
        if (holds(p->pigment, metal_pigments[i]))
            return true;
    return false;
}

/* The first part of which `is` holds; NULL: none. */
static const struct recipe_part *first_part(const struct recipe *r, bool (*is)(const struct recipe_part *p))
{
    for (size_t i = 0; i < r->parts; i++)
        if (is(&r->part[i]))
            return &r->part[i];
    return NULL;
}

/* What is poured just now; NULL: nothing, or paint is taken out. */
static const struct recipe_part *open_part(const struct batch *b)
{
    if (b->state == BATCH_OVER && b->over >= 0)
        return &b->recipe.part[b->recipe.step[b->over].part];
    if (b->state != BATCH_POUR)
        return NULL;
    if (b->now == NOW_TINT)
        return &b->tint;
    return b->now == NOW_STEP && b->open >= 0 ? &b->recipe.part[b->recipe.step[b->open].part] : NULL;
}

/* Cautions gathered in order; what is beyond `most` is left out, so the gravest are added first. */
struct list {
    struct said *out;
    size_t count, most;
};

static void add(struct list *l, bool is_due, struct said said)
{
    if (is_due && l->count < l->most)
        l->out[l->count++] = said;
}

/* Of the bank before the first drop: once something is poured it is too late for it, and a record need not tell it. */
static bool is_momentary(const struct said *s)
{
    return said_is(s, "stir_first") || said_is(s, "stock_short");
}

/* The batch's own ones with this code, or with any but the general two and what was of its moment alone. */
static void add_kept(struct list *l, const struct batch *b, const char *code)
{
    for (size_t i = 0; i < b->cautions; i++) {
        const struct said *kept = &b->caution[i];
        bool general = said_is(kept, "isocyanate") || said_is(kept, "flammable");
        add(l, code ? said_is(kept, code) : !general && !is_momentary(kept), *kept);
    }
}

/* As the beginning found it, or a hardener that came in since (fold_caution). */
static bool has_isocyanate(const struct batch *b)
{
    for (size_t i = 0; i < b->cautions; i++)
        if (said_is(&b->caution[i], "isocyanate"))
            return true;
    return false;
}

size_t batch_cautions(const struct batch *b, struct said out[CAUTIONS_MAX])
{
    struct list l = {out, 0, CAUTIONS_MAX};
    const struct recipe *r = &b->recipe;
    const struct recipe_part *open = open_part(b), *metal = first_part(r, has_target_metal);
    bool begins = b->state == BATCH_CUP, ends = b->state == BATCH_DONE;
    bool activates = open && open->role == PART_HARDENER, burns = first_part(r, recipe_part_is_flammable) != NULL;
    add_kept(&l, b, "isocyanate");
    add(&l, begins && has_isocyanate(b), say("sensitised"));
    if (open && is_corrosive(open))
        add(&l, true, say("eyes_skin toner=%s", open->toner));
    if (open && is_powder(open))
        add(&l, true, say("dust toner=%s", open->toner));
    add(&l, ends && batch_activated(b), say("never_close"));
    if (metal && (begins || ends))
        add(&l, true, say("target_metals toner=%s", metal->toner));
    if (begins || activates)
        add_kept(&l, b, "flammable");
    add(&l, begins && burns, say("earth_tins"));
    add(&l, ends && burns, say("rags"));
    add(&l, b->state == BATCH_POUR && b->now == NOW_TAKE_OUT, say("waste_rules"));
    if (open && open != &b->tint && recipe_part_is_mix(r, (int)(open - r->part)))
        add(&l, true, say("stir_premix toner=%s", open->toner));
    add_kept(&l, b, NULL);
    for (size_t i = 0; begins && i < b->cautions; i++)
        add(&l, is_momentary(&b->caution[i]), b->caution[i]);
    return l.count;
}

/* What a label or a list must still say when the cup is long on the shelf. */
size_t batch_record_cautions(const struct batch *b, struct said out[CAUTIONS_MAX])
{
    struct list l = {out, 0, CAUTIONS_MAX};
    const struct recipe_part *metal = first_part(&b->recipe, has_target_metal);
    add_kept(&l, b, "isocyanate");
    add(&l, batch_activated(b), say("never_close"));
    if (metal)
        add(&l, true, say("target_metals toner=%s", metal->toner));
    add_kept(&l, b, "flammable");
    add(&l, b->state == BATCH_SCRAPPED || b->waste_g > 0, say("waste_rules"));
    add_kept(&l, b, NULL);
    return l.count;
}

size_t recipe_cautions(const struct recipe *r, struct said *out, const char **toner, size_t most)
{
    struct list l = {out, 0, most};
    const struct recipe_part *powder = first_part(r, is_powder), *metal = first_part(r, has_target_metal);
    if (powder && l.count < most) {
        toner[l.count] = powder->toner;
        add(&l, true, say("dust toner=%s", powder->toner));
    }
    if (metal && l.count < most) {
        toner[l.count] = metal->toner;
        add(&l, true, say("target_metals toner=%s", metal->toner));
    }
    return l.count;
}
