#include "client/when.h"

#include <stdio.h>
#include <string.h>

struct when when_of(const char *time)
{
    struct when w;
    snprintf(w.text, sizeof w.text, "%.*s", (int)strcspn(time, ".Z+"), time);
    char *t = strchr(w.text, 'T');
    if (t)
        *t = ' ';
    return w;
}

struct when when_day(const char *time)
{
    struct when w;
    snprintf(w.text, sizeof w.text, "%.*s", (int)strcspn(time, "T"), time);
    return w;
}
