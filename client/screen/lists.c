/* lists.c - reading what the pages beside the pour show. It must not know a page. */
#include "client/screen/lists.h"

#include "text/utf8.h"

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
        shown_text(from, "batch", to->batch, sizeof to->batch);
        shown_text(from, "formula", to->formula, sizeof to->formula);
        shown_text(from, "name", to->name, sizeof to->name);
        shown_text(from, "variant", to->variant, sizeof to->variant);
        shown_text(from, "coat", to->coat, sizeof to->coat);
        shown_text(from, "order", to->order, sizeof to->order);
        shown_text(from, "painter", to->painter, sizeof to->painter);
        shown_text(from, "state", to->state, sizeof to->state);
        char time[40];
        shown_text(from, "finished", time, sizeof time);
        if (strlen(time) >= 16) /* 2026-11-25T10:51:07.000+01:00, the shop's own time */
            memcpy(to->finished, time + 11, 5);
        to->total_g = shown_number(from, "total_g");
        bool scrapped = strcmp(to->state, "scrapped") == 0;
        n += !scrapped && (time[0] == '\0' || strncmp(time, today, strlen(today)) == 0);
    }
    return n;
}

bool batch_waits(const struct batch_line *b)
{
    return b->finished[0] == '\0' && strcmp(b->state, "scrapped") != 0 && strcmp(b->state, "finished") != 0;
}

/* Names from a list whose items are texts, or objects with one of them under `key`. */
static size_t names_of(const json_t *list, const char *key, char (*out)[SHOWN_ID], size_t max)
{
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(list) && n < max; i++) {
        const json_t *one = json_array_get(list, i);
        const char *name = json_string_value(json_is_object(one) ? json_object_get(one, key) : one);
        bool known = !name;
        for (size_t k = 0; k < n && !known; k++)
            known = strcmp(out[k], name) == 0;
        if (!known)
            utf8_copy(out[n++], SHOWN_ID, name);
    }
    return n;
}

static size_t place_of(char (*names)[SHOWN_ID], size_t n, const char *name)
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
        char coat[SHOWN_ID], variant[SHOWN_ID];
        shown_text(one, "coat", coat, sizeof coat);
        shown_text(one, "variant", variant, sizeof variant);
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
        shown_text(one, "code", to->code, sizeof to->code);
        shown_text(one, "name", to->name, sizeof to->name);
        shown_text(one, "finish", to->finish, sizeof to->finish);
        shown_text(one, "line", to->line, sizeof to->line);
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
        shown_text(one, "product", to->code, sizeof to->code);
        if (to->code[0] == '\0')
            shown_text(one, "code", to->code, sizeof to->code);
        if (to->code[0] == '\0')
            shown_text(one, "id", to->code, sizeof to->code);
        shown_text(one, "name", to->name, sizeof to->name);
        shown_text(one, "ratio", to->finish, sizeof to->finish);
        shown_text(one, "line", to->line, sizeof to->line);
        to->n_coats = names_of(json_object_get(one, "parts"), "part", to->coats, 0);
        shown_text(one, "role", to->coats[0], sizeof to->coats[0]);
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
        shown_text(one, "id", to->toner, sizeof to->toner);
        if (to->toner[0] == '\0')
            shown_text(one, "toner", to->toner, sizeof to->toner);
        shown_text(one, "name", to->name, sizeof to->name);
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
        shown_text(one, "station", to->station, sizeof to->station);
        shown_text(one, "port", to->port, sizeof to->port);
        shown_text(one, "profile", to->profile, sizeof to->profile);
        shown_text(one, "why", to->why, sizeof to->why);
        if (!shown_scale_state(json_string_value(json_object_get(one, "state")), &to->state))
            to->state = SCALE_ABSENT;
        to->weight_g = shown_number(one, "weight_g");
        to->d_g = shown_number(one, "d_g");
        to->capacity_g = shown_number(one, "capacity_g");
        to->age_ms = shown_number(one, "age_ms");
    }
    return n;
}

void lists_record(struct record *out, const json_t *result)
{
    shown_text(result, "batch", out->batch, sizeof out->batch);
    out->voc_g_per_l = shown_number(json_object_get(result, "voc"), "regulatory_g_per_l");
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
            utf8_copy(buf + n, size - n, ", ");
        n = strlen(buf);
        utf8_copy(buf + n, size - n, text);
        n = strlen(buf);
    }
}

void lists_label(struct label_lines *out, const json_t *result)
{
    const json_t *label = json_object_get(result, "label");
    memset(out, 0, sizeof *out);
    shown_text(label, "batch", out->batch, sizeof out->batch);
    shown_text(label, "code", out->code, sizeof out->code);
    shown_text(label, "name", out->name, sizeof out->name);
    shown_text(label, "coat", out->coat, sizeof out->coat);
    shown_text(label, "variant", out->variant, sizeof out->variant);
    shown_text(label, "made", out->made, sizeof out->made);
    shown_text(label, "order", out->order, sizeof out->order);
    shown_text(label, "vehicle", out->vehicle, sizeof out->vehicle);
    shown_text(label, "time", out->time, sizeof out->time);
    shown_text(label, "painter", out->painter, sizeof out->painter);
    shown_text(label, "use_by", out->use_by, sizeof out->use_by);
    joined(label, "hazard_words", out->hazards, sizeof out->hazards);
    joined(label, "deviations", out->deviations, sizeof out->deviations);
    joined(label, "with", out->with, sizeof out->with);
}
