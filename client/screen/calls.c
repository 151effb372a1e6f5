/* calls.c - the queue of calls, the params of each, and what the answers do to the model. It must not know how a call
 * is sent, nor make an act itself. */
#include "client/screen/calls.h"

#include "client/screen/entry.h"
#include "client/screen/instead.h"
#include "client/screen/learn.h"
#include "client/screen/premix.h"
#include "client/screen/workoff_offer.h"
#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* What each read asks, and where its answer is kept; LIST_KINDS: nowhere. */
static const struct {
    const char *method;
    enum list_kind list;
} reads[] = {
    [CALL_INFO] = {"daemon.info", LIST_KINDS},
    [CALL_SCALES] = {"scale.list", LIST_SCALES},
    [CALL_WATCH] = {"watch", LIST_KINDS},
    [CALL_WAIT] = {"batch.wait", LIST_KINDS},
    [CALL_TODAY] = {"batch.find", LIST_TODAY},
    [CALL_FORMULAS] = {"formula.list", LIST_FORMULAS},
    [CALL_PRODUCTS] = {"product.list", LIST_PRODUCTS},
    [CALL_TONERS] = {"toner.list", LIST_TONERS},
    [CALL_RECORD] = {"batch.get", LIST_RECORD},
    [CALL_LABEL] = {"batch.label", LIST_LABEL},
    [CALL_HELD] = {"batch.find", LIST_HELD},
    [CALL_FOUND] = {"batch.find", LIST_FOUND},
    [CALL_BATCH] = {"batch.get", LIST_BATCH},
    [CALL_PLAN] = {"mix.plan", LIST_PLAN},
    [CALL_WORKOFF] = {"mix.workoff", LIST_WORKOFF},
    [CALL_INSTEAD] = {"toner.substitute", LIST_INSTEAD},
    [CALL_PANELS] = {"panel.list", LIST_PANELS},
    [CALL_CUPS] = {"cup.list", LIST_CUPS},
    [CALL_DRIFT] = {"scale.check", LIST_DRIFT},
    [CALL_SEEK] = {"scale.seek", LIST_SEEK},
    [CALL_SCAN] = {"scan", LIST_KINDS},
    [CALL_ORDERS] = {"order.list", LIST_ORDERS},
    [CALL_ORDER] = {"order.get", LIST_ORDER},
    [CALL_LAYERS] = {"mix.plan", LIST_LAYERS},
    [CALL_CARDS] = {"card.match", LIST_CARDS},
    [CALL_SHELF] = {"shelf.list", LIST_SHELF},
    [CALL_DUE] = {"shelf.list", LIST_DUE},
    [CALL_STOCK] = {"stock.list", LIST_STOCK},
    [CALL_PEOPLE] = {"people.list", LIST_PEOPLE},
    [CALL_SETTINGS] = {"settings.list", LIST_SETTINGS},
};
enum { WATCH_PAN_S = 20 }; /* an empty pan is watched so long */

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

/* In the order they were asked, so that an answer never comes before that of an older question of the page. */
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

/* Batches by what is written: a day as 2026-11-25 or 25.11.2026, else the words or the number as they stand. */
static json_t *found_by(const char *text)
{
    char date[FORM_DAY];
    if (!form_day(text, date))
        return json_pack("{s:s, s:i}", "text", text, "limit", 50);
    return json_pack("{s:s, s:s, s:i}", "from", date, "to", date, "limit", 50);
}

/* The params of the reads of the day's lists; NULL: this is another read. */
static json_t *day_params(const struct model *m, enum call_kind kind, const char **method)
{
    json_t *params = NULL;
    switch (kind) {
    case CALL_ORDERS:
    case CALL_SHELF:
        return json_pack("{s:i}", "limit", 50);
    case CALL_DUE:
    case CALL_STOCK:
        return json_pack("{s:b, s:i}", kind == CALL_DUE ? "due" : "reorder", 1, "limit", 50);
    case CALL_ORDER:
        return json_pack("{s:s}", "order", m->view.order);
    case CALL_LAYERS:
        return json_pack("{s:s, s:s}", "order", m->view.order, "station", m->station);
    case CALL_CARDS: /* of the open coat; else the shop's, newest first */
        params = json_object();
        if (m->view.coat) {
            form_set_text(params, "formula", member_text(entry_coat(m), "formula"));
            form_set_text(params, "coat", member_text(entry_coat(m), "coat"));
        } else {
            *method = "card.list";
        }
        return params;
    case CALL_WORKOFF:
        return workoff_asks(m);
    case CALL_INSTEAD:
        return instead_params(m);
    case CALL_PEOPLE:
    case CALL_SETTINGS:
        return json_object();
    default:
        return NULL;
    }
}

