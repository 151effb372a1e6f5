/* act.c - what a key asked for is done. It must not know how a page is opened, nor what the daemon allows. */
#include "client/screen/act.h"

#include "client/screen/entry.h"
#include "client/screen/late.h"
#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

/* A digit on a menu. What only turns a page does it at once; what changes something is chosen, and Enter commits it.
 * */
static void choose_menu(struct model *m, int digit, struct moment now, struct calls *q)
{
    struct menu_line line = menu_line(m, digit);
    if (!line.there)
        return;
    if (line.why[0])
        model_say(m, true, line.why);
    else if (menu_commits(line))
        m->view.choice = digit;
    else if (line.act == ACT_PAGE)
        act_open_page(m, (enum page)line.value, now, q);
    else if (line.act == ACT_ASK)
        act_ask(m, (enum purpose)line.value, now, q);
    else
        act_ask_amount(m, (enum amount_of)line.value, now, q);
}

/* A remedy that is shut says why at once. */
static void choose_remedy(struct model *m, int digit)
{
    char text[FOOT_ROOM];
    const json_t *move = menu_remedy(m, digit);
    if (move && shown_is_open(move))
        m->view.choice = digit;
    else if (move)
        model_say(m, true, model_sentence(m, shown_object(move, "why"), text, sizeof text));
}

/* 1 to 3: whether the card matched; 4 to 7: in which light, and pressed once more not. */
static void choose_seen(struct model *m, int digit)
{
    if (digit <= 3)
        m->view.choice = digit;
    else if (digit <= 7)
        m->view.taken ^= 1U << (digit - 4);
}

/* What only turns a page does so at once, as on a menu; what changes something waits for Enter. */
static void choose_entry(struct model *m, size_t n, struct moment now, struct calls *q)
{
    struct entry e;
    if (!entry_is_page(m->view.page) || !entry_at(m, n, &e))
        return;
    m->view.line = n;
    if (e.act == ACT_PAGE)
        act_open_page(m, (enum page)e.value, now, q);
    else if (e.act == ACT_ASK)
        act_ask(m, (enum purpose)e.value, now, q);
    else if (e.act == ACT_AMOUNT)
        act_ask_amount(m, (enum amount_of)e.value, now, q);
    else if (e.act == ACT_RECORD)
        act_open_record(m, now, q);
}

/* What a digit chooses on each page; a digit that has no line there does nothing. */
static void choose(struct model *m, int digit, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    size_t place = (size_t)digit;
    switch (v->page) {
    case PAGE_BENCH:
        if (m->bench.state == BENCH_IDLE && place <= lists_batches(&m->lists))
            v->line = place;
        else if (m->bench.state == BENCH_OVER)
            choose_remedy(m, digit);
        break;
    case PAGE_MENU:
    case PAGE_TIN:
    case PAGE_SCRAP:
    case PAGE_RECORD:
    case PAGE_SCALE:
        choose_menu(m, digit, now, q);
        break;
    case PAGE_FIND:
        if (place <= lists_coats(lists_match(&m->lists, v->text, v->line))) {
            v->chosen[FORM_COAT] = place - 1;
            v->chosen[FORM_VARIANT] = 0;
        }
        break;
    case PAGE_TONER:
        if (lists_toner(&m->lists, m->view.text, place - 1))
            v->line = place - 1;
        break;
    case PAGE_AMOUNT:
        form_choose(m, place);
        act_plan(m, q);
        break;
    case PAGE_PANELS:
        if (v->line < PANELS_ROOM)
            v->parts[v->line].coats = (unsigned char)digit;
        v->parts_changed = true;
        break;
    case PAGE_SCALES:
        if (lists_scale(&m->lists, place - 1)) {
            act_open_page(m, PAGE_SCALE, now, q);
            v->scale = place - 1;
            lists_keep(&m->lists, LIST_DRIFT, NULL);
            lists_keep(&m->lists, LIST_SEEK, NULL);
        }
        break;
    case PAGE_ORDER_FORM:
    case PAGE_COAT_FORM:
        form_choose(m, place);
        break;
    case PAGE_CARD:
        choose_seen(m, digit);
        break;
    case PAGE_SHOP:
        choose_menu(m, digit, now, q);
        break;
    default:
        choose_entry(m, place - 1, now, q);
        break;
    }
}

/* Not yet: what comes first is what the foot line says; where nothing can be weighed, what ails it. */
static void refuse(struct model *m, struct moment now)
{
    struct footline f;
    char text[FOOT_ROOM], said[FOOT_ROOM];
    if (m->sent.waiting) {
        model_say(m, true, model_word(m, "footline.sent"));
        return;
    }
    footline_of(m, now, &f);
    bool ails = m->view.page == PAGE_BENCH && m->bench.trouble != NULL;
    utf8_copy(text, sizeof text, ails ? model_told(m, m->bench.trouble, said, sizeof said) : f.text);
    model_say(m, true,
              model_text(m, ails ? say("page.not_now_why why=%s", text) : say("page.not_yet first=%s", text), said,
                         sizeof said));
}

