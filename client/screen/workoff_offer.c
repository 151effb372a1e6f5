/* workoff_offer.c - see workoff_offer.h. It must not know which cups suit a batch. */
#include "client/screen/workoff_offer.h"

#include "client/screen/form.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ONE_CUP = 64, ALL_CUPS = 160 };

static json_t *have_of(const struct model *m)
{
    return json_object_get(m->lists.answer[LIST_WORKOFF], "have");
}

bool workoff_is_asked(const struct model *m)
{
    const struct view *v = &m->view;
    return v->page == PAGE_AMOUNT && !m->home[0] && !v->form[FORM_HAVE][0] && !v->form[FORM_HAVE_G][0] &&
           !lists_is_product(m->lists.answer[LIST_WANTED]);
}

bool workoff_offered(const struct model *m)
{
    return workoff_is_asked(m) && json_array_size(have_of(m)) > 0;
}

/* Money of the answer; "" where none is known, or nothing is spared. */
static const char *saved_text(const struct model *m, char *buf, size_t size)
{
    const json_t *plan = m->lists.answer[LIST_PLAN];
    double saved = member_number(m->lists.answer[LIST_WORKOFF], "saved");
    const char *currency = m->view.page == PAGE_AMOUNT ? member_text(plan, "currency") : m->currency;
    char number[NUMBER_ROOM];
    buf[0] = '\0';
    if (saved > 0)
        snprintf(buf, size, "%s %.8s", number_fixed(&m->style, saved, 2, false, number, sizeof number), currency);
    return buf;
}

/* What is left out is told by its dots. */
static void cups_text(const struct model *m, char *buf, size_t size)
{
    const json_t *cup;
    char one[ONE_CUP], g[NUMBER_ROOM];
    size_t i, n = 0;
    buf[0] = '\0';
    json_array_foreach(have_of(m), i, cup)
    {
        number_weight(&m->style, member_number(cup, "grams"), false, g, sizeof g);
        int wrote = snprintf(one, sizeof one, "%s#%.23s %s g", n ? ", " : "", member_text(cup, "batch"), g);
        if (wrote < 0 || n + (size_t)wrote + sizeof ", ..." > size) {
            utf8_copy(buf + n, size - n, ", ...");
            return;
        }
        memcpy(buf + n, one, (size_t)wrote + 1);
        n += (size_t)wrote;
    }
}

const char *workoff_text(const struct model *m, char *buf, size_t size)
{
    const json_t *answer = m->lists.answer[LIST_WORKOFF];
    double pour_g = member_number(answer, "pour_g");
    char cups[ALL_CUPS], cost[NUMBER_ROOM + 12];
    buf[0] = '\0';
    if (json_array_size(have_of(m)) == 0)
        return buf;
    cups_text(m, cups, sizeof cups);
    if (!saved_text(m, cost, sizeof cost)[0])
        return model_text(m, say("page.workoff cups=%s pour_g=%f", cups, pour_g), buf, size);
    return model_text(m, say("page.workoff_saves cups=%s pour_g=%f cost=%s", cups, pour_g, cost), buf, size);
}

const char *workoff_brief(const struct model *m, char *buf, size_t size)
{
    double pour_g = member_number(m->lists.answer[LIST_WORKOFF], "pour_g");
    double use_g = member_number(m->lists.answer[LIST_WORKOFF], "total_g") - pour_g;
    return model_text(m, say("page.workoff_brief use_g=%f pour_g=%f", use_g, pour_g), buf, size);
}

/* Grams to a hundredth: finer than any scale of a bench shows. What finds no room is not taken at all. */
void workoff_take(struct model *m)
{
    char *field = m->view.form[FORM_HAVE], one[ONE_CUP];
    const json_t *cup;
    size_t i, n = 0;
    m->view.form[FORM_HAVE_G][0] = '\0';
    json_array_foreach(have_of(m), i, cup)
    {
        int wrote = snprintf(one, sizeof one, "%s%.23s %.2f", n ? " + " : "", member_text(cup, "batch"),
                             member_number(cup, "grams"));
        for (char *point = strchr(one, '.'); point && m->style.point == ','; point = NULL)
            *point = ',';
        if (wrote < 0 || n + (size_t)wrote >= WRITE_ROOM)
            break;
        memcpy(field + n, one, (size_t)wrote + 1);
        n += (size_t)wrote;
    }
}

/* ---- into the coat that waits ---- */

const json_t *workoff_order(const struct model *m, const json_t **coat)
{
    const char *own = member_text(m->lists.answer[LIST_BATCH], "formula");
    const json_t *found = NULL, *order;
    for (size_t i = 0; (order = lists_waiting(&m->lists, i)); i++) {
        const json_t *next = lists_next_coat(order);
        const char *formula = member_text(next, "formula");
        bool same = strcmp(formula, own) == 0;
        if (!formula[0] || (found && !same))
            continue;
        found = order;
        *coat = next;
        if (same)
            break;
    }
    return found;
}

bool workoff_uses_cup(const struct model *m)
{
    const json_t *cup;
    size_t i;
    json_array_foreach(have_of(m), i, cup)
    {
        if (strcmp(member_text(cup, "batch"), m->view.batch) == 0)
            return true;
    }
    return false;
}

/* The daemon names each cup that it looked at with what keeps it back; of one that it did not look at nothing fits. */
const char *workoff_why(const struct model *m, char *buf, size_t size)
{
    const json_t *answer = m->lists.answer[LIST_WORKOFF], *coat = NULL;
    const json_t *batches = json_object_get(answer, "batches"), *why = json_object_get(answer, "why");
    const char *reason = answer ? "foreign" : "";
    for (size_t i = 0; i < json_array_size(batches); i++) {
        const char *batch = json_string_value(json_array_get(batches, i));
        const char *of = json_string_value(json_array_get(why, i));
        if (batch && strcmp(batch, m->view.batch) == 0)
            reason = of ? of : "none";
    }
    if (!workoff_order(m, &coat))
        utf8_copy(buf, size, model_word(m, "page.no_coat_waits"));
    else
        utf8_copy(buf, size, reason[0] ? model_name(m, "book.workoff", reason) : "");
    return buf;
}

static json_t *coat_params(const struct model *m)
{
    const json_t *coat = NULL, *order = workoff_order(m, &coat);
    return order ? json_pack("{s:s, s:s, s:i}", "station", m->station, "order", member_text(order, "order"), "coat_n",
                             (int)member_number(coat, "n"))
                 : NULL;
}

json_t *workoff_asks(const struct model *m)
{
    if (m->view.page == PAGE_CUP)
        return coat_params(m);
    json_t *params = json_pack("{s:s}", "station", m->station);
    form_params(m, params);
    return params;
}

json_t *workoff_begins(const struct model *m)
{
    json_t *params = workoff_uses_cup(m) ? coat_params(m) : NULL;
    if (params)
        json_object_set(params, "have", have_of(m));
    return params;
}
