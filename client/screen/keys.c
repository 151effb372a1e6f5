/* keys.c - from a key to what it asks for. It must not change the model. */
#include "client/screen/keys.h"

#include "client/screen/entry.h"
#include "client/screen/late.h"
#include "client/screen/learn.h"

#include <string.h>

static struct move move(enum act act, uint32_t value)
{
    return (struct move){act, value};
}

/* Enter commits what the foot line says, `.` the second move. On a page that has just come nobody has read that yet;
 * while a move is unanswered a second one could be a double tap. */
static struct move commits(const struct model *m, bool dot, struct moment now)
{
    struct footline f;
    if (m->sent.waiting)
        return move(dot ? ACT_NONE : ACT_REFUSED, 0);
    footline_of(m, now, &f);
    return dot ? late_move(m, f.dot, f.dot_value, true, now) : late_move(m, f.enter, f.enter_value, false, now);
}

/* 0 and Escape: the menu from the bench; one page back in the lists of the day; the bench from everywhere else. */
static struct move back(const struct model *m)
{
    bool checks = m->view.page == PAGE_CHECK && strcmp(member_text(m->lists.answer[LIST_CHECK], "next"), "done") != 0;
    if (checks) /* nobody leaves a check weight half done */
        return move(ACT_CALL, CALL_CHECK_CANCEL);
    if (m->view.page == PAGE_PANEL)
        return move(ACT_PAGE, PAGE_PANELS);
    if (m->view.page == PAGE_PANELS && m->view.parts_of == PAGE_AMOUNT)
        return move(ACT_AMOUNT, AMOUNT_OF_SAME);
    if (m->view.page == PAGE_PANELS)
        return move(ACT_PAGE, m->view.parts_of);
    return move(ACT_PAGE, m->view.page == PAGE_BENCH ? PAGE_MENU : entry_back(m));
}

/* What the open field takes: on a form as its line does, a check weight is a number, all else is text. */
static enum form_kind kind_of(const struct model *m)
{
    const struct view *v = &m->view;
    if (model_is_form(v->page))
        return form_kind(v->line);
    bool number = v->purpose == FOR_CHECK || v->purpose == FOR_RECEIPT || v->purpose == FOR_COUNT ||
                  v->purpose == FOR_HAND_POUR || v->purpose == FOR_HAND_TAKE;
    return v->page == PAGE_WRITE && number ? FORM_NUMBER : FORM_TEXT;
}

/* A character into the open field; a control character never gets into a name or a note. Where a field takes no signs +
 * and - are lines; on the page of colours + leads into the list, since codes hold a -. */
static struct move write_char(const struct model *m, char32_t c)
{
    enum form_kind kind = kind_of(m);
    bool form = model_is_form(m->view.page) && kind == FORM_TEXT && !m->view.form[m->view.line][0];
    bool lines = kind != FORM_TEXT || form; /* no order and no name begins with a sign */
    bool digit = c >= '0' && c <= '9';
    if (c == '\t' || (c == '+' && (lines || m->view.page == PAGE_FIND)))
        return move(ACT_NEXT, 0);
    if (c == '-' && lines)
        return move(ACT_BEFORE, 0);
    if (kind == FORM_CHOICE)
        return move(digit ? ACT_CHOOSE : ACT_NONE, digit ? c - '0' : 0);
    if (kind == FORM_LEADS || (kind == FORM_NUMBER && !digit && c != '.' && c != ','))
        return move(ACT_NONE, 0);
    return c < 0x20 || c == 0x7F ? move(ACT_NONE, 0) : move(ACT_WRITE, c);
}

/* A letter on an idle bench begins a code, from a keyboard or a reader of bar codes. */
static bool begins_code(const struct model *m, char32_t c)
{
    bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '#' || c >= 0xC0;
    return letter && m->view.page == PAGE_BENCH && m->bench.state == BENCH_IDLE && m->has_screen;
}

/* The keys of a number pad, and their twins on a full keyboard. */
static struct move press_char(const struct model *m, char32_t c, struct moment now)
{
    struct move hand; /* of a practice */
    if (m->view.writing)
        return write_char(m, c);
    if (c >= '1' && c <= '9' && learn_key(m, (int)(c - '0'), &hand))
        return hand;
    if (c >= '1' && c <= '9')
        return move(ACT_CHOOSE, c - '0');
    switch (c) {
    case '0':
        return back(m);
    case '.':
    case ',': /* some number pads */
        return commits(m, true, now);
    case '+':
    case '=': /* + without shift */
    case '\t':
        return move(ACT_NEXT, 0);
    case '-':
        return move(ACT_BEFORE, 0);
    case '/':
        return move(ACT_PAGE, PAGE_FIND);
    case '*':
        return move(ACT_AGAIN, 0);
    case 'q':
        if (m->view.page == PAGE_MENU)
            return move(ACT_QUIT, 0);
        return begins_code(m, c) ? move(ACT_TYPE, c) : move(ACT_NONE, 0);
    default:
        return begins_code(m, c) ? move(ACT_TYPE, c) : move(ACT_NONE, 0);
    }
}

struct move keys_move(const struct model *m, struct press press, struct moment now)
{
    switch (press.kind) {
    case PRESS_CHAR:
        return press_char(m, press.c, now);
    case PRESS_ENTER:
        return commits(m, false, now);
    case PRESS_BACKSPACE:
        return move(ACT_RUB_OUT, 0);
    case PRESS_UP:
        return move(ACT_BEFORE, 0);
    case PRESS_DOWN:
        return move(ACT_NEXT, 0);
    case PRESS_ESCAPE:
        return back(m);
    case PRESS_QUIT:
        return move(ACT_QUIT, 0);
    }
    return move(ACT_NONE, 0);
}
