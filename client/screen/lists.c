#include "client/screen/lists.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

bool lists_holds(const char *in, const char *text)
{
    size_t n = strlen(text);
    for (; strlen(in) >= n; in++) {
        if (strncasecmp(in, text, n) == 0)
            return true;
        if (*in == '\0')
            break;
    }
    return false;
}

/* The list under `key`, or the result itself where it is the list. */
static const json_t *list_of(const json_t *result, const char *key)
{
    return json_is_array(result) ? result : json_object_get(result, key);
}

size_t lists_batches(struct batch_line *out, const json_t *result, const char *today)
{
    const json_t *list = list_of(result, "batches");
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_BATCHES; i++) {
        const json_t *from = json_array_get(list, i);
        struct batch_line *to = &out[n];
        memset(to, 0, sizeof *to);
        bench_text(from, "batch", to->batch, sizeof to->batch);
        bench_text(from, "formula", to->formula, sizeof to->formula);
        bench_text(from, "name", to->name, sizeof to->name);
        bench_text(from, "variant", to->variant, sizeof to->variant);
        bench_text(from, "coat", to->coat, sizeof to->coat);
        bench_text(from, "order", to->order, sizeof to->order);
        bench_text(from, "painter", to->painter, sizeof to->painter);
        bench_text(from, "state", to->state, sizeof to->state);
        char time[40];
        bench_text(from, "finished", time, sizeof time);
        if (strlen(time) >= 16) /* 2026-11-25T10:51:07.000+01:00, the shop's own time */
            memcpy(to->finished, time + 11, 5);
        to->total_g = bench_number(from, "total_g");
        bool scrapped = strcmp(to->state, "scrapped") == 0;
        n += !scrapped && (time[0] == '\0' || strncmp(time, today, strlen(today)) == 0);
    }
    return n;
}

/* Names from a list whose items are texts, or objects with one of them under `key`. */
static size_t names_of(const json_t *list, const char *key, char (*out)[BENCH_ID], size_t max)
{
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < max; i++) {
        const json_t *one = json_array_get(list, i);
        const char *name = json_string_value(json_is_object(one) ? json_object_get(one, key) : one);
        bool known = !name;
        for (size_t k = 0; k < n && !known; k++)
            known = strcmp(out[k], name) == 0;
        if (!known)
            bench_copy(out[n++], BENCH_ID, name);
    }
    return n;
}

static size_t place_of(char (*names)[BENCH_ID], size_t n, const char *name)
{
    size_t i = 0;
    while (i < n && strcmp(names[i], name) != 0)
        i++;
    return i;
}

static void add_variant(struct match *m, size_t coat, const char *variant)
{
    size_t v = variant ? place_of(m->variants, m->n_variants, variant) : m->n_variants;
    if (coat < m->n_coats && v < m->n_variants)
        m->has[coat] |= 1u << v;
}

/* Which coat has which variant; where the list does not say, every coat has each. */
static void pair_up(struct match *m, const json_t *coats)
{
    for (size_t i = 0; i < json_array_size(coats); i++) {
        const json_t *one = json_array_get(coats, i);
        const json_t *variants = json_object_get(one, "variants");
        char coat[BENCH_ID], variant[BENCH_ID];
        bench_text(one, "coat", coat, sizeof coat);
        bench_text(one, "variant", variant, sizeof variant);
        size_t c = place_of(m->coats, m->n_coats, coat);
        add_variant(m, c, variant);
        for (size_t v = 0; v < json_array_size(variants); v++)
            add_variant(m, c, json_string_value(json_array_get(variants, v)));
    }
    for (size_t c = 0; c < MATCH_COATS; c++)
        if (m->has[c] == 0)
            m->has[c] = (1u << m->n_variants) - 1;
}

bool lists_has_variant(const struct match *match, size_t coat, size_t variant)
{
    return coat < MATCH_COATS && variant < match->n_variants && (match->has[coat] >> variant & 1u);
}

size_t lists_next_variant(const struct match *match, size_t coat, size_t variant)
{
    for (size_t step = 1; step <= match->n_variants; step++) {
        size_t next = (variant + step) % match->n_variants;
        if (lists_has_variant(match, coat, next))
            return next;
    }
    return variant;
}

size_t lists_formulas(struct match *out, size_t from, const json_t *result)
{
    const json_t *list = list_of(result, "formulas");
    size_t n = from;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_MATCHES; i++) {
        const json_t *one = json_array_get(list, i);
        struct match *to = &out[n++];
        memset(to, 0, sizeof *to);
        bench_text(one, "code", to->code, sizeof to->code);
        bench_text(one, "name", to->name, sizeof to->name);
        bench_text(one, "finish", to->finish, sizeof to->finish);
        bench_text(one, "line", to->line, sizeof to->line);
        to->n_coats = names_of(json_object_get(one, "coats"), "coat", to->coats, MATCH_COATS);
        to->n_variants = names_of(json_object_get(one, "variants"), "variant", to->variants, MATCH_VARIANTS);
        if (to->n_variants == 0)
            to->n_variants = names_of(json_object_get(one, "coats"), "variant", to->variants, MATCH_VARIANTS);
        pair_up(to, json_object_get(one, "coats"));
    }
    return n;
}

