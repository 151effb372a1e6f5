/* keep.c - when the reading of an open step is worth a write. It must not know a disk. */
#include "station/keep.h"

#include <stdlib.h>

enum { STOOD_MS = 3000 };

/* After an act the journal says as much as a kept reading would, so the next one is measured from it. */
void keep_known(struct keep *k, const struct track *t)
{
    k->kept = true;
    k->last_ug = t->last_ug;
    k->base_ug = t->base_ug;
}

/* How far a restart would be off: in the reading, or in what the cup weighed before the step (its drift). */
static int64_t off_ug(const struct keep *k, const struct track *t)
{
    int64_t last = llabs(t->last_ug - k->last_ug), base = llabs(t->base_ug - k->base_ug);
    return last > base ? last : base;
}

bool keep_due(struct keep *k, const struct track *t, int64_t d_ug, int64_t tolerance_ug, int64_t now_ms)
{
    if (llabs(t->last_ug - k->stood_ug) > d_ug) {
        k->stood_ug = t->last_ug;
        k->stood_ms = now_ms;
    }
    int64_t off = off_ug(k, t);
    bool far = off > (tolerance_ug > d_ug ? tolerance_ug : d_ug);
    bool stood = off > d_ug && now_ms - k->stood_ms >= STOOD_MS;
    if (k->kept && !far && !stood)
        return false;
    keep_known(k, t);
    return true;
}
