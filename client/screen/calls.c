/* calls.c - the queue of calls, the params of each, and what the answers do to the model. It must not know how a call
 * is sent, nor make an act itself. */
#include "client/screen/calls.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

static const char *const read_methods[] = {
    [CALL_INFO] = "daemon.info",  [CALL_SCALES] = "scale.list",     [CALL_WATCH] = "watch",
    [CALL_TODAY] = "batch.find",  [CALL_FORMULAS] = "formula.list", [CALL_PRODUCTS] = "product.list",
    [CALL_TONERS] = "toner.list", [CALL_RECORD] = "batch.get",      [CALL_LABEL] = "batch.label",
};

/* Adds a call. A read that still waits is replaced by the newer one of its kind, since only the newest answer is
 * shown; a move never is. */
static void put(struct calls *q, enum call_kind kind, const char *method, json_t *params)
{
    struct call call = {.kind = kind, .params = params};
    snprintf(call.method, sizeof call.method, "%s", method);
    for (size_t i = 0; i < q->n && params && kind != CALL_MOVE; i++)
        if (q->call[i].kind == kind) { /* the newer question takes the older one's place */
            json_decref(q->call[i].params);
            q->call[i] = call;
            return;
        }
    if (q->n == CALLS_ROOM || !params)
        json_decref(params);
    else
        q->call[q->n++] = call;
}

bool calls_take(struct calls *q, struct call *call)
{
    if (q->n == 0)
        return false;
    *call = q->call[0];
    q->n--;
    memmove(&q->call[0], &q->call[1], q->n * sizeof q->call[0]);
    return true;
}

void calls_finish(struct calls *q)
{
    struct call call;
    while (calls_take(q, &call))
        json_decref(call.params);
}

/* The params of each read. What is read of a batch is read of the one that the screen shows now. */
void calls_read(struct calls *q, const struct model *m, enum call_kind kind)
{
    json_t *params = NULL;
    switch (kind) {
    case CALL_WATCH:
        params = json_pack("{s:s}", "station", m->station);
        break;
    case CALL_TODAY:
        params = json_pack("{s:i}", "limit", 50);
        break;
    case CALL_FORMULAS:
        params = json_pack("{s:s}", "text", m->view.text);
        break;
    case CALL_RECORD:
        params = json_pack("{s:s}", "batch", m->bench.batch);
        break;
    case CALL_LABEL:
        params = json_pack("{s:s, s:i}", "batch", m->bench.batch, "copies", 0);
        break;
    case CALL_INFO:
    case CALL_SCALES:
    case CALL_PRODUCTS:
    case CALL_TONERS:
        params = json_object();
        break;
    case CALL_MOVE:
        return;
    }
    put(q, kind, read_methods[kind], params);
}

/* A member that is left out where nothing was written: the daemon knows what that means. */
static void set_text(json_t *params, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(params, key, json_string(text));
}

/* What is to be begun: a formula's coat, a product, or a batch again. */
static void set_beginning(json_t *params, const struct view *v)
{
    double amount = 0;
    bool ml = v->fields[AMOUNT_ML][0] != '\0';
    if (v->repeat[0]) {
        set_text(params, "repeat", v->repeat);
        set_text(params, "as", "poured");
    } else if (v->wanted.product) {
        set_text(params, "product", v->wanted.code);
    } else {
        set_text(params, "formula", v->wanted.code);
        set_text(params, "coat", v->wanted.coat);
        set_text(params, "variant", v->wanted.variant);
    }
    if (footline_amount(v->fields[ml ? AMOUNT_ML : AMOUNT_GRAMS], &amount))
        json_object_set_new(params, ml ? "ml" : "grams", json_real(amount));
    set_text(params, "order", v->fields[AMOUNT_ORDER]);
    set_text(params, "painter", v->fields[AMOUNT_PAINTER]);
}

/* One member that a move asks for, from what is written or chosen. */
static void set_asked(json_t *params, const struct model *m, const char *name)
{
    const struct view *v = &m->view;
    const json_t *t = lists_toner(&m->lists, m->view.text, v->line);
    if (strcmp(name, "toner") == 0 || strcmp(name, "really") == 0)
        set_text(params, name, lists_id(t));
    else if (strcmp(name, "text") == 0)
        set_text(params, name, v->text);
    else if (strcmp(name, "why") == 0)
        set_text(params, name, menu_scrap(v->choice) ? model_word(m, menu_scrap(v->choice)) : "");
    else if (strcmp(name, "batch") == 0)
        set_text(params, name, v->line ? shown_text(lists_batch(&m->lists, v->line - 1), "batch") : "");
}

