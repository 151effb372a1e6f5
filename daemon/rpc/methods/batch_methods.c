/* batch_methods.c - the calls that move a station on. It must not know what an act does: the bench does the work. */
#include "bench/begin.h"
#include "bench/bench.h"
#include "rpc/methods/methods.h"
#include "text/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct bench *method_bench(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    const char *station = json_string_value(json_object_get(params, "station"));
    struct bench *b = station ? daemon_bench(d, station) : NULL;
    struct fault f;
    if (b)
        return b;
    fault_said(&f, FAULT_UNKNOWN, "station", "unknown", "no_station station=%s", station);
    rpc_fail(call, &f);
    return NULL;
}

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

static void run(struct bench *b, struct rpc_call *call, const json_t *params, struct command *c, bool ok,
                const struct fault *f)
{
    if (ok) {
        bench_command(b, call, params, c);
        return;
    }
    free(c->part);
    rpc_fail(call, f);
}

void method_batch_begin(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_begin(b, call, params);
}

void method_batch_accept(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    const json_t *few = json_object_get(params, "short");
    if (!b)
        return;
    command_init(&c, COMMAND_ACCEPT);
    bool ok = true;
    if (json_is_true(few))
        c.short_mode = SHORT_COUNTED;
    else if (json_is_string(few) && strcmp(json_string_value(few), "less") == 0)
        c.short_mode = SHORT_LESS;
    else if (json_is_string(few))
        ok = fault_said(&f, FAULT_INVALID, "short", "unknown", "short_form");
    else if (few && !json_is_false(few) && !json_is_null(few))
        ok = fault_said(&f, FAULT_PARAMS, "short", "type", "short_form");
    ok = ok && rpc_get_flag(params, "tared", &c.tared, &f) && rpc_get_flag(params, "sure", &c.sure, &f) &&
         take_text(params, "lot", c.lot, sizeof c.lot, &f) && take_toner(d, params, "really", &c, &f);
    run(b, call, params, &c, ok, &f);
}

void method_batch_remedy(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    const char *choice = json_string_value(json_object_get(params, "choice"));
    if (!b)
        return;
    command_init(&c, COMMAND_REMEDY);
    for (int r = REMEDY_GROW; r <= REMEDY_AGAIN; r++)
        if (choice && strcmp(choice, event_remedy_names[r]) == 0)
            c.remedy = (enum event_remedy)r;
    bool ok =
        c.remedy != REMEDY_NONE || fault_said(&f, FAULT_INVALID, "choice", "unknown", "no_remedy given=%s", choice);
    run(b, call, params, &c, ok, &f);
}

void method_batch_retare(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    if (!b)
        return;
    command_init(&c, COMMAND_RETARE);
    bool ok =
        rpc_get_number(params, "uncounted_g", &c.uncounted_g, &f) && rpc_get_number(params, "lost_g", &c.lost_g, &f);
    run(b, call, params, &c, ok, &f);
}

void method_batch_tint(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    if (!b)
        return;
    command_init(&c, COMMAND_TINT);
    bool ok = take_toner(d, params, "toner", &c, &f);
    run(b, call, params, &c, ok, &f);
}

/* note and scrap carry a text; it may not be empty for a note. */
static void with_text(struct daemon *d, struct rpc_call *call, const json_t *params, enum command_kind kind,
                      const char *member)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    if (!b)
        return;
    command_init(&c, kind);
    bool ok = take_text(params, member, c.text, sizeof c.text, &f);
    if (ok && !c.text[0])
        ok = fault_said(&f, FAULT_PARAMS, member, "empty", "empty_words field=%s", member);
    run(b, call, params, &c, ok, &f);
}

void method_batch_note(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    with_text(d, call, params, COMMAND_NOTE, "text");
}

void method_batch_scrap(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    with_text(d, call, params, COMMAND_SCRAP, "why");
}

static void bare(struct daemon *d, struct rpc_call *call, const json_t *params, enum command_kind kind)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    if (!b)
        return;
    command_init(&c, kind);
    bench_command(b, call, params, &c);
}

void method_batch_undo(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    bare(d, call, params, COMMAND_UNDO);
}

void method_batch_hold(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    bare(d, call, params, COMMAND_HOLD);
}

void method_batch_finish(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    struct command c;
    struct fault f;
    double labels = 0;
    if (!b)
        return;
    command_init(&c, COMMAND_FINISH);
    bool ok = rpc_get_number(params, "label", &labels, &f);
    if (ok && !(labels >= 0 && labels <= 99 && labels == floor(labels)))
        ok =
            fault_said(&f, FAULT_INVALID, "label", "range", "member_from_to field=%s least=%d most=%d", "label", 0, 99);
    if (ok)
        bench_finish(b, call, params, &c, (int)labels, label_print_finished);
    else
        rpc_fail(call, &f);
}

void method_batch_resume(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct bench *b = method_bench(d, call, params);
    if (b)
        bench_resume(b, call, params);
}
