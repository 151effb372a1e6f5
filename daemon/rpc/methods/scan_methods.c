/* scan_methods.c - what a bar-code reader reads: `scan` tells what it is and what may be done with it there,
 * `batch.tin` holds a tin against the open step.
 *
 * What a code means is looked up on a helper thread, since all toners are looked through; what it means at a station is
 * said on the loop, by the station's screen as it is then. It must not know how a pour is decided.
 */
#include "bench/batch_journal.h"
#include "bench/bench.h"
#include "catalogue/codes.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/orders.h"
#include "station/batch_record.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#define OF_CUPS "POISE:"

/* In the order of kind_names, which are the protocol's. */
enum scanned_kind { SCANNED_NOTHING, SCANNED_TIN, SCANNED_CUP, SCANNED_ORDER, SCANNED_PERSON };
static const char *const kind_names[] = {"", "tin", "cup", "order", "person", NULL};

/* What a code was found to be. Only the members of its kind say something; all else is "" and is answered as null. */
struct scan_asked {
    struct inquiry inquiry;
    char code[CODE_MOST + 1]; /* without spaces at its ends */
    enum scanned_kind kind;
    struct toner toner;                                                    /* of a tin */
    char lot[CODE_MAX];                                                    /* of the same, where its code tells one */
    char batch[STORE_NUMBER], state[12], formula[ID_MAX], name[NAME_MAX_]; /* of a cup */
    char order[EVENT_NAME], vehicle[EVENT_NAME], currency[8];
    int coat_n; /* the order's first coat that is not mixed, from 1; 0: all are, or one is being mixed before it */
    char painter[EVENT_NAME];
    bool retired;
};

/* Scanners are set up to send all sorts of blanks, and separators between the fields of a long code: nothing that a
 * person could see is lost. What cannot be shown even so is no code of ours. */
static void trimmed(const char *text, char out[CODE_MOST + 1])
{
    size_t n = 0;
    for (text += strspn(text, " \t\r\n"); *text && n < CODE_MOST; text++)
        if ((unsigned char)*text >= ' ' && *text != '\x7f')
            out[n++] = *text;
    while (n > 0 && out[n - 1] == ' ')
        n--;
    out[n] = '\0';
    if (!utf8_is_clean(out))
        utf8_copy(out, CODE_MOST + 1, "?");
}

/* ---- what it is: on a helper thread ---- */

/* A store_batch_get callback. */
static void take_cup(void *arg, const struct store_batch *b)
{
    struct scan_asked *a = arg;
    utf8_copy(a->batch, sizeof a->batch, b->batch);
    utf8_copy(a->state, sizeof a->state, b->state);
    utf8_copy(a->formula, sizeof a->formula, b->formula ? b->formula : "");
    utf8_copy(a->name, sizeof a->name, b->name ? b->name : "");
}

/* Digits alone, whatever stood before them on the label. */
static bool is_cup(struct scan_asked *a, struct store *view, const char *number)
{
    char digits[STORE_NUMBER];
    return journal_number(number, digits) && store_batch_get(view, digits, take_cup, a) == STORE_FOUND;
}

/* A store_item_get callback; the caller lets go of *arg. */
static void take_body(void *arg, const struct store_item *item)
{
    json_decref(*(json_t **)arg);
    *(json_t **)arg = json_read_text(item->body);
}

/* An item by its id in whatever case: readers that act as a keyboard heed the caps lock. NULL: none. */
static json_t *item_of(struct store *view, const char *kind, const char *id)
{
    char other[EVENT_NAME];
    json_t *body = NULL;
    if (store_item_get(view, kind, id, 0, take_body, &body) == STORE_NONE &&
        store_item_other_case(view, kind, id, other, sizeof other) == STORE_FOUND)
        store_item_get(view, kind, other, 0, take_body, &body);
    return body;
}

