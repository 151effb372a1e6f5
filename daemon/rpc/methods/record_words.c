/* record_words.c - a batch and its events as batch.get tells them, whoever keeps them: the journal of the shop, or a
 * practice. It must not know where they are read from.
 */
#include "rpc/methods/record_words.h"

#include "station/aims.h"
#include "station/batch_record.h"
#include "station/cautions.h"

#include <math.h>

/* {toner, grams} each, in the order in which they came into the cup. */
static json_t *bits(const struct batch_bit *bit, size_t count)
{
    json_t *list = json_array();
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, json_pack("{s:s, s:o}", "toner", bit[i].toner, "grams", number_json(bit[i].grams)));
    return list;
}

/* What stays true of the cup for good: tinted, foreign, left with an error. */
static json_t *facts(const struct batch *b, const struct number_style *style)
{
    struct said fact[BATCH_FACTS];
    json_t *list = json_array();
    size_t count = batch_facts(b, fact, BATCH_FACTS);
    for (size_t i = 0; i < count; i++)
        json_array_append_new(list, said_json(&fact[i], style));
    return list;
}

json_t *record_words(const struct batch *b, const char *currency)
{
    const struct number_style style = batch_number_style(b);
    char text[SAID_TEXT_MAX];
    json_t *whole = view_record(b, currency), *said = json_array(), *texts = json_array();
    struct said caution[CAUTIONS_MAX];
    for (size_t i = 0, n = batch_record_cautions(b, caution); i < n; i++) {
        json_array_append_new(said, said_json(&caution[i], &style));
        json_array_append_new(texts, json_string(said_text(&caution[i], WORDS_EN, &style, text, sizeof text)));
    }
    json_object_set_new(whole, "caution", texts);
    json_object_set_new(whole, "cautions", said);
    json_object_set_new(whole, "check", json_null());
    json_object_set_new(whole, "activated", json_boolean(batch_activated(b)));
    json_object_set_new(whole, "facts", facts(b, &style));
    json_object_set_new(whole, "tinted", bits(b->tinted, b->tints));
    json_object_set_new(whole, "foreign", bits(b->foreign, b->foreigns));
    return whole;
}

/* A member that says nothing is left out; an older version's event has fewer. */
static void add_texts(json_t *line, const struct event *e, const struct number_style *style)
{
    const struct {
        const char *name, *text;
    } texts[] = {{"lot", e->lot},
                 {"glance", e->glance},
                 {"batch", e->cup},
                 {"text", e->text},
                 {"raw", e->raw},
                 {"profile", e->profile},
                 {"choice", event_remedy_names[e->remedy]}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++)
        if (texts[i].text[0])
            json_object_set_new(line, texts[i].name, json_string(texts[i].text));
    if (!e->said.code[0])
        return;
    char text[SAID_TEXT_MAX];
    json_object_set_new(line, "said", said_json(&e->said, style));
    json_object_set_new(line, "text", json_string(said_text(&e->said, WORDS_EN, style, text, sizeof text)));
}

/* Weights are exact micrograms in the journal, so they are written from these and not from a double. */
static void add_numbers(json_t *line, const struct event *e)
{
    const struct {
        const char *name;
        double value;
    } numbers[] = {
        {"counted_g", e->counted_g}, {"grew_g", e->grew_g},         {"total_g", e->total_g}, {"take_g", e->take_g},
        {"lost_g", e->lost_g},       {"came_at_once_g", e->jump_g}, {"d_g", e->d_g}};
    if (e->has_weight) {
        json_object_set_new(line, "weight_g", number_json_ug(e->weight_ug));
        json_object_set_new(line, "base_g", number_json_ug(e->base_ug));
    }
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (!isnan(numbers[i].value))
            json_object_set_new(line, numbers[i].name, number_json(numbers[i].value));
}

void record_members(json_t *line, const struct event *e, const struct number_style *style)
{
    add_numbers(line, e);
    add_texts(line, e, style);
}
