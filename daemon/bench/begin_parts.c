/* begin_parts.c - what every piece of a beginning asks for: numbers of the call, a warning, a toner as a part. It must
 * not know which pieces there are. */
#include "bench/begin_parts.h"

#include "rpc/rpc.h"
#include "text/utf8.h"

#include <math.h>
#include <string.h>

/* NaN where it was left out, which is no fault. A negative one is told as such: it is the typing error of a minus sign.
 */
bool begin_number(struct beginning *c, const char *name, double least, double most, double *out)
{
    *out = NAN;
    if (!rpc_get_number(c->params, name, out, c->fault))
        return false;
    if (isnan(*out) || (*out >= least && *out <= most))
        return true;
    return fault_said(c->fault, FAULT_INVALID, name, *out < 0 ? "negative" : "range",
                      "member_from_to field=%s least=%f most=%f", name, least, most);
}

/* More than BEGIN_WARNINGS are dropped. The English text is made here, at the interval of this scale at this load, so
 * that every caller prints the same digits. */
void begin_warn(struct beginning *c, const char *code, const char *toner, struct said said)
{
    if (c->warnings->count == BEGIN_WARNINGS)
        return;
    struct begin_warning *w = &c->warnings->warning[c->warnings->count++];
    struct number_style style = {.point = '.', .d_g = config_station_d_g(c->config, c->begun->wanted_g)};
    w->said = said;
    said_text(&said, WORDS_EN, &style, w->text, sizeof w->text);
    utf8_copy(w->code, sizeof w->code, code);
    utf8_copy(w->toner, sizeof w->toner, toner ? toner : "");
}

/* Grams, shares and steps are left 0: they follow from the recipe. A role that is neither reducer nor hardener counts
 * as colour, until a product says otherwise. */
void begin_part_of(const struct toner *t, struct recipe_part *out)
{
    size_t used = 0;
    memset(out, 0, sizeof *out);
    snprintf(out->toner, sizeof out->toner, "%s", t->id);
    utf8_copy(out->name, sizeof out->name, t->name[0] ? t->name : t->id);
    utf8_copy(out->pigment, sizeof out->pigment, t->pigment);
    utf8_copy(out->place, sizeof out->place, t->bank);
    for (size_t i = 0; i < t->hazard_count && used < sizeof out->hazards; i++)
        used +=
            (size_t)snprintf(out->hazards + used, sizeof out->hazards - used, "%s%s", used ? " " : "", t->hazards[i]);
    out->role = strcmp(t->role, "reducer") == 0    ? PART_REDUCER
                : strcmp(t->role, "hardener") == 0 ? PART_HARDENER
                                                   : PART_COLOUR;
    out->per_base = NAN;
    out->density_g_per_ml = t->density_g_per_ml;
    out->price_per_kg = t->price_per_kg;
    out->voc_pct = t->voc_pct;
    out->water_pct = t->water_pct;
    out->exempt_pct = t->exempt_pct;
    out->exempt_density_g_per_ml = t->exempt_density_g_per_ml;
    out->solids_vol_pct = t->solids_vol_pct;
    if (mix_optics_of(t->optics.nm, t->optics.k, t->optics.s, t->optics.count, &out->optics))
        out->bands = MIX_BANDS;
}

/* What could not be read is refused as such: a tin must not be called unknown because the disk failed. */
bool begin_part(struct daemon *d, const char *toner, const char *field, struct recipe_part *out, struct fault *fault)
{
    struct toner t;
    uint64_t unread = store_unread(d->store);
    if (!catalogue_toner(d->store, toner, &t))
        return catalogue_was_read(d->store, unread, fault) && catalogue_unknown(d->store, "toner", field, toner, fault);
    begin_part_of(&t, out);
    return true;
}

/* "" for a toner that nobody knows or that bears no line: such a one is kept out of no cup. */
void begin_line_of(struct daemon *d, const char *toner, char *out, size_t size)
{
    struct toner t;
    utf8_copy(out, size, catalogue_toner(d->store, toner, &t) ? t.line : "");
}

/* Parts by weight become shares of 1, of steps and parts alike. */
void begin_level(struct recipe *r)
{
    double sum = 0;
    for (size_t s = 0; s < r->steps; s++)
        sum += r->step[s].share;
    for (size_t s = 0; s < r->steps; s++)
        r->step[s].share /= sum;
    for (size_t p = 0; p < r->parts; p++)
        r->part[p].share /= sum;
}
