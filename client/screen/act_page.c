/* act_page.c - turning pages, and what is written on them. It must not know what a key means, nor what the daemon
 * allows. */
#include "client/screen/act.h"

#include "client/screen/entry.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>
#include <unistr.h>

/* The field that has the caret. */
static char *field_of(struct view *v)
{
    return model_is_form(v->page) ? v->form[v->line] : v->text;
}

char *act_field(struct model *m)
{
    return m->view.writing ? field_of(&m->view) : NULL;
}

/* What comes of a form is planned anew with each key; of what is only half written there is no plan. */
void act_plan(struct model *m, struct calls *q)
{
    lists_keep(&m->lists, LIST_WORKOFF, NULL); /* it was for another amount */
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
        act_plan(m, q);
    if (v->page == PAGE_PANEL)
        form_keep_part(m);
    if (v->page == PAGE_ORDER_FORM && v->line == FORM_COLOUR) {
        v->taken = 0;
        calls_read(q, m, CALL_FORMULAS);
    }
}

/* A key writes at the end of its field. What finds no room is dropped: the painter sees that nothing came. A note has
 * the whole room, every other field half of it, so that a foot line can repeat it. */
void act_write_char(struct model *m, char32_t c, struct calls *q)
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
void act_rub_out(struct model *m, struct calls *q)
{
    struct view *v = &m->view;
    if (!v->writing && (v->page == PAGE_FIND || v->page == PAGE_TONER)) {
        v->writing = true; /* back into the field */
        return;
    }
    if (v->page == PAGE_PANELS && v->line < PANELS_ROOM) { /* the panel is not painted after all */
        v->parts[v->line] = (struct part){.coats = 0};
        v->parts_changed = true;
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

/* An empty form. The painter stays: the next order is mostly theirs too. */
static void open_order_form(struct model *m)
{
    static const enum form_line anew[] = {FORM_ORDER, FORM_VEHICLE, FORM_COLOUR, FORM_GRAMS};
    struct view *v = &m->view;
    v->line = v->order[0] ? FORM_COLOUR : FORM_ORDER;
    for (size_t i = 0; i < sizeof anew / sizeof *anew; i++)
        v->form[anew[i]][0] = '\0';
    memset(v->parts, 0, sizeof v->parts);
    v->taken = 0;
    lists_keep(&m->lists, LIST_FORMULAS, NULL);
}

/* The first line of a form, and what stands on it; of one that was left for its panels alone all stays as it was. */
static void open_form(struct model *m, enum page before)
{
    struct view *v = &m->view;
    if (v->page == PAGE_PANEL) {
        form_open_part(m);
        v->line = FORM_PANEL_COATS;
        return;
    }
    v->line = FORM_GRAMS; /* Enter keeps the form from there */
    if (before == PAGE_PANELS)
        return;
    v->parts_changed = false;
    v->line = v->page == PAGE_ORDER_HEAD  ? FORM_VEHICLE
              : v->page == PAGE_COAT_FORM ? FORM_GRAMS
              : v->page == PAGE_CARD      ? FORM_SEEN
              : v->page == PAGE_PLACE     ? FORM_PLACE
                                          : FORM_UNCOUNTED;
    if (v->page == PAGE_ORDER_FORM)
        open_order_form(m);
    if (v->page == PAGE_CARD)
        v->taken = 0;
    if (v->page == PAGE_RETARE)
        v->form[FORM_UNCOUNTED][0] = v->form[FORM_LOST][0] = '\0';
    form_fill(m);
}

/* The panel that is looked for first: one that was chosen already. */
static size_t first_painted(const struct view *v)
{
    for (size_t i = 0; i < PANELS_ROOM; i++)
        if (form_is_painted(&v->parts[i]))
            return i;
    return 0;
}

/* Turns to a page and asks the daemon for what stands on it. */
void act_open_page(struct model *m, enum page page, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    enum page before = v->page;
    struct entry e;
    bool gone = page == PAGE_CUP && entry_at(m, v->line, &e) && e.gone;
    entry_choose(m, page);
    if (page == PAGE_PANEL)
        v->part = v->line < PANELS_ROOM ? v->line : 0;
    if (page == PAGE_PANELS && before != PAGE_PANEL)
        v->parts_of = before;
    model_open_page(m, page, now);
    calls_after_page(q, m);
    if (gone) /* what must go is opened to throw it away */
        v->line = CUP_DISCARD;
    if (page == PAGE_PANELS)
        v->line = before == PAGE_PANEL ? v->part : first_painted(v);
    if (model_is_form(page))
        open_form(m, before);
    if (page == PAGE_FIND) {
        v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
        lists_keep(&m->lists, LIST_FORMULAS, NULL);
        lists_keep(&m->lists, LIST_FOUND, NULL);
        calls_read(q, m, CALL_FORMULAS);
    }
}

/* The record of a batch: of the code that is written, of the open match, or of the open line of the day. */
void act_open_record(struct model *m, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    const json_t *match = v->page == PAGE_FIND ? lists_match(&m->lists, v->text, v->line)
                          : v->line            ? lists_batch(&m->lists, v->line - 1)
                                               : NULL;
    const char *id = v->page == PAGE_FIND && !lists_is_batch(match) ? lists_number(v->text) : lists_id(match);
    if (v->page == PAGE_ORDER || v->page == PAGE_COAT) { /* the newest of the coat */
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
    act_open_page(m, PAGE_RECORD, now, q);
    utf8_copy(m->view.batch, sizeof m->view.batch, id);
    lists_keep(&m->lists, LIST_BATCH, NULL);
    calls_read(q, m, CALL_BATCH);
    calls_read(q, m, CALL_PRODUCTS); /* a touch-up may be of one */
}

void act_find(struct model *m, const char *text, struct moment now, struct calls *q)
{
    act_open_page(m, PAGE_FIND, now, q);
    act_write(m, text, q);
}

/* Opens the page that gives what a move asks for: a toner, or some text. */
void act_ask(struct model *m, enum purpose purpose, struct moment now, struct calls *q)
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
void act_ask_amount(struct model *m, enum amount_of what, struct moment now, struct calls *q)
{
    struct view *v = &m->view;
    bool same = what == AMOUNT_OF_SAME;
    if (!same && !want(m, what))
        return;
    if (!same) {
        for (size_t i = FORM_GRAMS; i < FORM_LINES; i++)
            v->form[i][0] = '\0';
        memset(v->parts, 0, sizeof v->parts);
        v->chosen[FORM_CONTROL] = v->chosen[FORM_PRODUCT] = v->chosen[FORM_CUP] = v->chosen[FORM_POUR_ORDER] = 0;
        form_begin(m);
    }
    if (what == AMOUNT_OF_CUP)
        utf8_copy(v->form[FORM_HAVE], WRITE_ROOM, v->batch);
    model_open_page(m, PAGE_AMOUNT, now);
    v->line = !same && !v->as && lists_is_product(m->lists.answer[LIST_WANTED]) ? FORM_ML : FORM_GRAMS;
    calls_read(q, m, CALL_SHELF); /* a cup of it may stand there */
    calls_read(q, m, CALL_CUPS);
    if (!m->lists.answer[LIST_TONERS])
        calls_read(q, m, CALL_TONERS); /* its reducers */
    act_plan(m, q);
}
