/* label.c - batch.label: what stands on a cup's label, and printing it. */
#include "bench/bench.h"
#include "bench/compose.h"
#include "catalogue/catalogue.h"
#include "clock.h"
#include "print/print.h"
#include "rpc/methods/methods.h"
#include "station/aims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define WORDS_MAX 12

static json_t *hazard_list(const struct batch *b)
{
    const char *words[WORDS_MAX];
    size_t count = 0;
    for (size_t p = 0; p < b->recipe.parts; p++) {
        struct toner t = {0};
        char codes[sizeof b->recipe.part[p].hazards], *rest = NULL;
        if (!(batch_part_g(b, (int)p) > 0))
            continue;
        memcpy(codes, b->recipe.part[p].hazards, sizeof codes);
        for (char *code = strtok_r(codes, " ", &rest); code && t.hazard_count < HAZARDS_MAX;
             code = strtok_r(NULL, " ", &rest))
            snprintf(t.hazards[t.hazard_count++], sizeof t.hazards[0], "%s", code);
        count = hazard_words(&t, words, count, WORDS_MAX);
    }
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_string(words[i]));
    return list;
}

/* Parts whose error was accepted: `P31 +7.9 %`. */
static json_t *deviations(const struct batch *b)
{
    json_t *list = json_array();
    for (size_t p = 0; p < b->recipe.parts; p++) {
        const struct recipe_part *part = &b->recipe.part[p];
        double poured = batch_part_g(b, (int)p);
        double aim = part->role == PART_COLOUR ? part->share * batch_k_lo(b) : batch_addition_aim_g(b, (int)p);
        char text[80];
        if (!b->part_left[p] || !(poured > 0))
            continue;
        if (aim > 0)
            snprintf(text, sizeof text, "%s %+.1f %%", part->toner, 100 * (poured - aim) / aim);
        else
            snprintf(text, sizeof text, "%s +%.1f g", part->toner, poured);
        json_array_append_new(list, json_string(text));
    }
    return list;
}

static void local_text(int64_t ms, const char *format, char *out, size_t size)
{
    time_t seconds = (time_t)(ms / 1000);
    struct tm local;
    localtime_r(&seconds, &local);
    if (strftime(out, size, format, &local) == 0)
        out[0] = '\0';
}

/* `16:40 today`, or with the day if it is another. */
static json_t *use_by(const struct batch *b)
{
    char at[32], day[16], today[16];
    int64_t until = batch_use_by_ms(b);
    if (until == 0)
        return json_null();
    local_text(until, "%F", day, sizeof day);
    local_text(clock_wall_ms(), "%F", today, sizeof today);
    local_text(until, strcmp(day, today) == 0 ? "%H:%M today" : "%H:%M, %e %b", at, sizeof at);
    return json_string(at);
}

static json_t *label_of(const struct daemon *d, const struct batch *b, int copies)
{
    char when[40];
    json_t *with = json_array();
    local_text(b->finished_ms ? b->finished_ms : clock_wall_ms(), "%e %b %Y %H:%M", when, sizeof when);
    for (size_t i = 0; i < b->haves; i++)
        if (b->have[i].batch[0])
            json_array_append_new(with, json_string(b->have[i].batch));
    return json_pack("{s:s, s:i, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:s, s:o, s:o, s:o, s:o, s:b}", "size_mm",
                     d->config.print_size_mm[0] ? d->config.print_size_mm : "62x29", "copies", copies, "batch", b->id,
                     "code", b->recipe.code, "name", b->recipe.name, "coat", b->recipe.coat, "variant",
                     b->recipe.variant, "made", b->recipe.made, "order", b->order, "vehicle", "", "time",
                     when[0] == ' ' ? when + 1 : when, "painter", b->painter, "hazard_words", hazard_list(b), "use_by",
                     use_by(b), "deviations", deviations(b), "with", with, "lid", 0);
}

struct printing {
    struct rpc_call *call;
    json_t *label;
    int copies;
};

static void printed(void *arg, bool ok, const char *why)
{
    struct printing *p = arg;
    struct fault f;
    if (ok) {
        rpc_answer(p->call, json_pack("{s:O, s:i}", "label", p->label, "printed", p->copies));
    } else {
        fault_set(&f, FAULT_STATE, "copies", "printer",
                  "Look at the printer and [print] command, then print again; the batch is kept.", "not printed: %s",
                  why);
        rpc_fail(p->call, &f);
    }
    json_decref(p->label);
    free(p);
}

static void print(struct daemon *d, struct rpc_call *call, json_t *label, int copies)
{
    struct printing *p = malloc(sizeof *p);
    char *text = json_dumps(label, JSON_COMPACT);
    struct fault f;
    if (!p || !text) {
        free(p);
        free(text);
        json_decref(label);
        fault_set(&f, FAULT_INTERNAL, NULL, NULL, "Try again.", "out of memory");
        rpc_fail(call, &f);
        return;
    }
    *p = (struct printing){.call = call, .label = label, .copies = copies};
    print_label(d->loop, d->label_program, d->config.print_command, text, printed, p);
    free(text);
}

const struct rpc_member members_batch_label[] = {
    {"batch", RPC_TEXT, true}, {"copies", RPC_NUMBER, false}, {"size_mm", RPC_TEXT, false},
    {"lid", RPC_FLAG, false},  {"request", RPC_TEXT, false},  {NULL, RPC_ANY, false},
};
void method_batch_label(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    double copies = 0;
    bool lid = false;
    const char *size = NULL;
    struct fault f;
    struct batch *b = NULL;
    bool ok = rpc_get_number(params, "copies", &copies, &f) && rpc_get_flag(params, "lid", &lid, &f) &&
              rpc_get_text(params, "size_mm", &size, &f);
    if (ok && !(copies >= 0 && copies <= 100 && copies == floor(copies)))
        ok = fault_set(&f, FAULT_INVALID, "copies", "range", "Give 0 to 100 copies.", "no such number of copies");
    if (ok && copies > 0 && !d->config.print_command[0])
        ok = fault_set(&f, FAULT_STATE, "copies", "printer", "Set `command` in [print] of the configuration.",
                       "no print command is configured");
    ok = ok && (b = compose_load(d, json_string_value(json_object_get(params, "batch")), "batch", &f));
    if (!ok) {
        rpc_fail(call, &f);
        return;
    }
    json_t *label = label_of(d, b, copies > 0 ? (int)copies : 1);
    if (size)
        json_object_set_new(label, "size_mm", json_string(size));
    json_object_set_new(label, "lid", json_boolean(lid));
    batch_finish(b);
    free(b);
    if (copies > 0)
        print(d, call, label, (int)copies);
    else
        rpc_answer(call, json_pack("{s:o, s:i}", "label", label, "printed", 0));
}