/* The coat that would be mixed next; 0: none, or one is under way. */
static int next_coat(const json_t *order)
{
    size_t i;
    json_t *coat;
    json_array_foreach(json_object_get(order, "coats"), i, coat)
    {
        const char *state = json_string_value(json_object_get(coat, "state"));
        if (state && strcmp(state, "mixing") == 0)
            return 0;
        if (state && strcmp(state, "not_mixed") == 0)
            return (int)i + 1;
    }
    return 0;
}

/* The coat that comes next is looked up with it, by the rows of its batches. */
static bool is_order(struct scan_asked *a, struct store *view)
{
    json_t *order = item_of(view, STORE_JOB, a->code);
    const char *id = json_string_value(json_object_get(order, "order"));
    const char *vehicle = json_string_value(json_object_get(order, "vehicle"));
    bool is = id && json_is_array(json_object_get(order, "coats")) && order_complete(view, order, a->currency);
    if (is) {
        utf8_copy(a->order, sizeof a->order, id);
        utf8_copy(a->vehicle, sizeof a->vehicle, vehicle ? vehicle : "");
        a->coat_n = json_is_true(json_object_get(order, "closed")) ? 0 : next_coat(order);
    }
    json_decref(order);
    return is;
}

/* A badge bears a name. Who has left is found as well, so that the bench can say so. */
static bool is_person(struct scan_asked *a, struct store *view)
{
    json_t *person = item_of(view, "person", a->code);
    const char *name = json_string_value(json_object_get(person, "painter"));
    if (name)
        utf8_copy(a->painter, sizeof a->painter, name);
    a->retired = json_is_true(json_object_get(person, "retired"));
    json_decref(person);
    return name != NULL;
}

/* What is surely a cup's goes first, then tins; a bare number is an order's before it is a cup's, which a label writes
 * as POISE:1042. */
static enum scanned_kind kind_of(struct scan_asked *a, struct store *view)
{
    bool label = strncasecmp(a->code, OF_CUPS, strlen(OF_CUPS)) == 0;
    if (label || a->code[0] == '#')
        return is_cup(a, view, label ? a->code + strlen(OF_CUPS) : a->code + 1) ? SCANNED_CUP : SCANNED_NOTHING;
    if (codes_toner(view, a->code, &a->toner, a->lot))
        return SCANNED_TIN;
    if (is_order(a, view))
        return SCANNED_ORDER;
    if (is_cup(a, view, a->code))
        return SCANNED_CUP;
    return is_person(a, view) ? SCANNED_PERSON : SCANNED_NOTHING;
}

/* On the helper thread. A store that could not be read knows no code, but that says nothing of the code. */
static void run_scan(struct inquiry *inquiry, struct store *view)
{
    struct scan_asked *a = (struct scan_asked *)(void *)inquiry;
    uint64_t unread = store_unread(view);
    a->kind = kind_of(a, view);
    if (store_unread(view) != unread) {
        a->kind = SCANNED_NOTHING;
        inquiry_unread(inquiry, view);
    } else if (a->kind == SCANNED_NOTHING) {
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "code", "unknown", "scan_unknown code=%s", a->code);
    }
}

/* ---- what it means at a station: on the loop ---- */

/* Where it was scanned; without a station all is NULL and 0, and no call is ready. */
struct place {
    const char *state, *open, *signed_in; /* borrowed of the screen; NULL: none */
    const char *cup;                      /* the cup of the shelf that is poured from */
    json_int_t revision;
};

/* As a move of the screen has it: the revision is the screen's, so a call that comes late is stale and does nothing. */
static json_t *act_of(const struct scan_asked *a, const struct place *at, const char *method, json_t *params)
{
    json_object_set(params, "station", json_object_get(a->inquiry.params, "station"));
    json_object_set_new(params, "revision", json_integer(at->revision));
    return json_pack("{s:s, s:o}", "method", method, "params", params);
}

/* Texts of a screen may be missing. */
static bool is(const char *state, const char *wanted)
{
    return state && strcmp(state, wanted) == 0;
}

