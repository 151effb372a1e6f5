/* glance.c - a second person's look at a pour: when it is due, whose name will do, and what it takes off what the
 * painter still owes. It must not know a screen.
 *
 * Two rules ask for one. Of a painter with glances left, one pour of each batch is looked at, the first that is
 * accepted; it counts down by one in the same write, and an undo of it gives it back. By `glance_hardener` of the
 * station each pour of hardener is looked at, whoever pours.
 * A name is no right and proves nothing: it stands in the journal, as the painter's own does.
 */
#include "bench/bench_parts.h"

#include "text/json_read.h"
#include "text/json_write.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* A store_item_get callback; the caller lets go of *arg. */
static void take_person(void *arg, const struct store_item *item)
{
    json_t **person = arg;
    *person = json_read_text(item->body);
}

/* NULL: nobody of that name was ever put. */
static json_t *person_of(const struct bench *b, const char *name)
{
    json_t *person = NULL;
    if (name[0])
        store_item_get(b->daemon->store, "person", name, 0, take_person, &person);
    return person;
}

/* A few times a batch, never for a reading. */
void bench_read_glances(struct bench *b)
{
    json_t *person = b->batch && !b->practice ? person_of(b, b->batch->painter) : NULL;
    b->glances = (int)json_integer_value(json_object_get(person, "glance"));
    json_decref(person);
}

/* Hardener as the recipe has it, or poured by eye. */
static bool pours_hardener(const struct batch *k)
{
    if (k->now == NOW_TINT)
        return k->tint.role == PART_HARDENER;
    return k->open >= 0 && k->recipe.part[k->recipe.step[k->open].part].role == PART_HARDENER;
}

/* Two reasons: a painter's first batches, one look each, and every pour of hardener where the bench asks for it. Taking
 * out pours nothing. */
bool bench_glance_due(const struct bench *b)
{
    const struct batch *k = b->batch;
    if (!k || k->state != BATCH_POUR || k->now == NOW_TAKE_OUT)
        return false;
    return (b->glances > 0 && !k->glanced) || (b->config->glance_hardener && pours_hardener(k));
}

/* Who pours: the batch's painter, else who is signed in. "": nobody said, then any name is a second one. */
static const char *pourer(const struct bench *b)
{
    return b->batch->painter[0] ? b->batch->painter : b->signed_in;
}

/* By their name alone, in whatever case. A person who has left looks at nothing. */
static bool may_look(const struct bench *b, const char *name, struct fault *f)
{
    if (strcasecmp(name, pourer(b)) == 0)
        return fault_said(f, FAULT_INVALID, "glance", "glance", "glance_same painter=%s", name);
    json_t *person = person_of(b, name);
    bool there = person != NULL, retired = json_is_true(json_object_get(person, "retired"));
    json_decref(person);
    if (!there)
        return fault_said(f, FAULT_UNKNOWN, "glance", "unknown", "painter_unknown painter=%s", name);
    return !retired || fault_said(f, FAULT_INVALID, "glance", "retired", "painter_retired painter=%s", name);
}

/* A look that nobody asked for is kept as well; it uses up none of those that a painter has left. */
bool bench_glance(const struct bench *b, const struct command *c, struct event *e, struct fault *f)
{
    bool due = bench_glance_due(b) && e->counted_g > 0;
    if (!c->glance[0] && !due)
        return true;
    if (!c->glance[0])
        return fault_said(f, FAULT_STATE, NULL, "glance", "glance_needed"); /* its state is told by the caller */
    if (!may_look(b, c->glance, f))
        return false;
    snprintf(e->glance, sizeof e->glance, "%s", c->glance);
    e->glance_counted = b->glances > 0 && !b->batch->glanced;
    return true;
}

/* The last accept, which an undo takes back; NULL: there is none. */
static const struct event *last_accept(const struct batch *k)
{
    for (size_t i = k->events; i > 0; i--)
        if (k->history[i - 1]->kind == EVENT_ACCEPTED || k->history[i - 1]->kind == EVENT_CUP)
            return k->history[i - 1];
    return NULL;
}

/* The painter's count moves in the same write as the pour, and back with its undo: a killed daemon must not count one
 * without the other. */
bool bench_glance_item(const struct bench *b, const struct event *e, const char *time, struct store_item *item,
                       char **body)
{
    const struct event *undone = e->kind == EVENT_UNDONE && b->batch ? last_accept(b->batch) : NULL;
    int step = e->kind == EVENT_ACCEPTED && e->glance_counted ? -1 : undone && undone->glance_counted ? 1 : 0;
    json_t *person = step ? person_of(b, b->batch->painter) : NULL;
    json_int_t left = json_integer_value(json_object_get(person, "glance")) + step;
    *body = NULL;
    if (person && left >= 0) {
        json_object_set_new(person, "glance", json_integer(left));
        *body = json_write(person, JSON_COMPACT);
    }
    json_decref(person);
    *item = (struct store_item){.kind = "person", .id = *body ? b->batch->painter : "", .time = time, .body = *body};
    item->text = item->id;
    return *body != NULL;
}
