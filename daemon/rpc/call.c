/* call.c - a call until it is answered, alone or in a batch. It must not know any method or transport. */
#include "rpc/call.h"

#include "daemon.h"
#include "log.h"
#include "store/store.h"
#include "text/json_write.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* As the contract writes numbers: 15 digits are all that a double holds for certain. */
#define DUMP (JSON_COMPACT | JSON_ENCODE_ANY | JSON_REAL_PRECISION(15))

/* Answers of a JSON-RPC batch are kept until the last has come, since they go out as one list. */
struct rpc_batch {
    size_t count, answered;
    bool lost;       /* there was no memory for one of them */
    char *answers[]; /* in the order of the calls; NULL for a notification */
};

/* One call. It is on its caller's list until it is answered or the caller has gone. */
struct rpc_call {
    struct rpc_caller *caller; /* NULL: gone */
    struct rpc_call *prev, *next;
    char client[16 + RIGHTS_USER]; /* its own copy: the call may outlive who made it */
    const struct rpc_method *method;
    const struct rpc_method *table; /* that the method is a row of */
    json_t *id;                     /* NULL: notification */
    char *request;                  /* of a method that changes something; NULL: none given */
    struct rpc_batch *batch;
    size_t place;
};

/* A caller that has gone already gets a call all the same: what it sent before is done. */
struct rpc_call *rpc_call_new(struct rpc_caller *caller, json_t *id, struct rpc_batch *batch, size_t place)
{
    struct rpc_call *call = calloc(1, sizeof *call);

    if (!call)
        return NULL;
    bool known = caller->user && caller->user[0];
    snprintf(call->client, sizeof call->client, "%s%s%s", caller->client, known ? ":" : "", known ? caller->user : "");
    call->id = json_incref(id);
    call->batch = batch;
    call->place = place;
    if (caller->gone)
        return call;
    call->caller = caller;
    call->next = caller->first;
    if (call->next)
        call->next->prev = call;
    caller->first = call;
    caller->open++;
    return call;
}

/* A request is looked at again only if the call is refused, so it is copied only where it may matter. */
void rpc_call_set_method(struct rpc_call *call, const struct rpc_method *table, const struct rpc_method *method,
                         const json_t *params)
{
    call->table = table;
    const char *request = json_string_value(json_object_get(params, "request"));

    call->method = method;
    if (method->needs > RIGHT_READ && request)
        call->request = strdup(request);
}

/* One piece of memory with a place for each answer. */
struct rpc_batch *rpc_batch_new(size_t count)
{
    struct rpc_batch *batch = calloc(1, sizeof *batch + count * sizeof batch->answers[0]);

    if (batch)
        batch->count = count;
    return batch;
}

#define NO_MEMORY                                                                                                      \
    "{\"code\":-32603,\"message\":\"no memory\",\"data\":{\"help\":\"Close other programs and try again.\"}}"

/* The text is ready in the program, as there is no memory to make one. Without an id nobody knows which call it was
 * for, so the connection ends with it. */
void rpc_lost(struct rpc_caller *caller)
{
    static const char text[] = "{\"jsonrpc\":\"2.0\",\"id\":null,\"error\":" NO_MEMORY "}\n";

    if (!caller || caller->gone)
        return;
    caller->send(caller, text, sizeof text - 1);
    if (caller->lost && !caller->gone)
        caller->lost(caller);
}

/* All answers of a batch as one line; NULL where there is none, or no memory: then the batch is lost. */
static char *joined(struct rpc_batch *batch, size_t *len)
{
    size_t room = 4, at = 0;
    char *text;

    for (size_t i = 0; i < batch->count; i++)
        room += batch->answers[i] ? strlen(batch->answers[i]) + 1 : 0;
    text = room > 4 ? malloc(room) : NULL;
    if (!text) {
        batch->lost = batch->lost || room > 4;
        return NULL;
    }
    for (size_t i = 0; i < batch->count; i++) {
        size_t n = batch->answers[i] ? strlen(batch->answers[i]) : 0;

        if (n == 0)
            continue;
        text[at] = at == 0 ? '[' : ',';
        memcpy(text + at + 1, batch->answers[i], n);
        at += n + 1;
    }
    text[at] = ']';
    text[at + 1] = '\n';
    *len = at + 2;
    return text;
}