/* `*`: what the bench last said, once more, with its sound if it had one. For who looked away. */
static void say_again(struct model *m, struct moment now)
{
    struct footline f;
    char text[FOOT_ROOM];
    footline_of(m, now, &f);
    m->bell = m->cue == CUE_STOP || m->cue == CUE_OVER;
    model_sentence(m, m->bench.said, text, sizeof text);
    model_say(m, false, text[0] ? text : f.text);
}

/* `.` on the page of colours; after the last variant comes the first. */
static void next_variant(struct model *m)
{
    struct view *v = &m->view;
    size_t n = lists_variants(lists_match(&m->lists, v->text, v->line), v->chosen[FORM_COAT]);
    v->chosen[FORM_VARIANT] = n ? (v->chosen[FORM_VARIANT] + 1) % n : 0;
}

/* A read that takes long, or that a person asked for: what was read before does not stand meanwhile. */
static void read_anew(struct model *m, enum call_kind kind, struct calls *q)
{
    json_t *under_way = kind == CALL_SCALES ? NULL : json_object();
    if (under_way)
        lists_keep(&m->lists, kind == CALL_DRIFT ? LIST_DRIFT : LIST_SEEK, under_way);
    json_decref(under_way);
    m->view.choice = 0;
    calls_read(q, m, kind);
}

/* What turns to a page. False: this does not. */
static bool act_turns(struct model *m, struct move move, struct moment now, struct calls *q)
{
    switch (move.act) {
    case ACT_LOT:
        utf8_copy(m->view.lot, sizeof m->view.lot, m->view.text);
        model_open_page(m, PAGE_BENCH, now);
        model_say(m, false, model_word(m, "page.lot_kept"));
        return true;
    case ACT_GLANCE:
        utf8_copy(m->view.glance, sizeof m->view.glance, m->view.text);
        model_open_page(m, PAGE_BENCH, now);
        return true;
    case ACT_PAGE:
        act_open_page(m, (enum page)move.value, now, q);
        return true;
    case ACT_ASK:
        act_ask(m, (enum purpose)move.value, now, q);
        return true;
    case ACT_TYPE:
        act_open_page(m, PAGE_FIND, now, q);
        act_write_char(m, move.value, q);
        return true;
    case ACT_AMOUNT:
        act_ask_amount(m, (enum amount_of)move.value, now, q);
        return true;
    case ACT_RECORD:
        act_open_record(m, now, q);
        return true;
    default:
        return false;
    }
}

/* What stays on this side of the socket. False: leave the screen. */
static bool act_here(struct model *m, struct move move, struct moment now, struct calls *q)
{
    switch (move.act) {
    case ACT_CHOOSE:
        choose(m, (int)move.value, now, q);
        break;
    case ACT_NEXT:
    case ACT_BEFORE:
        act_step(m, move.act == ACT_NEXT, now);
        break;
    case ACT_LINE:
        m->view.line = move.value;
        break;
    case ACT_TAKE:
        workoff_take(m);
        m->view.line = FORM_HAVE;
        act_plan(m, q);
        break;
    case ACT_VARIANT:
        next_variant(m);
        break;
    case ACT_END_WRITING:
        m->view.writing = false;
        break;
    case ACT_WRITE:
        act_write_char(m, move.value, q);
        break;
    case ACT_RUB_OUT:
        act_rub_out(m, q);
        break;
    case ACT_AGAIN:
        say_again(m, now);
        break;
    case ACT_READ:
        read_anew(m, (enum call_kind)move.value, q);
        break;
    case ACT_REFUSED:
        refuse(m, now);
        break;
    case ACT_WAITS:
        late_wait(m, move.value != 0, now);
        break;
    case ACT_EARLY:
        m->bell = true;
        model_say(m, true, model_word(m, "page.early"));
        break;
    default:
        return act_turns(m, move, now, q) || move.act != ACT_QUIT;
    }
    return true;
}

/* An answer to an earlier key is gone with the next key, whatever that does. A call is refused while another one
 * waits for its answer: two in flight could be done in either order. */
bool act_do(struct model *m, struct move move, struct moment now, const char *request, struct calls *q)
{
    if (move.act == ACT_NONE)
        return true;
    m->view.touched_ms = now.ms;
    m->foot[0] = '\0';
    m->wrong = NULL;
    bool overtaken = m->early.waits && move.act != ACT_WAITS;
    m->early.waits = false;
    if (late_is_refused(m, move.act)) {
        refuse(m, now);
        return true;
    }
    if (move.act != ACT_CALL) {
        bool stays = act_here(m, move, now, q);
        if (overtaken && !m->foot[0])
            model_say(m, true, model_word(m, "page.early"));
        return stays;
    }
    if (!m->sent.waiting && m->linked && calls_move(q, m, move.value, request)) {
        m->sent.waiting = true;
        m->sent.since_ms = now.ms;
    }
    return true;
}
