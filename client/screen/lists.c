/* lists.c - reading what the pages beside the pour show. It must not know a page. */
#include "client/screen/shown.h"

#include "text/timestamp.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { WAITING = 4 }; /* orders on an idle bench: today's batches keep digits of their own */

/* The older answer is let go; NULL only lets go. */
void lists_keep(struct lists *l, enum list_kind kind, json_t *result)
{
    json_decref(l->answer[kind]);
    l->answer[kind] = json_incref(result);
}

/* Each answer is ours alone, so letting it go frees it. */
void lists_finish(struct lists *l)
{
    for (size_t i = 0; i < LIST_KINDS; i++)
        lists_keep(l, (enum list_kind)i, NULL);
}

/* True where text stands anywhere in `in`, capitals and small letters of ASCII alike; an empty text always does. */
static bool holds(const char *in, const char *text)
{
    size_t n = strlen(text);
    for (; strlen(in) >= n; in++) {
        if (strncasecmp(in, text, n) == 0)
            return true;
        if (*in == '\0')
            break;
    }
    return false;
}

/* Each list of the daemon has a name of its own for it. */
const char *lists_id(const json_t *one)
{
    static const char *const keys[] = {"batch", "id", "code", "product", "toner"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (member_text(one, keys[i])[0])
            return member_text(one, keys[i]);
    return "";
}

/* The n-th of a list that the text names; NULL beyond the last, and *n is then less by as many as there were. */
static const json_t *named(const json_t *list, const char *text, size_t *n)
{
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *one = json_array_get(list, i);
        bool meant = lists_id(one)[0] && (holds(lists_id(one), text) || holds(member_text(one, "name"), text));
        if (meant && (*n)-- == 0)
            return one;
    }
    return NULL;
}

/* An open batch of another bench waits as well; a scrapped one never does. */
bool lists_waits(const json_t *batch)
{
    const char *state = member_text(batch, "state");
    return !member_text(batch, "finished")[0] && strcmp(state, "scrapped") != 0 && strcmp(state, "finished") != 0;
}

/* The hour of `2026-11-25T10:51:07.000+01:00`, the shop's own time; "" where it is no time. */
static void hour_of(const char *time, char hour[CLOCK_HOUR])
{
    snprintf(hour, CLOCK_HOUR, "%.5s", strlen(time) >= 16 ? time + 11 : "");
}

/* A batch that is not finished has no hour: the page then says that it waits. */
void lists_finished(const json_t *batch, char hour[CLOCK_HOUR])
{
    hour_of(member_text(batch, "finished"), hour);
}

/* Day and minute: seconds tell a painter nothing. */
void lists_begun(const json_t *batch, char day[CLOCK_DAY])
{
    snprintf(day, CLOCK_DAY, "%.16s", member_text(batch, "begun"));
    if (strlen(day) > 10)
        day[10] = ' ';
}

/* As page_find.c draws them; the reducer stands apart from the parts, as the daemon sends it. */
size_t lists_record_lines(const json_t *batch)
{
    return json_array_size(json_object_get(batch, "parts")) + json_array_size(json_object_get(batch, "facts")) +
           json_array_size(json_object_get(batch, "cautions")) + (shown_object(batch, "reducer") != NULL) +
           (shown_object(batch, "uncertainty") != NULL);
}

/* Null is a batch of before there was the member: it counts as not activated, and its record says more. */
bool lists_activated(const json_t *batch)
{
    return json_is_true(json_object_get(batch, "activated"));
}

/* Of paint that is not activated this is a day, which has no hour. */
bool lists_use_by(const json_t *batch, char hour[CLOCK_HOUR])
{
    hour_of(member_text(batch, "use_by"), hour);
    return hour[0] != '\0';
}

/* Set with each answer: a screen that stands open over midnight shows the new day's batches. */
void lists_day(struct lists *l, int64_t wall_s)
{
    char now[TIMESTAMP_ROOM];
    timestamp_wall(wall_s, now);
    snprintf(l->today, sizeof l->today, "%.10s", now);
}

/* Both times are the shop's own, so no zone is applied to either. */
bool lists_past_use(const json_t *batch, int64_t wall_s)
{
    char now[TIMESTAMP_ROOM];
    timestamp_wall(wall_s, now);
    return strncmp(member_text(batch, "use_by"), now, strlen(now)) < 0; /* such times sort as text */
}