/* The last answer of a batch sends them all. caller NULL: gone, or the call could not be made. */
static void batch_answered(struct rpc_batch *batch, struct rpc_caller *caller)
{
    char *text;
    size_t len = 0;

    if (++batch->answered < batch->count)
        return;
    text = batch->lost ? NULL : joined(batch, &len);
    if (batch->lost)
        rpc_lost(caller);
    else if (text && caller)
        caller->send(caller, text, len);
    free(text);
    for (size_t i = 0; i < batch->count; i++)
        free(batch->answers[i]);
    free(batch);
}

void rpc_batch_skip(struct rpc_batch *batch, struct rpc_caller *caller)
{
    batch->lost = true;
    batch_answered(batch, caller);
}

/* From its caller's list; a call of a caller that has gone is on none. */
static void unlink_call(struct rpc_call *call)
{
    if (call->prev)
        call->prev->next = call->next;
    else
        call->caller->first = call->next;
    if (call->next)
        call->next->prev = call->prev;
    call->caller->open--;
}

/* Sends (or keeps for its batch) one whole answer without newline, and ends the call. Takes the text; NULL where
 * somebody waits for one is no memory. */
static void finish(struct rpc_call *call, char *text)
{
    struct rpc_caller *caller = call->caller;
    bool lost = !text && caller && call->id;

    if (caller)
        unlink_call(call);
    if (call->batch) {
        call->batch->lost = call->batch->lost || lost;
        call->batch->answers[call->place] = text;
        batch_answered(call->batch, caller);
    } else {
        if (text && caller) {
            size_t len = strlen(text);

            text[len] = '\n'; /* whole() left room for it */
            if (caller->give) {
                caller->give(caller, text, len + 1);
                text = NULL;
            } else {
                caller->send(caller, text, len + 1);
            }
        }
        if (lost)
            rpc_lost(caller);
        free(text);
    }
    json_decref(call->id);
    free(call->request);
    free(call);
    if (caller && !caller->gone)
        caller->done(caller);
}

/* {"jsonrpc":"2.0","id":ID,"result": ; NULL: nobody wants it, or no memory. */
static char *head_of(const struct rpc_call *call, const char *what)
{
    static const char form[] = "{\"jsonrpc\":\"2.0\",\"id\":%s,\"%s\":";
    char *id = call->id && call->caller ? json_write(call->id, DUMP) : NULL;
    size_t size = id ? sizeof form + strlen(id) + strlen(what) : 0;
    char *head = id ? malloc(size) : NULL;

    if (head)
        snprintf(head, size, form, id, what);
    free(id);
    return head;
}

/* The head, BODY and a brace, with room for a newline in place of its NUL. In one piece of memory, since one that grows
 * took the loop 40 ms. */
static char *whole(const struct rpc_call *call, const char *what, const char *body)
{
    char *head = head_of(call, what);
    size_t before = head ? strlen(head) : 0, len = strlen(body);
    char *text = head ? malloc(before + len + 3) : NULL;

    if (text) {
        memcpy(text, head, before + 1);
        memcpy(text + before, body, len + 1);
        text[before + len] = '}';
        text[before + len + 1] = '\0';
    }
    free(head);
    return text;
}

char *rpc_answer_head(const struct rpc_call *call)
{
    return head_of(call, "result");
}

void rpc_answer_line(struct rpc_call *call, char *text)
{
    finish(call, text);
}

/* For an answer that is text already: off a helper thread, or out of the journal. */
void rpc_answer_text(struct rpc_call *call, const char *json)
{
    finish(call, whole(call, "result", json));
}

/* For rpc_answer_text, once the caller has time; NULL: no memory. */
char *rpc_answer_form(const json_t *result)
{
    return result ? json_write(result, DUMP) : NULL;
}

