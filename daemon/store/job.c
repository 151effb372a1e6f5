/* job.c - one write on its way: a deep copy of what was asked, and what became of it.
 *
 * Knows neither thread nor transaction.
 */
#include "store/job.h"

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

static void copy_text(struct room *room, const char *from, const char **to)
{
    const char *copy = from ? take(room, from, strlen(from) + 1, 1) : NULL;
    if (room->at)
        *to = copy;
}

static const struct store_event *copy_events(struct room *room, const struct store_event *from, size_t count)
{
    struct store_event *to = take(room, from, count * sizeof *from, _Alignof(struct store_event));
    for (size_t i = 0; i < count; i++) {
        struct store_event none, *e = to ? &to[i] : &none;
        copy_text(room, from[i].kind, &e->kind);
        copy_text(room, from[i].station, &e->station);
        copy_text(room, from[i].batch, &e->batch);
        copy_text(room, from[i].time, &e->time);
        copy_text(room, from[i].boot, &e->boot);
        copy_text(room, from[i].person, &e->person);
        copy_text(room, from[i].client, &e->client);
        copy_text(room, from[i].request, &e->request);
        copy_text(room, from[i].method, &e->method);
        copy_text(room, from[i].version, &e->version);
        copy_text(room, from[i].body, &e->body);
    }
    return to;
}

static const struct store_batch *copy_batches(struct room *room, const struct store_batch *from, size_t count)
{
    struct store_batch *to = take(room, from, count * sizeof *from, _Alignof(struct store_batch));
    for (size_t i = 0; i < count; i++) {
        struct store_batch none, *b = to ? &to[i] : &none;
        copy_text(room, from[i].batch, &b->batch);
        copy_text(room, from[i].state, &b->state);
        copy_text(room, from[i].station, &b->station);
        copy_text(room, from[i].formula, &b->formula);
        copy_text(room, from[i].name, &b->name);
        copy_text(room, from[i].variant, &b->variant);
        copy_text(room, from[i].coat, &b->coat);
        copy_text(room, from[i].order, &b->order);
        copy_text(room, from[i].painter, &b->painter);
        copy_text(room, from[i].place, &b->place);
        copy_text(room, from[i].begun, &b->begun);
        copy_text(room, from[i].finished, &b->finished);
        copy_text(room, from[i].use_by, &b->use_by);
        copy_text(room, from[i].tinted, &b->tinted);
        copy_text(room, from[i].foreign, &b->foreign);
    }
    return to;
}

static const struct store_item *copy_items(struct room *room, const struct store_item *from, size_t count)
{
    struct store_item *to = take(room, from, count * sizeof *from, _Alignof(struct store_item));
    for (size_t i = 0; i < count; i++) {
        struct store_item none, *item = to ? &to[i] : &none;
        copy_text(room, from[i].kind, &item->kind);
        copy_text(room, from[i].id, &item->id);
        copy_text(room, from[i].time, &item->time);
        copy_text(room, from[i].reason, &item->reason);
        copy_text(room, from[i].source, &item->source);
        copy_text(room, from[i].body, &item->body);
        copy_text(room, from[i].text, &item->text);
    }
    return to;
}

static const struct store_kept *copy_kept(struct room *room, const struct store_kept *from)
{
    struct store_kept none, *to = take(room, from, sizeof *from, _Alignof(struct store_kept));
    struct store_kept *k = to ? to : &none;
    copy_text(room, from->station, &k->station);
    copy_text(room, from->batch, &k->batch);
    copy_text(room, from->body, &k->body);
    return to;
}

static struct job *copy_job(struct room *room, const struct store_write *write)
{
    struct job blank = {.write = *write};
    struct job *job = take(room, &blank, sizeof blank, _Alignof(struct job));
    struct store_write none, *to = job ? &job->write : &none;
    to->events = copy_events(room, write->events, write->event_count);
    to->batches = copy_batches(room, write->batches, write->batch_count);
    to->items = copy_items(room, write->items, write->item_count);
    if (write->kept)
        to->kept = copy_kept(room, write->kept);
    copy_text(room, write->request, &to->request);
    copy_text(room, write->method, &to->method);
    copy_text(room, write->answer, &to->answer);
    return job;
}

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

void job_destroy(struct job *job)
{
    if (!job)
        return;
    free(job->first_answer);
    free(job->first_method);
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
