/* act.c - pages, fields and choices. It must not know what the daemon allows. */
#include "client/screen/calls.h"

#include "client/screen/footline.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>
#include <unistr.h>

/* The field that has the caret. */
static char *field_of(struct view *v)
{
    return v->page == PAGE_AMOUNT ? v->fields[v->line] : v->text;
}

/* What is found follows what is written. */
static void written(struct model *m, struct calls *q)
{
    if (m->view.page == PAGE_FIND || m->view.page == PAGE_TONER)
        m->view.line = m->view.coat = m->view.variant = 0;
    if (m->view.page == PAGE_FIND)
        calls_read(q, m, CALL_FORMULAS);
}

/* A key writes at the end of its field. What finds no room is dropped: the painter sees that nothing came. A note has
 * the whole room, every other field half of it, so that a foot line can repeat it. */
static void write_char(struct model *m, char32_t c, struct calls *q)
{
    char *field = field_of(&m->view);
    size_t n = strlen(field);
    uint8_t encoded[4];
    int bytes = u8_uctomb(encoded, c, sizeof encoded);
    size_t room = m->view.page == PAGE_WRITE ? WRITE_ROOM : WRITE_ROOM / 2;
    if (bytes < 1 || n + (size_t)bytes >= room)
        return;
    memcpy(field + n, encoded, (size_t)bytes);
    field[n + (size_t)bytes] = '\0';
    written(m, q);
}

/* Takes the last character of the field, with all its bytes. Where the field was left for the list below it, the
 * first Backspace only goes back into it. */
static void rub_out(struct model *m, struct calls *q)
{
    struct view *v = &m->view;
    if (!v->writing && (v->page == PAGE_FIND || v->page == PAGE_TONER)) {
        v->writing = true; /* back into the field */
        return;
    }
    if (!v->writing)
        return;
    char *field = field_of(v);
    size_t last = 0, n;
    for (size_t at = 0; (n = utf8_character(field + at)) > 0; at += n)
        last = at;
    field[last] = '\0';
    written(m, q);
}

/* Turns to a page and asks the daemon for what stands on it. A colour is looked for in idle alone: in the midst of a
 * pour a stray `/` must not lead away. */
static void open_page(struct model *m, enum page page, struct moment now, struct calls *q)
{
    if (page == PAGE_FIND && m->bench.state != BENCH_IDLE) {
        model_say(m, true, model_word(m, "page.find_shut"));
        return;
    }
    model_open_page(m, page, now);
    if (page == PAGE_SCALES)
        calls_read(q, m, CALL_SCALES);
    if (page == PAGE_FIND) {
        lists_keep(&m->lists, LIST_FORMULAS, NULL);
        lists_keep(&m->lists, LIST_PRODUCTS, NULL);
        calls_read(q, m, CALL_FORMULAS);
    }
}

/* Opens the page that gives what a move asks for: a toner, or some text. */
static void ask(struct model *m, enum purpose purpose, struct moment now, struct calls *q)
{
    bool toner = purpose == FOR_TINT || purpose == FOR_REALLY;
    model_open_page(m, toner ? PAGE_TONER : PAGE_WRITE, now);
    m->view.purpose = purpose;
    if (toner)
        calls_read(q, m, CALL_TONERS);
}

/* How much of the open match, or of the open batch again. */
static void ask_amount(struct model *m, struct moment now)
{
    struct view *v = &m->view;
    bool again = v->page == PAGE_BENCH;
    const json_t *batch = again && v->line ? lists_batch(&m->lists, v->line - 1) : NULL;
    const json_t *match = again ? NULL : lists_match(&m->lists, v->text, v->line);
    if (!batch && !match)
        return;
    utf8_copy(v->repeat, sizeof v->repeat, shown_text(batch, "batch"));
    v->wanted.product = lists_is_product(match);
    utf8_copy(v->wanted.code, NAME_ROOM, lists_id(match));
    utf8_copy(v->wanted.name, NAME_ROOM, shown_text(match, "name"));
    utf8_copy(v->wanted.coat, NAME_ROOM, lists_coat(match, v->coat));
    utf8_copy(v->wanted.variant, NAME_ROOM, lists_variant(match, v->coat, v->variant));
    model_open_page(m, PAGE_AMOUNT, now);
    v->fields[AMOUNT_GRAMS][0] = v->fields[AMOUNT_ML][0] = v->fields[AMOUNT_ORDER][0] = '\0'; /* the painter stays */
    v->line = match && v->wanted.product ? AMOUNT_ML : AMOUNT_GRAMS;
}

/* A digit on a menu. What only turns a page does it at once; what changes something is chosen, and Enter commits it.
 * */
static void choose_menu(struct model *m, struct menu_line line, int digit, struct moment now, struct calls *q)
{
    if (!line.there)
        return;
    if (line.why[0])
        model_say(m, true, line.why);
    else if (line.act == ACT_PAGE)
        open_page(m, (enum page)line.value, now, q);
    else if (line.act == ACT_ASK)
        ask(m, (enum purpose)line.value, now, q);
    else
        m->view.choice = digit; /* it changes something: the foot line commits */
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
        choose_menu(m, menu_line(m, digit), digit, now, q);
        break;
    case PAGE_TIN:
        choose_menu(m, menu_tin(m, digit), digit, now, q);
        break;
    case PAGE_FIND:
        if (place <= lists_coats(lists_match(&m->lists, v->text, v->line))) {
            v->coat = place - 1;
            v->variant = 0;
        }
        break;
    case PAGE_TONER:
        if (lists_toner(&m->lists, m->view.text, place - 1))
            v->line = place - 1;
        break;
    case PAGE_SCRAP:
        if (menu_scrap(digit))
            v->choice = digit;
        break;
    case PAGE_AMOUNT:
    case PAGE_WRITE:
    case PAGE_SCALES:
        break;
    }
}