/* NULL is a defect or no memory; the client is told, and the log names the method. Of what was done already no refusal
 * is true: where its answer is not in the store the call is lost, and the client asks again. */
void rpc_answer(struct rpc_call *call, json_t *result)
{
    bool lost = json_lost();
    char *body = rpc_answer_form(result);
    struct fault fault = {0};

    json_decref(result);
    if (!body) {
        if (lost)
            fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        else
            fault_said(&fault, FAULT_INTERNAL, NULL, NULL, "no_answer");
        log_warnx("%s: no answer could be made", rpc_method_name(call));
        if (!lost || !call->method || call->method->needs == RIGHT_READ)
            rpc_fail(call, &fault);
        else if (!rpc_answered_before(call))
            finish(call, NULL);
        return;
    }
    rpc_answer_text(call, body);
    free(body);
}

/* What could not be made for want of memory says nothing by itself: its fault is still empty. The error object itself
 * may find none either: then one that is made beforehand. */
static void fail(struct rpc_call *call, const struct fault *fault)
{
    struct fault no_memory;
    if (fault->kind == FAULT_NONE) {
        fault_said(&no_memory, FAULT_INTERNAL, NULL, NULL, "no_memory");
        fault = &no_memory;
    }
    json_t *error = rpc_fault_json(fault);
    char *body = error ? json_write(error, DUMP) : NULL;

    json_decref(error);
    finish(call, whole(call, "error", body ? body : NO_MEMORY));
    free(body);
}

/* A station's answer follows from its journal. The call forgets its request: should that fail, it is told once. */
static bool answer_again(struct rpc_call *call, const char *answer)
{
    struct daemon *d = call->caller ? call->caller->daemon : NULL;
    char request[65];

    if (strcmp(answer, STORE_AGAIN) != 0 || !d || !d->again || !call->request ||
        strlen(call->request) >= sizeof request)
        return false;
    memcpy(request, call->request, strlen(call->request) + 1);
    free(call->request);
    call->request = NULL;
    d->again(d, call, request);
    return true;
}

/* The first answer to the same request of the same method. */
static void answer_first(struct rpc_call *call, const char *answer)
{
    if (!answer_again(call, answer))
        rpc_answer_text(call, strcmp(answer, STORE_AGAIN) == 0 ? "null" : answer);
}

/* A look-up that fails counts as not answered: the write that follows meets the same store and tells. */
bool rpc_answered_before(struct rpc_call *call)
{
    struct daemon *d = call->caller ? call->caller->daemon : NULL;
    char *method = NULL, *answer;
    struct fault fault = {0};

    if (!call->request || !d || !d->store)
        return false;
    if (store_answer(d->store, call->request, &answer, &method) != STORE_FOUND)
        return false;
    if (method && strcmp(method, rpc_method_name(call)) == 0) {
        answer_first(call, answer);
    } else {
        fault_said(&fault, FAULT_PARAMS, "request", "used", "request_used method=%s", method ? method : "");
        fail(call, &fault);
    }
    free(answer);
    free(method);
    return true;
}

/* Looked up only where a call is about to be refused: any other is caught by the store itself when it is written. A
 * print that failed was noted before it was tried, so what stands in the store is not what became of it. */
void rpc_fail(struct rpc_call *call, const struct fault *fault)
{
    if (fault->kind == FAULT_NOT_PERMITTED || fault->kind == FAULT_PRINT || !rpc_answered_before(call))
        fail(call, fault);
}

/* For the journal's column `client`. */
const char *rpc_client(const struct rpc_call *call)
{
    return call->client;
}

/* A call whose client has gone is still done; only its answer is dropped. */
bool rpc_is_gone(const struct rpc_call *call)
{
    return !call->caller;
}

/* "" before the method is known. */
const char *rpc_method_name(const struct rpc_call *call)
{
    return call->method ? call->method->name : "";
}

