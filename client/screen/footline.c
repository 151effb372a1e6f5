/* footline.c - the foot line: on the bench the daemon's next move, unless a digit chose another one; on the pages
 * beside it what is being written or chosen there. It must not know how a line looks, and decides no move itself. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "client/screen/learn.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- the ways a foot line is filled ---- */

/* What the hand must do (or wait for): Enter is refused with the same words. */
static void hand_does(struct footline *f, enum footline_kind kind, const char *text)
{
    f->kind = kind;
    f->enter = ACT_REFUSED;
    f->enter_value = 0;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What Enter does, and how that is shown: the two are set together, so no key does what is not printed. */
static void enter_does(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->kind = FOOTLINE_KEY;
    f->enter = act;
    f->enter_value = value;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What `.` does. */
static void dot_does(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->dot = act;
    f->dot_value = value;
    utf8_copy(f->second, sizeof f->second, text);
}

/* `.` does nothing, and nothing is printed for it. */
static void nothing_by_dot(struct footline *f)
{
    dot_does(f, ACT_NONE, 0, "");
}

/* One of the daemon's moves: Enter makes it, by these words or (NULL) by its own; where it is shut, why. move NULL:
 * this state does not have it. */
static void move_does(const struct model *m, struct footline *f, const json_t *move, const char *words)
{
    char text[sizeof f->text];
    if (move && shown_is_open(move))
        enter_does(f, ACT_CALL, menu_place(m, move),
                   words ? words : model_told(m, shown_object(move, "said"), text, sizeof text));
    else
        hand_does(f, FOOTLINE_HAND,
                  move ? model_told(m, shown_object(move, "why"), text, sizeof text) : model_word(m, "page.not_now"));
}

/* ---- the pages beside the bench ---- */

/* While a field is written Enter leads into the list, or straight on where only one can be meant; a label's code says
 * which batch, whether or not it was found yet. In the list it asks how much, or opens the record. */
static void find_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    char text[sizeof f->text];
    size_t n = lists_matches(&m->lists, v->text);
    const json_t *match = lists_match(&m->lists, v->text, v->line);
    const char *number = v->text[0] >= '0' && v->text[0] <= '9' ? NULL : lists_number(v->text);
    const char *batch = v->writing && number ? number : lists_is_batch(match) ? lists_id(match) : NULL;
    const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    const char *coat = lists_coats(match) ? lists_coat(match, v->chosen[FORM_COAT]) : lists_id(match);
    bool asks = v->writing && !number && !lists_meant(&m->lists, v->text);
    if (v->writing && n == 0 && !number)
        hand_does(f, FOOTLINE_HAND, model_word(m, v->text[0] ? "footline.none_found" : "footline.type_code"));
    else if (asks)
        enter_does(f, ACT_END_WRITING, 0, model_word(m, "footline.pick_below"));
    else if (batch)
        enter_does(f, ACT_RECORD, 0, model_text(m, say("page.batch batch=%s", batch), text, sizeof text));
    else if (!match)
        enter_does(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    else if (!begin || !shown_is_open(begin))
        hand_does(f, FOOTLINE_HAND, model_word(m, "page.find_shut"));
    else
        enter_does(f, ACT_AMOUNT, AMOUNT_OF_OPEN,
                   model_text(m, say("footline.how_much coat=%s", coat), text, sizeof text));
    if (!v->writing && lists_variants(match, v->chosen[FORM_COAT]) > 1)
        dot_does(f, ACT_VARIANT, 0, model_word(m, "footline.variant"));
}

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
    return v->as ? say("footline.begin_again_g batch=%s amount=%s", id, written)
                 : say("footline.begin_g formula=%s coat=%s amount=%s", id, coat, written);
}

/* Enter begins from every line but those of order and painter, where it goes on to the amount; and goes on as well
 * where something is still to be written. Two amounts are a slip, never a choice of ours. */
static void amount_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    enum form_amount amount = form_amount(m);
    bool of_whom = v->line == FORM_ORDER || v->line == FORM_PAINTER;
    bool number = form_kind(v->line) == FORM_NUMBER;
    char text[sizeof f->text];
    if (amount == AMOUNT_TWO)
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.one_amount"));
    else if (of_whom)
        enter_does(f, ACT_LINE, v->line == FORM_ORDER ? FORM_PAINTER : FORM_GRAMS, model_word(m, "footline.next_line"));
    else if (v->line == FORM_PANELS)
        enter_does(f, ACT_PAGE, PAGE_PANELS, model_word(m, "page.panels"));
    else if (v->line == FORM_SHELF)
        enter_does(f, ACT_PAGE, PAGE_CUP, model_word(m, "page.take_from_cup"));
    else if (amount == AMOUNT_WRONG && number)
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else if (form_have_half(m) && v->line != FORM_HAVE_G)
        enter_does(f, ACT_LINE, FORM_HAVE_G, model_word(m, "page.have_g"));
    else if (form_have_half(m))
        hand_does(f, FOOTLINE_HAND, model_word(m, "page.have_both"));
    else if (form_whole(m))
        move_does(m, f, shown_move(&m->bench, "batch.begin", NULL, NULL),
                  model_text(m, beginning(m, amount), text, sizeof text));
    else if (number && v->line != FORM_HAVE_G)
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.type_amount"));
    else
        enter_does(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
}

/* The cup as it stands: both lines may stay empty, the station then takes what it knows best. */
static void retare_line(const struct model *m, struct footline *f)
{
    const char *uncounted = m->view.form[FORM_UNCOUNTED], *lost = m->view.form[FORM_LOST];
    double value;
    if ((uncounted[0] && !form_number(uncounted, &value)) || (lost[0] && !form_number(lost, &value)))
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else
        move_does(m, f, shown_move(&m->bench, "batch.retare", NULL, NULL), NULL);
}

/* Panels: Enter leads back to the form. */
static void panels_line(const struct model *m, struct footline *f)
{
    if (m->view.from == PAGE_ORDER_FORM)
        enter_does(f, ACT_PAGE, PAGE_ORDER_FORM, model_word(m, "footline.these_panels"));
    else
        enter_does(f, ACT_AMOUNT, AMOUNT_OF_SAME, model_word(m, "footline.these_panels"));
    dot_does(f, ACT_CHOOSE, 0, model_word(m, "footline.no_coats"));
}

/* Enter goes on while something is missing, then keeps the order: number, colour, and either grams or panels or
 * neither, which is asked for when the coat is begun. */
static void order_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    const char *order = v->order[0] ? v->order : v->form[FORM_ORDER];
    enum form_amount amount = form_amount(m);
    bool of_whom = v->line == FORM_ORDER || v->line == FORM_PAINTER || v->line == FORM_VEHICLE;
    bool found = lists_match(&m->lists, "", 0) != NULL;
    char text[sizeof f->text];
    if (of_whom && !order[0])
        hand_does(f, FOOTLINE_HAND, model_word(m, "page.type_order"));
    else if (v->line == FORM_PANELS)
        enter_does(f, ACT_PAGE, PAGE_PANELS, model_word(m, "page.panels"));
    else if (of_whom)
        enter_does(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
    else if (amount == AMOUNT_WRONG || amount == AMOUNT_TWO)
        hand_does(f, FOOTLINE_HAND,
                  model_word(m, amount == AMOUNT_TWO ? "page.grams_or_panels" : "footline.no_amount"));
    else if (v->line == FORM_COLOUR && !found)
        hand_does(f, FOOTLINE_HAND,
                  model_word(m, v->form[FORM_COLOUR][0] ? "footline.none_found" : "footline.type_code"));
    else if (v->line == FORM_COLOUR)
        enter_does(f, ACT_LINE, FORM_GRAMS, model_word(m, "footline.next_line"));
    else if (!order[0])
        enter_does(f, ACT_LINE, FORM_ORDER, model_word(m, "page.type_order"));
    else
        enter_does(f, ACT_CALL, CALL_ORDER_PUT,
                   model_text(m, say("page.keep_order order=%s", order), text, sizeof text));
}

/* The open line of a list of the day: what its noun says of it. */
static void entry_line(const struct model *m, struct footline *f)
{
    struct entry e;
    if (!entry_at(m, m->view.line, &e)) {
        enter_does(f, ACT_PAGE, entry_back(m), model_word(m, "footline.go_back"));
        return;
    }
    if (e.act == ACT_NONE)
        hand_does(f, FOOTLINE_HAND, e.why[0] ? e.why : e.text);
    else
        enter_does(f, e.act, e.value, e.says[0] ? e.says : e.text);
    if (e.second[0])
        dot_does(f, e.dot, e.dot_value, e.second);
}

/* The cup is taken once it stands; a pan that shows less than a gram has none on it. */
static void weigh_line(const struct model *m, struct moment now, struct footline *f)
{
    char text[sizeof f->text];
    bool stands = !m->home[0] && model_life(m, now) == LIFE_LIVE && m->weight.settled && m->weight.g >= 1;
    if (stands)
        enter_does(f, ACT_CALL, CALL_WEIGH,
                   model_text(m, say("page.weighs gross_g=%f", m->weight.g), text, sizeof text));
    else
        hand_does(f, FOOTLINE_HAND, model_text(m, say("page.put_cup_on batch=%s", m->view.batch), text, sizeof text));
}

/* What was seen is never guessed: verdict and light are both asked for. */
static void card_line(const struct model *m, struct footline *f)
{
    if (!m->view.choice)
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "page.press_verdict"));
    else if (!m->view.taken)
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "page.press_light"));
    else
        enter_does(f, ACT_CALL, CALL_CARD, model_word(m, "page.keep_card"));
}

