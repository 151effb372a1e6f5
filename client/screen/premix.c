/* premix.c - the premix of a plan in words, and as a beginning. It must not know what is too small for a scale. */
#include "client/screen/premix.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* NULL: the scale weighs all of it, or no premix helps. */
static const json_t *premix_of(const struct model *m)
{
    return shown_object(m->lists.answer[LIST_PLAN], "premix");
}

bool premix_offered(const struct model *m)
{
    const json_t *w = m->lists.answer[LIST_WANTED], *premix = premix_of(m);
    return premix && !m->view.as && !lists_is_product(w) && !member_text(premix, "kept")[0];
}

const char *premix_text(const struct model *m, char *buf, size_t size)
{
    const json_t *toners = json_object_get(premix_of(m), "toners");
    char number[NUMBER_ROOM];
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(toners) && n < size; i++) {
        const char *toner = json_string_value(json_array_get(toners, i));
        n += (size_t)snprintf(buf + n, size - n, "%.40s, ", toner ? toner : "");
    }
    if (n < size)
        snprintf(buf + n, size - n, "%s g",
                 number_weight(&m->style, member_number(premix_of(m), "total_g"), false, number, sizeof number));
    return buf;
}

const char *premix_taken(const struct model *m, char *buf, size_t size)
{
    const json_t *premix = premix_of(m);
    const char *kept = member_text(premix, "kept");
    buf[0] = '\0';
    if (kept[0])
        model_text(m, say("page.premix_kept take_g=%f premix=%s", member_number(premix, "take_g"), kept), buf, size);
    return buf;
}

void premix_begun(struct model *m, const json_t *screen)
{
    bool asked = m->view.page == PAGE_AMOUNT && shown_object(screen, "premix");
    utf8_copy(m->view.premix, sizeof m->view.premix, asked ? member_text(screen, "batch") : "");
}

bool premix_leads_back(struct model *m, const char *finished)
{
    bool back = finished[0] && strcmp(m->view.premix, finished) == 0 && m->bench.state == BENCH_IDLE;
    if (back)
        m->view.premix[0] = '\0';
    return back;
}

/* Left out where there is nothing to choose. */
static void set_text(json_t *params, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(params, key, json_string(text));
}

/* Made for what the plan comes to, whether it was asked for by grams, litres or panels. It belongs to the bank and not
 * to an order; who mixes it stands in its record. */
json_t *premix_params(const struct model *m)
{
    const struct view *v = &m->view;
    const json_t *w = m->lists.answer[LIST_WANTED], *move = shown_move(&m->bench, "batch.begin", NULL, NULL);
    if (!premix_offered(m) || !shown_is_open(move))
        return NULL;
    json_t *params = json_deep_copy(json_object_get(shown_object(move, "act"), "params"));
    json_t *of =
        json_pack("{s:s, s:f}", "formula", lists_id(w), "grams", member_number(m->lists.answer[LIST_PLAN], "total_g"));
    set_text(of, "coat", lists_coat(w, v->chosen[FORM_COAT]));
    set_text(of, "variant", lists_variant(w, v->chosen[FORM_COAT], v->chosen[FORM_VARIANT]));
    json_object_set_new(params, "premix", of);
    set_text(params, "painter", v->form[FORM_PAINTER]);
    return params;
}
