/* footline.c - the foot line: on the bench the daemon's next move, unless a digit chose another one; on the pages
 * beside it what is being written or chosen there. It must not know how a line looks, and decides no move itself. */
#include "client/screen/calls.h"
#include "client/screen/entry.h"
#include "client/screen/learn.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- the pages beside the bench; those that are written on are in footline_form.c ---- */

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
        footline_hand(f, FOOTLINE_HAND, model_word(m, v->text[0] ? "footline.none_found" : "footline.type_code"));
    else if (asks)
        footline_enter(f, ACT_END_WRITING, 0, model_word(m, "footline.pick_below"));
    else if (batch)
        footline_enter(f, ACT_RECORD, 0, model_text(m, say("page.batch batch=%s", batch), text, sizeof text));
    else if (!match)
        footline_enter(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    else if (!begin || !shown_is_open(begin))
        footline_hand(f, FOOTLINE_HAND, model_word(m, "page.find_shut"));
    else
        footline_enter(f, ACT_AMOUNT, AMOUNT_OF_OPEN,
                       model_text(m, say("footline.how_much coat=%s", coat), text, sizeof text));
    if (!v->writing && lists_variants(match, v->chosen[FORM_COAT]) > 1)
        footline_dot(f, ACT_VARIANT, 0, model_word(m, "footline.variant"));
}

/* The open line of a list of the day: what its noun says of it. */
static void entry_line(const struct model *m, struct footline *f)
{
    struct entry e;
    if (!entry_at(m, m->view.line, &e)) {
        footline_enter(f, ACT_PAGE, entry_back(m), model_word(m, "footline.go_back"));
        return;
    }
    if (e.act == ACT_NONE)
        footline_hand(f, FOOTLINE_HAND, e.why[0] ? e.why : e.text);
    else
        footline_enter(f, e.act, e.value, e.says[0] ? e.says : e.text);
    if (e.second[0])
        footline_dot(f, e.dot, e.dot_value, e.second);
}

