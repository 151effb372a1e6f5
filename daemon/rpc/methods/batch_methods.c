/* batch_methods.c - the calls that move a station on: their members are read into a command. It must not know what an
 * act does, nor when its turn comes: the bench does the work.
 */
#include "bench/begin.h"
#include "bench/bench.h"
#include "rpc/methods/methods.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Checked first of all members, so a wrong station is told whatever else is wrong. NULL: the call was refused. */
struct bench *method_bench(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = station ? daemon_bench(d, station) : NULL;
    struct fault f = {0};
    if (!b)
        b = daemon_practice(d, station);
    if (b)
        return b;
    fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
    rpc_fail(call, &f);
    return NULL;
}

/* What a call leaves out is not known: no grams, no toner, no lot. */
static void command_init(struct command *c, enum command_kind kind)
{
    memset(c, 0, sizeof *c);
    c->kind = kind;
    c->uncounted_g = c->lost_g = NAN;
}

/* A text into room of its own; too long is refused, never cut. */
static bool take_text(const json_t *params, const char *name, char *out, size_t size, struct fault *f)
{
    const char *text = NULL;
    if (!rpc_get_text(params, name, &text, f))
        return false;
    if (text && strlen(text) >= size)
        return fault_said(f, FAULT_INVALID, name, "long", "member_too_long field=%s most=%zu", name, size - 1);
    utf8_copy(out, size, text ? text : "");
    return true;
}

/* A toner that was poured or shall be: of the recipe by its id alone, else looked up. */
static bool take_toner(struct daemon *d, const json_t *params, const char *name, struct command *c, struct fault *f)
{
    struct recipe_part part;
    if (!take_text(params, name, c->really, sizeof c->really, f))
        return false;
    if (!c->really[0])
        return true;
    if (!begin_part(d, c->really, name, &part, f))
        return false;
    c->part = malloc(sizeof *c->part);
    if (!c->part)
        return fault_said(f, FAULT_INTERNAL, NULL, NULL, "no_memory");
    *c->part = part;
    return true;
}

/* ---- what each act takes beside station, revision and request. False: *fault ---- */

/* Reads members into the command; what it owns (`part`) is freed by whoever fails. */
typedef bool takes(struct daemon *d, const json_t *params, struct command *c, struct fault *f);

/* `short` is true, false or "less". */
static bool take_accept(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    const json_t *few = json_object_get(params, "short");
    if (json_is_true(few))
        c->short_mode = SHORT_COUNTED;
    else if (json_is_string(few) && strcmp(json_string_value(few), "less") == 0)
        c->short_mode = SHORT_LESS;
    else if (json_is_string(few))
        return fault_said(f, FAULT_INVALID, "short", "unknown", "short_form");
    else if (few && !json_is_false(few) && !json_is_null(few))
        return fault_said(f, FAULT_PARAMS, "short", "type", "short_form");
    return rpc_get_flag(params, "tared", &c->tared, f) && rpc_get_flag(params, "sure", &c->sure, f) &&
           take_text(params, "lot", c->lot, sizeof c->lot, f) &&
           take_text(params, "glance", c->glance, sizeof c->glance, f) && take_toner(d, params, "really", c, f);
}

/* By the names that events have. Whether that choice is there is the station's to say. */
static bool take_remedy(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    const char *choice = json_string_value(json_object_get(params, "choice"));
    (void)d;
    for (int r = REMEDY_GROW; r < REMEDY_KINDS; r++)
        if (choice && strcmp(choice, event_remedy_names[r]) == 0)
            c->remedy = (enum event_remedy)r;
    return c->remedy != REMEDY_NONE || fault_said(f, FAULT_INVALID, "choice", "unknown", "no_remedy given=%s", choice);
}

/* Grams; left out they stay NaN, and the station takes what it knows. */
static bool take_retare(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    (void)d;
    return rpc_get_number(params, "uncounted_g", &c->uncounted_g, f) && rpc_get_number(params, "lost_g", &c->lost_g, f);
}

