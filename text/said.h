/* said.h - what Poise tells a person, as a value: a code and named figures. No language is in it.
 *
 * Start here for any sentence: `say("grew total_g=%f toner=%s", total, toner)` makes one, the words of the code stand
 * in words/en.po and words/de.po, said_text writes it in a language. The same value goes through faults, events,
 * screens and labels, so that a sentence is worded once and a second language needs no second program. Slots   are
 * named as protocol fields are, their unit at the end. A slot `coat`, `finish`, `role`, `state`, `cue` or `remedy`
 * holds a fixed name and is shown by its word (`coat.ground`), where there is one; a slot `why` or `cause` by the word
 * of a reason
 * (`reason.missing`, said_reason).
 * Owner   A value: copied by assignment, nothing to free. Texts are cut between characters to fit, and cleaned
 *         (text/utf8.h): no line break and no mark of direction comes out of a slot.
 */
#pragma once

#include "text/number.h"
#include "text/words.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

enum { SAID_CODE = 48, SAID_ROOM = 400, SAID_TEXT_MAX = 1024 };

struct said {
    char code[SAID_CODE];     /* "": no said */
    unsigned short used;      /* bytes of room */
    char room[SAID_ROOM - 2]; /* the slots, packed; read them with said_number and said_word */
};

/* A said from a form: the code, then `slot=%s` (a text, NULL is ""), `slot=%f` (a number; NaN is left out), `slot=%d`
 * (a count; also %zu and %lld). The compiler checks the types. What finds no more room is left out. */
struct said say(const char *form, ...) __attribute__((format(printf, 1, 2)));
/* The same with a list of arguments, for functions that take a form themselves. */
struct said say_list(const char *form, va_list args) __attribute__((format(printf, 1, 0)));

/* What a system call failed with, for a slot `why`: the name of a reason, or the system's own text for one that has
 * none. Lives until the thread asks again. */
const char *said_reason(int error);

bool said_is(const struct said *s, const char *code);
bool said_same(const struct said *a, const struct said *b);
/* A slot's value; NaN, and NULL, where there is no such slot or it is of the other kind. */
double said_number(const struct said *s, const char *slot);
const char *said_word(const struct said *s, const char *slot);

/* The sentence in a language; a code without words gives the code itself, so that nothing is hidden. Returns out. */
const char *said_text(const struct said *s, enum words_language language, const struct number_style *style, char *out,
                      size_t size);
/* The word of `CODE.PART` filled with the same slots, such as the help of a fault; "" where the code has no such word.
 */
const char *said_part(const struct said *s, const char *part, enum words_language language,
                      const struct number_style *style, char *out, size_t size);

/* {"code","args"}, as events keep it; null where the code is "". A new reference. */
json_t *said_bare_json(const struct said *s);
/* {"code","args","text"} with the English text; null where the code is "". A new reference. */
json_t *said_json(const struct said *s, const struct number_style *style);
/* The slots alone as an object. A new reference. */
json_t *said_args_json(const struct said *s);
/* The reverse of both; false (and nothing said) where it is no such object. */
bool said_read(struct said *s, const json_t *object);