/* A check weight: the bench itself says what the hand must do; the reading waits until it has. */
static void check_line(const struct model *m, struct footline *f)
{
    char text[sizeof f->text];
    const json_t *check = m->lists.answer[LIST_CHECK];
    if (strcmp(member_text(check, "next"), "done") == 0)
        enter_does(f, ACT_PAGE, PAGE_BENCH, model_word(m, "footline.go_back"));
    else
        enter_does(f, ACT_CALL, CALL_CHECK_TAKE, model_told(m, shown_object(check, "said"), text, sizeof text));
}

/* A toner is chosen by digit where several match, so that Enter on a half-written code never takes the wrong tin. */
static void toner_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    char text[sizeof f->text];
    size_t n = lists_toners(&m->lists, m->view.text);
    const json_t *t = lists_toner(&m->lists, m->view.text, v->line);
    const json_t *move = v->purpose == FOR_TINT ? shown_move(&m->bench, "batch.tint", NULL, NULL)
                                                : shown_move(&m->bench, "batch.accept", "really", NULL);
    if (v->writing && n == 0) {
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.none_found"));
    } else if (v->writing && n > 1) {
        enter_does(f, ACT_END_WRITING, 0, model_word(m, "footline.pick_below"));
    } else if (!t) {
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "footline.pick_below"));
    } else {
        struct said s = v->purpose == FOR_TINT ? say("footline.add_by_eye toner=%s", lists_id(t))
                                               : say("footline.count_as toner=%s", lists_id(t));
        move_does(m, f, move, model_text(m, s, text, sizeof text));
    }
}