/* The params of each read. What is read of a batch is read of the one that the screen shows now; a plan is made for the
 * scale of this bench. */
void calls_read(struct calls *q, const struct model *m, enum call_kind kind)
{
    const char *method = reads[kind].method;
    json_t *params = day_params(m, kind, &method);
    switch (kind) {
    case CALL_WATCH:
    case CALL_WAIT:
        params = json_pack("{s:s}", "station", m->station);
        break;
    case CALL_TODAY:
        params = json_pack("{s:i}", "limit", 50);
        break;
    case CALL_HELD:
        params = json_pack("{s:s, s:i}", "state", "held", "limit", 50);
        break;
    case CALL_FORMULAS:
        params = json_pack("{s:s}", "text", m->view.page == PAGE_ORDER_FORM ? m->view.form[FORM_COLOUR] : m->view.text);
        break;
    case CALL_FOUND:
        params = found_by(m->view.text);
        break;
    case CALL_RECORD:
        params = json_pack("{s:s}", "batch", m->bench.batch);
        break;
    case CALL_BATCH:
        params = json_pack("{s:s, s:i}", "batch", m->view.batch, "events", 1);
        break;
    case CALL_LABEL:
        params = json_pack("{s:s, s:i}", "batch", m->bench.batch, "copies", 0);
        break;
    case CALL_PLAN:
        params = json_pack("{s:s}", "station", m->station);
        form_params(m, params);
        break;
    case CALL_PANELS:
        params = json_pack("{s:i}", "limit", PANELS_ROOM);
        break;
    case CALL_SCALES:
        params = json_pack("{s:b}", "ports", 1);
        break;
    case CALL_DRIFT:
        params = json_pack("{s:s, s:b, s:i}", "station", m->station, "drift", 1, "seconds", WATCH_PAN_S);
        break;
    case CALL_SEEK:
        params = json_pack("{s:s}", "port", member_text(lists_scale(&m->lists, m->view.scale), "port"));
        break;
    case CALL_SCAN:
        params = json_pack("{s:s, s:s}", "code", m->scan.code, "station", m->station);
        break;
    case CALL_INFO:
    case CALL_PRODUCTS:
    case CALL_CUPS:
    case CALL_TONERS:
        params = json_object();
        break;
    default: /* of the day's lists, or a move, which is no read */
        break;
    }
    if (params)
        put(q, kind, method, params);
}

/* One member that a move asks for, from what is written or chosen. */
static void set_asked(json_t *params, const struct model *m, const char *name)
{
    const struct view *v = &m->view;
    const json_t *t = lists_toner(&m->lists, m->view.text, v->line);
    if (strcmp(name, "toner") == 0 || strcmp(name, "really") == 0)
        form_set_text(params, name, lists_id(t));
    else if (strcmp(name, "text") == 0)
        form_set_text(params, name, v->text);
    else if (strcmp(name, "why") == 0)
        form_set_text(params, name, menu_scrap(v->choice) ? model_word(m, menu_scrap(v->choice)) : "");
    else if (strcmp(name, "batch") == 0)
        form_set_text(params, name,
                      v->page == PAGE_RECORD ? v->batch
                      : v->line              ? lists_id(lists_batch(&m->lists, v->line - 1))
                                             : "");
}

/* What a person adds to an act beside what it asks for: the lot of a tin, who looked, the copies of a label. */
static void set_wishes(json_t *params, const struct model *m, const char *method)
{
    json_int_t label = json_integer_value(json_object_get(params, "label"));
    if (strcmp(method, "batch.accept") == 0 && m->bench.state == BENCH_POUR)
        form_set_text(params, "lot", m->view.lot);
    if (strcmp(method, "batch.accept") == 0 && m->view.glance[0])
        form_set_text(params, "glance", m->view.glance);
    if (strcmp(method, "batch.finish") == 0 && label > 0 && m->view.copies > 1)
        json_object_set_new(params, "label", json_integer(m->view.copies));
}