/* One on or one back among 0..last. */
static size_t stepped(size_t at, size_t last, bool next)
{
    if (next)
        return at < last ? at + 1 : last;
    return at > 0 ? at - 1 : 0;
}

/* True where + and - may stop: at a line that Enter could then commit. */
static bool can_choose(const struct model *m, int digit)
{
    struct menu_line line = m->view.page == PAGE_TIN ? menu_tin(m, digit) : menu_line(m, digit);
    if (m->view.page == PAGE_SCRAP)
        return menu_scrap(digit) != NULL;
    if (m->view.page == PAGE_BENCH)
        return menu_remedy_open(m, digit);
    return line.there && !line.why[0] && line.act == ACT_CALL; /* pages are turned by their digit alone */
}

/* The next choice in that direction; where there is none the old one stays. */
static void step_choice(struct model *m, bool next)
{
    for (int digit = m->view.choice + (next ? 1 : -1); digit >= 1 && digit <= 9; digit += next ? 1 : -1)
        if (can_choose(m, digit)) {
            m->view.choice = digit;
            return;
        }
}

/* + and - on the bench: the batch of the day, the formula, the remedy, or the copies of the label. */
static void step_bench(struct model *m, bool next, struct moment now)
{
    struct view *v = &m->view;
    switch (m->bench.state) {
    case BENCH_IDLE:
        v->line = stepped(v->line, lists_batches(&m->lists), next);
        break;
    case BENCH_CUP:
    case BENCH_POUR:
        if (v->list_until_ms || !next)
            v->list_from = stepped(v->list_from, m->bench.n_steps, next);
        v->list_until_ms = now.ms + LIST_OPEN_MS;
        break;
    case BENCH_OVER:
        step_choice(m, next);
        break;
    case BENCH_DONE:
        v->copies = (int)stepped((size_t)v->copies - 1, 8, next) + 1;
        break;
    }
}

/* + and - on the pages beside it: one line on or back. The amount's lines go round, since the last is left often. */
static void step_line(struct model *m, bool next, struct moment now)
{
    struct view *v = &m->view;
    size_t n;
    switch (v->page) {
    case PAGE_BENCH:
        step_bench(m, next, now);
        break;
    case PAGE_FIND:
        n = lists_matches(&m->lists, v->text);
        v->line = n ? stepped(v->line, n - 1, next) : 0;
        v->coat = v->variant = 0;
        break;
    case PAGE_AMOUNT:
        v->line = next ? (v->line + 1) % AMOUNT_LINES : (v->line + AMOUNT_LINES - 1) % AMOUNT_LINES;
        break;
    case PAGE_TONER:
        n = lists_toners(&m->lists, m->view.text);
        v->line = n ? stepped(v->line, n - 1, next) : 0;
        break;
    case PAGE_MENU:
    case PAGE_TIN:
    case PAGE_SCRAP:
        step_choice(m, next);
        break;
    case PAGE_WRITE:
    case PAGE_SCALES:
        break;
    }
}

/* Not yet: what comes first is what the foot line says; where nothing can be weighed, what ails it. */
static void refuse(struct model *m, struct moment now)
{
    struct footline f;
    char text[FOOT_ROOM], said[FOOT_ROOM];
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
    size_t n = lists_variants(lists_match(&m->lists, m->view.text, m->view.line), m->view.coat);
    m->view.variant = n ? (m->view.variant + 1) % n : 0;
}

/* What stays on this side of the socket. False: leave the screen. */
static bool act_here(struct model *m, struct move move, struct moment now, struct calls *q)
{
    switch (move.act) {
    case ACT_LOT:
        utf8_copy(m->view.lot, sizeof m->view.lot, m->view.text);
        model_open_page(m, PAGE_BENCH, now);
        model_say(m, false, model_word(m, "page.lot_kept"));
        break;
    case ACT_PAGE:
        open_page(m, (enum page)move.value, now, q);
        break;
    case ACT_ASK:
        ask(m, (enum purpose)move.value, now, q);
        break;
    case ACT_CHOOSE:
        choose(m, (int)move.value, now, q);
        break;
    case ACT_NEXT:
    case ACT_BEFORE:
        step_line(m, move.act == ACT_NEXT, now);
        break;
    case ACT_VARIANT:
        next_variant(m);
        break;
    case ACT_END_WRITING:
        m->view.writing = false;
        break;
    case ACT_WRITE:
        write_char(m, move.value, q);
        break;
    case ACT_RUB_OUT:
        rub_out(m, q);
        break;
    case ACT_AMOUNT:
        ask_amount(m, now);
        break;
    case ACT_AGAIN:
        say_again(m, now);
        break;
    case ACT_LOOK:
        calls_read(q, m, CALL_SCALES);
        break;
    case ACT_REFUSED:
        refuse(m, now);
        break;
    case ACT_EARLY:
        m->bell = true;
        model_say(m, true, model_word(m, "page.early"));
        break;
    default:
        return move.act != ACT_QUIT;
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
    if (move.act != ACT_CALL)
        return act_here(m, move, now, q);
    if (!m->sent.waiting && m->linked && calls_move(q, m, move.value, request)) {
        m->sent.waiting = true;
        m->sent.since_ms = now.ms;
    }
    return true;
}
