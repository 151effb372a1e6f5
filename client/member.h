/* member.h - members of the daemon's objects, read without fuss: what is missing, null or of another kind is "", NaN or
 * NULL, so that nobody takes what is not known for 0. Pure; what is returned is borrowed from the object. */
#pragma once

#include <jansson.h>

const char *member_text(const json_t *object, const char *name);
double member_number(const json_t *object, const char *name);
const json_t *member_list(const json_t *object, const char *name);