/* An act of no batch at this bench. */
static json_t *own_params(const struct model *m, uint32_t value, const char **method)
{
    double grams = 0;
    *method = value == CALL_PRINT ? "batch.label" : "scale.check";
    if (value == CALL_PRINT)
        return json_pack("{s:s, s:i}", "batch", m->view.batch, "copies", 1);
    if (value == CALL_CHECK_TAKE)
        return json_pack("{s:s}", "station", m->station);
    if (value == CALL_CHECK_CANCEL)
        return json_pack("{s:s, s:b}", "station", m->station, "cancel", 1);
    form_above_0(m->view.text, &grams);
    return json_pack("{s:s, s:f, s:b}", "station", m->station, "grams", grams, "begin", 1);
}

/* The act is copied as it was sent, with its revision: if the screen has moved on meanwhile the daemon refuses it,
 * and nothing is done twice or to another step. */
bool calls_move(struct calls *q, const struct model *m, uint32_t value, const char *request)
{
    const struct shown *b = &m->bench;
    bool own = value >= CALL_PRINT && value < CALL_MOVES;
    const json_t *move = value >= CALL_MOVES ? json_array_get(b->moves, value - CALL_MOVES) : NULL;
    const json_t *asks = json_object_get(move, "asks");
    const json_t *act = move                   ? shown_object(move, "act")
                        : value == CALL_NEXT   ? b->next_act
                        : value == CALL_SECOND ? b->second_act
                                               : NULL;
    const char *method = json_string_value(json_object_get(act, "method"));
    json_t *params = value >= CALL_COAT && value < CALL_MOVES ? entry_params(m, value, &method)
                     : own                                    ? own_params(m, value, &method)
                                                              : json_deep_copy(json_object_get(act, "params"));
    if (!method || !json_is_object(params)) {
        json_decref(params);
        return false;
    }
    json_object_set_new(params, "request", json_string(request));
    for (size_t i = 0; i < json_array_size(asks); i++)
        if (json_is_string(json_array_get(asks, i)))
            set_asked(params, m, json_string_value(json_array_get(asks, i)));
    bool begins = strcmp(method, "batch.begin") == 0 && value != CALL_PREMIX;
    if ((begins && value != CALL_COAT && value != CALL_USE_UP) || m->view.page == PAGE_RETARE)
        form_params(m, params);
    if (begins && m->view.coat_n && m->view.page == PAGE_AMOUNT &&
        strcmp(m->view.form[FORM_ORDER], m->view.order) == 0) /* else it was given to another order */
        json_object_set_new(params, "coat_n", json_integer((json_int_t)m->view.coat_n));
    set_wishes(params, m, method);
    put(q, CALL_MOVE, method, params);
    return true;
}

bool calls_act(struct calls *q, struct model *m, const json_t *act, const char *request, struct moment now)
{
    const char *method = json_string_value(json_object_get(act, "method"));
    json_t *params = json_deep_copy(json_object_get(act, "params"));
    if (!method || !json_is_object(params) || m->sent.waiting) {
        json_decref(params);
        return false;
    }
    json_object_set_new(params, "request", json_string(request));
    put(q, CALL_MOVE, method, params);
    m->sent.waiting = true;
    m->sent.since_ms = now.ms;
    return true;
}

/* Reads are asked for by the new screen alone, so an idle bench costs the daemon nothing. */
void calls_after_screen(struct calls *q, const struct model *m)
{
    if (m->home[0]) { /* the lists are the shop's, and a practice has no label */
        if (m->bench.state == BENCH_DONE)
            calls_read(q, m, CALL_RECORD);
    } else if (m->bench.state == BENCH_IDLE) {
        calls_read(q, m, CALL_ORDERS);
        calls_read(q, m, CALL_TODAY);
        calls_read(q, m, CALL_HELD);
    } else if (m->bench.state == BENCH_DONE) {
        calls_read(q, m, CALL_RECORD);
        calls_read(q, m, CALL_LABEL);
    }
}

/* One table, so that a page and what it shows cannot drift apart. An idle bench alone lists orders on the bench itself.
 */
