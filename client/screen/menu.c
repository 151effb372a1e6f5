/* menu.c - what the digits choose, from the daemon's moves. It must not know whether a move is allowed: that is told.
 */
#include "client/screen/footline.h"

#include "text/utf8.h"

#include <string.h>

/* Beyond the last where the move is none of the screen's; calls_move then refuses it. */
uint32_t menu_place(const struct model *m, const json_t *move)
{
    uint32_t i = 0;
    while (i < json_array_size(m->bench.moves) && json_array_get(m->bench.moves, i) != move)
        i++;
    return (uint32_t)CALL_MOVES + i;
}

/* A line that only turns a page: always there, always open. */
static struct menu_line turns(const struct model *m, const char *code, enum page page)
{
    struct menu_line line = {.there = true, .act = ACT_PAGE, .value = (uint32_t)page};
    utf8_copy(line.text, sizeof line.text, model_word(m, code));
    return line;
}

/* A line for a move. code: its words on the menu; NULL: the move's own. */
static struct menu_line moves(const struct model *m, const char *code, const json_t *move, enum act act, uint32_t value)
{
    struct menu_line line = {.there = move != NULL, .act = act, .move = move};
    if (!move)
        return line;
    line.value = act == ACT_CALL ? menu_place(m, move) : value;
    if (code)
        utf8_copy(line.text, sizeof line.text, model_word(m, code));
    else
        model_told(m, shown_object(move, "said"), line.text, sizeof line.text);
    if (!shown_is_open(move))
        model_told(m, shown_object(move, "why"), line.why, sizeof line.why);
    return line;
}

/* The places are fixed, so a digit means the same in every state: the hand learns it once. */
struct menu_line menu_line(const struct model *m, int digit)
{
    const struct shown *b = &m->bench;
    switch (digit) {
    case 1:
        return turns(m, "menu.bench", PAGE_BENCH);
    case 2:
        return moves(m, "menu.find", shown_move(b, "batch.begin", NULL, NULL), ACT_PAGE, PAGE_FIND);
    case 3:
        return moves(m, NULL, shown_move(b, "batch.undo", NULL, NULL), ACT_CALL, 0);
    case 4:
        return moves(m, NULL, shown_move(b, "batch.tint", NULL, NULL), ACT_ASK, FOR_TINT);
    case 5:
        return moves(m, NULL, shown_move(b, "batch.note", NULL, NULL), ACT_ASK, FOR_NOTE);
    case 6:
        return turns(m, "menu.scales", PAGE_SCALES);
    case 7:
        if (b->state != BENCH_POUR)
            return (struct menu_line){.there = false};
        return turns(m, "menu.tin", PAGE_TIN);
    case 8:
        return moves(m, NULL, shown_move(b, "batch.hold", NULL, NULL), ACT_CALL, 0);
    case 9:
        return moves(m, NULL, shown_move(b, "batch.scrap", NULL, NULL), ACT_PAGE, PAGE_SCRAP);
    default:
        return (struct menu_line){.there = false};
    }
}

/* What can be done about the tin in hand, most frequent first. */
struct menu_line menu_tin(const struct model *m, int digit)
{
    const struct shown *b = &m->bench;
    struct menu_line line = {.there = false};
    switch (digit) {
    case 1:
        line = turns(m, "menu.lot", PAGE_WRITE);
        line.act = ACT_ASK;
        line.value = FOR_LOT;
        break;
    case 2:
        line = moves(m, NULL, shown_move(b, "batch.accept", "really", NULL), ACT_ASK, FOR_REALLY);
        break;
    case 3:
        line = moves(m, NULL, shown_move(b, "batch.accept", "short", "less"), ACT_CALL, 0);
        break;
    case 4:
        line = moves(m, NULL, shown_move(b, "batch.accept", "short", NULL), ACT_CALL, 0);
        break;
    default:
        break;
    }
    return line;
}

static const struct {
    const char *choice, *name;
} remedies[MENU_REMEDIES] = {{"grow", "page.remedy_grow"},
                             {"dip", "page.remedy_dip"},
                             {"leave", "page.remedy_leave"},
                             {"again", "page.remedy_again"},
                             {"rescue", "page.remedy_rescue"}};

const char *menu_remedy_choice(int digit)
{
    return remedies[digit - 1].choice;
}

const char *menu_remedy_name(int digit)
{
    return remedies[digit - 1].name;
}

/* The last two are offered only where they are cheaper, so a shut one is left out instead of saying why. */
const json_t *menu_remedy(const struct model *m, int digit)
{
    if (digit < 1 || digit > MENU_REMEDIES)
        return NULL;
    const json_t *move = shown_move(&m->bench, "batch.remedy", "choice", menu_remedy_choice(digit));
    return move && !shown_is_open(move) && digit > 3 ? NULL : move;
}

bool menu_remedy_open(const struct model *m, int digit)
{
    const json_t *move = menu_remedy(m, digit);
    return move && shown_is_open(move);
}

/* The reason is kept with the batch in words, so the list is short and says what the books ask for. */
const char *menu_scrap(int digit)
{
    static const char *const reasons[] = {"page.scrap_wrong_colour", "page.scrap_dirt", "page.scrap_spilled",
                                          "page.scrap_not_needed"};
    return digit >= 1 && digit <= 4 ? reasons[digit - 1] : NULL;
}