/* The chosen line of a menu; before that, that a digit is awaited. A record of a batch that is held is mostly looked at
 * to go on with it. Of a scrap the reason stands behind the move: what Enter commits is read whole. */
static void menu_choice(const struct model *m, struct footline *f)
{
    int digit = m->view.choice ? m->view.choice : m->view.page == PAGE_RECORD ? 1 : 0;
    bool scraps = m->view.page == PAGE_SCRAP;
    struct menu_line line = menu_line(m, digit);
    if (line.there && line.move && line.act == ACT_CALL)
        move_does(m, f, line.move, scraps ? NULL : line.text);
    else if (menu_commits(line))
        enter_does(f, line.act, line.value, line.text);
    else if (m->view.page == PAGE_RECORD && !menu_line(m, 2).there) /* none such */
        enter_does(f, ACT_PAGE, PAGE_BENCH, model_word(m, "footline.go_back"));
    else
        hand_does(f, FOOTLINE_DIGIT, model_word(m, scraps ? "footline.press_why" : "footline.press_digit"));
    size_t used = strlen(f->text);
    if (scraps && f->enter == ACT_CALL)
        snprintf(f->text + used, sizeof f->text - used, " (%s)", line.text);
}

/* An empty field leads back; so a page opened by mistake needs no other key. */
static void write_line(const struct model *m, struct footline *f)
{
    char text[sizeof f->text];
    const json_t *note = shown_move(&m->bench, "batch.note", NULL, NULL);
    double grams;
    static const uint32_t calls[] = {[FOR_PLACE] = CALL_PLACE,
                                     [FOR_PERSON] = CALL_PERSON,
                                     [FOR_VALUE] = CALL_SETTING,
                                     [FOR_RECEIPT] = CALL_RECEIPT,
                                     [FOR_COUNT] = CALL_COUNT,
                                     [FOR_LEARNER] = CALL_LEARN_AS,
                                     [FOR_HAND_POUR] = CALL_HAND + HAND_POUR_G,
                                     [FOR_HAND_TAKE] = CALL_HAND + HAND_TAKE_G};
    uint32_t kept = m->view.purpose < sizeof calls / sizeof *calls ? calls[m->view.purpose] : 0;
    if (m->view.text[0] == '\0')
        enter_does(f, ACT_PAGE, entry_back(m), model_word(m, "footline.go_back"));
    else if (m->view.purpose == FOR_LOT)
        enter_does(f, ACT_LOT, 0, model_text(m, say("footline.keep_lot lot=%s", m->view.text), text, sizeof text));
    else if (m->view.purpose == FOR_GLANCE)
        enter_does(f, ACT_GLANCE, 0, model_text(m, say("footline.looked painter=%s", m->view.text), text, sizeof text));
    else if (m->view.purpose == FOR_CHECK && form_above_0(m->view.text, &grams))
        enter_does(f, ACT_CALL, CALL_CHECK_BEGIN, model_word(m, "page.check_weight"));
    else if (kept && (kept < CALL_RECEIPT || kept == CALL_LEARN_AS || form_number(m->view.text, &grams)))
        enter_does(f, ACT_CALL, kept, m->view.text);
    else if (m->view.purpose == FOR_CHECK || kept)
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.no_amount"));
    else
        move_does(m, f, note, NULL);
}

