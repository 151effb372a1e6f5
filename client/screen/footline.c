/* footline.c - the foot line: on the bench the daemon's next move, unless a digit chose another one; on the pages
 * beside it what is being written or chosen there. It must not know how a line looks, and decides no move itself. */
#include "client/screen/footline.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* ---- the ways a foot line is filled ---- */

/* What the hand must do (or wait for): Enter is refused with the same words. */
static void hand_does(struct footline *f, enum footline_kind kind, const char *text)
{
    f->kind = kind;
    f->enter = ACT_REFUSED;
    f->enter_value = 0;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What Enter does, and how that is said: the two are set together, so no key does what is not printed. */
static void enter_does(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->kind = FOOTLINE_KEY;
    f->enter = act;
    f->enter_value = value;
    utf8_copy(f->text, sizeof f->text, text);
}

/* What `.` does. */
static void dot_does(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->dot = act;
    f->dot_value = value;
    utf8_copy(f->second, sizeof f->second, text);
}

/* `.` does nothing, and nothing is printed for it. */
static void nothing_by_dot(struct footline *f)
{
    dot_does(f, ACT_NONE, 0, "");
}

/* One of the daemon's moves: Enter makes it, by these words or (NULL) by its own; where it is shut, why. move NULL:
 * this state does not have it. */
static void move_does(const struct model *m, struct footline *f, const json_t *move, const char *words)
{
    char text[sizeof f->text];
    if (move && shown_is_open(move))
        enter_does(f, ACT_CALL, menu_place(m, move),
                   words ? words : model_told(m, shown_object(move, "said"), text, sizeof text));
    else
        hand_does(f, FOOTLINE_HAND,
                  move ? model_told(m, shown_object(move, "why"), text, sizeof text) : model_word(m, "page.not_now"));
}

/* ---- the pages beside the bench ---- */

/* While a field is written Enter leads into the list; in the list it asks how much. A single match needs no digit. */
static void find_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    char text[sizeof f->text];
    size_t n = lists_matches(&m->lists, v->text);
    const json_t *match = lists_match(&m->lists, v->text, v->line);
    const char *coat = lists_coats(match) ? lists_coat(match, v->coat) : lists_id(match);
    if (v->writing && n == 0)
        hand_does(f, FOOTLINE_HAND, model_word(m, v->text[0] ? "footline.none_found" : "footline.type_code"));
    else if (v->writing)
        enter_does(f, ACT_END_WRITING, 0, model_word(m, n == 1 ? "footline.use_this" : "footline.pick_below"));
    else if (!match)
        enter_does(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    else
        enter_does(f, ACT_AMOUNT, 0, model_text(m, say("footline.how_much coat=%s", coat), text, sizeof text));
    if (!v->writing && lists_variants(match, v->coat) > 1)
        dot_does(f, ACT_VARIANT, 0, model_word(m, "footline.variant"));
}

/* Either sign is a decimal sign, whatever the shop's setting: a number pad has only one of them. Read by hand, since
 * strtod follows the locale. Twelve digits are more than any scale and less than a double loses. */
bool footline_amount(const char *text, double *value)
{
    double number = 0, place = 0;
    size_t digits = 0;
    for (; *text; text++) {
        if (*text >= '0' && *text <= '9') {
            number = place > 0 ? number + (*text - '0') * place : number * 10 + (*text - '0');
            place /= 10;
            if (++digits > 12)
                return false;
        } else if ((*text == '.' || *text == ',') && place == 0) {
            place = 0.1;
        } else {
            return false;
        }
    }
    *value = number;
    return digits > 0 && number > 0 && number <= 1e6;
}

/* Enter goes on to the next line until there is an amount, and begins from the amount's own lines: order and painter
 * may stay empty. Grams and millilitres both written is a slip, never a choice of ours. */
static void amount_line(const struct model *m, struct footline *f)
{
    const struct view *v = &m->view;
    const char *grams = v->fields[AMOUNT_GRAMS], *ml = v->fields[AMOUNT_ML], *amount = ml[0] ? ml : grams;
    double value;
    char text[sizeof f->text];
    if (grams[0] && ml[0]) {
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.one_amount"));
        return;
    }
    if (v->line == AMOUNT_ORDER && v->fields[v->line][0] == '\0' && !footline_amount(amount, &value)) {
        enter_does(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
        return;
    }
    if (!footline_amount(amount, &value)) {
        hand_does(f, FOOTLINE_HAND, model_word(m, amount[0] ? "footline.no_amount" : "footline.type_amount"));
        return;
    }
    if (v->line == AMOUNT_ORDER || v->line == AMOUNT_PAINTER) {
        enter_does(f, ACT_NEXT, 0, model_word(m, "footline.next_line"));
        return;
    }
    const char *coat = v->wanted.coat;
    struct said s = v->repeat[0] && ml[0] ? say("footline.begin_again_ml batch=%s amount=%s", v->repeat, amount)
                    : v->repeat[0]        ? say("footline.begin_again_g batch=%s amount=%s", v->repeat, amount)
                    : ml[0] ? say("footline.begin_ml formula=%s coat=%s amount=%s", v->wanted.code, coat, amount)
                            : say("footline.begin_g formula=%s coat=%s amount=%s", v->wanted.code, coat, amount);
    move_does(m, f, shown_move(&m->bench, "batch.begin", NULL, NULL), model_text(m, s, text, sizeof text));
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
        hand_does(f, FOOTLINE_HAND, model_word(m, "footline.none_found"));
    } else if (v->writing && n > 1) {
        enter_does(f, ACT_END_WRITING, 0, model_word(m, "footline.pick_below"));
    } else if (!t) {
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "footline.pick_below"));
    } else {
        struct said s = v->purpose == FOR_TINT ? say("footline.add_by_eye toner=%s", lists_id(t))
                                               : say("footline.count_as toner=%s", lists_id(t));
        move_does(m, f, move, model_text(m, s, text, sizeof text));
    }
}

