/* job.c - one write on its way: a deep copy of what was asked, and what became of it.
 *
 * Knows neither thread nor transaction.
 */
#include "store/job.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Copies run twice over the same code: first with no memory, to count, then with as much as was counted. */
struct room {
    char *at; /* NULL: only count */
    size_t used;
};

/* Only counts while there is no memory; gives NULL then. */
static void *take(struct room *room, const void *from, size_t size, size_t align)
{
    room->used = (room->used + align - 1) & ~(align - 1);
    size_t start = room->used;
    room->used += size;
    if (!room->at)
        return NULL;
    if (size)
        memcpy(room->at + start, from, size);
    return room->at + start;
}

/* NULL stays NULL: a text that is left out is not "". */
static void copy_text(struct room *room, const char *from, const char **to)
{
    const char *copy = from ? take(room, from, strlen(from) + 1, 1) : NULL;
    if (room->at)
        *to = copy;
}

/* A kind of struct whose only pointers are texts. */
struct layout {
    size_t size, align;
    const size_t *text; /* places of its texts */
    size_t texts;
};

#define EVENT(member) offsetof(struct store_event, member)
#define BATCH(member) offsetof(struct store_batch, member)
#define ITEM(member)  offsetof(struct store_item, member)
#define KEPT(member)  offsetof(struct store_kept, member)
#define LAYOUT(type, list)                                                                                             \
    {                                                                                                                  \
        sizeof(type), _Alignof(type), list, sizeof(list) / sizeof *(list)                                              \
    }
static const size_t event_texts[] = {EVENT(kind),   EVENT(station), EVENT(batch),  EVENT(time),
                                     EVENT(boot),   EVENT(person),  EVENT(client), EVENT(request),
                                     EVENT(method), EVENT(version), EVENT(body)};
static const size_t batch_texts[] = {BATCH(batch),   BATCH(state),   BATCH(station), BATCH(formula),
                                     BATCH(name),    BATCH(variant), BATCH(coat),    BATCH(order),
                                     BATCH(painter), BATCH(place),   BATCH(begun),   BATCH(finished),
                                     BATCH(use_by),  BATCH(tinted),  BATCH(foreign), BATCH(weighed)};
static const size_t item_texts[] = {ITEM(kind),   ITEM(id),   ITEM(time), ITEM(reason),
                                    ITEM(source), ITEM(body), ITEM(text), ITEM(about)};
static const size_t kept_texts[] = {KEPT(station), KEPT(batch), KEPT(body)};
static const size_t take_texts[] = {offsetof(struct store_take, batch)};
static const size_t touch_texts[] = {offsetof(struct store_touch, batch), offsetof(struct store_touch, order),
                                     offsetof(struct store_touch, time)};
static const size_t move_texts[] = {offsetof(struct store_move, toner), offsetof(struct store_move, lot),
                                    offsetof(struct store_move, day)};
static const size_t stir_texts[] = {offsetof(struct store_stir, toner), offsetof(struct store_stir, time)};
static const size_t sign_texts[] = {offsetof(struct store_sign, station), offsetof(struct store_sign, painter),
                                    offsetof(struct store_sign, time)};
static const struct layout event_layout = LAYOUT(struct store_event, event_texts),
                           batch_layout = LAYOUT(struct store_batch, batch_texts),
                           item_layout = LAYOUT(struct store_item, item_texts),
                           kept_layout = LAYOUT(struct store_kept, kept_texts),
                           take_layout = LAYOUT(struct store_take, take_texts),
                           touch_layout = LAYOUT(struct store_touch, touch_texts),
                           move_layout = LAYOUT(struct store_move, move_texts),
                           stir_layout = LAYOUT(struct store_stir, stir_texts),
                           sign_layout = LAYOUT(struct store_sign, sign_texts);

/* `count` structs one after the other, each followed by no text: all texts come behind them. NULL while it counts. */
static const void *copy_all(struct room *room, const void *from, size_t count, const struct layout *l)
{
    char *to = take(room, from, count * l->size, l->align);
    for (size_t i = 0; i < count; i++)
        for (size_t t = 0; t < l->texts; t++) {
            const char *text, *copy = NULL;
            memcpy(&text, (const char *)from + i * l->size + l->text[t], sizeof text);
            if (text)
                copy = take(room, text, strlen(text) + 1, 1);
            if (to)
                memcpy(to + i * l->size + l->text[t], &copy, sizeof copy);
        }
    return to;
}

