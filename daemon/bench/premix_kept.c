/* premix_kept.c - a finished premix as a toner: what it is made of as really poured, and its figures, which follow from
 * that. It must not know how it was poured, nor who will take from it.
 */
#include "bench/premix_kept.h"

#include "bench/under_way.h"
#include "catalogue/catalogue.h"
#include "station/aims.h"
#include "station/batch_record.h"
#include "text/json_write.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Asked at the finish's turn; a put that is on its way meanwhile would be of the same second by another hand. */
bool premix_id_free(struct daemon *d, const char *id, struct fault *f)
{
    struct toner t;
    uint64_t unread = store_unread(d->store);
    bool used = catalogue_toner(d->store, id, &t);
    if (used || under_way_kept(d, id))
        return fault_said(f, FAULT_INVALID, "id", "used", "keep_used toner=%s", used ? t.id : id);
    return catalogue_was_read(d->store, unread, f);
}

/* Each statement of its parts once; beyond HAZARDS_MAX the rest stays with the parts, which a label asks as well. */
static void add_hazards(struct toner *t, const char *hazards)
{
    char words[sizeof((struct recipe_part *)0)->hazards];
    char *rest = NULL;
    utf8_copy(words, sizeof words, hazards);
    for (char *word = strtok_r(words, " ", &rest); word; word = strtok_r(NULL, " ", &rest)) {
        bool there = false;
        for (size_t i = 0; i < t->hazard_count; i++)
            there = there || strcmp(t->hazards[i], word) == 0;
        if (!there && t->hazard_count < HAZARDS_MAX)
            snprintf(t->hazards[t->hazard_count++], sizeof t->hazards[0], "%s", word);
    }
}

/* Weights and volumes add (ASTM D5201); a figure that one part lacks is not known of the whole. */
static void figures(const struct batch *b, struct toner *t)
{
    double g = 0, ml = 0, solids_ml = 0, cost = 0, voc = 0, water = 0, exempt = 0, exempt_ml = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double grams = batch_toner_g(b, (int)p);
        if (!(grams > 0))
            continue;
        /* Water and exempt compounds that nobody names are taken as none, as mix.voc has it. */
        double exempt_g = grams * (isnan(part->exempt_pct) ? 0 : part->exempt_pct) / 100;
        g += grams;
        ml += grams / part->density_g_per_ml;
        solids_ml += grams / part->density_g_per_ml * part->solids_vol_pct / 100;
        cost += recipe_price(part, grams);
        voc += grams * part->voc_pct / 100;
        water += grams * (isnan(part->water_pct) ? 0 : part->water_pct) / 100;
        exempt += exempt_g;
        exempt_ml += exempt_g > 0 ? exempt_g / part->exempt_density_g_per_ml : 0;
        add_hazards(t, part->hazards);
    }
    t->density_g_per_ml = g / ml;
    t->solids_vol_pct = 100 * solids_ml / ml;
    t->price_per_kg = cost / g * 1000;
    t->voc_pct = 100 * voc / g;
    t->water_pct = 100 * water / g;
    t->exempt_pct = 100 * exempt / g;
    t->exempt_density_g_per_ml = exempt > 0 ? exempt / exempt_ml : NAN;
}

/* A pigment settles, so it is stirred each day. Its name is the colour that it was made for. */
static void toner_of(const struct batch *b, const struct event *e, const char *day, struct toner *t)
{
    const struct recipe *r = &b->recipe;
    double content_g = batch_content_g(b);
    *t = (struct toner){.role = "toner", .stir = true, .metals_pct = NAN, .reorder_g = NAN};
    snprintf(t->id, sizeof t->id, "%s", e->kept_as);
    snprintf(t->name, sizeof t->name, "%s %s", r->code, r->coat);
    snprintf(t->line, sizeof t->line, "%s", r->line);
    utf8_copy(t->bank, sizeof t->bank, e->kept_place);
    snprintf(t->made, sizeof t->made, "%.10s", day);
    /* Reducer never is in it, so all that the cup holds is colour. */
    figures(b, t);
    for (size_t p = 0; p < r->parts && t->composition_count < COMPOSITION_MAX; p++) {
        double grams = batch_toner_g(b, (int)p);
        if (!(grams > 0))
            continue;
        struct toner_share *share = &t->composition[t->composition_count++];
        snprintf(share->toner, sizeof share->toner, "%s", r->part[p].toner);
        share->share = grams / content_g;
    }
}

/* The store gets it in the same write as the finish, so that no premix is finished and lost. */
bool premix_kept(const struct batch *b, const struct event *e, const char *day, const char *time, struct premix_kept *k)
{
    struct toner t;
    memset(k, 0, sizeof *k);
    if (e->kind != EVENT_FINISHED || !e->kept_as[0])
        return true;
    toner_of(b, e, day, &t);
    json_t *json = toner_to_json(&t);
    k->body = json_write(json, JSON_COMPACT | JSON_REAL_PRECISION(15));
    k->text = json ? catalogue_text(json) : NULL;
    json_decref(json);
    k->item = (struct store_item){.kind = "toner", .id = e->kept_as, .time = time, .body = k->body, .text = k->text};
    k->stir = (struct store_stir){e->kept_as, time};
    k->tin = (struct store_move){.toner = e->kept_as, .lot = b->id, .grams = batch_content_g(b)};
    return k->body && k->text;
}

/* Of nothing kept as well. */
void premix_kept_free(struct premix_kept *k)
{
    free(k->body);
    free(k->text);
}
