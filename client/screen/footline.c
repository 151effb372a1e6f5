/* footline.c - the foot line of the bench: the daemon's next move, unless a digit chose another one. It must not know
 * how a line looks, and decides no move itself. */
#include "client/screen/footline.h"

#include "client/screen/menu.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* An open line of the idle page: a batch that waits goes on, one that is finished is mixed again. */
static void idle_line(const struct model *m, struct footline *f, const json_t *batch)
{
    char text[sizeof f->text];
    const json_t *resume = shown_move(&m->bench, "batch.resume", NULL, NULL);
    const char *id = shown_text(batch, "batch");
    if (!lists_waits(batch)) {
        footline_key(f, ACT_AMOUNT, 0, model_text(m, say("footline.mix_again batch=%s", id), text, sizeof text));
    } else if (resume && shown_is_open(resume)) {
        struct said s = say("footline.resume batch=%s formula=%s coat=%s", id, shown_text(batch, "formula"),
                            shown_text(batch, "coat"));
        footline_key(f, ACT_CALL, menu_place(m, resume), model_text(m, s, text, sizeof text));
    } else {
        footline_refuse(f, FOOTLINE_HAND,
                        resume ? model_told(m, shown_object(resume, "why"), text, sizeof text)
                               : model_word(m, "page.not_now"));
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
        footline_key(f, ACT_CALL, CALL_NEXT, text);
    else if (line && b->next != NEXT_WAIT)
        idle_line(m, f, line);
    else if (idle && b->next == NEXT_CHOOSE)
        footline_key(f, ACT_PAGE, PAGE_FIND, text);
    else
        footline_refuse(f,
                        b->next == NEXT_CHOOSE ? FOOTLINE_DIGIT
                        : b->next == NEXT_WAIT ? FOOTLINE_WAIT
                                               : FOOTLINE_HAND,
                        text);
    if (b->second_act)
        footline_second(f, ACT_CALL, CALL_SECOND, model_told(m, b->second_said, text, sizeof text));
    else if (idle && f->enter != ACT_PAGE)
        footline_second(f, ACT_PAGE, PAGE_FIND, model_word(m, "footline.find"));
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

static void footline_bench(const struct model *m, struct moment now, struct footline *f)
{
    const json_t *remedy = m->bench.state == BENCH_OVER ? menu_remedy(m, m->view.choice) : NULL;
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