void calls_after_page(struct calls *q, const struct model *m)
{
    static const struct {
        enum page page;
        enum call_kind kind;
    } shows[] = {{PAGE_SCALES, CALL_SCALES},       {PAGE_PANELS, CALL_PANELS},     {PAGE_TIN, CALL_INSTEAD},
                 {PAGE_BENCH, CALL_ORDERS},        {PAGE_ORDERS, CALL_ORDERS},     {PAGE_ORDER, CALL_ORDER},
                 {PAGE_ORDER_FORM, CALL_PRODUCTS}, {PAGE_ORDER_FORM, CALL_PANELS}, {PAGE_COAT_FORM, CALL_PANELS},
                 {PAGE_LAYERS, CALL_LAYERS},       {PAGE_CARDS, CALL_CARDS},       {PAGE_SHELF, CALL_SHELF},
                 {PAGE_CUP, CALL_BATCH},           {PAGE_CUP, CALL_ORDERS},        {PAGE_WEIGH, CALL_BATCH},
                 {PAGE_ROUND, CALL_DUE},           {PAGE_ROUND, CALL_STOCK},       {PAGE_PEOPLE, CALL_PEOPLE},
                 {PAGE_SETTINGS, CALL_SETTINGS}};
    for (size_t i = 0; i < sizeof shows / sizeof *shows; i++)
        if (shows[i].page == m->view.page &&
            (m->view.page != PAGE_BENCH || (m->bench.state == BENCH_IDLE && !m->home[0])))
            calls_read(q, m, shows[i].kind);
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
        utf8_copy(message, sizeof message, member_text(error, "message"));
        utf8_copy(help, sizeof help, member_text(data, "help"));
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
    m->style.point = strcmp(member_text(result, "decimal"), "comma") == 0 ? ',' : '.';
    utf8_copy(m->currency, sizeof m->currency, member_text(result, "currency"));
    model_language(
        m, json_string_value(json_object_get(json_object_get(result, "languages"), m->home[0] ? m->home : m->station)));
}

/* The interval of our own scale: figures are written to it. */
static void learn_scales(struct model *m)
{
    const json_t *scale;
    for (size_t i = 0; (scale = lists_scale(&m->lists, i)); i++)
        if (strcmp(member_text(scale, "station"), m->station) == 0 && member_number(scale, "d_g") > 0)
            m->style.d_g = member_number(scale, "d_g");
}

/* The open line of a list that has become shorter. */
static void keep_line(struct model *m, enum call_kind kind)
{
    struct view *v = &m->view;
    bool today = kind == CALL_TODAY && v->page == PAGE_BENCH && v->line > lists_batches(&m->lists);
    if (kind == CALL_ORDERS && v->page == PAGE_BENCH && v->line == 0 && v->order[0]) { /* the job goes on */
        for (size_t i = 0; lists_waiting(&m->lists, i); i++)
            if (strcmp(member_text(lists_waiting(&m->lists, i), "order"), v->order) == 0)
                v->line = i + 1;
        v->order[0] = '\0';
    }
    if (kind == CALL_ORDER && v->page == PAGE_ORDER && v->line == 0) { /* its next coat is what it is opened for */
        const json_t *next = lists_next_coat(m->lists.answer[LIST_ORDER]);
        v->line = next ? (size_t)member_number(next, "n") - 1 : 0;
    }
    if (entry_is_page(v->page) && v->line >= entry_count(m))
        v->line = 0;
    bool found = kind == CALL_PRODUCTS && v->page == PAGE_FIND && v->line >= lists_matches(&m->lists, v->text);
    if (today || found)
        v->line = 0;
}

