/* codes.c - the codes of tins: found by a scan, and held apart where they are written. It must not know what a scan is
 * for, nor how a file is read. */
#include "catalogue/codes.h"

#include "catalogue/tin_code.h"
#include "text/json_read.h"
#include "text/utf8.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* ---- found by a scan ---- */

/* Looks through the bank for the code that a scan means. */
struct scanned {
    const char *scan;
    size_t best; /* characters of the code that is meant; 0: none yet */
    struct toner *out;
};

/* A row that has no code need not be read as JSON: most of a bank has none. */
static bool may_have_codes(const char *body)
{
    return body && (strstr(body, "\"codes\":[\"") || strstr(body, "\"code\":\""));
}

/* A store_item_list callback. */
static void consider(void *arg, const struct store_item *i)
{
    struct scanned *s = arg;
    struct toner toner;
    struct fault fault = {0};
    size_t lot_at;
    if (!may_have_codes(i->body))
        return;
    json_t *json = json_read_text(i->body);
    bool read = json && toner_from_json(json, &toner, &fault);
    for (size_t c = 0; read && c < toner.code_count; c++)
        if (code_is(toner.codes[c], s->scan, &lot_at) && strlen(toner.codes[c]) > s->best) {
            s->best = strlen(toner.codes[c]);
            *s->out = toner;
        }
    json_decref(json);
}

/* Two walks of one list: which code it was is asked again only of the toner that was found. */
bool codes_toner(struct store *view, const char *scan, struct toner *out, char lot[CODE_MAX])
{
    struct scanned s = {.scan = scan, .out = out};
    size_t at, lot_at = strlen(scan);
    lot[0] = '\0';
    store_item_list(view, "toner", NULL, consider, &s);
    for (size_t c = 0; s.best > 0 && c < out->code_count; c++)
        if (strlen(out->codes[c]) == s.best && code_is(out->codes[c], scan, &at))
            lot_at = at;
    if (strlen(scan + lot_at) >= CODE_MAX)
        return false; /* no lot is that long, and a cut one would be another */
    if (s.best > 0)
        utf8_copy(lot, CODE_MAX, scan + lot_at);
    return s.best > 0 || (id_fits(scan) && catalogue_toner(view, scan, out));
}

/* ---- held apart ---- */

/* A code with whose it is. thing NULL: of the store. */
struct use {
    char code[CODE_MAX], toner[ID_MAX];
    const struct file_item *thing;
    size_t order; /* in which it was read */
};
struct uses {
    struct use *use;
    size_t count;
    bool lost; /* no memory */
    const struct file_item *things;
    size_t thing_count;
};

static bool is_toner(const struct file_item *thing)
{
    return strcmp(thing->kind, "toner") == 0;
}

/* All codes of one toner; a body that today's tables refuse has none. */
static void add_codes(struct uses *u, const char *body, const struct file_item *thing)
{
    struct toner toner;
    struct fault fault = {0};
    if (!may_have_codes(body))
        return;
    json_t *json = json_read_text(body);
    bool read = json && toner_from_json(json, &toner, &fault);
    struct use *more = read ? realloc(u->use, (u->count + toner.code_count + 1) * sizeof *more) : NULL;
    u->lost = u->lost || (read && !more);
    u->use = more ? more : u->use;
    for (size_t c = 0; more && c < toner.code_count; c++) {
        struct use *one = &u->use[u->count];
        *one = (struct use){.thing = thing, .order = u->count++};
        utf8_copy(one->code, sizeof one->code, toner.codes[c]);
        utf8_copy(one->toner, sizeof one->toner, toner.id);
    }
    json_decref(json);
}

/* A store_item_list callback: a toner that is written anew brings its codes itself. */
static void add_kept(void *arg, const struct store_item *i)
{
    struct uses *u = arg;
    if (!may_have_codes(i->body))
        return;
    for (size_t t = 0; t < u->thing_count; t++)
        if (strcmp(u->things[t].id, i->id) == 0 && is_toner(&u->things[t]))
            return;
    add_codes(u, i->body, NULL);
}

