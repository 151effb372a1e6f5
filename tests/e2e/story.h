/* story.h - what whole stories of pours share: a small world with round numbers and short words for what a painter
 * does.
 *
 * The world is tests/data/story. Its cup weighs 30 g. Of the formula TS-1, A 50, B 30, C 20, 100 g have 99 mL
 * (50/1 + 30/1.25 + 20/0.8) and cost 1.90 (0.50 + 0.60 + 0.80). The tolerances of its parts at 100 g are
 * max(0.5 % of the aim, min(0.05, half the aim)): A 0.25, B 0.15, C 0.10.
 * Params are JSON in which ' stands for ", filled in as by printf: story_act(h, "begin", "{'grams':%d}", 100).
 * Owner   What is handed out is borrowed until the next call, as harness.h has it. Weights are compared to 0.02 g.
 */
#ifndef TESTS_E2E_STORY_H
#define TESTS_E2E_STORY_H

#include "tests/e2e/harness.h"

/* cmocka setups: one station `bench`; two, `bench` and `second`; and the teardown. */
int story_begin(void **state);
int story_begin_two(void **state);
int story_end(void **state);

__attribute__((format(printf, 1, 0))) json_t *story_json(const char *format, va_list args);
/* batch.WORD at `bench` (story_act) or another station; fails the test on an error; the screen. */
__attribute__((format(printf, 3, 4))) json_t *story_act(struct harness *h, const char *word, const char *format, ...);
__attribute__((format(printf, 4, 5))) json_t *story_act_at(struct harness *h, const char *station, const char *word,
                                                           const char *format, ...);
/* batch.WORD refused with `code`, and data.MEMBER being `text` (MEMBER NULL: not looked at). The error's data. */
__attribute__((format(printf, 6, 7))) json_t *story_refused(struct harness *h, const char *word, int code,
                                                            const char *member, const char *text, const char *format,
                                                            ...);
/* Any method, answered and refused. */
__attribute__((format(printf, 3, 4))) json_t *story_call(struct harness *h, const char *method, const char *format,
                                                         ...);
__attribute__((format(printf, 4, 5))) json_t *story_fault(struct harness *h, const char *method, int code,
                                                          const char *format, ...);

/* batch.begin with these params, then the cup of 30 g, accepted. */
__attribute__((format(printf, 2, 3))) void story_cup(struct harness *h, const char *format, ...);
/* The screen as it stands with the last reading; screens are sent by themselves only when something happened. */
void story_look(struct harness *h);
/* More (or less) on the scale of `bench`, stable; and the same accepted. */
void story_add(struct harness *h, double grams);
json_t *story_pour(struct harness *h, double grams);
/* Scrapped, and the scale empty. */
void story_clear(struct harness *h);

/* What the newest screen of `bench` says; a fault prints the screen. want NAN: null. */
#define story_near(h, path, want) story_near_at(h, path, want, __FILE__, __LINE__)
#define story_is(h, member, want) story_is_at(h, member, want, __FILE__, __LINE__)
#define story_step(h, index, toner, aim, poured, state)                                                                \
    story_step_at(h, index, toner, aim, poured, state, __FILE__, __LINE__)
/* `now`: its toner, aim, what is in the cup of it; to_go_g is their difference. */
#define story_now(h, toner, aim, in_cup) story_now_at(h, toner, aim, in_cup, __FILE__, __LINE__)
#define story_number(object, path, want) story_number_at(object, path, want, __FILE__, __LINE__)
#define story_text(object, path, want)   story_text_at(object, path, want, __FILE__, __LINE__)
void story_near_at(struct harness *h, const char *path, double want, const char *file, int line);
void story_is_at(struct harness *h, const char *path, const char *want, const char *file, int line);
void story_step_at(struct harness *h, size_t index, const char *toner, double aim, double poured, const char *state,
                   const char *file, int line);
void story_now_at(struct harness *h, const char *toner, double aim, double in_cup, const char *file, int line);
/* A number, a text ("" for null) of any answer, by path such as "parts.0.aim_g". */
void story_number_at(json_t *object, const char *path, double want, const char *file, int line);
void story_text_at(json_t *object, const char *path, const char *want, const char *file, int line);
json_t *story_at(json_t *object, const char *path);

/* The number of the batch that `bench` has, copied to `id`. */
void story_batch(struct harness *h, char id[16]);

#endif
