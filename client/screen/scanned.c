/* scanned.c - what the page does with a code that was scanned, by what the daemon says it is. It must not know how keys
 * and codes are told apart.
 *
 * Whatever stands open, a code is taken: the tin in the hand is held against the step also while a menu is read. What a
 * code leads to is a page (a cup's record, an order's batches) or the daemon's ready call, sent as it is. */
#include "client/screen/calls.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* The one refusal that a page answers by itself: in a field, or on an idle bench, the code may be something written. */
enum { UNKNOWN = -32001 }; /* of the protocol: nothing has that code */

/* A letter on an idle bench begins the search for a colour; a code that nothing has may be a formula's. */
static bool begins_search(const struct model *m)
{
    char c = m->scan.code[0];
    bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '#';
    return letter && m->view.page == PAGE_BENCH && m->bench.state == BENCH_IDLE;
}

/* Another tin, or another cup of the shelf, than the open step asks for: the words and the bell stop the hand; what
 * helps follows. */
static void stop_hand(struct model *m, const json_t *said)
{
    char text[FOOT_ROOM], help[FOOT_ROOM] = "", all[FOOT_ROOM];
    struct said s;
    if (said_read(&s, said) && words_find(s.code))
        said_part(&s, "help", m->language, &m->style, help, sizeof help);
    model_sentence(m, said, text, sizeof text);
    int n = snprintf(all, sizeof all, "%s. ", text);
    utf8_copy(all + n, sizeof all - (size_t)n, help);
    model_say(m, true, all);
    m->wrong = strcmp(member_text(said, "code"), "wrong_cup") == 0 ? "page.wrong_cup_large" : "page.wrong_tin_large";
    m->bell = true;
}

/* The field that the code was written into is still the open one. */
static bool in_its_field(const struct model *m)
{
    return m->scan.in_field && m->view.writing && m->view.page == m->scan.page && m->view.line == m->scan.line;
}

/* A field keeps what was in it before the reader wrote there. */
static void take_back(struct model *m, struct calls *q)
{
    if (in_its_field(m))
        act_write(m, m->scan.before, q);
    m->scan.in_field = false;
}

static void tin(struct model *m, const json_t *found, const char *request, struct calls *q, struct moment now)
{
    const json_t *said = json_object_get(found, "said");
    char text[FOOT_ROOM];
    if (!calls_act(q, m, json_object_get(found, "act"), request, now))
        model_say(m, false, model_sentence(m, said, text, sizeof text));
}

/* What it is opens, or is done with the ready call; what has no call here is told. */
static void known(struct model *m, const json_t *found, const char *request, struct calls *q, struct moment now)
{
    const char *kind = member_text(found, "kind");
    char text[FOOT_ROOM];
    const json_t *said = json_object_get(found, "said");
    const char *code = member_text(said, "code");
    bool shut = m->home[0] && (strcmp(kind, "cup") == 0 || strcmp(kind, "order") == 0); /* it would change the shop */
    take_back(m, q);
    if (strcmp(code, "wrong_tin") == 0 || strcmp(code, "wrong_cup") == 0)
        stop_hand(m, said);
    else if (strcmp(code, "cup_right") == 0 || shut)
        model_say(m, false, model_sentence(m, said, text, sizeof text));
    else if (strcmp(kind, "tin") == 0)
        tin(m, found, request, q, now);
    else if (strcmp(kind, "cup") == 0)
        act_open_batch(m, member_text(found, "batch"), now, q);
    else if (strcmp(kind, "order") == 0)
        act_find(m, member_text(found, "order"), now, q);
    else if (!calls_act(q, m, json_object_get(found, "act"), request, now))
        model_say(m, false, model_sentence(m, json_object_get(found, "said"), text, sizeof text));
}

bool scanned(struct model *m, const json_t *found, const json_t *error, const char *request, struct calls *q,
             struct moment now)
{
    char text[FOOT_ROOM];
    bool unknown = json_integer_value(json_object_get(error, "code")) == UNKNOWN;
    m->view.touched_ms = now.ms;
    m->wrong = NULL;
    if (found) {
        known(m, found, request, q, now);
        return true;
    }
    if (unknown && in_its_field(m))
        return false; /* it stays written, and the Enter behind it is the field's */
    if (unknown && begins_search(m)) {
        act_find(m, m->scan.code, now, q);
        return true;
    }
    calls_error_text(m, error, text, sizeof text);
    model_say(m, true, text);
    m->bell = true;
    return true;
}