/* In the order read, so that the later of two is the one at fault. */
static void add_written(struct uses *u)
{
    for (size_t t = 0; t < u->thing_count; t++)
        if (is_toner(&u->things[t]))
            add_codes(u, u->things[t].body, &u->things[t]);
}

/* By what stands before the star, so that a code follows all those that begin it; alike, as they were read. */
static int by_stem(const void *a, const void *b)
{
    const struct use *one = a, *other = b;
    size_t n = code_stem(one->code), m = code_stem(other->code), least = n < m ? n : m;
    int differs = memcmp(one->code, other->code, least);
    if (differs != 0)
        return differs;
    if (n != m)
        return n < m ? -1 : 1;
    return one->order < other->order ? -1 : 1;
}

/* Whether every scan that the narrow one means is one of the wide one's as well. */
static bool covers(const struct use *wide, const struct use *narrow)
{
    size_t n = code_stem(wide->code);
    return wide->code[n] == '*' && code_stem(narrow->code) >= n && memcmp(wide->code, narrow->code, n) == 0;
}

/* Ids that differ in case alone name one toner. */
static bool of_two(const struct use *a, const struct use *b)
{
    return strcasecmp(a->toner, b->toner) != 0;
}

/* Goes through the sorted codes and hands each that meets one of another toner to found(): the one that was read later
 * first. Stops where that says false. */
static void each_meeting(struct uses *u, bool (*found)(void *arg, const struct use *late, const struct use *early),
                         void *arg)
{
    const struct use *wide = NULL; /* the shortest that covers where we are: all that begin with it follow it */
    if (u->count > 1)
        qsort(u->use, u->count, sizeof *u->use, by_stem);
    for (size_t i = 0; i < u->count; i++) {
        const struct use *now = &u->use[i], *before = i > 0 ? now - 1 : NULL, *other = NULL;
        if (wide && !covers(wide, now))
            wide = NULL;
        if (wide && of_two(wide, now))
            other = wide;
        else if (before && code_stem(before->code) == code_stem(now->code) && of_two(before, now) &&
                 memcmp(before->code, now->code, code_stem(now->code)) == 0)
            other = before;
        if (other && !(now->order > other->order ? found(arg, now, other) : found(arg, other, now)))
            return;
        if (!wide && now->code[code_stem(now->code)] == '*')
            wide = now;
    }
}

/* For all files together: each meeting is told, so that a person fixes them in one go. */
static bool add_fault(void *arg, const struct use *late, const struct use *early)
{
    file_faults_add(arg, late->thing->file, late->thing->code_line, "codes",
                    say("code_of_two_at code=%s toner=%s other=%s file=%s line=%d", late->code, early->toner,
                        early->code, early->thing->file, early->thing->code_line));
    return true;
}

bool codes_apart(const struct file_items *items, struct file_faults *faults)
{
    struct uses u = {.things = items->item, .thing_count = items->count};
    size_t before = faults->count;
    add_written(&u);
    each_meeting(&u, add_fault, faults);
    free(u.use);
    return faults->count == before;
}

/* Two of the store that met before are left alone: nobody writes them now. What is written was read last. */
static bool set_fault(void *arg, const struct use *late, const struct use *early)
{
    struct fault *fault = arg;
    if (!late->thing)
        return true;
    fault_said(fault, FAULT_INVALID, "codes", "used", "code_of_two code=%s toner=%s other=%s", late->code, early->toner,
               early->code);
    if (late->thing->file)
        fault_in_file(fault, late->thing->file, late->thing->code_line);
    return false;
}

bool codes_free(struct store *view, const struct file_item *things, size_t count, struct fault *fault)
{
    struct uses u = {.things = things, .thing_count = count};
    bool any = false;
    for (size_t t = 0; t < count; t++)
        any = any || (is_toner(&things[t]) && may_have_codes(things[t].body));
    if (!any)
        return true;
    fault->kind = FAULT_NONE;
    store_item_list(view, "toner", NULL, add_kept, &u);
    add_written(&u);
    each_meeting(&u, set_fault, fault);
    free(u.use);
    if (u.lost && fault->kind == FAULT_NONE)
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "out_of_memory");
    return fault->kind == FAULT_NONE;
}