/* The ready call; null: nothing is to be done with it there. */
static json_t *call_of(const struct scan_asked *a, const struct place *at)
{
    if (a->kind == SCANNED_TIN && is(at->open, a->toner.id))
        return act_of(a, at, "batch.tin", json_pack("{s:s}", "code", a->code));
    if (a->kind == SCANNED_CUP && is(at->state, "idle") && is(a->state, "held"))
        return act_of(a, at, "batch.resume", json_pack("{s:s}", "batch", a->batch));
    if (a->kind == SCANNED_ORDER && is(at->state, "idle") && a->coat_n > 0)
        return act_of(a, at, "batch.begin", json_pack("{s:s, s:i}", "order", a->order, "coat_n", a->coat_n));
    if (a->kind == SCANNED_PERSON && at->state && !a->retired && !is(at->signed_in, a->painter))
        return act_of(a, at, "people.sign_in", json_pack("{s:s}", "painter", a->painter));
    return json_null();
}

/* The same code as the refusal of batch.tin, so that a screen needs one way of telling it. */
static struct said tin_said(const struct scan_asked *a, const struct place *at)
{
    if (at->open && !is(at->open, a->toner.id))
        return say("wrong_tin toner=%s asked=%s", a->toner.id, at->open);
    if (at->open && a->lot[0])
        return say("tin_right_lot toner=%s lot=%s", a->toner.id, a->lot);
    if (at->open)
        return say("tin_right toner=%s", a->toner.id);
    return a->lot[0] ? say("scan_tin_lot toner=%s name=%s lot=%s", a->toner.id, a->toner.name, a->lot)
                     : say("scan_tin toner=%s name=%s", a->toner.id, a->toner.name);
}

/* Where a cup of the shelf is poured in, its label is held against the step as a tin's is. */
static struct said cup_said(const struct scan_asked *a, const struct place *at)
{
    if (at->cup && !is(at->cup, a->batch))
        return say("wrong_cup batch=%s asked=%s", a->batch, at->cup);
    if (at->cup)
        return say("cup_right batch=%s", a->batch);
    return say("scan_cup batch=%s formula=%s name=%s", a->batch, a->formula, a->name);
}

/* What a person reads who scanned it. */
static struct said said_of(const struct scan_asked *a, const struct place *at)
{
    switch (a->kind) {
    case SCANNED_TIN:
        return tin_said(a, at);
    case SCANNED_CUP:
        return cup_said(a, at);
    case SCANNED_ORDER:
        return a->vehicle[0] ? say("scan_order_of order=%s vehicle=%s", a->order, a->vehicle)
                             : say("scan_order order=%s", a->order);
    default:
        return a->retired ? say("painter_retired painter=%s", a->painter) : say("scan_person painter=%s", a->painter);
    }
}

/* On the loop: the screen is that of now, not of when the code was looked up. */
static void answer_scan(struct inquiry *inquiry)
{
    struct scan_asked *a = (struct scan_asked *)(void *)inquiry;
    const char *station = json_string_value(json_object_get(inquiry->params, "station"));
    struct bench *b = station ? daemon_bench(inquiry->daemon, station) : NULL;
    if (a->kind == SCANNED_NOTHING) {
        rpc_fail(inquiry->call, &inquiry->fault);
        return;
    }
    json_t *screen = b ? bench_screen(b) : NULL;
    const json_t *now = json_object_get(screen, "now");
    const char *state = json_string_value(json_object_get(screen, "state"));
    const struct place at = {
        .state = state,
        .open = is(state, "pour") ? json_string_value(json_object_get(now, "toner")) : NULL,
        .cup = is(state, "pour") ? json_string_value(json_object_get(now, "batch")) : NULL,
        .signed_in = json_string_value(json_object_get(screen, "signed_in")),
        .revision = json_integer_value(json_object_get(screen, "revision")),
    };
    struct said said = said_of(a, &at);
    rpc_answer(inquiry->call,
               json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "kind", kind_names[a->kind], "toner",
                         view_text(a->kind == SCANNED_TIN ? a->toner.id : NULL), "lot", view_text(a->lot), "batch",
                         view_text(a->batch), "order", view_text(a->order), "painter", view_text(a->painter), "act",
                         call_of(a, &at), "said", said_json(&said, NULL)));
    json_decref(screen);
}

