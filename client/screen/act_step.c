/* act_step.c - + and -: the next line, choice or count of the open page. It must not know what a line does. */
#include "client/screen/entry.h"
#include "client/screen/keys.h"

/* One on or one back among 0..last. */
static size_t stepped(size_t at, size_t last, bool next)
{
    if (next)
        return at < last ? at + 1 : last;
    return at > 0 ? at - 1 : 0;
}

/* True where + and - may stop: at a line that Enter could then commit. */
static bool can_choose(const struct model *m, int digit)
{
    return m->view.page == PAGE_BENCH ? menu_remedy_open(m, digit) : menu_commits(menu_line(m, digit));
}

/* The next choice in that direction; at the end the old one stays. */
static void step_choice(struct model *m, bool next)
{
    for (int digit = m->view.choice + (next ? 1 : -1); digit >= 1 && digit <= 9; digit += next ? 1 : -1)
        if (can_choose(m, digit)) {
            m->view.choice = digit;
            return;
        }
}

/* + and - on the bench: the batch of the day, the formula, the remedy, or the copies of the label. */
static void step_bench(struct model *m, bool next, struct moment now)
{
    struct view *v = &m->view;
    switch (m->bench.state) {
    case BENCH_IDLE:
        v->line = stepped(v->line, lists_batches(&m->lists), next);
        break;
    case BENCH_CUP:
    case BENCH_POUR:
        if (v->list_until_ms || !next)
            v->list_from = stepped(v->list_from, m->bench.n_steps, next);
        v->list_until_ms = now.ms + LIST_OPEN_MS;
        break;
    case BENCH_OVER:
        step_choice(m, next);
        break;
    case BENCH_DONE:
        v->copies = (int)stepped((size_t)v->copies - 1, 8, next) + 1;
        break;
    }
}

/* + and - on the pages beside it: one line on or back. The amount's lines go round, since the last is left often. */
void act_step(struct model *m, bool next, struct moment now)
{
    struct view *v = &m->view;
    size_t n = v->page == PAGE_FIND     ? lists_matches(&m->lists, v->text)
               : v->page == PAGE_TONER  ? lists_toners(&m->lists, v->text)
               : v->page == PAGE_PANELS ? json_array_size(json_object_get(m->lists.answer[LIST_PANELS], "panels"))
                                        : lists_record_lines(m->lists.answer[LIST_BATCH]);
    switch (v->page) {
    case PAGE_BENCH:
        step_bench(m, next, now);
        break;
    case PAGE_FIND:
    case PAGE_TONER:
    case PAGE_PANELS:
    case PAGE_RECORD:
        if (v->page == PAGE_FIND && v->writing) { /* into the list: the first match is open already */
            v->writing = n == 0;
            break;
        }
        v->line = n ? stepped(v->line, n - 1, next) : 0;
        if (v->page == PAGE_FIND)
            v->chosen[FORM_COAT] = v->chosen[FORM_VARIANT] = 0;
        break;
    case PAGE_AMOUNT:
    case PAGE_RETARE:
    case PAGE_ORDER_FORM:
    case PAGE_ORDER_HEAD:
    case PAGE_COAT_FORM:
    case PAGE_PANEL:
    case PAGE_CARD:
    case PAGE_PLACE:
        v->line = form_step(m, v->line, next);
        break;
    case PAGE_MENU:
    case PAGE_TIN:
    case PAGE_SCRAP:
    case PAGE_SCALE:
        step_choice(m, next);
        break;
    default: /* a list of the day; the others have one line */
        if (entry_is_page(v->page) && entry_count(m) > 0)
            v->line = stepped(v->line, entry_count(m) - 1, next);
        break;
    }
}
