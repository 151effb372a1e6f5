/* front.c - what the files of this folder share: the batch as it is shown, a said and an act as JSON, and how its pot
 * life stands. It must not know how a screen is put together. */
#include "front/front.h"

#include <stdio.h>

#define POT_SOON_MS (15 * 60000LL) /* time enough for one coat and the gun */
#define POT_SAID_MS 60000LL        /* so long each of both is the message, too; afterwards a caution alone */

/* A held batch belongs to no bench, and one that ended is a record. */
const struct batch *front_batch(const struct front *f)
{
    return f->batch && f->batch->state < BATCH_HELD ? f->batch : NULL;
}

/* As this bench shows numbers: the shop's sign, and as many decimals as its scale has. */
struct number_style front_style(const struct front *f)
{
    return (struct number_style){.point = f->comma ? ',' : '.', .d_g = f->d_g};
}

json_t *front_said(const struct front *f, const struct said *s)
{
    struct number_style style = front_style(f);
    return said_json(s, &style);
}

/* The revision is the one this screen is of: a second tap on it is then stale, and skips no step. */
json_t *front_act(const struct front *f, const char *method, const char *key, json_t *value)
{
    char name[40];
    snprintf(name, sizeof name, "batch.%s", method);
    json_t *params = json_pack("{s:s, s:I}", "station", f->station, "revision", (json_int_t)f->revision);
    if (key)
        json_object_set_new(params, key, value);
    return json_pack("{s:s, s:o}", "method", name, "params", params);
}

/* use_by_ms is by the clock that goes on in sleep; a pot life of less than 15 min warns from its beginning. */
bool front_pot_life(const struct front *f, struct said *said, bool *news)
{
    if (!front_batch(f) || f->use_by_ms == 0)
        return false;
    int64_t left_ms = f->use_by_ms - f->wall_ms;
    if (left_ms > POT_SOON_MS)
        return false;
    bool over = left_ms <= 0;
    *said = over ? say("pot_life_over") : say("pot_life_soon");
    *news = left_ms > (over ? 0 : POT_SOON_MS) - POT_SAID_MS;
    return true;
}
