#include "client/screen/calls.h"

#include <string.h>

static const char *const read_methods[] = {
    [CALL_INFO] = "daemon.info",
    [CALL_SCALES] = "scale.list",
    [CALL_WATCH] = "watch",
    [CALL_TODAY] = "batch.find",
    [CALL_FORMULAS] = "formula.list",
    [CALL_PRODUCTS] = "product.list",
    [CALL_TONERS] = "toner.list",
    [CALL_CUPS] = "cup.list",
    [CALL_RECORD] = "batch.get",
    [CALL_LABEL] = "batch.label",
    [CALL_MOVE] = NULL,
};

static void put(struct calls *q, struct call call)
{
    for (size_t i = 0; i < q->n && call.params && call.kind != CALL_MOVE; i++)
        if (q->call[i].kind == call.kind) { /* the newer question takes the older one's place */
            json_decref(q->call[i].params);
            q->call[i] = call;
            return;
        }
    if (q->n == CALLS_ROOM || !call.params)
        json_decref(call.params);
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

void calls_read(struct calls *q, const struct model *m, enum call_kind kind, struct moment now)
{
    json_t *params = NULL;
    (void)now;
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
    case CALL_CUPS:
        params = json_object();
        break;
    case CALL_MOVE:
        return;
    }
    put(q, (struct call){kind, ACT_NONE, read_methods[kind], params});
}

static void set_text(json_t *params, const char *key, const char *text)
{
    if (text[0])
        json_object_set_new(params, key, json_string(text));
}

/* What is to be begun: a formula's coat, a product, or a batch again. */
static void begin_params(json_t *params, const struct view *v)
{
    double amount = 0;
    bool ml = v->line == AMOUNT_ML;
    if (v->repeat[0]) {
        set_text(params, "repeat", v->repeat);
        set_text(params, "as", "poured");
    } else if (v->wanted.product) {
        set_text(params, "product", v->wanted.code);
    } else {
        set_text(params, "formula", v->wanted.code);
        set_text(params, "coat", v->wanted.n_coats ? v->wanted.coats[0] : "");
        set_text(params, "variant", v->wanted.n_variants ? v->wanted.variants[0] : "");
    }
    if (words_amount(v->fields[ml ? AMOUNT_ML : AMOUNT_GRAMS], &amount))
        json_object_set_new(params, ml ? "ml" : "grams", json_real(amount));
    set_text(params, "order", v->fields[AMOUNT_ORDER]);
    set_text(params, "painter", v->fields[AMOUNT_PAINTER]);
}

static const char *move_method(enum act act)
{
    switch (act) {
    case ACT_ACCEPT:
    case ACT_TARED:
    case ACT_SHORT:
    case ACT_LESS:
    case ACT_REALLY:
        return "batch.accept";
    case ACT_REMEDY:
        return "batch.remedy";
    case ACT_RETARE:
        return "batch.retare";
    case ACT_PRINT:
        return "batch.label";
    case ACT_FINISH:
        return "batch.finish";
    case ACT_UNDO:
        return "batch.undo";
    case ACT_HOLD:
        return "batch.hold";
    case ACT_RESUME:
        return "batch.resume";
    case ACT_TINT:
        return "batch.tint";
    case ACT_NOTE:
        return "batch.note";
    case ACT_SCRAP:
        return "batch.scrap";
    case ACT_BEGIN:
        return "batch.begin";
    default:
        return NULL;
    }
}

static const char *chosen_toner(const struct model *m)
{
    const struct toner_line *t = sill_toner(m, m->view.line);
    return t ? t->toner : "";
}

/* The members of a move beside station, revision and request. */
static void move_params(json_t *params, const struct model *m, struct move move)
{
    static const char *const remedies[] = {"", "grow", "dip", "leave", "again"};
    const struct view *v = &m->view;
    switch (move.act) {
    case ACT_TARED:
        json_object_set_new(params, "tared", json_true());
        break;
    case ACT_SHORT:
        json_object_set_new(params, "short", json_true());
        break;
    case ACT_LESS:
        set_text(params, "short", "less");
        break;
    case ACT_REALLY:
        set_text(params, "really", chosen_toner(m));
        break;
    case ACT_REMEDY:
        set_text(params, "choice", move.value <= 4 ? remedies[move.value] : "");
        break;
    case ACT_TINT:
        set_text(params, "toner", chosen_toner(m));
        break;
    case ACT_NOTE:
        set_text(params, "text", v->text);
        break;
    case ACT_SCRAP:
        set_text(params, "why", sill_scrap(v->choice) ? sill_scrap(v->choice) : "");
        break;
    case ACT_RESUME:
        set_text(params, "batch", v->line >= 1 && v->line <= m->n_batches ? m->batches[v->line - 1].batch : "");
        break;
    case ACT_PRINT:
        set_text(params, "batch", m->bench.batch);
        json_object_set_new(params, "copies", json_integer(v->copies));
        break;
    case ACT_BEGIN:
        begin_params(params, v);
        break;
    default:
        break;
    }
    bool accept = move.act == ACT_ACCEPT || move.act == ACT_SHORT || move.act == ACT_LESS || move.act == ACT_REALLY;
    if (accept && m->bench.state == BENCH_POUR)
        set_text(params, "lot", v->lot);
}

bool calls_move(struct calls *q, const struct model *m, struct move move, const char *request)
{
    const char *method = move_method(move.act);
    if (!method)
        return false;
    json_t *params = json_pack("{s:s}", "request", request);
    if (params && move.act != ACT_PRINT) {
        set_text(params, "station", m->station);
        json_object_set_new(params, "revision", json_integer((json_int_t)m->bench.revision));
    }
    if (params)
        move_params(params, m, move);
    put(q, (struct call){CALL_MOVE, move.act, method, params});
    return true;
}

void calls_after_screen(struct calls *q, const struct model *m, struct moment now)
{
    if (m->bench.state == BENCH_IDLE) {
        calls_read(q, m, CALL_TODAY, now);
    } else if (m->bench.state == BENCH_DONE) {
        calls_read(q, m, CALL_RECORD, now);
        calls_read(q, m, CALL_LABEL, now);
    }
}
