#include "drivers/sim/write.h"
#include "drivers/sim/shape.h"
#include <string.h>

const char *const sim_status_names[SIM_STATUSES] = {"ok", "over", "under", "error"};
const char *const sim_unit_names[SIM_UNITS] = {"g", "kg", "lb", "oz", "mg", "t", "gr", "pcs"};

const struct sim_style *sim_style_find(const char *family, const char *style)
{
    for (size_t i = 0; i < sim_styles_count; i++) {
        const struct sim_style *row = &sim_styles[i];
        if (!strcmp(row->family, family) && !strcmp(row->style, style ? style : ""))
            return row;
    }
    return NULL;
}

static const char *shape_for(const struct sim_style *style, enum sim_status status, bool stable)
{
    switch (status) {
    case SIM_OK:
        return !stable && style->moving ? style->moving : style->stable;
    case SIM_OVER:
        return style->over;
    case SIM_UNDER:
        return style->under;
    case SIM_ERROR:
    case SIM_STATUSES:
        return style->error;
    }
    return NULL;
}

size_t sim_write(const struct sim_style *style, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX])
{
    const char *shape = shape_for(style, weight->status, weight->stable);
    size_t len = shape ? sim_shape(shape, weight, out) : 0;
    if (len || weight->status != SIM_OK || !weight->negative || !style->under)
        return len;
    struct sim_weight below = *weight;
    below.status = SIM_UNDER;
    return sim_shape(style->under, &below, out);
}
