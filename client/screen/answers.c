/* answers.c - what the daemon's answers do to the model. */
#include "client/screen/calls.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

/* Ends of sentences are mended: the daemon's message is one line without a full stop. */
static void sentence(char *buf, size_t size, const char *a, const char *b)
{
    size_t n = strlen(a);
    bool stop = n > 0 && strchr(".!?", a[n - 1]) != NULL;
    snprintf(buf, size, "%s%s%s%s", a, n && !stop ? "." : "", b[0] && n ? " " : "", b);
}

void calls_error_text(const struct model *m, const json_t *error, char *buf, size_t size)
{
    const json_t *data = json_object_get(error, "data");
    long long code = json_integer_value(json_object_get(error, "code"));
    char message[BENCH_TEXT], help[BENCH_TEXT], why[BENCH_ID], number[48], text[BENCH_TEXT];
    bench_text(error, "message", message, sizeof message);
    bench_text(data, "help", help, sizeof help);
    bench_text(data, "why", why, sizeof why);
    double short_g = bench_number(data, "short_g");
    if (code == -32003) {
        snprintf(buf, size, "already moved on from another screen");
    } else if (code == -32007 && strcmp(why, "full") == 0) {
        snprintf(buf, size,
                 "The disk is full: the next accept cannot be written down. Pour on, do not change the cup.");
    } else if (code == -32004 && strcmp(why, "short") == 0 && isfinite(short_g)) {
        words_weight(&m->words, short_g, number, sizeof number);
        snprintf(text, sizeof text, "%s g short", number);
        sentence(buf, size, text, "Pour on, or . counts it short.");
    } else {
        sentence(buf, size, message[0] ? message : "refused", help);
    }
}

static void learn_info(struct model *m, const json_t *result)
{
    char text[BENCH_ID];
    bench_text(result, "decimal", text, sizeof text);
    if (text[0])
        m->words.point = strcmp(text, "comma") == 0 ? ',' : '.';
    bench_text(result, "currency", text, sizeof text);
    if (text[0])
        bench_copy(m->currency, sizeof m->currency, text);
}

static void learn_scales(struct model *m, const json_t *result)
{
    m->n_scales = lists_scales(m->scales, result);
    for (size_t i = 0; i < m->n_scales; i++) {
        if (strcmp(m->scales[i].station, m->station) != 0)
            continue;
        if (m->scales[i].d_g > 0)
            m->words.d_g = m->scales[i].d_g;
        m->capacity_g = m->scales[i].capacity_g;
    }
}

static void today_text(struct moment now, char *buf, size_t size)
{
    time_t wall = (time_t)now.wall_s; /* already the shop's own time: no zone is applied to it */
    struct tm day;
    buf[0] = '\0';
    if (gmtime_r(&wall, &day))
        strftime(buf, size, "%Y-%m-%d", &day);
}

static void read_answer(struct calls *q, struct model *m, enum call_kind kind, const json_t *result, struct moment now)
{
    char today[16];
    switch (kind) {
    case CALL_INFO:
        learn_info(m, result);
        break;
    case CALL_SCALES:
        learn_scales(m, result);
        break;
    case CALL_WATCH:
        model_screen(m, result, now);
        calls_after_screen(q, m, now);
        break;
    case CALL_TODAY:
        today_text(now, today, sizeof today);
        m->n_batches = lists_batches(m->batches, result, today);
        if (m->view.page == PAGE_BENCH && m->view.line > m->n_batches)
            m->view.line = 0;
        break;
    case CALL_FORMULAS: /* the products come after them */
        m->n_matches = m->n_formulas = lists_formulas(m->matches, 0, result);
        calls_read(q, m, CALL_PRODUCTS, now);
        break;
    case CALL_PRODUCTS:
        m->n_matches = lists_products(m->matches, m->n_formulas, result, m->view.text);
        if (m->view.line >= m->n_matches && m->view.page == PAGE_FIND)
            m->view.line = 0;
        break;
    case CALL_TONERS:
        m->n_toners = lists_toners(m->toners, result);
        break;
    case CALL_CUPS:
        m->n_cups = lists_cups(m->cups, result);
        break;
    case CALL_RECORD:
        lists_record(&m->record, result);
        break;
    case CALL_LABEL:
        lists_label(&m->label, result);
        break;
    case CALL_MOVE:
        break;
    }
}

static void move_answer(struct calls *q, struct model *m, enum act act, const json_t *result, struct moment now,
                        bool *finish)
{
    if (act == ACT_PRINT) {
        *finish = true;
        return;
    }
    if (m->view.page != PAGE_BENCH)
        model_open_page(m, PAGE_BENCH, now);
    m->view.choice = 0;
    m->foot[0] = '\0';
    if (!model_screen(m, result, now))
        return;
    if (act == ACT_NOTE)
        model_say(m, false, "the note is kept");
    calls_after_screen(q, m, now);
}

void calls_answer(struct calls *q, struct model *m, const struct call *call, const json_t *result, const json_t *error,
                  struct moment now, bool *finish)
{
    *finish = false;
    if (call->kind == CALL_MOVE)
        m->sent.waiting = false;
    if (!error) {
        if (call->kind == CALL_MOVE)
            move_answer(q, m, call->act, result, now, finish);
        else
            read_answer(q, m, call->kind, result, now);
        return;
    }
    if (call->kind == CALL_WATCH || call->kind == CALL_MOVE) { /* a list that cannot be read is left empty */
        char text[FOOT_ROOM];
        calls_error_text(m, error, text, sizeof text);
        model_say(m, true, text);
    }
}
