/* menu.c - what the digits choose, from the daemon's moves. It must not know whether a move is allowed: that is told.
 */
#include "client/screen/calls.h"
#include "client/screen/learn.h"

#include "text/utf8.h"

#include <string.h>

/* Beyond the last where the move is not the screen's; calls_move then refuses it. */
uint32_t menu_place(const struct model *m, const json_t *move)
{
    uint32_t i = 0;
    while (i < json_array_size(m->bench.moves) && json_array_get(m->bench.moves, i) != move)
        i++;
    return (uint32_t)CALL_MOVES + i;
}

/* A line that is no move of the screen's. why: why it is shut; NULL: it is open. */
static struct menu_line plain(const struct model *m, const char *code, enum act act, uint32_t value, const char *why)
{
    struct menu_line line = {.there = true, .act = act, .value = value};
    utf8_copy(line.text, sizeof line.text, model_word(m, code));
    utf8_copy(line.why, sizeof line.why, why ? model_word(m, why) : "");
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

/* At the digit by which it was begun. */
static struct menu_line practice(const struct model *m, int digit)
{
    struct menu_line line = plain(m, "page.practice", ACT_CALL, CALL_LEARN_END, NULL);
    model_told(m, shown_object(json_object_get(learn_of(m), "end"), "said"), line.text, sizeof line.text);
    line.there = digit == 8;
    return line;
}

/* The shop's pages, at the same digits with and without a batch. */
static struct menu_line shop(const struct model *m, int digit)
{
    if (m->home[0] && digit > 2) /* what is done there stays: a practice has no door to it but its own end */
        return practice(m, digit);
    switch (digit) {
    case 1:
        return plain(m, "menu.bench", ACT_PAGE, PAGE_BENCH, NULL);
    case 2:
        return plain(m, "menu.find", ACT_PAGE, PAGE_FIND, NULL);
    case 3:
        return plain(m, "page.job", ACT_PAGE, PAGE_ORDERS, NULL);
    case 4:
        return plain(m, "page.shelf", ACT_PAGE, PAGE_SHELF, NULL);
    case 5:
        return plain(m, "page.people", ACT_PAGE, PAGE_PEOPLE, NULL);
    case 6:
        return plain(m, "menu.scales", ACT_PAGE, PAGE_SCALES, NULL);
    case 7:
        return plain(m, "page.settings", ACT_PAGE, PAGE_SETTINGS, NULL);
    case 8:
        return plain(m, "page.practice", ACT_PAGE, PAGE_PRACTICE,
                     m->bench.state == BENCH_IDLE ? NULL : "page.find_shut");
    default:
        return (struct menu_line){.there = false};
    }
}

/* The places are fixed, so a digit means the same in every state of a batch: the hand learns it once. An idle bench has
 * none of those acts, and the shop's pages stand in their place; with a batch they are behind `.`. */
static struct menu_line contents(const struct model *m, int digit)
{
    const struct shown *b = &m->bench;
    if (b->state == BENCH_IDLE)
        return shop(m, digit);
    switch (digit) {
    case 1:
        return plain(m, "menu.bench", ACT_PAGE, PAGE_BENCH, NULL);
    case 2:
        return plain(m, "menu.find", ACT_PAGE, PAGE_FIND, NULL);
    case 3:
        return moves(m, NULL, shown_move(b, "batch.undo", NULL, NULL), ACT_CALL, 0);
    case 4:
        return moves(m, NULL, shown_move(b, "batch.tint", NULL, NULL), ACT_ASK, FOR_TINT);
    case 5:
        return moves(m, NULL, shown_move(b, "batch.note", NULL, NULL), ACT_ASK, FOR_NOTE);
    case 6:
        return plain(m, "menu.scales", ACT_PAGE, PAGE_SCALES, NULL);
    case 7: /* of a mixed cup only the cup is left to speak of */
        if (b->state == BENCH_POUR)
            return plain(m, "menu.tin", ACT_PAGE, PAGE_TIN, NULL);
        return moves(m, "menu.retare", shown_move(b, "batch.retare", NULL, NULL), ACT_PAGE, PAGE_RETARE);
    case 8:
        return moves(m, NULL, shown_move(b, "batch.hold", NULL, NULL), ACT_CALL, 0);
    case 9:
        return moves(m, NULL, shown_move(b, "batch.scrap", NULL, NULL), ACT_PAGE, PAGE_SCRAP);
    default:
        return (struct menu_line){.there = false};
    }
}

/* What can be done about the tin in hand and its cup, most frequent first. */
static struct menu_line tin(const struct model *m, int digit)
{
    const struct shown *b = &m->bench;
    switch (digit) {
    case 1:
        return plain(m, "menu.lot", ACT_ASK, FOR_LOT, NULL);
    case 2:
        return moves(m, NULL, shown_move(b, "batch.accept", "really", NULL), ACT_ASK, FOR_REALLY);
    case 3:
        return moves(m, NULL, shown_move(b, "batch.accept", "short", "less"), ACT_CALL, 0);
    case 4:
        return moves(m, NULL, shown_move(b, "batch.accept", "short", NULL), ACT_CALL, 0);
    case 5:
        return moves(m, "menu.retare", shown_move(b, "batch.retare", NULL, NULL), ACT_PAGE, PAGE_RETARE);
    case 6: { /* before an accept of another kind: wrong tin, empty tin */
        struct menu_line line = plain(m, "page.who_looked", ACT_ASK, FOR_GLANCE, NULL);
        line.there = shown_move(b, "batch.accept", "glance", NULL) != NULL;
        return line;
    }
    default:
        return (struct menu_line){.there = false};
    }
}

/* What can be done with a batch days later. An activated cup is no leftover; a ratio mix has no formula that stands. */
static struct menu_line record(const struct model *m, int digit)
{
    const json_t *batch = m->lists.answer[LIST_BATCH];
    const json_t *begin = shown_move(&m->bench, "batch.begin", NULL, NULL);
    const char *state = member_text(batch, "state"), *why = begin && shown_is_open(begin) ? NULL : "page.find_shut";
    bool held = strcmp(state, "held") == 0, closed = state[0] && strcmp(state, "open") != 0;
    bool ratio = strcmp(member_text(batch, "product"), member_text(batch, "formula")) == 0;
    struct menu_line line = {.there = false};
    switch (digit) {
    case 1:
        if (!held)
            return line;
        line = moves(m, NULL, shown_move(&m->bench, "batch.resume", NULL, NULL), ACT_CALL, 0);
        if (!line.there) /* a batch is open here */
            line = plain(m, "page.resume", ACT_NONE, 0, "page.find_shut");
        break;
    case 2:
        line = plain(m, "page.print_again", ACT_CALL, CALL_PRINT, NULL);
        line.there = state[0] != '\0';
        break;
    case 3:
        line = plain(m, "page.repeat_poured", ACT_AMOUNT, AMOUNT_OF_POURED, why);
        line.there = closed;
        break;
    case 4:
        line = plain(m, "page.repeat_corrected", ACT_AMOUNT, AMOUNT_OF_CORRECTED, why);
        line.there = closed && !ratio;
        break;
    case 5:
        line = plain(m, "page.cup_acts", ACT_PAGE, PAGE_CUP, NULL);
        line.there = strcmp(state, "finished") == 0 && !m->home[0]; /* it would be weighed on a scale that is none */
        break;
    case 6:
    case 7:
        line = digit == 6 ? plain(m, "page.keep_variant", ACT_CALL, CALL_KEEP, NULL)
                          : plain(m, "page.keep_variant_as", ACT_ASK, FOR_VARIANT, NULL);
        line.there = closed && json_array_size(json_object_get(batch, "tinted")) > 0 && !m->home[0];
        break;
    default:
        break;
    }
    return line;
}

/* A check weight and an empty pan are watched at their own bench; a port can be listened to from everywhere. */
static struct menu_line scale(const struct model *m, int digit)
{
    const char *station = member_text(lists_scale(&m->lists, m->view.scale), "station");
    const char *why = strcmp(station, m->station) == 0 ? NULL : "page.at_its_own_bench";
    struct menu_line line = {.there = false};
    if (digit == 1)
        line = plain(m, "page.check_weight", ACT_ASK, FOR_CHECK, why);
    if (digit == 2)
        line = plain(m, "page.watch_pan", ACT_READ, CALL_DRIFT, why);
    if (digit <= 2)
        line.there = station[0] != '\0';
    if (digit == 3) {
        line = plain(m, "page.check_weight", ACT_READ, CALL_SEEK, NULL);
        model_text(m, say("page.seek port=%s", member_text(lists_scale(&m->lists, m->view.scale), "port")), line.text,
                   sizeof line.text);
    }
    return line;
}

/* The reason is kept with the batch in words, so the list is short and says what the books ask for. */
const char *menu_scrap(int digit)
{
    static const char *const reasons[] = {"page.scrap_wrong_colour", "page.scrap_dirt", "page.scrap_spilled",
                                          "page.scrap_not_needed"};
    return digit >= 1 && digit <= 4 ? reasons[digit - 1] : NULL;
}

/* All reasons belong to one act, so they are open or shut together. */
static struct menu_line scrap(const struct model *m, int digit)
{
    const char *why = menu_scrap(digit);
    return moves(m, why, why ? shown_move(&m->bench, "batch.scrap", NULL, NULL) : NULL, ACT_CALL, 0);
}

/* Each page of digits has a function of its own above; a page that is none has no lines. */
struct menu_line menu_line(const struct model *m, int digit)
{
    switch (m->view.page) {
    case PAGE_MENU:
        return contents(m, digit);
    case PAGE_SHOP:
        return shop(m, digit);
    case PAGE_TIN:
        return tin(m, digit);
    case PAGE_RECORD:
        return record(m, digit);
    case PAGE_SCALE:
        return scale(m, digit);
    case PAGE_SCRAP:
        return scrap(m, digit);
    default:
        return (struct menu_line){.there = false};
    }
}

/* What only turns a page is undone by one key; what speaks to the daemon is not, and waits for Enter. */
bool menu_commits(struct menu_line line)
{
    return line.there && !line.why[0] && (line.act == ACT_CALL || line.act == ACT_READ);
}

static const struct {
    const char *choice, *name;
} remedies[MENU_REMEDIES] = {{"grow", "page.remedy_grow"},
                             {"dip", "page.remedy_dip"},
                             {"leave", "page.remedy_leave"},
                             {"again", "page.remedy_again"},
                             {"rescue", "page.remedy_rescue"}};

/* As the protocol calls it. */
const char *menu_remedy_choice(int digit)
{
    return remedies[digit - 1].choice;
}

/* As a painter reads it. */
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