/* Each page has one line here; the bench's is bench_line. */
static void beside_line(const struct model *m, struct moment now, struct footline *f)
{
    switch (m->view.page) {
    case PAGE_BENCH:
        break; /* bench_line */
    case PAGE_MENU:
    case PAGE_TIN:
    case PAGE_SCRAP:
    case PAGE_RECORD:
    case PAGE_SCALE:
    case PAGE_SHOP:
        menu_choice(m, f);
        if (m->view.page == PAGE_MENU && m->bench.state != BENCH_IDLE)
            dot_does(f, ACT_PAGE, PAGE_SHOP, model_word(m, "page.shop"));
        break;
    case PAGE_FIND:
        find_line(m, f);
        break;
    case PAGE_AMOUNT:
        amount_line(m, f);
        break;
    case PAGE_PANELS:
        panels_line(m, f);
        break;
    case PAGE_RETARE:
        retare_line(m, f);
        break;
    case PAGE_TONER:
        toner_line(m, f);
        break;
    case PAGE_WRITE:
        write_line(m, f);
        break;
    case PAGE_SCALES:
        enter_does(f, ACT_READ, CALL_SCALES, model_word(m, "footline.look_again"));
        break;
    case PAGE_CHECK:
        check_line(m, f);
        break;
    case PAGE_ORDER_FORM:
        order_line(m, f);
        break;
    case PAGE_WEIGH:
        weigh_line(m, now, f);
        break;
    case PAGE_CARD:
        card_line(m, f);
        break;
    default:
        entry_line(m, f);
        break;
    }
}

/* ---- the bench ---- */

/* An open line of the idle page: a batch that waits goes on, one that is finished is mixed again. */
static void idle_line(const struct model *m, struct footline *f, const json_t *batch)
{
    char text[sizeof f->text];
    const json_t *resume = shown_move(&m->bench, "batch.resume", NULL, NULL);
    const char *id = member_text(batch, "batch");
    char name[120];
    if (lists_is_order(batch)) {
        const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL), *coat = lists_next_coat(batch);
        struct said s = say("page.begin_coat coat=%s order=%s", entry_coat_name(m, coat, name, sizeof name),
                            member_text(batch, "order"));
        if (begin && shown_is_open(begin) && entry_coat_amount(m, coat, name, sizeof name)[0])
            enter_does(f, ACT_CALL, CALL_COAT, model_text(m, s, text, sizeof text));
        else
            enter_does(f, ACT_PAGE, PAGE_ORDER, model_text(m, s, text, sizeof text));
    } else if (!lists_waits(batch)) {
        enter_does(f, ACT_AMOUNT, AMOUNT_OF_OPEN,
                   model_text(m, say("footline.mix_again batch=%s", id), text, sizeof text));
    } else {
        struct said s = say("footline.resume batch=%s formula=%s coat=%s", id, member_text(batch, "formula"),
                            member_text(batch, "coat"));
        move_does(m, f, resume, model_text(m, s, text, sizeof text));
    }
}

