#include "catalogue/catalogue.h"
#include "catalogue/members.h"

#include <math.h>

bool cup_from_json(const json_t *json, struct cup_kind *out, struct fault *fault)
{
    *out = (struct cup_kind){.ml = NAN, .tare_g = NAN, .fill_pct = 95};
    return member_object(json, "cup", fault) && member_id(json, "id", true, out->id, fault) &&
           member_number(json, "ml", true, &range_above_0, &out->ml, fault) &&
           member_number(json, "tare_g", false, &range_above_0, &out->tare_g, fault) &&
           member_number(json, "fill_pct", false, &range_fill, &out->fill_pct, fault);
}

json_t *cup_to_json(const struct cup_kind *c)
{
    return json_pack("{s:s, s:o, s:o, s:o}", "id", c->id, "ml", member_of_number(c->ml), "tare_g",
                     member_of_number(c->tare_g), "fill_pct", member_of_number(c->fill_pct));
}