/* Keeps the answer of a read where its page looks for it. */
static void read_answer(struct calls *q, struct model *m, enum call_kind kind, json_t *result, struct moment now)
{
    if (reads[kind].list != LIST_KINDS)
        lists_keep(&m->lists, reads[kind].list, result);
    lists_day(&m->lists, now.wall_s);
    if (kind == CALL_INFO) {
        learn_info(m, result);
    } else if (kind == CALL_WATCH || kind == CALL_WAIT) {
        model_screen(m, result, now);
        calls_after_screen(q, m);
    } else if (kind == CALL_SCALES) {
        learn_scales(m);
    } else if (kind == CALL_FORMULAS) {
        calls_read(q, m, CALL_PRODUCTS); /* they come after them */
    }
    char text[FOOT_ROOM];
    if (kind == CALL_INSTEAD && m->view.page == PAGE_BENCH && instead_text(m, text, sizeof text)[0])
        model_say(m, false, text);
    bool cup = m->view.page == PAGE_CUP && (kind == CALL_ORDERS || kind == CALL_BATCH);
    if (cup)
        lists_keep(&m->lists, LIST_WORKOFF, NULL);
    if ((kind == CALL_PLAN && workoff_is_asked(m)) || cup)
        calls_read(q, m, CALL_WORKOFF);
    if (kind == CALL_PANELS && m->view.page == PAGE_COAT_FORM && !m->view.parts_changed)
        form_fill(m);
    keep_line(m, kind);
}

/* What was done at the bench brings its screen and leads back to it, from wherever it was made. A label and a reading
 * of a check weight bring none: the page stays, and what they say is told. */
static void move_answer(struct calls *q, struct model *m, const char *method, json_t *result, struct moment now)
{
    if (learn_answer(m, method, result, now))
        return;
    if (entry_answer(m, method, result, now)) {
        calls_after_page(q, m);
        return;
    }
    char finished[NAME_ROOM] = "";
    if (strcmp(method, "batch.finish") == 0) { /* its order's next coat is then the open line */
        utf8_copy(m->view.order, sizeof m->view.order, m->bench.order);
        utf8_copy(finished, sizeof finished, m->bench.batch);
    }
    if (strcmp(method, "batch.begin") == 0)
        premix_begun(m, result);
    bool check = strcmp(method, "scale.check") == 0;
    bool running = check && strcmp(member_text(result, "next"), "none") != 0;
    if (check)
        lists_keep(&m->lists, LIST_CHECK, result);
    if (strcmp(method, "batch.label") == 0)
        model_say(m, false, model_word(m, "page.printed"));
    else if (m->view.page != (running ? PAGE_CHECK : PAGE_BENCH))
        model_open_page(m, running ? PAGE_CHECK : PAGE_BENCH, now);
    m->view.choice = 0;
    m->wrong = NULL;
    if (check || strcmp(method, "batch.label") == 0)
        return;
    m->foot[0] = '\0';
    if (!model_screen(m, result, now))
        return;
    if (strcmp(method, "batch.note") == 0)
        model_say(m, false, model_word(m, "page.note_kept"));
    calls_after_screen(q, m);
    if (instead_is_asked(m))
        calls_read(q, m, CALL_INSTEAD);
    if (!premix_leads_back(m, finished))
        return;
    model_open_page(m, PAGE_AMOUNT, now);
    m->view.line = FORM_GRAMS;
    calls_read(q, m, CALL_SHELF);
    calls_read(q, m, CALL_PLAN);
}

/* A read that is refused: its page says why; the lists that every page needs stay as they were. */
static void read_refused(struct model *m, enum call_kind kind, const char *text)
{
    bool told =
        kind == CALL_BATCH || kind == CALL_LAYERS || kind == CALL_PLAN || kind == CALL_DRIFT || kind == CALL_SEEK;
    json_t *refused = told ? json_pack("{s:s}", "refused", text) : NULL;
    if (told || kind == CALL_FOUND || kind == CALL_WORKOFF || kind == CALL_INSTEAD)
        lists_keep(&m->lists, reads[kind].list, refused);
    json_decref(refused);
}

/* A refused move is shown on the footnote line. */
void calls_answer(struct calls *q, struct model *m, const struct call *call, json_t *result, const json_t *error,
                  struct moment now)
{
    char text[FOOT_ROOM];
    if (call->kind == CALL_MOVE) {
        m->sent.waiting = false;
        m->foot[0] = '\0'; /* what was refused meanwhile */
    }
    if (error)
        calls_error_text(m, error, text, sizeof text);
    if (!error && call->kind == CALL_MOVE)
        move_answer(q, m, call->method, result, now);
    else if (!error)
        read_answer(q, m, call->kind, result, now);
    else if ((call->kind == CALL_WATCH || call->kind == CALL_MOVE) && !learn_refused(m, error, now))
        model_say(m, true, text);
    else
        read_refused(m, call->kind, text);
}
