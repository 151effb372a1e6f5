/* dates.h - days as calls name them. */
#pragma once

#include <stdbool.h>

/* YYYY-MM-DD, a day of the calendar. */
bool date_is(const char *text);
