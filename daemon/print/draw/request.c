#include "print/draw/request.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool refuse(struct label_fault *fault, const char *what, const char *why, const char *help)
{
    (void)snprintf(fault->what, sizeof fault->what, "%s", what);
    (void)snprintf(fault->why, sizeof fault->why, "%s", why);
    fault->help = help;
    return false;
}

static bool read_text(const json_t *json, const char *key, const char **out, struct label_fault *fault)
{
    const json_t *value = json_object_get(json, key);
    *out = "";
    if (!value || json_is_null(value))
        return true;
    if (!json_is_string(value))
        return refuse(fault, key, "not a text", "Give it in quotes.");
    *out = json_string_value(value);
    return true;
}

static bool read_words(const json_t *json, const char *key, struct label_words *out, struct label_fault *fault)
{
    const json_t *list = json_object_get(json, key);
    if (!list || json_is_null(list))
        return true;
    if (!json_is_array(list))
        return refuse(fault, key, "not a list", "Give a list of texts, or [].");
    if (json_array_size(list) > LABEL_WORDS_MAX)
        return refuse(fault, key, "too many", "Give at most 32.");
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *word = json_array_get(list, i);
        if (!json_is_string(word))
            return refuse(fault, key, "holds something that is not a text", "Give a list of texts, or [].");
        if (json_string_length(word) > 0)
            out->word[out->n++] = json_string_value(word);
    }
    return true;
}

/* One side of 62x29, or of 62.5x29. */
static bool read_side(const char **at, double least_mm, double *out_mm)
{
    char *end = NULL;
    if (**at < '0' || **at > '9')
        return false;
    *out_mm = strtod(*at, &end);
    *at = end;
    return *out_mm >= least_mm && *out_mm <= LABEL_MOST_MM;
}

static bool read_size(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const char *at = NULL;
    if (!read_text(json, "size_mm", &at, fault))
        return false;
    bool fine = read_side(&at, LABEL_WIDTH_LEAST_MM, &out->width_mm) && *at++ == 'x' &&
                read_side(&at, LABEL_HEIGHT_LEAST_MM, &out->height_mm) && *at == '\0';
    if (!fine)
        return refuse(fault, "size_mm", "not a size that a label can have",
                      "Give width and height as 62x29, at least 48x25, at most 150x150.");
    return true;
}

static bool read_copies(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const json_t *copies = json_object_get(json, "copies");
    const json_t *lid = json_object_get(json, "lid");
    out->copies = 1;
    if (copies && !json_is_null(copies)) {
        double n = json_number_value(copies); /* 2 and 2.0 are the same number */
        if (!json_is_number(copies) || !(n >= 1 && n <= LABEL_COPIES_MAX) || n > (int)n)
            return refuse(fault, "copies", "not a number of copies", "Give 1 to 100.");
        out->copies = (int)n;
    }
    if (lid && !json_is_null(lid) && !json_is_boolean(lid))
        return refuse(fault, "lid", "neither true nor false", "Give true for a label of the lid as well.");
    out->lid = json_is_true(lid);
    return true;
}

static bool read_texts(const json_t *json, struct label_request *out, struct label_fault *fault)
{
    const struct {
        const char *key;
        const char **to;
    } texts[] = {
        {"batch", &out->batch},     {"code", &out->code},     {"name", &out->name},       {"coat", &out->coat},
        {"variant", &out->variant}, {"made", &out->made},     {"order", &out->order},     {"vehicle", &out->vehicle},
        {"time", &out->time},       {"use_by", &out->use_by}, {"painter", &out->painter},
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        if (!read_text(json, texts[i].key, texts[i].to, fault))
            return false;
    }
    size_t digits = strspn(out->batch, "0123456789");
    if (digits < 1 || digits > 12 || out->batch[digits] != '\0')
        return refuse(fault, "batch", "not a batch number", "Give 1 to 12 digits, as in \"1042\".");
    if (out->code[0] == '\0')
        return refuse(fault, "code", "missing", "Give the colour's or product's code.");
    return true;
}

bool label_request_read(const char *text, size_t bytes, struct label_request *out, struct label_fault *fault)
{
    json_error_t error;
    *out = (struct label_request){0};
    json_t *json = json_loadb(text, bytes, JSON_REJECT_DUPLICATES, &error);
    if (!json) {
        char why[200];
        (void)snprintf(why, sizeof why, "%.150s, line %d", error.text, error.line);
        for (char *at = why; *at != '\0'; at++) {
            if ((unsigned char)*at < ' ')
                *at = ' '; /* the line must stay one line, whatever stood in the text */
        }
        return refuse(fault, "standard input", why, "Give one JSON object.");
    }
    out->json = json;
    if (!json_is_object(json)) {
        label_request_finish(out);
        return refuse(fault, "standard input", "not an object", "Give one JSON object.");
    }
    if (read_texts(json, out, fault) && read_size(json, out, fault) && read_copies(json, out, fault) &&
        read_words(json, "hazard_words", &out->hazard_words, fault) &&
        read_words(json, "deviations", &out->deviations, fault) && read_words(json, "with", &out->with, fault))
        return true;
    label_request_finish(out);
    return false;
}

void label_request_finish(struct label_request *request)
{
    json_decref(request->json);
    *request = (struct label_request){0};
}
