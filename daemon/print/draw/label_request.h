/* label_request.h - what shall stand on a label, read from one JSON object.
 *
 *     {"size_mm":"62x29","language":"en","copies":1,"batch":"1042","code":"TI-207","name":"Copperwing","coat":"mid",
 *      "variant":"standard","made":"reduced 20 %","order":"4417","vehicle":"van 3","time":"25 Nov 2026 10:51",
 *      "painter":"Ines","content":"325 g","signal":"danger","hazard_words":["skin allergy","flammable"],"gravest":1,
 *      "activated":true,"use_by":"16:40, 25 Nov","tinted":["V23 2.0 g"],"foreign":["K05 3.0 g"],
 *      "deviations":["P31 +7.9 %"],"with":["1031"],"lid":false}
 * size_mm, batch and code must be there; other texts may be left out, empty or null. Texts stand in the label's
 * language already; fixed words are the program's own. hazard_words stand gravest first; the first `gravest` of them
 * are never cut.
 * Owner   Texts belong to the JSON inside; label_request_finish ends them all.
 */
#pragma once

#include "text/said.h"

#include <stdbool.h>
#include <stddef.h>

#include <jansson.h>

#define LABEL_WORDS_MAX  32
#define LABEL_COPIES_MAX 100

struct label_words {
    const char *word[LABEL_WORDS_MAX];
    size_t n;
};

struct label_request {
    json_t *json;
    double width_mm; /* of the paper */
    double height_mm;
    enum words_language language;
    int copies; /* 1 to LABEL_COPIES_MAX */
    bool lid;   /* a second label for the lid */
    /* Never NULL; "": none. */
    const char *batch; /* 1 to 12 digits */
    const char *code;
    const char *name;    /* of the colour or product */
    const char *coat;    /* a fixed name; its word is the program's */
    const char *variant; /* "" on what has none */
    const char *made;    /* how: reduced 20 %, 4:1:1 vol */
    const char *order;   /* as the shop numbers it */
    const char *vehicle;
    const char *time; /* when it was mixed, day and hour */
    const char *painter;
    const char *content; /* how much the cup holds, with its unit */
    const char *use_by;  /* not empty: activated, and until when */
    bool activated;      /* also where nobody knows until when */
    const char *signal;  /* `danger`, `warning` or "" */
    struct label_words hazard_words;
    size_t gravest;                /* so many of them are never cut */
    struct label_words tinted;     /* toners added by eye, with grams */
    struct label_words foreign;    /* what the formula does not hold */
    struct label_words deviations; /* errors that were accepted */
    struct label_words with;       /* numbers of cups worked off into it */
};

/* What is wrong, and with which member. */
struct label_fault {
    char what[64];
    struct said why;
};

/* Reads `bytes` of JSON. False: *fault says why, and there is nothing to finish. */
bool label_request_read(const char *text, size_t bytes, struct label_request *out, struct label_fault *fault);
void label_request_finish(struct label_request *request);