/* A transport without notes of its own ignores it. */
void rpc_watch(struct rpc_call *call, const char *station)
{
    if (call->caller && call->caller->watch)
        call->caller->watch(call->caller, station);
}

/* Calls that are open live on and answer nobody. */
void rpc_caller_gone(struct rpc_caller *caller)
{
    caller->gone = true;
    for (struct rpc_call *call = caller->first; call; call = call->next)
        call->caller = NULL;
    caller->first = NULL;
    caller->open = 0;
}

/* ---- what a call is told when its write was not done ---- */

/* The same request of another method is a slip of the client: told, never done. */
static void used(struct rpc_call *call, const struct store_outcome *outcome)
{
    struct fault fault = {0};

    if (outcome->answer && outcome->method && strcmp(outcome->method, rpc_method_name(call)) == 0) {
        answer_first(call, outcome->answer);
        return;
    }
    fault_said(&fault, FAULT_PARAMS, "request", "used", "request_used method=%s",
               outcome->method ? outcome->method : "");
    rpc_fail(call, &fault);
}

/* Each says what to do: `send the same request again` is always safe. */
void rpc_not_written(struct rpc_call *call, const struct store_outcome *outcome)
{
    struct fault fault = {0};

    switch (outcome->result) {
    case STORE_REPEATED:
        used(call, outcome);
        return;
    case STORE_FULL:
        fault_said(&fault, FAULT_STORE, NULL, "full", "store_full");
        break;
    case STORE_READONLY:
        fault_said(&fault, FAULT_STORE, NULL, "readonly", "store_readonly");
        break;
    case STORE_REFUSED:
        fault_said(&fault, FAULT_STORE, NULL, "io", "store_refused");
        break;
    case STORE_DONE: /* the caller answers that itself */
    case STORE_DEAD:
        fault_said(&fault, FAULT_STORE, NULL, "io", "store_dead");
        break;
    }
    rpc_fail(call, &fault);
}

/* ---- a fault as the error object of an answer ---- */

/* A fault's texts are cut to fit, perhaps within a letter: drop the bytes of it that are left. */
static json_t *text(const char *text)
{
    size_t len = strlen(text);
    json_t *json = json_stringn(text, len);

    for (int cut = 0; !json && cut < 3 && len > 0; cut++)
        json = json_stringn(text, --len);
    return json ? json : json_string("(not UTF-8)");
}

/* Parts that a fault leaves empty are left out. */
static void add_text(json_t *data, const char *name, const char *value)
{
    if (value[0] != '\0')
        json_object_set_new(data, name, text(value));
}

/* `message` is one line of English; code and args say the same for any language. */
json_t *rpc_fault_json(const struct fault *fault)
{
    json_t *error = json_object(), *data = json_object();

    add_text(data, "field", fault->field);
    add_text(data, "why", fault->why);
    add_text(data, "place", fault->place);
    json_object_set_new(data, "help", text(fault->help[0] ? fault->help : "See the log of the daemon."));
    if (fault->revision >= 0)
        json_object_set_new(data, "revision", json_integer(fault->revision));
    add_text(data, "state", fault->state);
    if (isfinite(fault->uncounted_g))
        json_object_set_new(data, "uncounted_g", number_json(fault->uncounted_g));
    if (fault->toner[0])
        json_object_set_new(data, "toner", json_string(fault->toner));
    if (isfinite(fault->short_g))
        json_object_set_new(data, "short_g", json_real(round(fault->short_g * 1e6) / 1e6));
    if (fault->said.code[0]) {
        json_object_set_new(data, "code", json_string(fault->said.code));
        json_object_set_new(data, "args", said_args_json(&fault->said));
    }
    json_object_set_new(error, "code", json_integer(fault_code(fault->kind)));
    json_object_set_new(error, "message", text(fault->message[0] ? fault->message : "failed"));
    json_object_set_new(error, "data", data);
    return error;
}

/* For rpc.discover, which tells of all methods by their own table. */
const struct rpc_method *rpc_method_table(const struct rpc_call *call)
{
    return call->table;
}
