/* output.h - what a command says on stdout as JSON: one object a line, in UTF-8 whatever the locale. */
#pragma once

#include <jansson.h>

/* One value on one line. */
void output_json(const json_t *value);
/* Each item of a list on a line of its own. */
void output_items(const json_t *list);
