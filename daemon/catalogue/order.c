/* order.c - in which order things were read, kept over readings. Knows no kind by name. */
#include "catalogue/order.h"

#include "id.h"
#include "text/json_read.h"

#include <stdio.h>
#include <string.h>

/* A store_item_get callback: *arg is the list, NULL at first. The row lives only until it returns. */
static void take_ids(void *arg, const struct store_item *i)
{
    json_t **out = arg;
    json_t *body = i->body ? json_read_text(i->body) : NULL;
    json_decref(*out);
    *out = json_incref(json_object_get(body, "ids"));
    json_decref(body);
}

json_t *order_kept(struct store *s, const char *kind)
{
    json_t *out = NULL;
    store_item_get(s, "order", kind, 0, take_ids, &out);
    return out;
}

/* {id: place}, from 0, so that one look does for a search through all. */
json_t *order_places(const json_t *ids)
{
    json_t *out = json_object();
    size_t i;
    json_t *id;
    json_array_foreach((json_t *)ids, i, id)
        json_object_set_new(out, json_string_value(id), json_integer((json_int_t)i));
    return out;
}

/* kept, with the ids that are in read as well put into read's order in the places they had. */
static json_t *rearrange(const json_t *kept, const json_t *read, const json_t *in_kept, const json_t *in_read)
{
    json_t *out = json_array(), *id;
    size_t i, next = 0, n = json_array_size(read);
    json_array_foreach((json_t *)kept, i, id)
    {
        if (!json_object_get(in_read, json_string_value(id))) {
            json_array_append(out, id);
            continue;
        }
        while (next < n && !json_object_get(in_kept, json_string_value(json_array_get(read, next))))
            next++;
        json_array_append(out, json_array_get(read, next++));
    }
    return out;
}

/* Three rules, each for a person who edits files: what is read stands as read; what was taken out of a file, or put by
 * hand, keeps its place; what is new stands where it was written. */
json_t *order_merge(const json_t *kept, const json_t *read)
{
    json_t *in_kept = order_places(kept), *in_read = order_places(read);
    json_t *old = rearrange(kept, read, in_kept, in_read), *out = json_array();
    size_t i, at = 0, n = json_array_size(read);
    json_t *id;
    /* A new id goes just before the next known one of its reading, or to the end. */
    json_array_foreach(old, i, id)
    {
        bool was_read = json_object_get(in_read, json_string_value(id)) != NULL;
        while (was_read && at < n && !json_equal(json_array_get(read, at), id))
            json_array_append(out, json_array_get(read, at++));
        at += was_read ? 1 : 0;
        json_array_append(out, id);
    }
    while (at < n)
        json_array_append(out, json_array_get(read, at++));
    json_decref(old);
    json_decref(in_kept);
    json_decref(in_read);
    return out;
}

/* A store_item_get callback: *arg is the text, NULL at first. */
static void take_text(void *arg, const struct store_item *i)
{
    *(char **)arg = i->body ? strdup(i->body) : NULL;
}

char *order_text(struct store *s, const char *kind)
{
    char *text = NULL;
    if (store_item_get(s, "order", kind, 0, take_text, &text) == STORE_FOUND && !text)
        store_lost(s);
    return text;
}

/* An id holds nothing that JSON writes otherwise. */
ptrdiff_t order_place(const char *text, const char *id)
{
    char quoted[ID_MAX + 2];
    snprintf(quoted, sizeof quoted, "\"%s\"", id);
    const char *at = text ? strstr(text, quoted) : NULL;
    return at ? at - text : -1;
}
