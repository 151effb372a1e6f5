/* form_lines.c - which lines each form has, of which kind they are and what they are called. It must not know what a
 * line says to the daemon: form.c does. */
#include "client/screen/form.h"

#include "client/screen/premix.h"
#include "client/screen/workoff_offer.h"

#include <string.h>

/* What a key does on a line follows from its kind alone; one without a kind is a text. */
static const struct {
    enum form_kind kind;
    const char *name; /* a code */
} lines[FORM_LINES] = {
    [FORM_ORDER] = {FORM_TEXT, "page.amount_order"},
    [FORM_PAINTER] = {FORM_TEXT, "page.amount_painter"},
    [FORM_VEHICLE] = {FORM_TEXT, "page.vehicle"},
    [FORM_DUE] = {FORM_TEXT, "page.due_head"},
    [FORM_FOLLOWS] = {FORM_CODE, "page.card_followed"},
    [FORM_COLOUR] = {FORM_CODE, "page.code_or_name"},
    [FORM_COATS] = {FORM_CHOICE, "page.coats"},
    [FORM_COAT] = {FORM_CHOICE, "member.coat"},
    [FORM_VARIANT] = {FORM_CHOICE, "member.variant"},
    [FORM_GRAMS] = {FORM_NUMBER, "page.amount_g"},
    [FORM_ML] = {FORM_NUMBER, "page.amount_ml"},
    [FORM_PANELS] = {FORM_LEADS, "page.panels"},
    [FORM_MIDS] = {FORM_NUMBER, "page.mids"},
    [FORM_FILM] = {FORM_NUMBER, "page.film"},
    [FORM_TRANSFER] = {FORM_NUMBER, "page.transfer"},
    [FORM_LOSS] = {FORM_NUMBER, "page.loss"},
    [FORM_CONTROL] = {FORM_CHOICE, "page.control_coat"},
    [FORM_SHELF] = {FORM_LEADS, "page.on_shelf"},
    [FORM_PREMIX] = {FORM_LEADS, "page.premix_line"},
    [FORM_WORKOFF] = {FORM_LEADS, "page.from_shelf"},
    [FORM_HAVE] = {FORM_CODE, "page.have"},
    [FORM_HAVE_G] = {FORM_NUMBER, "page.have_g"},
    [FORM_PRODUCT] = {FORM_CHOICE, "page.mixed_with"},
    [FORM_HARDENER] = {FORM_CHOICE, "role.hardener"},
    [FORM_REDUCER] = {FORM_CHOICE, "role.reducer"},
    [FORM_CUP] = {FORM_CHOICE, "page.cup"},
    [FORM_POUR_ORDER] = {FORM_CHOICE, "page.pour_order"},
    [FORM_UNCOUNTED] = {FORM_NUMBER, "page.uncounted"},
    [FORM_LOST] = {FORM_NUMBER, "page.lost_g"},
    [FORM_PANEL_COATS] = {FORM_NUMBER, "page.panel_coats"},
    [FORM_PANEL_AREA] = {FORM_NUMBER, "page.panel_area"},
    [FORM_PANEL_SHARE] = {FORM_NUMBER, "page.panel_share"},
    [FORM_PANEL_EDGES] = {FORM_NUMBER, "page.panel_edges"},
    [FORM_SEEN] = {FORM_CHOICE, "page.verdict"},
    [FORM_CARD_COATS] = {FORM_NUMBER, "page.card_coats"},
    [FORM_CARD_MIDS] = {FORM_NUMBER, "page.mids"},
    [FORM_CARD_NOTE] = {FORM_TEXT, "page.note"},
    [FORM_PLACE] = {FORM_TEXT, "member.place"},
    [FORM_USE_BY] = {FORM_TEXT, "page.give_use_by"},
};

enum form_kind form_kind(size_t line)
{
    return lines[line].kind;
}

const char *form_name(size_t line)
{
    return lines[line].name;
}

/* The forms whose lines are always all there, from and to in the order of enum form_line. */
static const struct {
    enum page page;
    enum form_line from, to;
} ranges[] = {{PAGE_RETARE, FORM_UNCOUNTED, FORM_LOST},
              {PAGE_PANEL, FORM_PANEL_COATS, FORM_PANEL_EDGES},
              {PAGE_CARD, FORM_SEEN, FORM_CARD_NOTE},
              {PAGE_PLACE, FORM_PLACE, FORM_USE_BY},
              {PAGE_ORDER_HEAD, FORM_PAINTER, FORM_FOLLOWS}};

/* An estimate can be changed where one is made: by panels. */
static bool amount_has(const struct model *m, size_t line)
{
    bool estimate = line >= FORM_MIDS && line <= FORM_CONTROL;
    if (line > FORM_PAINTER && line < FORM_COAT)
        return false;
    if (estimate)
        return form_amount(m) == AMOUNT_PANELS;
    if (line == FORM_SHELF)
        return form_cup(m) != NULL && !m->home[0]; /* a cup of the shop stands on no scale of a practice */
    if (line == FORM_PREMIX)
        return premix_offered(m);
    if (line == FORM_HAVE_G) /* several cups bear their grams themselves */
        return !strpbrk(m->view.form[FORM_HAVE], " +");
    if (line == FORM_WORKOFF)
        return workoff_offered(m);
    return line < FORM_UNCOUNTED && (form_kind(line) != FORM_CHOICE || form_choices(m, line) > 1);
}

/* Of an order that is there only its coats are asked for: the rest of it has a form of its own, and its day with it. */
static bool order_has(const struct model *m, size_t line)
{
    if (line == FORM_COATS)
        return form_choices(m, line) > 0;
    return line <= FORM_VEHICLE ? !m->view.order[0] : line == FORM_COLOUR || line == FORM_GRAMS || line == FORM_PANELS;
}

/* A choice among one is none. */
bool form_has(const struct model *m, size_t line)
{
    for (size_t i = 0; i < sizeof ranges / sizeof *ranges; i++)
        if (ranges[i].page == m->view.page)
            return line >= ranges[i].from && line <= ranges[i].to;
    if (m->view.page == PAGE_ORDER_FORM)
        return order_has(m, line);
    if (m->view.page == PAGE_COAT_FORM)
        return line == FORM_GRAMS || (line >= FORM_PANELS && line <= FORM_CONTROL);
    return m->view.page == PAGE_AMOUNT && amount_has(m, line);
}

/* Goes round: the last line is left as often as the first. */
size_t form_step(const struct model *m, size_t line, bool next)
{
    for (size_t i = 0; i < FORM_LINES; i++) {
        line = (line + (next ? 1 : FORM_LINES - 1)) % FORM_LINES;
        if (form_has(m, line))
            return line;
    }
    return line;
}
