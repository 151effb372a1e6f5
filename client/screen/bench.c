#include "client/screen/bench.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const state_names[] = {"idle", "cup", "pour", "over", "done"};
static const char *const step_names[] = {"next", "now", "again", "done"};
static const char *const cue_names[] = {"", "pour", "ease", "stop", "ok", "over"};
static const char *const scale_names[] = {"live", "stale", "absent", "seeking"};

/* The place of a name in a table of names, or -1. */
static int place(const char *name, const char *const *names, size_t n)
{
    for (size_t i = 0; name && i < n; i++)
        if (strcmp(name, names[i]) == 0)
            return (int)i;
    return -1;
}
#define PLACE(name, names) place(name, names, sizeof(names) / sizeof *(names))

const char *bench_scale_name(enum scale_state state)
{
    return scale_names[state];
}

bool bench_scale_state(const char *name, enum scale_state *state)
{
    int at = PLACE(name, scale_names);
    if (at >= 0)
        *state = (enum scale_state)at;
    return at >= 0;
}

const char *bench_cue_name(enum cue cue)
{
    return cue_names[cue];
}

bool bench_cue(const char *name, enum cue *cue)
{
    int at = PLACE(name, cue_names);
    if (at >= 0)
        *cue = (enum cue)at;
    return at >= 0;
}

void bench_copy(char *buf, size_t size, const char *text)
{
    if (size == 0)
        return;
    size_t n = strlen(text);
    if (n >= size) {
        n = size - 1;
        while (n > 0 && ((unsigned char)text[n] & 0xC0) == 0x80)
            n--; /* text[n] is inside a character: cut before it */
    }
    memcpy(buf, text, n);
    buf[n] = '\0';
}

void bench_text(const json_t *object, const char *key, char *buf, size_t size)
{
    const json_t *value = json_object_get(object, key);
    if (json_is_string(value))
        bench_copy(buf, size, json_string_value(value));
    else if (json_is_integer(value))
        snprintf(buf, size, "%" JSON_INTEGER_FORMAT, json_integer_value(value));
    else if (size > 0)
        buf[0] = '\0';
}

double bench_number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

static void read_step(struct bench_step *step, const json_t *from)
{
    bench_text(from, "toner", step->toner, sizeof step->toner);
    bench_text(from, "name", step->name, sizeof step->name);
    step->aim_g = bench_number(from, "aim_g");
    step->poured_g = bench_number(from, "poured_g");
    int at = PLACE(json_string_value(json_object_get(from, "state")), step_names);
    step->state = at < 0 ? STEP_NEXT : (enum step_state)at;
}

static void read_now(struct bench_now *now, const json_t *from)
{
    now->open = json_is_object(from);
    bench_text(from, "toner", now->toner, sizeof now->toner);
    bench_text(from, "name", now->name, sizeof now->name);
    now->aim_g = bench_number(from, "aim_g");
    now->in_cup_g = bench_number(from, "in_cup_g");
    now->to_go_g = bench_number(from, "to_go_g");
    now->tolerance_g = bench_number(from, "tolerance_g");
    now->scale_shows_g = bench_number(from, "scale_shows_g");
    now->take_out = now->open && now->toner[0] == '\0' && now->aim_g < 0;
    now->cue = CUE_NONE;
    bench_cue(json_string_value(json_object_get(from, "cue")), &now->cue);
}

bool bench_step_poured(const struct bench_step *step)
{
    return isfinite(step->poured_g) && step->poured_g > 0;
}

double bench_step_open_g(const struct bench_step *step)
{
    return bench_step_poured(step) ? step->aim_g - step->poured_g : step->aim_g;
}

const struct bench_step *bench_step_after(const struct bench *b)
{
    const struct bench_step *after = NULL;
    for (size_t i = 0; i < b->n_steps; i++) {
        const struct bench_step *s = &b->steps[i];
        if (i + 1 == b->step || s->state == STEP_DONE)
            continue;
        bool grew = bench_step_poured(s);
        if (!after || (grew && (!bench_step_poured(after) || s->aim_g < after->aim_g)))
            after = s;
    }
    return after;
}

static size_t read_list(double *list, const json_t *from)
{
    size_t n = json_array_size(from);
    if (n > BENCH_STEPS)
        n = BENCH_STEPS;
    for (size_t i = 0; i < n; i++) {
        const json_t *value = json_array_get(from, i);
        list[i] = json_is_number(value) ? json_number_value(value) : (double)NAN;
    }
    return n;
}

