/* store_methods.c - store.backup, store.verify, store.mend: a copy of all that was acknowledged, whether it is whole,
 * and rows that no longer say what the journal says. All work on the lane for what reads the whole file; pours go on.
 * It must not know what an event says.
 */
#include "rpc/methods/methods.h"

#include "bench/row_check.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Names the last event and its hash: kept elsewhere, they show later that no tail was cut off. */
static void copied(void *arg, const struct fault *fault, int64_t seq, const char *head)
{
    struct rpc_call *call = arg;
    if (fault)
        rpc_fail(call, fault);
    else
        rpc_answer(call, json_pack("{s:I, s:s}", "events", (json_int_t)seq, "head", head));
}

/* The file is a whole path: the daemon stands in another folder than whoever asks. */
void method_store_backup(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    const char *file = json_string_value(json_object_get(params, "file"));
    if (!store_backup(d->store, file, copied, call, &fault))
        rpc_fail(call, &fault);
}

/* ---- store.verify, store.mend ---- */

/* The chain, then the rows beside it. */
struct rows_asked {
    struct inquiry inquiry;
    struct rows_checked rows;
    int64_t seq;
    char head[65];
};

static void run_rows(struct inquiry *inquiry, struct store *view)
{
    struct rows_asked *a = (struct rows_asked *)(void *)inquiry;
    rows_check(view, &inquiry->task, &a->rows);
    if (!a->rows.read)
        inquiry_unread(inquiry, view);
}

static json_t *answer_of(const struct rows_asked *a)
{
    return json_pack("{s:b, s:I, s:s, s:n, s:I, s:I, s:s?}", "whole", 1, "events", (json_int_t)a->seq, "head", a->head,
                     "bad", "batches", (json_int_t)a->rows.batches, "wrong", (json_int_t)a->rows.wrong, "wrong_batch",
                     a->rows.wrong ? a->rows.first[0] : NULL);
}

static void end_rows(struct inquiry *inquiry)
{
    const struct rows_asked *a = (const struct rows_asked *)(const void *)inquiry;
    if (a->rows.read)
        rpc_answer(inquiry->call, answer_of(a));
    else
        rpc_fail(inquiry->call, &inquiry->fault);
}

/* A chain that is not whole is an answer, not a refusal: the shop asked for it. */
static void checked(void *arg, bool whole, int64_t bad_seq, int64_t seq, const char *head)
{
    struct rows_asked *a = arg;
    if (whole) {
        a->seq = seq;
        memcpy(a->head, head, sizeof a->head);
        a->inquiry.finish = end_rows;
        inquiry_start(&a->inquiry, STORE_WHOLE, run_rows);
        return;
    }
    if (bad_seq < 0) {
        fault_said(&a->inquiry.fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        inquiry_refuse(&a->inquiry, &a->inquiry.fault);
        return;
    }
    json_t *bad = bad_seq == 0 ? json_null() : json_integer((json_int_t)bad_seq);
    rpc_answer(a->inquiry.call, json_pack("{s:b, s:I, s:s, s:o, s:n, s:n, s:n}", "whole", 0, "events", (json_int_t)seq,
                                          "head", head, "bad", bad, "batches", "wrong", "wrong_batch"));
    inquiry_refuse(&a->inquiry, NULL);
}

/* Every event is hashed anew, and every batch folded, so a journal of years takes its time. */
void method_store_verify(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct fault fault = {0};
    struct rows_asked *a = inquiry_new(d, call, params, sizeof *a);
    if (!a || store_check(d->store, checked, a))
        return;
    fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    inquiry_refuse(&a->inquiry, &fault);
}

/* The wrong rows on their way, one at a time: each is folded on the loop. */
struct mending {
    struct store *store;
    struct rpc_call *call;
    struct rows_checked rows;
    int64_t next, mended;
    char *request; /* owned; NULL: none */
    char answer[96];
};

static void end_mending(struct mending *m)
{
    rpc_answer_text(m->call, m->answer);
    free(m->request);
    free(m);
}

/* What was mended is right by now, whether the answer could be kept or not. */
static void on_kept(void *arg, const struct store_outcome *outcome)
{
    (void)outcome;
    end_mending(arg);
}

static void on_mended(void *arg, const struct store_outcome *outcome);

/* A batch whose journal does not fold has no row to be written: it is passed over. */
static void mend_next(struct mending *m)
{
    int64_t named = m->rows.wrong < ROWS_NAMED ? m->rows.wrong : ROWS_NAMED;
    while (m->next < named)
        if (row_mend(m->store, m->rows.first[m->next++], on_mended, m))
            return;
    snprintf(m->answer, sizeof m->answer, "{\"batches\":%lld,\"wrong\":%lld,\"mended\":%lld}",
             (long long)m->rows.batches, (long long)m->rows.wrong, (long long)m->mended);
    struct store_write write = {.request = m->request, .method = rpc_method_name(m->call), .answer = m->answer};
    if (m->request)
        store_submit(m->store, &write, on_kept, m);
    else
        end_mending(m);
}

static void on_mended(void *arg, const struct store_outcome *outcome)
{
    struct mending *m = arg;
    if (outcome->result == STORE_DONE) {
        m->mended++;
        mend_next(m);
        return;
    }
    rpc_not_written(m->call, outcome);
    free(m->request);
    free(m);
}

static void begin_mending(struct inquiry *inquiry)
{
    const struct rows_asked *a = (const struct rows_asked *)(const void *)inquiry;
    const char *request = json_string_value(json_object_get(inquiry->params, "request"));
    struct mending *m = a->rows.read ? calloc(1, sizeof *m) : NULL;
    if (m && request && !(m->request = strdup(request))) {
        free(m);
        m = NULL;
    }
    if (!m) { /* without a fault of the reading it is memory */
        rpc_fail(inquiry->call, &inquiry->fault);
        return;
    }
    m->store = inquiry->task.store;
    m->call = inquiry->call;
    m->rows = a->rows;
    mend_next(m);
}

/* The journal is right and stays as it is; at most ROWS_NAMED rows a call. */
void method_store_mend(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct rows_asked *a;
    if (rpc_answered_before(call) || !(a = inquiry_new(d, call, params, sizeof *a)))
        return;
    a->inquiry.finish = begin_mending;
    inquiry_start(&a->inquiry, STORE_WHOLE, run_rows);
}
