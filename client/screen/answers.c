/* answers.c - what the daemon's answers do to the model. It must not know a page. */
#include "client/screen/calls.h"
#include "text/timestamp.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

void calls_error_text(const struct model *m, const json_t *error, char *buf, size_t size)
{
    const json_t *data = json_object_get(error, "data");
    char message[SHOWN_TEXT], help[SHOWN_TEXT];
    struct said s;
    if (said_read(&s, data) && words_find(s.code)) {
        said_text(&s, m->language, &m->style, message, sizeof message);
        said_part(&s, "help", m->language, &m->style, help, sizeof help);
    } else {
        utf8_copy(message, sizeof message, shown_text(error, "message"));
        utf8_copy(help, sizeof help, shown_text(data, "help"));
    }
    size_t n = strlen(message);
    if (message[0] >= 'a' && message[0] <= 'z')
        message[0] = (char)(message[0] - 'a' + 'A');
    bool stop = n > 0 && strchr(".!?", message[n - 1]) != NULL;
    snprintf(buf, size, "%s%s%s%s", n ? message : model_word(m, "page.refused"), stop ? "" : ".", help[0] ? " " : "",
             help);
}

static void learn_info(struct model *m, const json_t *result)
{
    m->style.point = strcmp(shown_text(result, "decimal"), "comma") == 0 ? ',' : '.';
    utf8_copy(m->currency, sizeof m->currency, shown_text(result, "currency"));
    model_language(m, json_string_value(json_object_get(json_object_get(result, "languages"), m->station)));
}

static void learn_scales(struct model *m)
{
    const json_t *scale;
    for (size_t i = 0; (scale = lists_scale(&m->lists, i)); i++)
        if (strcmp(shown_text(scale, "station"), m->station) == 0 && shown_number(scale, "d_g") > 0)
            m->style.d_g = shown_number(scale, "d_g");
}

static void today_text(struct moment now, char *buf, size_t size)
{
    time_t wall = (time_t)now.wall_s; /* already the shop's own time: no zone is applied to it */
    struct tm day;
    buf[0] = '\0';
    if (gmtime_r(&wall, &day))
        strftime(buf, size, "%Y-%m-%d", &day);
}

/* The open line of a list that has become shorter. */
static void keep_line(struct model *m, enum call_kind kind)
{
    struct view *v = &m->view;
    bool today = kind == CALL_TODAY && v->page == PAGE_BENCH && v->line > lists_batches(&m->lists);
    bool found = kind == CALL_PRODUCTS && v->page == PAGE_FIND && v->line >= lists_matches(&m->lists, v->text);
    if (today || found)
        v->line = 0;
}

static void read_answer(struct calls *q, struct model *m, enum call_kind kind, json_t *result, struct moment now)
{
    static const enum list_kind lists[] = {
        [CALL_SCALES] = LIST_SCALES,     [CALL_TODAY] = LIST_TODAY,   [CALL_FORMULAS] = LIST_FORMULAS,
        [CALL_PRODUCTS] = LIST_PRODUCTS, [CALL_TONERS] = LIST_TONERS, [CALL_RECORD] = LIST_RECORD,
        [CALL_LABEL] = LIST_LABEL};
    if (kind != CALL_INFO && kind != CALL_WATCH)
        lists_keep(&m->lists, lists[kind], result);
    today_text(now, m->lists.today, sizeof m->lists.today);
    if (kind == CALL_INFO) {
        learn_info(m, result);
    } else if (kind == CALL_WATCH) {
        model_screen(m, result, now);
        calls_after_screen(q, m);
    } else if (kind == CALL_SCALES) {
        learn_scales(m);
    } else if (kind == CALL_FORMULAS) {
        calls_read(q, m, CALL_PRODUCTS); /* they come after them */
    }
    keep_line(m, kind);
}

static void move_answer(struct calls *q, struct model *m, const char *method, json_t *result, struct moment now)
{
    if (m->view.page != PAGE_BENCH)
        model_open_page(m, PAGE_BENCH, now);
    m->view.choice = 0;
    m->foot[0] = '\0';
    if (!model_screen(m, result, now))
        return;
    if (strcmp(method, "batch.note") == 0)
        model_say(m, false, model_word(m, "page.note_kept"));
    calls_after_screen(q, m);
}

void calls_answer(struct calls *q, struct model *m, const struct call *call, json_t *result, const json_t *error,
                  struct moment now)
{
    char text[FOOT_ROOM];
    if (call->kind == CALL_MOVE)
        m->sent.waiting = false;
    if (!error && call->kind == CALL_MOVE) {
        move_answer(q, m, call->method, result, now);
    } else if (!error) {
        read_answer(q, m, call->kind, result, now);
    } else if (call->kind == CALL_WATCH || call->kind == CALL_MOVE) { /* a list that cannot be read is left empty */
        calls_error_text(m, error, text, sizeof text);
        model_say(m, true, text);
    }
}