/* `standard` would stand on nearly every line. */
const char *lists_other_variant(const json_t *batch)
{
    const char *variant = member_text(batch, "variant");
    return strcmp(variant, "standard") == 0 ? "" : variant;
}

/* NULL where nothing was answered yet: every reader of a list takes that for an empty one. */
static const json_t *batches(const struct lists *l, enum list_kind kind)
{
    return json_object_get(l->answer[kind], "batches");
}

/* The batch of that number in a list; NULL: it is not there. */
static const json_t *numbered(const json_t *list, const char *number)
{
    for (size_t i = 0; i < json_array_size(list); i++)
        if (strcmp(member_text(json_array_get(list, i), "batch"), number) == 0)
            return json_array_get(list, i);
    return NULL;
}

/* The daemon tells the states; the order of spraying is that of the list. */
const json_t *lists_next_coat(const json_t *order)
{
    const json_t *coats = json_object_get(order, "coats");
    for (size_t i = 0; i < json_array_size(coats); i++)
        if (strcmp(member_text(json_array_get(coats, i), "state"), "not_mixed") == 0)
            return json_array_get(coats, i);
    return NULL;
}

/* Few, so that today's batches keep digits of their own. */
const json_t *lists_waiting(const struct lists *l, size_t n)
{
    const json_t *orders = json_object_get(l->answer[LIST_ORDERS], "orders");
    for (size_t i = 0; n < WAITING && i < json_array_size(orders); i++)
        if (lists_next_coat(json_array_get(orders, i)) && n-- == 0)
            return json_array_get(orders, i);
    return NULL;
}

/* A batch has a number; an order names a vehicle, if only as null. */
bool lists_is_order(const json_t *one)
{
    return !json_object_get(one, "batch") && json_object_get(one, "vehicle") != NULL;
}

/* What waits stands among what was finished today, newest first as the daemon sends it. What was held last week is
 * beyond the newest that were asked for, and comes behind them. Yesterday's are found by the page of colours. */
const json_t *lists_batch(const struct lists *l, size_t n)
{
    const json_t *list = batches(l, LIST_TODAY), *held = batches(l, LIST_HELD);
    for (size_t i = 0; lists_waiting(l, i); i++) /* orders first: the next job is what a painter comes for */
        if (n-- == 0)
            return lists_waiting(l, i);
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *one = json_array_get(list, i);
        const char *time = member_text(one, "finished");
        bool shown = lists_waits(one) || (strcmp(member_text(one, "state"), "scrapped") != 0 && time[0] &&
                                          strncmp(time, l->today, strlen(l->today)) == 0);
        if (shown && n-- == 0)
            return one;
    }
    for (size_t i = 0; i < json_array_size(held); i++) {
        const json_t *one = json_array_get(held, i);
        if (!numbered(list, lists_id(one)) && n-- == 0)
            return one;
    }
    return NULL;
}

/* Counted by asking, so that what counts as waiting is decided once. */
size_t lists_batches(const struct lists *l)
{
    size_t n = 0;
    while (lists_batch(l, n))
        n++;
    return n;
}

/* A label's code says POISE:, people say or write #; a bare number may be an order as well, which the search finds too.
 */
const char *lists_number(const char *text)
{
    if (strncasecmp(text, "POISE:", 6) == 0)
        text += 6;
    else if (*text == '#')
        text++;
    return *text && strspn(text, "0123456789") == strlen(text) ? text : NULL;
}

/* The n-th batch that was found: the one of the number that is written, then the others as the daemon sends them. */
static const json_t *found(const struct lists *l, const char *text, size_t n)
{
    const json_t *list = batches(l, LIST_FOUND);
    const json_t *exact = lists_number(text) ? numbered(list, lists_number(text)) : NULL;
    if (exact && n-- == 0)
        return exact;
    for (size_t i = 0; i < json_array_size(list); i++)
        if (json_array_get(list, i) != exact && n-- == 0)
            return json_array_get(list, i);
    return NULL;
}

/* The daemon has looked for the formulas by the text already; products are looked for here, as its list of them is
 * short and has no text. */
const json_t *lists_match(const struct lists *l, const char *text, size_t n)
{
    const json_t *one = named(json_object_get(l->answer[LIST_FORMULAS], "formulas"), "", &n);
    if (!one)
        one = named(json_object_get(l->answer[LIST_PRODUCTS], "products"), text, &n);
    return one ? one : found(l, text, n);
}