/* The chosen line of a menu; before that, that a digit is awaited. */
static void menu_choice(const struct model *m, struct footline *f, bool tin)
{
    struct menu_line line = tin ? menu_tin(m, m->view.choice) : menu_line(m, m->view.choice);
    if (line.there && line.move && line.act == ACT_CALL)
        move_does(m, f, line.move, NULL);
    else
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "footline.press_digit"));
}

/* The reason stands behind the move: what Enter commits is read whole. */
static void scrap_line(const struct model *m, struct footline *f)
{
    const char *why = menu_scrap(m->view.choice);
    const json_t *scrap = shown_move(&m->bench, "batch.scrap", NULL, NULL);
    if (why && scrap) {
        move_does(m, f, scrap, NULL);
        size_t used = strlen(f->text);
        if (shown_is_open(scrap))
            snprintf(f->text + used, sizeof f->text - used, " (%s)", model_word(m, why));
    } else {
        hand_does(f, FOOTLINE_DIGIT, model_word(m, "footline.press_why"));
    }
}

/* An empty field leads back; so a page opened by mistake needs no other key. */
static void write_line(const struct model *m, struct footline *f)
{
    char text[sizeof f->text];
    const json_t *note = shown_move(&m->bench, "batch.note", NULL, NULL);
    if (m->view.text[0] == '\0')
        enter_does(f, ACT_PAGE, PAGE_BENCH, model_word(m, "footline.go_back"));
    else if (m->view.purpose == FOR_LOT)
        enter_does(f, ACT_LOT, 0, model_text(m, say("footline.keep_lot lot=%s", m->view.text), text, sizeof text));
    else
        move_does(m, f, note, NULL);
}

/* Each page has one line here; the bench's is bench_line. */
static void beside_line(const struct model *m, struct footline *f)
{
    switch (m->view.page) {
    case PAGE_BENCH:
        break; /* bench_line */
    case PAGE_MENU:
    case PAGE_TIN:
        menu_choice(m, f, m->view.page == PAGE_TIN);
        break;
    case PAGE_FIND:
        find_line(m, f);
        break;
    case PAGE_AMOUNT:
        amount_line(m, f);
        break;
    case PAGE_TONER:
        toner_line(m, f);
        break;
    case PAGE_WRITE:
        write_line(m, f);
        break;
    case PAGE_SCRAP:
        scrap_line(m, f);
        break;
    case PAGE_SCALES:
        enter_does(f, ACT_LOOK, 0, model_word(m, "footline.look_again"));
        break;
    }
}

/* ---- the bench ---- */

/* An open line of the idle page: a batch that waits goes on, one that is finished is mixed again. */
static void idle_line(const struct model *m, struct footline *f, const json_t *batch)
{
    char text[sizeof f->text];
    const json_t *resume = shown_move(&m->bench, "batch.resume", NULL, NULL);
    const char *id = shown_text(batch, "batch");
    if (!lists_waits(batch)) {
        enter_does(f, ACT_AMOUNT, 0, model_text(m, say("footline.mix_again batch=%s", id), text, sizeof text));
    } else {
        struct said s = say("footline.resume batch=%s formula=%s coat=%s", id, shown_text(batch, "formula"),
                            shown_text(batch, "coat"));
        move_does(m, f, resume, model_text(m, s, text, sizeof text));
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
    if (b->next == NEXT_KEY && b->next_act)
        enter_does(f, ACT_CALL, CALL_NEXT, text);
    else if (line && b->next != NEXT_WAIT)
        idle_line(m, f, line);
    else if (idle && b->next == NEXT_CHOOSE)
        enter_does(f, ACT_PAGE, PAGE_FIND, text);
    else
        hand_does(f,
                  b->next == NEXT_CHOOSE ? FOOTLINE_DIGIT
                  : b->next == NEXT_WAIT ? FOOTLINE_WAIT
                                         : FOOTLINE_HAND,
                  text);
    if (b->second_act)
        dot_does(f, ACT_CALL, CALL_SECOND, model_told(m, b->second_said, text, sizeof text));
    else if (idle && f->enter != ACT_PAGE)
        dot_does(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    if (b->next_in_s > 0) {
        size_t used = strlen(f->text);
        snprintf(f->text + used, sizeof f->text - used, " (%.0f s)", b->next_in_s);
    }
}

/* A weight that is not live is none to act on, until the daemon itself has said what ails it. */
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
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.wait"));
    else if (unseen(m, now))
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.wait_weight"));
    else if (remedy)
        move_does(m, f, remedy, NULL);
    else
        next_move(m, f);
}

/* The page's own line, then what goes before all pages: a lost link, and a move that still waits for its answer. A
 * move answered at once does not make the line flicker. */
void footline_of(const struct model *m, struct moment now, struct footline *f)
{
    memset(f, 0, sizeof *f);
    bool bench = m->view.page == PAGE_BENCH;
    utf8_copy(f->zero, sizeof f->zero,
              model_word(m, m->view.writing ? "key.escape_back"
                            : bench         ? "key.menu"
                                            : "key.back"));
    if (bench)
        bench_line(m, now, f);
    else
        beside_line(m, f);
    if (!m->linked && (bench || f->enter == ACT_CALL)) {
        hand_does(f, FOOTLINE_WAIT, model_word(m, "footline.lost"));
        nothing_by_dot(f);
    }
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
