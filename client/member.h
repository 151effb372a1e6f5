/* member.h - members of the daemon's objects, read without fuss: what is missing or null is "" or NaN.
 *
 * Owner   Everything handed out is borrowed from the object.
 */
#pragma once

#include <jansson.h>

const char *member_text(const json_t *object, const char *name);
double member_number(const json_t *object, const char *name);
/* The list of that name, or NULL. The list of an answer such as {"toners":[...],"next":null}: its first list. */
const json_t *member_list(const json_t *object, const char *name);
const json_t *member_first_list(const json_t *object);