/* A check weight: the bench itself says what the hand must do; the reading waits until it has. */
static void check_line(const struct model *m, struct footline *f)
{
    char text[sizeof f->text];
    const json_t *check = m->lists.answer[LIST_CHECK];
    if (strcmp(member_text(check, "next"), "done") == 0)
        footline_enter(f, ACT_PAGE, PAGE_BENCH, model_word(m, "footline.go_back"));
    else
        footline_enter(f, ACT_CALL, CALL_CHECK_TAKE, model_told(m, shown_object(check, "said"), text, sizeof text));
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
        footline_hand(f, FOOTLINE_HAND, model_word(m, "footline.none_found"));
    } else if (v->writing && n > 1) {
        footline_enter(f, ACT_END_WRITING, 0, model_word(m, "footline.pick_below"));
    } else if (!t) {
        footline_hand(f, FOOTLINE_DIGIT, model_word(m, "footline.pick_below"));
    } else {
        struct said s = v->purpose == FOR_TINT ? say("footline.add_by_eye toner=%s", lists_id(t))
                                               : say("footline.count_as toner=%s", lists_id(t));
        footline_move(m, f, move, model_text(m, s, text, sizeof text));
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
        footline_move(m, f, line.move, scraps ? NULL : line.text);
    else if (menu_commits(line))
        footline_enter(f, line.act, line.value, line.text);
    else if (m->view.page == PAGE_RECORD && !menu_line(m, 2).there) /* none such */
        footline_enter(f, ACT_PAGE, PAGE_BENCH, model_word(m, "footline.go_back"));
    else
        footline_hand(f, FOOTLINE_DIGIT, model_word(m, scraps ? "footline.press_why" : "footline.press_digit"));
    size_t used = strlen(f->text);
    if (scraps && f->enter == ACT_CALL)
        snprintf(f->text + used, sizeof f->text - used, " (%s)", line.text);
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
            footline_dot(f, ACT_PAGE, PAGE_SHOP, model_word(m, "page.shop"));
        break;
    case PAGE_FIND:
        find_line(m, f);
        break;
    case PAGE_AMOUNT:
        footline_amount(m, f);
        break;
    case PAGE_PANELS:
        footline_panels(m, f);
        break;
    case PAGE_RETARE:
        footline_retare(m, f);
        break;
    case PAGE_TONER:
        toner_line(m, f);
        break;
    case PAGE_WRITE:
        footline_write(m, f);
        break;
    case PAGE_SCALES:
        footline_enter(f, ACT_READ, CALL_SCALES, model_word(m, "footline.look_again"));
        break;
    case PAGE_CHECK:
        check_line(m, f);
        break;
    case PAGE_ORDER_FORM:
        footline_order(m, f);
        break;
    case PAGE_ORDER_HEAD:
    case PAGE_COAT_FORM:
    case PAGE_PANEL:
    case PAGE_PLACE:
        footline_change(m, f);
        break;
    case PAGE_WEIGH:
        footline_weigh(m, now, f);
        break;
    case PAGE_CARD:
        footline_card(m, f);
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
            footline_enter(f, ACT_CALL, CALL_COAT, model_text(m, s, text, sizeof text));
        else
            footline_enter(f, ACT_PAGE, PAGE_ORDER, model_text(m, s, text, sizeof text));
    } else if (!lists_waits(batch)) {
        footline_enter(f, ACT_AMOUNT, AMOUNT_OF_OPEN,
                       model_text(m, say("footline.mix_again batch=%s", id), text, sizeof text));
    } else {
        struct said s = say("footline.resume batch=%s formula=%s coat=%s", id, member_text(batch, "formula"),
                            member_text(batch, "coat"));
        footline_move(m, f, resume, model_text(m, s, text, sizeof text));
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
        footline_enter(f, ACT_ASK, FOR_GLANCE, text);
    else if (b->next == NEXT_KEY && b->next_act)
        footline_enter(
            f, ACT_CALL, CALL_NEXT,
            !b->next_looks ? text : model_text(m, say("footline.seen painter=%s", m->view.glance), text, sizeof text));
    else if (line && b->next != NEXT_WAIT)
        idle_line(m, f, line);
    else if (idle && b->next == NEXT_CHOOSE)
        footline_enter(f, ACT_PAGE, PAGE_FIND, text);
    else
        footline_hand(f,
                      b->next == NEXT_CHOOSE ? FOOTLINE_DIGIT
                      : b->next == NEXT_WAIT ? FOOTLINE_WAIT
                                             : FOOTLINE_HAND,
                      text);
    if (b->second_act && b->second_looks && !m->view.glance[0])
        footline_dot(f, ACT_ASK, FOR_GLANCE, model_told(m, b->second_said, text, sizeof text));
    else if (b->second_act)
        footline_dot(f, ACT_CALL, CALL_SECOND, model_told(m, b->second_said, text, sizeof text));
    else if (line && lists_is_order(line))
        footline_dot(f, ACT_PAGE, PAGE_ORDER,
                     model_text(m, say("page.order order=%s", member_text(line, "order")), text, sizeof text));
    else if (line)
        footline_dot(f, ACT_RECORD, 0, model_text(m, say("page.batch batch=%s", lists_id(line)), text, sizeof text));
    else if (idle && f->enter != ACT_PAGE)
        footline_dot(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    else if (idle && learn_of(m))
        footline_dot(f, ACT_CALL, CALL_LEARN_END,
                     model_told(m, shown_object(json_object_get(learn_of(m), "end"), "said"), text, sizeof text));
    else if (idle)
        footline_dot(f, ACT_PAGE, PAGE_PEOPLE, b->signed_in[0] ? b->signed_in : model_word(m, "page.people"));
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
        footline_hand(f, FOOTLINE_WAIT, model_word(m, "footline.wait"));
    else if (unseen(m, now))
        footline_hand(f, FOOTLINE_WAIT, model_word(m, "footline.wait_weight"));
    else if (remedy)
        footline_move(m, f, remedy, NULL);
    else
        next_move(m, f);
}

/* `.` does nothing, and nothing is printed for it. */
static void nothing_by_dot(struct footline *f)
{
    footline_dot(f, ACT_NONE, 0, "");
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
    if (f->enter == ACT_PAGE && f->enter_value == entry_back(m) && !bench) /* Enter says it already */
        f->zero[0] = '\0';
    if (!m->linked && (bench || f->enter == ACT_CALL)) {
        footline_hand(f, FOOTLINE_WAIT, model_word(m, "footline.lost"));
        nothing_by_dot(f);
    }
    if (m->early.waits && !m->early.dot && f->kind == FOOTLINE_KEY)
        f->kind = FOOTLINE_WAIT;
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
