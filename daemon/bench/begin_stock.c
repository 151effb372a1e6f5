/* begin_stock.c - what the bank should be asked before the first drop: are its tins stirred today, is there enough in
 * them. Both only warn; what nobody ever counted, received or ticked is not known, and so not told. */
#include "bench/begin_parts.h"

#include "clock.h"
#include "station/aims.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A toner's tins together; NaN: none was ever counted or received. */
static void add_tin(void *arg, const struct store_tin *tin)
{
    double *grams = arg;
    *grams = isnan(*grams) ? tin->grams : *grams + tin->grams;
}

/* Grams of each part that this batch takes from the bank, as planned: less what is in the cup already. */
static void wanted_of(const struct beginning *c, double g[RECIPE_PARTS])
{
    const struct event_begun *begun = c->begun;
    struct batch b;
    batch_init(&b);
    b.recipe = begun->recipe;
    b.set.capacity_g = NAN;
    batch_clean_parts(&b, begun->wanted_g, g);
    for (size_t p = 0; p < begun->recipe.parts; p++)
        g[p] = fmax(0, g[p] - begun->have_g[p]);
}

/* One warning a toner, in pouring order. Tins of all lots count together: a painter opens the next one. */
static void enough(struct beginning *c)
{
    double g[RECIPE_PARTS];
    wanted_of(c, g);
    for (size_t p = 0; p < c->begun->recipe.parts; p++) {
        const char *toner = c->begun->recipe.part[p].toner;
        double left_g = NAN;
        if (g[p] > 0 && store_tins(c->d->store, toner, add_tin, &left_g) && left_g < g[p])
            begin_warn(c, "stock_short", toner, say("stock_short toner=%s left_g=%f need_g=%f", toner, left_g, g[p]));
    }
}

/* Flakes settle overnight, so pearls and metallics count as well where the shop ever ticked them. */
static bool settles(const struct toner *t, bool ticked)
{
    bool flakes = strcmp(t->role, "pearl") == 0 || strcmp(t->role, "metallic") == 0;
    return t->stir || (flakes && ticked);
}

/* One warning for all of them, the flakes first: they are what a colour lacks when they lie on the ground. */
static void stirred(struct beginning *c)
{
    char today[CLOCK_TEXT], time[STORE_TIME], names[160] = "";
    size_t used = 0;
    clock_text(clock_wall_ms(), today);
    for (int flakes = 1; flakes >= 0; flakes--)
        for (size_t p = 0; p < c->begun->recipe.parts; p++) {
            const char *toner = c->begun->recipe.part[p].toner;
            struct toner t;
            if (!catalogue_toner(c->d->store, toner, &t))
                continue;
            bool ticked = store_stirred(c->d->store, toner, time) == STORE_FOUND;
            bool flake = strcmp(t.role, "pearl") == 0 || strcmp(t.role, "metallic") == 0;
            if (flake == (flakes == 1) && settles(&t, ticked) && !(ticked && strncmp(time, today, 10) == 0) &&
                used + strlen(toner) + 3 < sizeof names)
                used += (size_t)snprintf(names + used, sizeof names - used, "%s%s", used ? ", " : "", toner);
        }
    if (names[0])
        begin_warn(c, "stir_first", NULL, say("stir_first toners=%s", names));
}

/* What is stirred first comes first: it stands in the tin whatever there is of it. */
void begin_stock(struct beginning *c)
{
    stirred(c);
    enough(c);
}
