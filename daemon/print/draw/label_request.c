/* label_request.c - the JSON of a label, checked member by member. Knows no paper and no fonts. */
#include "print/draw/label_request.h"

#include "text/label_size.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>

/* Always false. */
static bool refuse(struct label_fault *fault, const char *what, struct said why)
{
    (void)utf8_copy(fault->what, sizeof fault->what, what);
    fault->why = why;
    return false;
}

/* Left out, null and "" are the same. *out lives as long as the JSON. */
static bool read_text(const json_t *json, const char *key, const char **out, struct label_fault *fault)
{
    const json_t *value = json_object_get(json, key);
    *out = "";
    if (!value || json_is_null(value))
        return true;
    if (!json_is_string(value))
        return refuse(fault, key, say("label_not_text"));
    *out = json_string_value(value);
    return true;
}

/* Empty words are left out, so that no blank line is drawn. */
static bool read_words(const json_t *json, const char *key, struct label_words *out, struct label_fault *fault)
{
    const json_t *list = json_object_get(json, key);
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return refuse(fault, key, say("label_not_list"));
    if (json_array_size(list) > LABEL_WORDS_MAX)
        return refuse(fault, key, say("label_many most=%d", LABEL_WORDS_MAX));
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *word = json_array_get(list, i);
        if (!json_is_string(word))
            return refuse(fault, key, say("label_not_list"));
        if (json_string_length(word) > 0)
            out->word[out->n++] = json_string_value(word);
    }
    return true;
}

/* `gravest` counts the first words that are never cut, so it cannot be more than there are. */
static bool read_hazards(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const json_t *gravest = json_object_get(json, "gravest");
    if (!read_words(json, "hazard_words", &out->hazard_words, fault))
        return false;
    if (!gravest || json_is_null(gravest))
        return true;
    double n = json_number_value(gravest);
    if (!json_is_number(gravest) || !(n >= 0 && n <= (double)out->hazard_words.n) || n > (double)(size_t)n)
        return refuse(fault, "gravest", say("label_gravest"));
    out->gravest = (size_t)n;
    return true;
}

/* `62x29`: width and height in mm, also with decimals. */
static bool read_size(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const char *at = NULL;
    if (!read_text(json, "size_mm", &at, fault))
        return false;
    if (!label_size_read(at, &out->width_mm, &out->height_mm))
        return refuse(fault, "size_mm", say("label_size"));
    return true;
}

/* A flag; left out is false. */
static bool read_flag(const json_t *json, const char *key, bool *out, struct label_fault *fault)
{
    const json_t *value = json_object_get(json, key);
    if (value && !json_is_null(value) && !json_is_boolean(value))
        return refuse(fault, key, say("label_not_flag"));
    *out = json_is_true(value);
    return true;
}

/* 1 to LABEL_COPIES_MAX; left out: 1. */
static bool read_copies(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const json_t *copies = json_object_get(json, "copies");
    out->copies = 1;
    if (copies && !json_is_null(copies)) {
        double n = json_number_value(copies); /* 2 and 2.0 are the same number */
        if (!json_is_number(copies) || !(n >= 1 && n <= LABEL_COPIES_MAX) || n > (int)n)
            return refuse(fault, "copies", say("label_copies"));
        out->copies = (int)n;
    }
    return read_flag(json, "lid", &out->lid, fault) && read_flag(json, "activated", &out->activated, fault);
}

/* Batch and code must be there: without them nobody knows what is in the cup. */
static bool read_texts(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const char *language;
    const struct {
        const char *key;
        const char **to;
    } texts[] = {
        {"batch", &out->batch},     {"code", &out->code},     {"name", &out->name},       {"coat", &out->coat},
        {"variant", &out->variant}, {"made", &out->made},     {"order", &out->order},     {"vehicle", &out->vehicle},
        {"time", &out->time},       {"use_by", &out->use_by}, {"painter", &out->painter}, {"signal", &out->signal},
        {"content", &out->content}, {"language", &language},
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        if (!read_text(json, texts[i].key, texts[i].to, fault))
            return false;
    }
    if (language[0] != '\0' && !words_language_of(language, &out->language))
        return refuse(fault, "language", say("label_language"));
    if (strcmp(out->signal, "") != 0 && strcmp(out->signal, "danger") != 0 && strcmp(out->signal, "warning") != 0)
        return refuse(fault, "signal", say("label_signal"));
    size_t digits = strspn(out->batch, "0123456789");
    if (digits < 1 || digits > 12 || out->batch[digits] != '\0')
        return refuse(fault, "batch", say("label_batch"));
    if (out->code[0] == '\0')
        return refuse(fault, "code", say("label_code_missing"));
    return true;
}

/* Member by member, so that the first fault is told by its name. A member that is not known is passed over: an older
 * label program must draw what a newer daemon sends. */
bool label_request_read(const char *text, size_t bytes, struct label_request *out, struct label_fault *fault)
{
    json_error_t error;
    *out = (struct label_request){0};
    json_t *json = json_loadb(text, bytes, JSON_REJECT_DUPLICATES, &error);
    if (!json) {
        char why[200];
        (void)utf8_clean(why, sizeof why, error.text); /* the line must stay one line, whatever stood in the text */
        return refuse(fault, "standard input", say("label_json why=%s line=%d", why, error.line));
    }
    out->json = json;
    if (!json_is_object(json)) {
        label_request_finish(out);
        return refuse(fault, "standard input", say("label_not_object"));
    }
    if (read_texts(json, out, fault) && read_size(json, out, fault) && read_copies(json, out, fault) &&
        read_hazards(json, out, fault) && read_words(json, "tinted", &out->tinted, fault) &&
        read_words(json, "foreign", &out->foreign, fault) && read_words(json, "deviations", &out->deviations, fault) &&
        read_words(json, "with", &out->with, fault))
        return true;
    label_request_finish(out);
    return false;
}

void label_request_finish(struct label_request *request)
{
    json_decref(request->json);
    *request = (struct label_request){0};
}
