/* footline_form.c - the ways a foot line is filled, and the foot lines of the pages that are written on: forms, a cup
 * on the scale, one field. It must not know how a line looks. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "client/screen/learn.h"
#include "client/screen/premix.h"
#include "text/utf8.h"

#include <string.h>

/* ---- the ways a foot line is filled ---- */

/* What the hand must do (or wait for): Enter is refused with the same words. */
void footline_hand(struct footline *f, enum footline_kind kind, const char *text)
{
    f->kind = kind;
    f->enter = ACT_REFUSED;
    f->enter_value = 0;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What Enter does, and how that is shown: the two are set together, so no key does what is not printed. */
void footline_enter(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->kind = FOOTLINE_KEY;
    f->enter = act;
    f->enter_value = value;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What `.` does. */
void footline_dot(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->dot = act;
    f->dot_value = value;
    utf8_copy(f->second, sizeof f->second, text);
}

/* One of the daemon's moves: Enter makes it, by these words or (NULL) by its own; where it is shut, why. move NULL:
 * this state does not have it. */
void footline_move(const struct model *m, struct footline *f, const json_t *move, const char *words)
{
    char text[sizeof f->text];
    if (move && shown_is_open(move))
        footline_enter(f, ACT_CALL, menu_place(m, move),
                       words ? words : model_told(m, shown_object(move, "said"), text, sizeof text));
    else
        footline_hand(f, FOOTLINE_HAND,
                      move ? model_told(m, shown_object(move, "why"), text, sizeof text)
                           : model_word(m, "page.not_now"));
}

/* ---- the pages that are written on ---- */

/* What is begun, in one line. */
static struct said beginning(const struct model *m, enum form_amount amount)
{
    const struct view *v = &m->view;
    const json_t *w = m->lists.answer[LIST_WANTED];
    const char *id = lists_id(w), *coat = lists_coat(w, v->chosen[FORM_COAT]);
    const char *written = v->form[amount == AMOUNT_ML ? FORM_ML : FORM_GRAMS];
    if (amount == AMOUNT_NONE)
        return say("footline.begin_same batch=%s", id);
    if (amount == AMOUNT_PANELS)
        return v->as ? say("footline.begin_again_panels batch=%s", id)
                     : say("footline.begin_panels formula=%s coat=%s", id, coat);
    if (amount == AMOUNT_ML)
        return v->as ? say("footline.begin_again_ml batch=%s amount=%s", id, written)
                     : say("footline.begin_ml formula=%s coat=%s amount=%s", id, coat, written);
    const char *part = json_string_value(json_array_get(json_object_get(w, "parts"), 0)); /* of a product alone */
    if (part)
        return v->as ? say("footline.begin_again_part batch=%s amount=%s part=%s", id, written, part)
                     : say("footline.begin_part formula=%s amount=%s part=%s", id, written, part);
    return v->as ? say("footline.begin_again_g batch=%s amount=%s", id, written)
                 : say("footline.begin_g formula=%s coat=%s amount=%s", id, coat, written);
}

/* Enter begins from every line but those of order and painter, where it goes on to the amount; and goes on as well
 * where something is still to be written. Two amounts are a slip, never a choice of ours. */
void footline_amount(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    enum form_amount amount = form_amount(m);
    bool of_whom = v->line == FORM_ORDER || v->line == FORM_PAINTER;
    bool number = form_kind(v->line) == FORM_NUMBER;
    const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    char text[sizeof f->text], what[120];
    if (amount == AMOUNT_TWO)
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.one_amount"));
    else if (of_whom)
        footline_enter(f, ACT_LINE, v->line == FORM_ORDER ? FORM_PAINTER : FORM_GRAMS,
                       model_word(m, "footline.next_line"));
    else if (v->line == FORM_PANELS)
        footline_enter(f, ACT_PAGE, PAGE_PANELS, model_word(m, "page.panels"));
    else if (v->line == FORM_PREMIX && begin && shown_is_open(begin))
        footline_enter(
            f, ACT_CALL, CALL_PREMIX,
            model_text(m, say("page.premix_begin what=%s", premix_text(m, what, sizeof what)), text, sizeof text));
    else if (v->line == FORM_WORKOFF)
        footline_enter(f, ACT_TAKE, 0, model_word(m, "page.workoff_take"));
    else if (v->line == FORM_SHELF)
        footline_enter(f, ACT_PAGE, PAGE_CUP, model_word(m, "page.take_from_cup"));
    else if (amount == AMOUNT_WRONG && number)
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else if (form_have_half(m) && v->line != FORM_HAVE_G)
        footline_enter(f, ACT_LINE, FORM_HAVE_G, model_word(m, "page.have_g"));
    else if (form_have_half(m))
        footline_hand(f, FOOTLINE_HAND, model_word(m, "page.have_both"));
    else if (form_whole(m))
        footline_move(m, f, begin, model_text(m, beginning(m, amount), text, sizeof text));
    else if (number && v->line != FORM_HAVE_G)
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.type_amount"));
    else
        footline_enter(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
}

/* The cup as it stands: both lines may stay empty, the station then takes what it knows best. */
void footline_retare(const struct model *m, struct footline *f)
{
    const char *uncounted = m->view.form[FORM_UNCOUNTED], *lost = m->view.form[FORM_LOST];
    double value;
    if ((uncounted[0] && !form_number(uncounted, &value)) || (lost[0] && !form_number(lost, &value)))
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else
        footline_move(m, f, shown_move(&m->bench, "batch.retare", NULL, NULL), NULL);
}

/* Panels: Enter leads back to the form. */
void footline_panels(const struct model *m, struct footline *f)
{
    if (m->view.parts_of == PAGE_AMOUNT)
        footline_enter(f, ACT_AMOUNT, AMOUNT_OF_SAME, model_word(m, "footline.these_panels"));
    else
        footline_enter(f, ACT_PAGE, m->view.parts_of, model_word(m, "footline.these_panels"));
    footline_dot(f, ACT_PAGE, PAGE_PANEL, model_word(m, "page.panel_more"));
}

/* Enter goes on while something is missing, then keeps the order: number, colour, and either grams or panels or
 * neither, which is asked for when the coat is begun. */
void footline_order(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    const char *order = v->order[0] ? v->order : v->form[FORM_ORDER];
    enum form_amount amount = form_amount(m);
    bool of_whom = v->line <= FORM_DUE;
    bool found = lists_match(&m->lists, "", 0) != NULL;
    char text[sizeof f->text];
    if (of_whom && !order[0])
        footline_hand(f, FOOTLINE_HAND, model_word(m, "page.type_order"));
    else if (v->line == FORM_PANELS)
        footline_enter(f, ACT_PAGE, PAGE_PANELS, model_word(m, "page.panels"));
    else if (of_whom)
        footline_enter(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
    else if (amount == AMOUNT_WRONG || amount == AMOUNT_TWO)
        footline_hand(f, FOOTLINE_HAND,
                      model_word(m, amount == AMOUNT_TWO ? "page.grams_or_panels" : "footline.no_amount"));
    else if (v->line == FORM_COLOUR && !found)
        footline_hand(f, FOOTLINE_HAND,
                      model_word(m, v->form[FORM_COLOUR][0] ? "footline.none_found" : "footline.type_code"));
    else if (v->line == FORM_COLOUR)
        footline_enter(f, ACT_LINE, FORM_GRAMS, model_word(m, "footline.next_line"));
    else if (!order[0])
        footline_enter(f, ACT_LINE, FORM_ORDER, model_word(m, "page.type_order"));
    else
        footline_enter(f, ACT_CALL, CALL_ORDER_PUT,
                       model_text(m, say("page.keep_order order=%s", order), text, sizeof text));
}

/* A form of what stands already: Enter keeps it from every line, and the panels have a page of their own. */
void footline_change(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    char text[sizeof f->text];
    struct said keeps = say("page.keep_order order=%s", v->order);
    if (v->page == PAGE_PANEL)
        footline_enter(f, ACT_PAGE, PAGE_PANELS, model_word(m, "footline.these_panels"));
    else if (v->page == PAGE_PLACE && !v->form[FORM_PLACE][0] && !v->form[FORM_USE_BY][0])
        footline_enter(f, ACT_PAGE, PAGE_CUP, model_word(m, "footline.go_back"));
    else if (v->page == PAGE_PLACE)
        footline_enter(f, ACT_CALL, CALL_PLACE,
                       model_text(m, say("page.stands place=%s", v->form[FORM_PLACE]), text, sizeof text));
    else if (v->line == FORM_PANELS)
        footline_enter(f, ACT_PAGE, PAGE_PANELS, model_word(m, "page.panels"));
    else if (v->page == PAGE_COAT_FORM && form_amount(m) == AMOUNT_TWO)
        footline_hand(f, FOOTLINE_HAND, model_word(m, "page.grams_or_panels"));
    else
        footline_enter(f, ACT_CALL, v->page == PAGE_COAT_FORM ? CALL_COAT_PUT : CALL_ORDER_HEAD,
                       model_text(m, keeps, text, sizeof text));
}

/* The cup is taken once it stands; a pan that shows less than a gram has none on it. */
void footline_weigh(const struct model *m, struct moment now, struct footline *f)
{
    char text[sizeof f->text];
    bool stands = !m->home[0] && model_life(m, now) == LIFE_LIVE && m->weight.settled && m->weight.g >= 1;
    if (stands)
        footline_enter(f, ACT_CALL, CALL_WEIGH,
                       model_text(m, say("page.weighs gross_g=%f", m->weight.g), text, sizeof text));
    else
        footline_hand(f, FOOTLINE_HAND,
                      model_text(m, say("page.put_cup_on batch=%s", m->view.batch), text, sizeof text));
}

/* What was seen is never guessed: verdict and light are both asked for. */
void footline_card(const struct model *m, struct footline *f)
{
    if (!m->view.choice)
        footline_hand(f, FOOTLINE_DIGIT, model_word(m, "page.press_verdict"));
    else if (!m->view.taken)
        footline_hand(f, FOOTLINE_DIGIT, model_word(m, "page.press_light"));
    else
        footline_enter(f, ACT_CALL, CALL_CARD, model_word(m, "page.keep_card"));
}

/* An empty field leads back; so a page opened by mistake needs no other key. */
void footline_write(const struct model *m, struct footline *f)
{
    char text[sizeof f->text];
    const json_t *note = shown_move(&m->bench, "batch.note", NULL, NULL);
    double grams;
    static const uint32_t calls[] = {[FOR_PERSON] = CALL_PERSON,
                                     [FOR_VALUE] = CALL_SETTING,
                                     [FOR_RECEIPT] = CALL_RECEIPT,
                                     [FOR_COUNT] = CALL_COUNT,
                                     [FOR_VARIANT] = CALL_KEEP,
                                     [FOR_LEARNER] = CALL_LEARN_AS,
                                     [FOR_HAND_POUR] = CALL_HAND + HAND_POUR_G,
                                     [FOR_HAND_TAKE] = CALL_HAND + HAND_TAKE_G};
    uint32_t kept = m->view.purpose < sizeof calls / sizeof *calls ? calls[m->view.purpose] : 0;
    if (m->view.text[0] == '\0')
        footline_enter(f, ACT_PAGE, entry_back(m), model_word(m, "footline.go_back"));
    else if (m->view.purpose == FOR_LOT)
        footline_enter(f, ACT_LOT, 0, model_text(m, say("footline.keep_lot lot=%s", m->view.text), text, sizeof text));
    else if (m->view.purpose == FOR_GLANCE)
        footline_enter(f, ACT_GLANCE, 0,
                       model_text(m, say("footline.looked painter=%s", m->view.text), text, sizeof text));
    else if (m->view.purpose == FOR_CHECK && form_above_0(m->view.text, &grams))
        footline_enter(f, ACT_CALL, CALL_CHECK_BEGIN, model_word(m, "page.check_weight"));
    else if (kept && (kept < CALL_RECEIPT || kept == CALL_LEARN_AS || form_number(m->view.text, &grams)))
        footline_enter(f, ACT_CALL, kept, m->view.text);
    else if (m->view.purpose == FOR_CHECK || kept)
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else
        footline_move(m, f, note, NULL);
}