/* What a person adds to an act beside what it asks for: the lot of a tin, the copies of a label. */
static void set_wishes(json_t *params, const struct model *m, const char *method)
{
    json_int_t label = json_integer_value(json_object_get(params, "label"));
    if (strcmp(method, "batch.accept") == 0 && m->bench.state == BENCH_POUR)
        set_text(params, "lot", m->view.lot);
    if (strcmp(method, "batch.finish") == 0 && label > 0 && m->view.copies > 1)
        json_object_set_new(params, "label", json_integer(m->view.copies));
}

/* The act is copied as it was sent, with its revision: if the screen has moved on meanwhile the daemon refuses it,
 * and nothing is done twice or to another step. */
bool calls_move(struct calls *q, const struct model *m, uint32_t value, const char *request)
{
    const struct shown *b = &m->bench;
    const json_t *move = value >= CALL_MOVES ? json_array_get(b->moves, value - CALL_MOVES) : NULL;
    const json_t *asks = json_object_get(move, "asks");
    const json_t *act = move                   ? shown_object(move, "act")
                        : value == CALL_NEXT   ? b->next_act
                        : value == CALL_SECOND ? b->second_act
                                               : NULL;
    const char *method = json_string_value(json_object_get(act, "method"));
    json_t *params = json_deep_copy(json_object_get(act, "params"));
    if (!method || !json_is_object(params)) {
        json_decref(params);
        return false;
    }
    json_object_set_new(params, "request", json_string(request));
    for (size_t i = 0; i < json_array_size(asks); i++)
        if (json_is_string(json_array_get(asks, i)))
            set_asked(params, m, json_string_value(json_array_get(asks, i)));
    if (strcmp(method, "batch.begin") == 0)
        set_beginning(params, &m->view);
    set_wishes(params, m, method);
    put(q, CALL_MOVE, method, params);
    return true;
}

/* Reads are asked for by the new screen alone, so an idle bench costs the daemon nothing. */
void calls_after_screen(struct calls *q, const struct model *m)
{
    if (m->bench.state == BENCH_IDLE) {
        calls_read(q, m, CALL_TODAY);
    } else if (m->bench.state == BENCH_DONE) {
        calls_read(q, m, CALL_RECORD);
        calls_read(q, m, CALL_LABEL);
    }
}

/* ---- answers ---- */

/* By its code in the language of the page; an error of a code that this program does not know keeps the daemon's
 * English. What helps follows as a sentence of its own. */
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

/* How the shop writes numbers, what it pays in, and what it speaks. Read before the first page is drawn. */
static void learn_info(struct model *m, const json_t *result)
{
    m->style.point = strcmp(shown_text(result, "decimal"), "comma") == 0 ? ',' : '.';
    utf8_copy(m->currency, sizeof m->currency, shown_text(result, "currency"));
    model_language(m, json_string_value(json_object_get(json_object_get(result, "languages"), m->station)));
}

/* The interval of our own scale: figures are written to it. */
static void learn_scales(struct model *m)
{
    const json_t *scale;
    for (size_t i = 0; (scale = lists_scale(&m->lists, i)); i++)
        if (strcmp(shown_text(scale, "station"), m->station) == 0 && shown_number(scale, "d_g") > 0)
            m->style.d_g = shown_number(scale, "d_g");
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

/* Keeps the answer of a read where its page looks for it. */
static void read_answer(struct calls *q, struct model *m, enum call_kind kind, json_t *result, struct moment now)
{
    static const enum list_kind lists[] = {
        [CALL_SCALES] = LIST_SCALES,     [CALL_TODAY] = LIST_TODAY,   [CALL_FORMULAS] = LIST_FORMULAS,
        [CALL_PRODUCTS] = LIST_PRODUCTS, [CALL_TONERS] = LIST_TONERS, [CALL_RECORD] = LIST_RECORD,
        [CALL_LABEL] = LIST_LABEL};
    if (kind != CALL_INFO && kind != CALL_WATCH)
        lists_keep(&m->lists, lists[kind], result);
    lists_day(&m->lists, now.wall_s);
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

/* A move that was done brings the new screen and leads back to the bench, from wherever it was made. */
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

/* A list that cannot be read is left as it was; a refused move is said on the footnote line. */
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
