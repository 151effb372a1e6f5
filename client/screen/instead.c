/* instead.c - see instead.h. It must not know the rule by which a toner fits. */
#include "client/screen/instead.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

enum { SHOWN_MOST = 3 }; /* the nearest come first */

json_t *instead_params(const struct model *m)
{
    const struct shown_now *now = &m->bench.now;
    if (!now->open || now->take_out || now->shelf_cup || !now->toner[0])
        return NULL;
    json_t *params = json_pack("{s:s}", "toner", now->toner);
    if (now->to_go_g > 0)
        json_object_set_new(params, "grams", json_real(now->to_go_g));
    return params;
}

bool instead_is_asked(const struct model *m)
{
    return strcmp(member_text(m->bench.said, "code"), "short_counted") == 0;
}

const char *instead_text(const struct model *m, char *buf, size_t size)
{
    const json_t *with = json_object_get(m->lists.answer[LIST_INSTEAD], "with"), *one;
    char list[FOOT_ROOM] = "", why[FOOT_ROOM];
    size_t i, n = 0;
    json_array_foreach(with, i, one)
    {
        if (i < SHOWN_MOST && n < sizeof list)
            n += (size_t)snprintf(list + n, sizeof list - n, "%s%.40s (%.120s)", n ? ", " : "",
                                  member_text(one, "toner"), model_told(m, shown_object(one, "why"), why, sizeof why));
    }
    buf[0] = '\0';
    if (n && m->bench.now.open)
        model_text(m, say("page.instead toner=%s with=%s", m->bench.now.toner, list), buf, size);
    return buf;
}
