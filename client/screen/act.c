/* act.c - pages, fields and choices. It must not know what the daemon allows. */
#include "client/screen/calls.h"

#include "client/screen/entry.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>
#include <unistr.h>

/* The pages whose lines are those of form.h. */
static bool is_form(const struct view *v)
{
    return v->page == PAGE_AMOUNT || v->page == PAGE_RETARE || v->page == PAGE_ORDER_FORM;
}

/* The field that has the caret. */
static char *field_of(struct view *v)
{
    return is_form(v) ? v->form[v->line] : v->text;
}

char *act_field(struct model *m)
{
    return m->view.writing ? field_of(&m->view) : NULL;
}

/* What comes of a form is planned anew with each key; of what is only half written there is no plan. */
static void plan(struct model *m, struct calls *q)
{
    if (form_whole(m))
        calls_read(q, m, CALL_PLAN);
    else
        lists_keep(&m->lists, LIST_PLAN, NULL);
}

/* What is found follows what is written. */
static void written(struct model *m, struct calls *q)
{
    struct view *v = &m->view;
    if (v->page == PAGE_FIND || v->page == PAGE_TONER)
        v->line = v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
    if (v->page == PAGE_FIND)
        calls_read(q, m, CALL_FORMULAS);
    if (v->page == PAGE_FIND && v->text[0])
        calls_read(q, m, CALL_FOUND);
    else if (v->page == PAGE_FIND)
        lists_keep(&m->lists, LIST_FOUND, NULL);
    if (v->page == PAGE_AMOUNT)
        plan(m, q);
    if (v->page == PAGE_ORDER_FORM && v->line == FORM_COLOUR) {
        v->taken = 0;
        calls_read(q, m, CALL_FORMULAS);
    }
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

void act_write(struct model *m, const char *text, struct calls *q)
{
    utf8_copy(field_of(&m->view), WRITE_ROOM, text);
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

/* An empty form, unless it was left for its panels alone. The painter stays: the next order is mostly theirs too. */
static void open_order_form(struct model *m)
{
    static const enum form_line anew[] = {FORM_ORDER, FORM_VEHICLE, FORM_COLOUR, FORM_GRAMS};
    struct view *v = &m->view;
    v->line = v->from == PAGE_PANELS ? FORM_PANELS : v->order[0] ? FORM_COLOUR : FORM_ORDER;
    if (v->from == PAGE_PANELS)
        return;
    for (size_t i = 0; i < sizeof anew / sizeof *anew; i++)
        v->form[anew[i]][0] = '\0';
    memset(v->coats, 0, sizeof v->coats);
    v->taken = 0;
    lists_keep(&m->lists, LIST_FORMULAS, NULL);
}

/* Turns to a page and asks the daemon for what stands on it. */
static void open_page(struct model *m, enum page page, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    entry_choose(m, page);
    model_open_page(m, page, now);
    calls_after_page(q, m);
    if (page == PAGE_ORDER_FORM)
        open_order_form(m);
    if (page == PAGE_RETARE) {
        v->line = FORM_UNCOUNTED;
        v->form[FORM_UNCOUNTED][0] = v->form[FORM_LOST][0] = '\0';
    }
    if (page == PAGE_FIND) {
        v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
        lists_keep(&m->lists, LIST_FORMULAS, NULL);
        lists_keep(&m->lists, LIST_FOUND, NULL);
        calls_read(q, m, CALL_FORMULAS);
    }
}

/* The record of a batch: of the code that is written, of the open match, or of the open line of the day. */
static void open_record(struct model *m, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    const json_t *match = v->page == PAGE_FIND ? lists_match(&m->lists, v->text, v->line)
                          : v->line            ? lists_batch(&m->lists, v->line - 1)
                                               : NULL;
    const char *id = v->page == PAGE_FIND && !lists_is_batch(match) ? lists_number(v->text) : lists_id(match);
    if (v->page == PAGE_ORDER) { /* the newest of the coat */
        const json_t *mixed = json_object_get(entry_coat(m), "batches");
        id = json_string_value(json_array_get(mixed, json_array_size(mixed) - 1));
    }
    if (v->page == PAGE_CUP)
        id = v->batch;
    act_open_batch(m, id ? id : "", now, q);
}

void act_open_batch(struct model *m, const char *batch, struct moment now, struct calls *q)
{
    char id[NAME_ROOM]; /* `batch` may be what is written on the page that is left */
    utf8_copy(id, sizeof id, batch);
    open_page(m, PAGE_RECORD, now, q);
    utf8_copy(m->view.batch, sizeof m->view.batch, id);
    lists_keep(&m->lists, LIST_BATCH, NULL);
    calls_read(q, m, CALL_BATCH);
    calls_read(q, m, CALL_PRODUCTS); /* a touch-up may be of one */
}

void act_find(struct model *m, const char *text, struct moment now, struct calls *q)
{
    open_page(m, PAGE_FIND, now, q);
    act_write(m, text, q);
}

/* Opens the page that gives what a move asks for: a toner, or some text. */
static void ask(struct model *m, enum purpose purpose, struct moment now, struct calls *q)
{
    bool toner = purpose == FOR_TINT || purpose == FOR_REALLY;
    entry_choose(m, toner ? PAGE_TONER : PAGE_WRITE);
    model_open_page(m, toner ? PAGE_TONER : PAGE_WRITE, now);
    m->view.purpose = purpose;
    if (toner)
        calls_read(q, m, CALL_TONERS);
}

/* What is to be mixed is kept as it stands now. False: nothing is open that could be. */
static bool want(struct model *m, enum amount_of what)
{
    struct view *v = &m->view;
    const json_t *record = m->lists.answer[LIST_BATCH];
    json_t *coat = what == AMOUNT_OF_COAT ? entry_wanted(m) : NULL;
    v->coat_n = what == AMOUNT_OF_COAT && v->page == PAGE_ORDER ? v->line + 1 : 0;
    if (what == AMOUNT_OF_COAT && !coat) /* its order was not read yet */
        return false;
    if (coat) {
        v->as = NULL;
        v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
        utf8_copy(v->form[FORM_ORDER], WRITE_ROOM, v->order);
        lists_want(&m->lists, coat);
        json_decref(coat);
        return true;
    }
    const json_t *open = what != AMOUNT_OF_OPEN  ? record
                         : v->page != PAGE_BENCH ? lists_match(&m->lists, v->text, v->line)
                         : v->line               ? lists_batch(&m->lists, v->line - 1)
                                                 : NULL;
    if (!open)
        return false;
    v->as = what == AMOUNT_OF_CORRECTED ? "corrected" : what != AMOUNT_OF_CUP && lists_is_batch(open) ? "poured" : NULL;
    if (what == AMOUNT_OF_CUP)
        lists_want_colour_of(&m->lists, record);
    else
        lists_want(&m->lists, open);
    if (lists_is_batch(open))
        v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
    return true;
}

/* How much of it. Order and painter stay until they are changed: the next coat is mostly for the same. */
static void ask_amount(struct model *m, enum amount_of what, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    bool same = what == AMOUNT_OF_SAME;
    if (!same && !want(m, what))
        return;
    if (!same) {
        for (size_t i = FORM_GRAMS; i < FORM_LINES; i++)
            v->form[i][0] = '\0';
        memset(v->coats, 0, sizeof v->coats);
        form_begin(m);
    }
    if (what == AMOUNT_OF_CUP)
        utf8_copy(v->form[FORM_HAVE], WRITE_ROOM, v->batch);
    model_open_page(m, PAGE_AMOUNT, now);
    v->line = !same && !v->as && lists_is_product(m->lists.answer[LIST_WANTED]) ? FORM_ML : FORM_GRAMS;
    calls_read(q, m, CALL_SHELF); /* a cup of it may stand there */
    plan(m, q);
}

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
        open_page(m, (enum page)line.value, now, q);
    else if (line.act == ACT_ASK)
        ask(m, (enum purpose)line.value, now, q);
    else
        ask_amount(m, (enum amount_of)line.value, now, q);
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
        open_page(m, (enum page)e.value, now, q);
    else if (e.act == ACT_ASK)
        ask(m, (enum purpose)e.value, now, q);
    else if (e.act == ACT_AMOUNT)
        ask_amount(m, (enum amount_of)e.value, now, q);
    else if (e.act == ACT_RECORD)
        open_record(m, now, q);
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
        plan(m, q);
        break;
    case PAGE_PANELS:
        if (v->line < PANELS_ROOM)
            v->coats[v->line] = (unsigned char)digit;
        break;
    case PAGE_SCALES:
        if (lists_scale(&m->lists, place - 1)) {
            open_page(m, PAGE_SCALE, now, q);
            v->scale = place - 1;
            lists_keep(&m->lists, LIST_DRIFT, NULL);
            lists_keep(&m->lists, LIST_SEEK, NULL);
        }
        break;
    case PAGE_ORDER_FORM:
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
        open_page(m, (enum page)move.value, now, q);
        return true;
    case ACT_ASK:
        ask(m, (enum purpose)move.value, now, q);
        return true;
    case ACT_TYPE:
        open_page(m, PAGE_FIND, now, q);
        write_char(m, move.value, q);
        return true;
    case ACT_AMOUNT:
        ask_amount(m, (enum amount_of)move.value, now, q);
        return true;
    case ACT_RECORD:
        open_record(m, now, q);
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
    case ACT_AGAIN:
        say_again(m, now);
        break;
    case ACT_READ:
        read_anew(m, (enum call_kind)move.value, q);
        break;
    case ACT_REFUSED:
        refuse(m, now);
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
    if (move.act != ACT_CALL)
        return act_here(m, move, now, q);
    if (!m->sent.waiting && m->linked && calls_move(q, m, move.value, request)) {
        m->sent.waiting = true;
        m->sent.since_ms = now.ms;
    }
    return true;
}
