/* footline.c - the foot line of the bench: the daemon's next move, unless a digit chose another one. It must not know
 * how a line looks, and decides no move itself. */
#include "client/screen/footline.h"

#include "client/screen/menu.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void footline_refuse(struct footline *f, enum footline_kind kind, const char *text)
{
    f->kind = kind;
    f->enter = ACT_REFUSED;
    f->enter_value = 0;
    utf8_copy(f->text, sizeof f->text, text);
}

void footline_key(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->kind = FOOTLINE_KEY;
    f->enter = act;
    f->enter_value = value;
    utf8_copy(f->text, sizeof f->text, text);
}

void footline_second(struct footline *f, enum act act, uint32_t value, const char *text)
{
    f->dot = act;
    f->dot_value = value;
    utf8_copy(f->second, sizeof f->second, text);
}

void footline_move(const struct model *m, struct footline *f, const struct shown_move *move)
{
    char text[sizeof f->text];
    if (move->open)
        footline_key(f, ACT_CALL, menu_place(m, move), model_told(m, &move->said, text, sizeof text));
    else
        footline_refuse(f, FOOTLINE_HAND, model_told(m, &move->why, text, sizeof text));
}

/* An open line of the idle page: a batch that waits goes on, one that is finished is mixed again. */
static void idle_line(const struct model *m, struct footline *f, const struct batch_line *b)
{
    char text[sizeof f->text];
    const struct shown_move *resume = shown_move(&m->bench, "batch.resume", NULL, NULL);
    if (!batch_waits(b)) {
        struct said s = say("footline.mix_again batch=%s", b->batch);
        footline_key(f, ACT_AMOUNT, 0, model_text(m, s, text, sizeof text));
    } else if (resume && resume->open) {
        struct said s = say("footline.resume batch=%s formula=%s coat=%s", b->batch, b->formula, b->coat);
        footline_key(f, ACT_CALL, menu_place(m, resume), model_text(m, s, text, sizeof text));
    } else {
        footline_refuse(f, FOOTLINE_HAND,
                        resume ? model_told(m, &resume->why, text, sizeof text) : model_word(m, "page.not_now"));
    }
}

/* The daemon's own words. In idle its choice is which colour, which the page of colours asks for. */
static void next_move(const struct model *m, struct footline *f)
{
    const struct shown_next *n = &m->bench.next;
    char text[sizeof f->text];
    bool idle = m->bench.state == BENCH_IDLE;
    size_t line = m->view.line;
    model_told(m, &n->said, text, sizeof text);
    if (n->kind == NEXT_KEY && n->act)
        footline_key(f, ACT_CALL, CALL_NEXT, text);
    else if (idle && n->kind != NEXT_WAIT && line >= 1 && line <= m->n_batches)
        idle_line(m, f, &m->batches[line - 1]);
    else if (idle && n->kind == NEXT_CHOOSE)
        footline_key(f, ACT_PAGE, PAGE_FIND, text);
    else
        footline_refuse(f,
                        n->kind == NEXT_CHOOSE ? FOOTLINE_DIGIT
                        : n->kind == NEXT_WAIT ? FOOTLINE_WAIT
                                               : FOOTLINE_HAND,
                        text);
    if (n->second_act)
        footline_second(f, ACT_CALL, CALL_SECOND, model_told(m, &n->second, text, sizeof text));
    else if (idle && f->enter != ACT_PAGE)
        footline_second(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
    if (n->in_s > 0) {
        size_t used = strlen(f->text);
        snprintf(f->text + used, sizeof f->text - used, " (%.0f s)", n->in_s);
    }
}

/* A weight that is not live is none to act on, until the daemon itself has said what ails it. */
static bool unseen(const struct model *m, struct moment now)
{
    bool weighs = m->bench.state == BENCH_CUP || m->bench.state == BENCH_POUR;
    return weighs && m->bench.next.kind == NEXT_KEY && model_life(m, now) != LIFE_LIVE;
}

static void footline_bench(const struct model *m, struct moment now, struct footline *f)
{
    const struct shown_move *remedy = m->bench.state == BENCH_OVER ? menu_remedy(m, m->view.choice) : NULL;
    if (!m->has_screen)
        footline_refuse(f, FOOTLINE_WAIT, model_word(m, "footline.wait"));
    else if (unseen(m, now))
        footline_refuse(f, FOOTLINE_WAIT, model_word(m, "footline.wait_weight"));
    else if (remedy)
        footline_move(m, f, remedy);
    else
        next_move(m, f);
}

void footline_of(const struct model *m, struct moment now, struct footline *f)
{
    memset(f, 0, sizeof *f);
    bool bench = m->view.page == PAGE_BENCH;
    utf8_copy(f->zero, sizeof f->zero,
              model_word(m, m->view.writing ? "key.escape_back"
                            : bench         ? "key.menu"
                                            : "key.back"));
    if (bench)
        footline_bench(m, now, f);
    else
        footline_page(m, f);
    if (!m->linked && (bench || f->enter == ACT_CALL)) {
        footline_refuse(f, FOOTLINE_WAIT, model_word(m, "footline.lost"));
        f->dot = ACT_NONE;
        f->dot_value = 0;
        f->second[0] = '\0';
    }
    if (m->sent.waiting) {
        f->enter = f->dot = ACT_NONE;
        f->enter_value = f->dot_value = 0;
        f->second[0] = '\0';
        if (now.ms - m->sent.since_ms >= SENT_SHOWN_MS) {
            f->kind = FOOTLINE_SENT;
            utf8_copy(f->text, sizeof f->text, model_word(m, "footline.sent"));
        }
    }
}