/* A toner that the formula need not hold: the colour is changed by eye. */
static bool take_tint(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    return take_toner(d, params, "toner", c, f);
}

/* What a person typed is kept as it is; an empty text is no note and no reason. */
static bool take_words(const json_t *params, const char *member, struct command *c, struct fault *f)
{
    if (!take_text(params, member, c->text, sizeof c->text, f))
        return false;
    return c->text[0] || fault_said(f, FAULT_PARAMS, member, "empty", "empty_words field=%s", member);
}

static bool take_note(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    (void)d;
    return take_words(params, "text", c, f);
}

static bool take_scrap(struct daemon *d, const json_t *params, struct command *c, struct fault *f)
{
    (void)d;
    return take_words(params, "why", c, f);
}

/* ---- the acts ---- */

/* Hands an act to its bench, which takes what the command owns; take NULL: it takes nothing more. */
static void act(struct daemon *d, struct rpc_call *call, const json_t *params, enum command_kind kind, takes *take)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f = {0};
    if (!b)
        return;
    command_init(&c, kind);
    if (!take || take(d, params, &c, &f)) {
        bench_command(b, call, params, &c);
        return;
    }
    free(c.part);
    rpc_fail(call, &f);
}

/* Answered when the weight stands still and the event is on disk, or refused `unsteady` after 3 s. */
void method_batch_accept(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_ACCEPT, take_accept);
}

void method_batch_remedy(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_REMEDY, take_remedy);
}

void method_batch_retare(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_RETARE, take_retare);
}

void method_batch_tint(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_TINT, take_tint);
}

void method_batch_note(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_NOTE, take_note);
}

void method_batch_scrap(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_SCRAP, take_scrap);
}

/* These two take nothing: what was accepted last, and where a batch stands, the station knows. */
void method_batch_undo(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_UNDO, NULL);
}

void method_batch_hold(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    act(d, call, params, COMMAND_HOLD, NULL);
}

/* `keep`: {"id","place"}, the toner that a premix becomes. */
static bool take_keep(const json_t *params, struct command *c, struct fault *f)
{
    const json_t *keep = json_object_get(params, "keep");
    if (!keep || json_is_null(keep))
        return true;
    if (!json_is_object(keep))
        return fault_said(f, FAULT_PARAMS, "keep", "type", "member_not_object field=%s", "keep");
    /* Looked at here, so that a wrong id is told before the batch is touched. */
    const char *id = json_string_value(json_object_get(keep, "id"));
    if (!id)
        return fault_said(f, FAULT_PARAMS, "id", "missing", "member_missing field=%s", "id");
    if (!id_fits(id))
        return fault_said(f, FAULT_INVALID, "id", "form", "file_id given=%s", id);
    return take_text(keep, "id", c->keep, sizeof c->keep, f) && take_text(keep, "place", c->place, sizeof c->place, f);
}

/* `label` copies are printed once the finish is on disk; a print that fails is told on the screen and undoes nothing.
 */
void method_batch_finish(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f = {0};
    double labels = 0;
    if (!b)
        return;
    command_init(&c, COMMAND_FINISH);
    bool ok = rpc_get_number(params, "label", &labels, &f) && take_keep(params, &c, &f);
    if (ok && !(labels >= 0 && labels <= 99 && labels == floor(labels)))
        ok =
            fault_said(&f, FAULT_INVALID, "label", "range", "member_from_to field=%s least=%d most=%d", "label", 0, 99);
    if (ok)
        bench_finish(b, call, params, &c, (int)labels, label_print_finished);
    else
        rpc_fail(call, &f);
}

void method_batch_wait(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_wait(b, call);
}

/* ---- beginnings, which look into the catalogue and the journal first ---- */

/* The whole recipe goes into the event, with densities and prices, so that a batch needs no catalogue afterwards. */
void method_batch_begin(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_begin(b, call, params);
}

/* A held batch may go on at any station of the shop. */
void method_batch_resume(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_resume(b, call, params);
}
