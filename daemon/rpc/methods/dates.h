/* dates.h - days as calls name them. */
#pragma once

#include <stdbool.h>

/* YYYY-MM-DD with a month and a day that exist in some year. */
bool date_is(const char *text);
