/* form_have.c - cups that are in the cup already, as they are written on a form. It must not know which of them
 * suit. */
#include "client/screen/form.h"

#include <stdio.h>
#include <string.h>

/* One cup by what is written; false: it is no such thing. */
static bool add(json_t *list, const char *cup, const char *grams)
{
    const char *number = lists_number(cup);
    double value;
    if (!cup[0] || !form_above_0(grams, &value))
        return false;
    return json_array_append_new(list, json_pack("{s:s, s:f}", "batch", number ? number : cup, "grams", value)) == 0;
}

/* Words that alternate: a cup, its grams. Signs between them are for the eye alone. */
static bool add_all(json_t *list, const char *text)
{
    static const char gaps[] = " +;";
    char cup[WRITE_ROOM], grams[WRITE_ROOM];
    for (text += strspn(text, gaps); *text; text += strspn(text, gaps)) {
        size_t n = strcspn(text, gaps);
        snprintf(cup, sizeof cup, "%.*s", (int)n, text);
        text += n + strspn(text + n, gaps);
        n = strcspn(text, gaps);
        snprintf(grams, sizeof grams, "%.*s", (int)n, text);
        text += n;
        if (!add(list, cup, grams))
            return false;
    }
    return true;
}

json_t *form_have(const struct model *m)
{
    const char *cup = m->view.form[FORM_HAVE], *grams = m->view.form[FORM_HAVE_G];
    json_t *list = json_array();
    if (cup[0] && (grams[0] ? add(list, cup, grams) : add_all(list, cup)) && json_array_size(list) > 0)
        return list;
    json_decref(list);
    return NULL;
}

/* Half of it would be planned as if the cup were empty. */
bool form_have_half(const struct model *m)
{
    json_t *have = form_have(m);
    bool half = !have && (m->view.form[FORM_HAVE][0] || m->view.form[FORM_HAVE_G][0]);
    json_decref(have);
    return half;
}
