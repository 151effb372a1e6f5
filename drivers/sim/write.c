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

size_t sim_write(const struct sim_style *style, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX])
{
    const char *shape = NULL;
    switch (weight->status) {
    case SIM_OK:
        shape = !weight->stable && style->moving ? style->moving : style->stable;
        break;
    case SIM_OVER:
        shape = style->over;
        break;
    case SIM_UNDER:
        shape = style->under;
        break;
    case SIM_ERROR:
    case SIM_STATUSES:
        shape = style->error;
        break;
    }
    return shape ? sim_shape(shape, weight, out) : 0;
}