/* The whole of a write behind its job. NULL while it counts. */
static struct job *copy_job(struct room *room, const struct store_write *write)
{
    struct job blank = {.write = *write};
    struct job *job = take(room, &blank, sizeof blank, _Alignof(struct job));
    struct store_write none, *to = job ? &job->write : &none;
    to->events = copy_all(room, write->events, write->event_count, &event_layout);
    to->batches = copy_all(room, write->batches, write->batch_count, &batch_layout);
    to->items = copy_all(room, write->items, write->item_count, &item_layout);
    if (write->kept)
        to->kept = copy_all(room, write->kept, 1, &kept_layout);
    to->takes = copy_all(room, write->takes, write->take_count, &take_layout);
    to->moves = copy_all(room, write->moves, write->move_count, &move_layout);
    to->stirs = copy_all(room, write->stirs, write->stir_count, &stir_layout);
    if (write->touch)
        to->touch = copy_all(room, write->touch, 1, &touch_layout);
    if (write->sign)
        to->sign = copy_all(room, write->sign, 1, &sign_layout);
    copy_text(room, write->request, &to->request);
    copy_text(room, write->method, &to->method);
    copy_text(room, write->answer, &to->answer);
    return job;
}

/* One piece of memory holds the job and all that it copies, so the caller's texts may go at once. NULL: no memory. */
struct job *job_create(const struct store_write *write, store_done *done, void *arg)
{
    struct room room = {0};
    copy_job(&room, write);
    size_t align = _Alignof(int64_t), whole = (room.used + align - 1) & ~(align - 1);
    room = (struct room){.at = calloc(1, whole + write->item_count * sizeof(int64_t))};
    if (!room.at)
        return NULL;
    struct job *job = copy_job(&room, write);
    job->revisions = (int64_t *)(void *)(room.at + whole);
    job->done = done;
    job->arg = arg;
    return job;
}

void job_spares_init(struct job_spares *spares)
{
    for (size_t i = 0; i < JOB_SPARES; i++)
        job_add(&spares->idle, &spares->job[i]);
}

/* An event without a body is what the store refuses by itself, so no thread needs to know a spare. */
struct job *job_refused(struct job_spares *spares, store_done *done, void *arg)
{
    static const struct store_event no_body = {.kind = "refused"};
    struct job *job = job_pop(&spares->idle);
    if (job)
        *job =
            (struct job){.done = done, .arg = arg, .write = {.events = &no_body, .event_count = 1}, .spares = spares};
    return job;
}

/* The answers found for a repeat are the only memory of their own. */
void job_destroy(struct job *job)
{
    if (!job)
        return;
    free(job->first_answer);
    free(job->first_method);
    if (job->spares)
        job_add(&job->spares->idle, job);
    else
        free(job);
}

/* Members that do not belong to the result are cleared, so that no caller takes an old one. */
void job_settle(struct job *job, enum store_result result, const char *why)
{
    snprintf(job->why, sizeof job->why, "%s", why ? why : "");
    job->outcome.result = result;
    job->outcome.why = job->why;
    job->outcome.answer = result == STORE_REPEATED ? job->first_answer : NULL;
    job->outcome.method = result == STORE_REPEATED ? job->first_method : NULL;
    job->outcome.item_revisions = result == STORE_DONE && job->write.item_count ? job->revisions : NULL;
    if (result != STORE_DONE)
        job->outcome.first_seq = 0;
}

void job_add(struct job_list *list, struct job *job)
{
    job->next = NULL;
    if (list->last)
        list->last->next = job;
    else
        list->first = job;
    list->last = job;
}

/* Constant time: the writer holds its lock meanwhile. */
void job_move(struct job_list *to, struct job_list *from)
{
    if (!from->first)
        return;
    if (to->last)
        to->last->next = from->first;
    else
        to->first = from->first;
    to->last = from->last;
    *from = (struct job_list){0};
}

struct job *job_pop(struct job_list *list)
{
    struct job *job = list->first;
    if (job) {
        list->first = job->next;
        if (!list->first)
            list->last = NULL;
        job->next = NULL;
    }
    return job;
}
