#include "catalogue/catalogue.h"
#include "catalogue/members.h"

#include <math.h>
#include <stdio.h>

bool panel_from_json(const json_t *json, struct panel *out, struct fault *fault)
{
    *out = (struct panel){.area_m2 = NAN};
    if (!member_object(json, "panel", fault) || !member_id(json, "id", true, out->id, fault) ||
        !member_text(json, "name", false, out->name, sizeof out->name, fault) ||
        !member_number(json, "area_m2", true, &range_above_0, &out->area_m2, fault) ||
        !member_flag(json, "default", &out->is_default, fault))
        return false;
    if (!out->name[0])
        snprintf(out->name, sizeof out->name, "%s", out->id);
    return true;
}

json_t *panel_to_json(const struct panel *p)
{
    return json_pack("{s:s, s:s, s:o, s:b}", "id", p->id, "name", p->name, "area_m2", member_of_number(p->area_m2),
                     "default", p->is_default);
}