size_t lists_products(struct match *out, size_t from, const json_t *result, const char *text)
{
    const json_t *list = list_of(result, "products");
    size_t n = from;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_MATCHES; i++) {
        const json_t *one = json_array_get(list, i);
        struct match *to = &out[n];
        memset(to, 0, sizeof *to);
        to->product = true;
        bench_text(one, "product", to->code, sizeof to->code);
        if (to->code[0] == '\0')
            bench_text(one, "code", to->code, sizeof to->code);
        if (to->code[0] == '\0')
            bench_text(one, "id", to->code, sizeof to->code);
        bench_text(one, "name", to->name, sizeof to->name);
        bench_text(one, "ratio", to->finish, sizeof to->finish);
        bench_text(one, "line", to->line, sizeof to->line);
        to->n_coats = names_of(json_object_get(one, "parts"), "part", to->coats, 0);
        bench_text(one, "role", to->coats[0], sizeof to->coats[0]);
        to->n_coats = to->coats[0][0] != '\0';
        if (to->code[0] && (lists_holds(to->code, text) || lists_holds(to->name, text)))
            n++;
    }
    return n;
}

size_t lists_toners(struct toner_line *out, const json_t *result)
{
    const json_t *list = list_of(result, "toners");
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_TONERS; i++) {
        const json_t *one = json_array_get(list, i);
        struct toner_line *to = &out[n];
        bench_text(one, "id", to->toner, sizeof to->toner);
        if (to->toner[0] == '\0')
            bench_text(one, "toner", to->toner, sizeof to->toner);
        bench_text(one, "name", to->name, sizeof to->name);
        n += to->toner[0] != '\0';
    }
    return n;
}

size_t lists_scales(struct scale_line *out, const json_t *result)
{
    const json_t *list = list_of(result, "scales");
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_SCALES; i++) {
        const json_t *one = json_array_get(list, i);
        struct scale_line *to = &out[n++];
        bench_text(one, "station", to->station, sizeof to->station);
        bench_text(one, "port", to->port, sizeof to->port);
        bench_text(one, "profile", to->profile, sizeof to->profile);
        bench_text(one, "why", to->why, sizeof to->why);
        if (!bench_scale_state(json_string_value(json_object_get(one, "state")), &to->state))
            to->state = SCALE_ABSENT;
        to->weight_g = bench_number(one, "weight_g");
        to->d_g = bench_number(one, "d_g");
        to->capacity_g = bench_number(one, "capacity_g");
        to->age_ms = bench_number(one, "age_ms");
    }
    return n;
}

size_t lists_cups(struct cup_line *out, const json_t *result)
{
    const json_t *list = list_of(result, "cups");
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < LIST_CUPS; i++) {
        const json_t *one = json_array_get(list, i);
        out[n] = (struct cup_line){bench_number(one, "ml"), bench_number(one, "fill_pct")};
        if (!(out[n].fill_pct > 0))
            out[n].fill_pct = 95;
        n += out[n].ml > 0;
    }
    for (size_t i = 1; i < n; i++) /* smallest first; a handful of cups */
        for (size_t k = i; k > 0 && out[k].ml < out[k - 1].ml; k--) {
            struct cup_line swap = out[k];
            out[k] = out[k - 1];
            out[k - 1] = swap;
        }
    return n;
}

void lists_record(struct record *out, const json_t *result)
{
    memset(out, 0, sizeof *out);
    bench_text(result, "batch", out->batch, sizeof out->batch);
    bench_text(result, "state", out->state, sizeof out->state);
    bench_text(result, "formula", out->formula, sizeof out->formula);
    bench_text(result, "variant", out->variant, sizeof out->variant);
    bench_text(result, "coat", out->coat, sizeof out->coat);
    bench_text(result, "order", out->order, sizeof out->order);
    bench_text(result, "painter", out->painter, sizeof out->painter);
    bench_text(result, "currency", out->currency, sizeof out->currency);
    out->total_g = bench_number(result, "total_g");
    out->total_ml = bench_number(result, "total_ml");
    out->voc_g_per_l = bench_number(json_object_get(result, "voc"), "regulatory_g_per_l");
    out->cost = bench_number(result, "cost");
    bench_text(result, "made", out->made, sizeof out->made);
    bench_text(json_object_get(result, "reducer"), "toner", out->reducer, sizeof out->reducer);
}

/* A list of texts as one, with `, ` between. */
static void joined(const json_t *object, const char *key, char *buf, size_t size)
{
    const json_t *list = json_object_get(object, key);
    size_t n = 0;
    buf[0] = '\0';
    for (size_t i = 0; i < json_array_size(list) && n + 3 < size; i++) {
        const char *text = json_string_value(json_array_get(list, i));
        if (!text)
            continue;
        if (n)
            bench_copy(buf + n, size - n, ", ");
        n = strlen(buf);
        bench_copy(buf + n, size - n, text);
        n = strlen(buf);
    }
}

void lists_label(struct label_lines *out, const json_t *result)
{
    const json_t *label = json_object_get(result, "label");
    memset(out, 0, sizeof *out);
    bench_text(label, "batch", out->batch, sizeof out->batch);
    bench_text(label, "code", out->code, sizeof out->code);
    bench_text(label, "name", out->name, sizeof out->name);
    bench_text(label, "coat", out->coat, sizeof out->coat);
    bench_text(label, "variant", out->variant, sizeof out->variant);
    bench_text(label, "made", out->made, sizeof out->made);
    bench_text(label, "order", out->order, sizeof out->order);
    bench_text(label, "vehicle", out->vehicle, sizeof out->vehicle);
    bench_text(label, "time", out->time, sizeof out->time);
    bench_text(label, "painter", out->painter, sizeof out->painter);
    bench_text(label, "use_by", out->use_by, sizeof out->use_by);
    joined(label, "hazard_words", out->hazards, sizeof out->hazards);
    joined(label, "deviations", out->deviations, sizeof out->deviations);
    joined(label, "with", out->with, sizeof out->with);
}
