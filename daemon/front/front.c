/* front.c - what the files of this folder share: the batch as it is shown, a said and an act as JSON. */
#include "front/front.h"

#include <stdio.h>

const struct batch *front_batch(const struct front *f)
{
    return f->batch && f->batch->state < BATCH_HELD ? f->batch : NULL;
}

struct number_style front_style(const struct front *f)
{
    return (struct number_style){.point = f->comma ? ',' : '.', .d_g = f->d_g};
}

json_t *front_said(const struct front *f, const struct said *s)
{
    struct number_style style = front_style(f);
    return said_json(s, &style);
}

json_t *front_act(const struct front *f, const char *method, const char *key, json_t *value)
{
    char name[40];
    snprintf(name, sizeof name, "batch.%s", method);
    json_t *params = json_pack("{s:s, s:I}", "station", f->station, "revision", (json_int_t)f->revision);
    if (key)
        json_object_set_new(params, key, value);
    return json_pack("{s:s, s:o}", "method", name, "params", params);
}
