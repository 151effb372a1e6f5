/* entry_people.c - the lines of who works here, and of the settings. It must not know what a name may do: none does
 * anything but paint; nor which settings there are: settings.list says it. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* ---- people ---- */

/* The n-th who still works here and is not signed in at this bench. */
const json_t *entry_person(const struct model *m, size_t n)
{
    const json_t *people = json_object_get(m->lists.answer[LIST_PEOPLE], "people");
    for (size_t i = 0; i < json_array_size(people); i++) {
        const json_t *p = json_array_get(people, i);
        bool here = strcmp(member_text(p, "painter"), m->bench.signed_in) == 0;
        if (!here && !json_is_true(json_object_get(p, "retired")) && n-- == 0)
            return p;
    }
    return NULL;
}

/* Who is signed in comes first, since one key then signs out; a new name last. */
bool entry_people(const struct model *m, size_t n, struct entry *e)
{
    const char *here = m->bench.signed_in;
    size_t first = here[0] != '\0';
    const json_t *p = n >= first ? entry_person(m, n - first) : NULL;
    e->act = ACT_CALL;
    if (n < first) {
        model_text(m, say("page.sign_out painter=%s", here), e->text, sizeof e->text);
        e->value = CALL_SIGN_OUT;
        return true;
    }
    if (p) {
        utf8_copy(e->text, sizeof e->text, member_text(p, "painter"));
        snprintf(e->detail, sizeof e->detail, "%.10s", member_text(p, "last"));
        model_text(m, say("page.sign_in painter=%s", e->text), e->says, sizeof e->says);
        e->value = CALL_SIGN_IN;
        e->dot = ACT_CALL;
        e->dot_value = CALL_RETIRE;
        utf8_copy(e->second, sizeof e->second, model_word(m, "page.has_left"));
        return true;
    }
    utf8_copy(e->text, sizeof e->text, model_word(m, "page.new_person"));
    e->act = ACT_ASK;
    e->value = FOR_PERSON;
    return n == first || (n > first && entry_person(m, n - first - 1));
}

/* ---- settings ---- */

/* Of a few words the next one is a key away; anything else is written. */
bool entry_settings(const struct model *m, size_t n, struct entry *e)
{
    const json_t *s = json_array_get(json_object_get(m->lists.answer[LIST_SETTINGS], "settings"), n);
    const json_t *next = entry_next_offer(s);
    const char *fixed = member_text(s, "fixed");
    char offered[80];
    if (!s)
        return false;
    model_told(m, shown_object(s, "said"), e->text, sizeof e->text);
    model_told(m, shown_object(s, "shown"), e->figure, sizeof e->figure);
    if (fixed[0]) {
        model_text(m, say("page.fixed_by place=%s", fixed), e->why, sizeof e->why);
        return true;
    }
    e->act = next ? ACT_CALL : ACT_ASK;
    e->value = e->act == ACT_CALL ? (uint32_t)CALL_SETTING : (uint32_t)FOR_VALUE;
    if (next)
        utf8_copy(e->says, sizeof e->says, model_told(m, shown_object(next, "said"), offered, sizeof offered));
    else
        utf8_copy(e->says, sizeof e->says, e->text);
    return true;
}

const json_t *entry_setting(const struct model *m)
{
    const json_t *settings = json_object_get(m->lists.answer[LIST_SETTINGS], "settings");
    for (size_t i = 0; i < json_array_size(settings); i++)
        if (strcmp(member_text(json_array_get(settings, i), "key"), m->view.key) == 0)
            return json_array_get(settings, i);
    return NULL;
}

/* The offer behind the value that holds, round about; NULL: the setting takes any value of its kind. */
const json_t *entry_next_offer(const json_t *setting)
{
    const json_t *offers = json_object_get(setting, "offers"), *value = json_object_get(setting, "value");
    size_t n = json_array_size(offers), at = 0;
    while (at < n && !json_equal(json_object_get(json_array_get(offers, at), "value"), value))
        at++;
    return n ? json_array_get(offers, at >= n ? 0 : (at + 1) % n) : NULL;
}