static void read_remedy(struct remedy *r, const json_t *remedies, const char *name)
{
    const json_t *from = json_object_get(remedies, name);
    r->offered = json_is_object(from);
    const json_t *fits = json_object_get(from, "fits");
    r->fits = !json_is_false(fits);
    r->total_g = bench_number(from, "total_g");
    r->volume_ml = bench_number(from, "volume_ml");
    r->waste_g = bench_number(from, "waste_g");
    r->cost = bench_number(from, "cost");
    r->take_g = bench_number(from, "take_g");
    for (size_t i = 0; i < BENCH_STEPS; i++)
        r->add_g[i] = r->deviation_pct[i] = NAN;
    size_t adds = read_list(r->add_g, json_object_get(from, "add_g"));
    size_t deviations = read_list(r->deviation_pct, json_object_get(from, "deviation_pct"));
    r->n = adds > deviations ? adds : deviations;
    bench_text(from, "why", r->why, sizeof r->why);
    bench_text(from, "ratio", r->ratio, sizeof r->ratio);
    if (!r->offered) { /* `grow_why` stands beside the null */
        char key[24];
        snprintf(key, sizeof key, "%s_why", name);
        bench_text(remedies, key, r->why, sizeof r->why);
    }
}

/* Cautions are texts, or objects with a text. */
static void read_cautions(char *buf, size_t size, const json_t *from)
{
    buf[0] = '\0';
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(from); i++) {
        const json_t *one = json_array_get(from, i);
        const char *text = json_string_value(json_is_object(one) ? json_object_get(one, "text") : one);
        if (!text)
            continue;
        char part[BENCH_TEXT];
        snprintf(part, sizeof part, "%s%s", n ? "; " : "", text);
        bench_copy(buf + n, size - n, part);
        n = strlen(buf);
    }
}

bool bench_read(struct bench *b, const json_t *screen)
{
    int at = PLACE(json_string_value(json_object_get(screen, "state")), state_names);
    if (at < 0)
        return false;
    memset(b, 0, sizeof *b);
    b->state = (enum bench_state)at;
    b->revision = (int64_t)json_integer_value(json_object_get(screen, "revision"));
    bench_text(screen, "station", b->station, sizeof b->station);
    bench_text(screen, "batch", b->batch, sizeof b->batch);
    bench_text(screen, "formula", b->formula, sizeof b->formula);
    bench_text(screen, "name", b->name, sizeof b->name);
    bench_text(screen, "variant", b->variant, sizeof b->variant);
    bench_text(screen, "coat", b->coat, sizeof b->coat);
    bench_text(screen, "finish", b->finish, sizeof b->finish);
    bench_text(screen, "order", b->order, sizeof b->order);
    bench_text(screen, "painter", b->painter, sizeof b->painter);
    double step = bench_number(screen, "step");
    b->step = step >= 1 && step <= BENCH_STEPS ? (size_t)step : 0;
    const json_t *steps = json_object_get(screen, "steps");
    for (size_t i = 0; i < json_array_size(steps) && b->n_steps < BENCH_STEPS; i++)
        read_step(&b->steps[b->n_steps++], json_array_get(steps, i));
    read_now(&b->now, json_object_get(screen, "now"));
    b->total_g = bench_number(screen, "total_g");
    b->wanted_g = bench_number(screen, "wanted_g");
    b->cup_ml = bench_number(screen, "cup_ml");
    b->fill_ml = bench_number(screen, "fill_ml");
    const json_t *remedies = json_object_get(screen, "remedies");
    read_remedy(&b->grow, remedies, "grow");
    read_remedy(&b->dip, remedies, "dip");
    read_remedy(&b->leave, remedies, "leave");
    const json_t *again = json_object_get(remedies, "again");
    b->again = json_is_object(again);
    b->again_cost = bench_number(again, "cost");
    bench_text(remedies, "currency", b->currency, sizeof b->currency);
    b->lifted = json_is_true(json_object_get(screen, "lifted"));
    const json_t *scale = json_object_get(screen, "scale");
    if (!bench_scale_state(json_string_value(json_object_get(scale, "state")), &b->scale))
        b->scale = SCALE_ABSENT; /* nothing said is not live */
    bench_text(scale, "why", b->scale_why, sizeof b->scale_why);
    bench_text(scale, "cause", b->scale_cause, sizeof b->scale_cause);
    read_cautions(b->caution, sizeof b->caution, json_object_get(screen, "caution"));
    bench_text(screen, "message", b->message, sizeof b->message);
    b->checking = json_is_true(json_object_get(screen, "checking"));
    bench_text(screen, "use_by", b->use_by, sizeof b->use_by);
    return true;
}