/* The daemon's own words. In idle its choice is which colour, which the page of colours asks for. */
static void next_move(const struct model *m, struct footline *f)
{
    const struct shown *b = &m->bench;
    char text[sizeof f->text];
    bool idle = b->state == BENCH_IDLE;
    const json_t *line = idle && m->view.line ? lists_batch(&m->lists, m->view.line - 1) : NULL;
    model_told(m, b->next_said, text, sizeof text);
    if (b->next == NEXT_KEY && b->next_act && b->next_looks && !m->view.glance[0])
        enter_does(f, ACT_ASK, FOR_GLANCE, text);
    else if (b->next == NEXT_KEY && b->next_act)
        enter_does(f, ACT_CALL, CALL_NEXT,
                   !b->next_looks ? text
                                  : model_text(m, say("footline.seen painter=%s", m->view.glance), text, sizeof text));
    else if (line && b->next != NEXT_WAIT)
        idle_line(m, f, line);
    else if (idle && b->next == NEXT_CHOOSE)
        enter_does(f, ACT_PAGE, PAGE_FIND, text);
    else
        hand_does(f,
                  b->next == NEXT_CHOOSE ? FOOTLINE_DIGIT
                  : b->next == NEXT_WAIT ? FOOTLINE_WAIT
                                         : FOOTLINE_HAND,
                  text);
    if (b->second_act && b->second_looks && !m->view.glance[0])
        dot_does(f, ACT_ASK, FOR_GLANCE, model_told(m, b->second_said, text, sizeof text));
    else if (b->second_act)
        dot_does(f, ACT_CALL, CALL_SECOND, model_told(m, b->second_said, text, sizeof text));
    else if (line && lists_is_order(line))
        dot_does(f, ACT_PAGE, PAGE_ORDER,
                 model_text(m, say("page.order order=%s", member_text(line, "order")), text, sizeof text));
    else if (line)
        dot_does(f, ACT_RECORD, 0, model_text(m, say("page.batch batch=%s", lists_id(line)), text, sizeof text));
    else if (idle && f->enter != ACT_PAGE)
        dot_does(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    else if (idle && learn_of(m))
        dot_does(f, ACT_CALL, CALL_LEARN_END,
                 model_told(m, shown_object(json_object_get(learn_of(m), "end"), "said"), text, sizeof text));
    else if (idle)
        dot_does(f, ACT_PAGE, PAGE_PEOPLE, b->signed_in[0] ? b->signed_in : model_word(m, "page.people"));
    if (b->next_in_s > 0) {
        size_t used = strlen(f->text);
        snprintf(f->text + used, sizeof f->text - used, " (%.0f s)", b->next_in_s);
    }
}

/* A weight that is not live is not to be acted on, until the daemon itself has said what ails it. */
static bool unseen(const struct model *m, struct moment now)
{
    bool weighs = m->bench.state == BENCH_CUP || m->bench.state == BENCH_POUR;
    return weighs && m->bench.next == NEXT_KEY && model_life(m, now) != LIFE_LIVE;
}

/* Before the first screen, and while the weight is not live, nothing can be committed. */
static void bench_line(const struct model *m, struct moment now, struct footline *f)
{
    const json_t *remedy = m->bench.state == BENCH_OVER ? menu_remedy(m, m->view.choice) : NULL;
    if (!m->has_screen)
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.wait"));
    else if (unseen(m, now))
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.wait_weight"));
    else if (remedy)
        move_does(m, f, remedy, NULL);
    else
        next_move(m, f);
}

/* The page's own line, then what goes before all pages: a lost link, and a move that still waits for its answer. A
 * move answered at once does not make the line flicker. */
void footline_of(const struct model *m, struct moment now, struct footline *f)
{
    memset(f, 0, sizeof *f);
    bool bench = m->view.page == PAGE_BENCH;
    if (bench)
        bench_line(m, now, f);
    else
        beside_line(m, now, f);
    bool checks = m->view.page == PAGE_CHECK && f->enter == ACT_CALL;
    utf8_copy(f->zero, sizeof f->zero,
              model_word(m, m->view.writing ? "key.escape_back"
                            : bench         ? "key.menu"
                            : checks        ? "key.stop_check"
                                            : "key.back"));
    if (!m->linked && (bench || f->enter == ACT_CALL)) {
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.lost"));
        nothing_by_dot(f);
    }
    if (m->sent.waiting) {
        f->enter = ACT_NONE;
        f->enter_value = 0;
        nothing_by_dot(f);
        if (now.ms - m->sent.since_ms >= SENT_SHOWN_MS) {
            f->kind = FOOTLINE_SENT;
            utf8_copy(f->text, sizeof f->text, model_word(m, "footline.sent"));
        }
    }
}
