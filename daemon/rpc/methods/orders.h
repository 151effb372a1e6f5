/* orders.h - an order as the shop sees it: what was put, and what became of each coat.
 *
 * An order is an item `order` of the store, as it was put; the state of its coats follows from their batches' rows.
 * Owner   Each json_t is a new reference.
 */
#pragma once

#include "store/store.h"

#include <jansson.h>

/* Adds `n`, `state`, `batches` and `station` to each coat, and `touch_ups`, `cost` and `currency` to the order. False:
 * the store could not be read. */
bool order_complete(struct store *view, json_t *order, const char *currency);
/* The batches of the n-th coat (from 0) of a completed order: how many. */
size_t order_coat_batches(const json_t *order, size_t n);
