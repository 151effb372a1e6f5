/* keys.c - from a key to what it asks for. It must not change the model. */
#include "client/screen/keys.h"

static struct move move(enum act act, uint32_t value)
{
    return (struct move){act, value};
}

/* Enter commits what the foot line says. On a page that has just come nobody has read that yet; while a move is
 * unanswered a second one would be a double tap. */
static struct move enter(const struct model *m, struct moment now)
{
    struct footline f;
    if (m->sent.waiting)
        return move(ACT_NONE, 0);
    if (now.ms - m->view.changed_ms < ENTER_QUIET_MS)
        return move(ACT_EARLY, 0);
    footline_of(m, now, &f);
    return move(f.enter, f.enter_value);
}

/* 0 and Escape: the menu from the bench, the bench from everywhere else. */
static struct move back(const struct model *m)
{
    return move(ACT_PAGE, m->view.page == PAGE_BENCH ? PAGE_MENU : PAGE_BENCH);
}

/* The lines of the page `how much` that take a number: there + and - are lines, not signs. */
static bool amount_digits(const struct model *m)
{
    return m->view.page == PAGE_AMOUNT && (m->view.line == AMOUNT_GRAMS || m->view.line == AMOUNT_ML);
}

/* A character into the open field; a control character never gets into a name or a note. */
static struct move write_char(const struct model *m, char32_t c)
{
    if (amount_digits(m)) {
        if (c == '+')
            return move(ACT_NEXT, 0);
        if (c == '-')
            return move(ACT_BEFORE, 0);
        if ((c < '0' || c > '9') && c != '.' && c != ',')
            return move(ACT_NONE, 0);
    }
    return c < 0x20 || c == 0x7F ? move(ACT_NONE, 0) : move(ACT_WRITE, c);
}

/* The keys of a number pad, and their twins on a full keyboard. */
static struct move press_char(const struct model *m, char32_t c, struct moment now)
{
    struct footline f;
    if (m->view.writing)
        return write_char(m, c);
    if (c >= '1' && c <= '9')
        return move(ACT_CHOOSE, c - '0');
    switch (c) {
    case '0':
        return back(m);
    case '.':
    case ',': /* some number pads */
        footline_of(m, now, &f);
        return move(m->sent.waiting ? ACT_NONE : f.dot, f.dot_value);
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
        return move(m->view.page == PAGE_MENU ? ACT_QUIT : ACT_NONE, 0);
    default:
        return move(ACT_NONE, 0);
    }
}

struct move keys_move(const struct model *m, struct press press, struct moment now)
{
    switch (press.kind) {
    case PRESS_CHAR:
        return press_char(m, press.c, now);
    case PRESS_ENTER:
        return enter(m, now);
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