/* Saves a key where nothing else can be meant, and never guesses between two colours. */
bool lists_meant(const struct lists *l, const char *text)
{
    const json_t *first = lists_match(l, text, 0), *second = lists_match(l, text, 1);
    if (!first || !second)
        return first != NULL;
    if (lists_is_batch(first))
        return lists_number(text) && strcmp(lists_id(first), lists_number(text)) == 0;
    return lists_is_batch(second);
}

/* By its member, since one list shows colours, products and batches together. */
bool lists_is_batch(const json_t *match)
{
    return json_object_get(match, "batch") != NULL;
}

/* A copy: the list that it stands in is read anew while its amount is typed. */
void lists_want(struct lists *l, const json_t *match)
{
    json_t *copy = json_deep_copy(match);
    lists_keep(l, LIST_WANTED, copy);
    json_decref(copy);
}

/* A ratio mix has its product's code for a formula. */
void lists_want_colour_of(struct lists *l, const json_t *batch)
{
    const json_t *products = json_object_get(l->answer[LIST_PRODUCTS], "products");
    const char *product = member_text(batch, "product"), *formula = member_text(batch, "formula");
    if (product[0] && strcmp(product, formula) == 0) {
        for (size_t i = 0; i < json_array_size(products); i++)
            if (strcmp(lists_id(json_array_get(products, i)), product) == 0)
                lists_want(l, json_array_get(products, i));
        return;
    }
    json_t *colour = json_pack("{s:s, s:s, s:[{s:s, s:[s]}]}", "code", formula, "name", member_text(batch, "name"),
                               "coats", "coat", member_text(batch, "coat"), "variants", member_text(batch, "variant"));
    lists_keep(l, LIST_WANTED, colour);
    json_decref(colour);
}

/* A product is one itself; a colour's is the one for any colour of that coat. */
const json_t *lists_product_of(const struct lists *l, const json_t *wanted, const char *coat)
{
    const json_t *products = json_object_get(l->answer[LIST_PRODUCTS], "products");
    if (!wanted || lists_is_product(wanted))
        return wanted;
    for (size_t i = 0; i < json_array_size(products); i++) {
        const json_t *one = json_array_get(products, i);
        const char *first = json_string_value(json_array_get(json_object_get(one, "parts"), 0));
        if (first && strcmp(member_text(one, "role"), coat) == 0 &&
            (strcmp(first, "colour") == 0 || strcmp(first, lists_id(wanted)) == 0))
            return one;
    }
    return NULL;
}

size_t lists_matches(const struct lists *l, const char *text)
{
    size_t n = 0;
    while (lists_match(l, text, n))
        n++;
    return n;
}

/* A formula has coats, a product has none. */
bool lists_is_product(const json_t *match)
{
    return !json_object_get(match, "coats") && !lists_is_batch(match);
}

/* A product has one, its role; without a role it has nothing to choose. */
size_t lists_coats(const json_t *match)
{
    return lists_is_product(match) ? member_text(match, "role")[0] != '\0'
                                   : json_array_size(json_object_get(match, "coats"));
}

/* A product is the coat of its role: a clear is a clear. */
const char *lists_coat(const json_t *match, size_t coat)
{
    return lists_is_product(match) ? member_text(match, "role")
                                   : member_text(json_array_get(json_object_get(match, "coats"), coat), "coat");
}

/* NULL: no such coat. */
static const json_t *variants_of(const json_t *match, size_t coat)
{
    return json_object_get(json_array_get(json_object_get(match, "coats"), coat), "variants");
}

/* A product has none, and so nothing to choose. */
size_t lists_variants(const json_t *match, size_t coat)
{
    return json_array_size(variants_of(match, coat));
}

const char *lists_variant(const json_t *match, size_t coat, size_t variant)
{
    const char *name = json_string_value(json_array_get(variants_of(match, coat), variant));
    return name ? name : "";
}

const json_t *lists_toner(const struct lists *l, const char *text, size_t n)
{
    return named(json_object_get(l->answer[LIST_TONERS], "toners"), text, &n);
}

size_t lists_toners(const struct lists *l, const char *text)
{
    size_t n = 0;
    while (lists_toner(l, text, n))
        n++;
    return n;
}

/* One count runs through stations and then free ports, so that one digit opens either. */
const json_t *lists_scale(const struct lists *l, size_t n)
{
    const json_t *scales = json_object_get(l->answer[LIST_SCALES], "scales");
    size_t stations = json_array_size(scales);
    return n < stations ? json_array_get(scales, n)
                        : json_array_get(json_object_get(l->answer[LIST_SCALES], "ports"), n - stations);
}