/* A code that is scanned in a catalogue of no such code costs one walk through the bank. NULL: refused. */
static struct scan_asked *asked(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct scan_asked *a = inquiry_new(d, call, params, sizeof *a);
    const char *code = json_string_value(json_object_get(params, "code"));
    if (!a)
        return NULL;
    trimmed(code ? code : "", a->code);
    utf8_copy(a->currency, sizeof a->currency, d->config.currency);
    return a;
}

/* Reads only: what follows is the caller's to send. */
void method_scan(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct scan_asked *a;
    struct fault f = {0};
    if (station && !method_bench(d, call, params))
        return;
    if (!(a = asked(d, call, params)))
        return;
    if (!a->code[0]) { /* blanks alone */
        fault_said(&f, FAULT_PARAMS, "code", "missing", "member_missing field=%s", "code");
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->inquiry.finish = answer_scan;
    inquiry_start(&a->inquiry, STORE_QUICK, run_scan);
}

/* ---- batch.tin ---- */

/* A toner by its id where no code was read: a tin without one is named by hand. */
static void run_tin(struct inquiry *inquiry, struct store *view)
{
    struct scan_asked *a = (struct scan_asked *)(void *)inquiry;
    const char *toner = json_string_value(json_object_get(inquiry->params, "toner"));
    const char *lot = json_string_value(json_object_get(inquiry->params, "lot"));
    uint64_t unread = store_unread(view);
    bool found = a->code[0] ? codes_toner(view, a->code, &a->toner, a->lot) : catalogue_toner(view, toner, &a->toner);
    a->kind = found ? SCANNED_TIN : SCANNED_NOTHING;
    if (lot && *lot)
        utf8_copy(a->lot, sizeof a->lot, lot);
    if (store_unread(view) != unread) {
        a->kind = SCANNED_NOTHING;
        inquiry_unread(inquiry, view);
    } else if (!found && a->code[0]) {
        fault_said(&inquiry->fault, FAULT_UNKNOWN, "code", "unknown", "scan_unknown code=%s", a->code);
    } else if (!found) {
        catalogue_unknown(view, "toner", "toner", toner, &inquiry->fault);
    }
}

/* From here on an act like any other: it takes its turn, and the station says whether it is the right tin. */
static void put_tin(struct inquiry *inquiry)
{
    const struct scan_asked *a = (const struct scan_asked *)(const void *)inquiry;
    struct command c = {.kind = COMMAND_TIN, .uncounted_g = NAN, .lost_g = NAN};
    struct bench *b;
    if (a->kind == SCANNED_NOTHING) {
        rpc_fail(inquiry->call, &inquiry->fault);
        return;
    }
    utf8_copy(c.really, sizeof c.really, a->toner.id);
    utf8_copy(c.lot, sizeof c.lot, a->lot);
    if ((b = method_bench(inquiry->daemon, inquiry->call, inquiry->params)))
        bench_command(b, inquiry->call, inquiry->params, &c);
}

void method_batch_tin(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *toner = json_string_value(json_object_get(params, "toner"));
    struct fault f = {0};
    struct scan_asked *a;
    if (!method_bench(d, call, params) || !(a = asked(d, call, params)))
        return;
    if (!a->code[0] == !(toner && *toner)) {
        fault_said(&f, FAULT_PARAMS, "code", a->code[0] ? "both" : "missing", "tin_code_or_toner");
        inquiry_refuse(&a->inquiry, &f);
        return;
    }
    a->inquiry.finish = put_tin;
    inquiry_start(&a->inquiry, STORE_QUICK, run_tin);
}
