/* log.c - one line to stderr, errno left alone. Knows nobody. */
#include "log.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* One fprintf a line: lines of two threads then stay whole. */
static void line(const char *level, const char *tail, const char *format, va_list args)
{
    char text[512];
    int kept = errno;
    vsnprintf(text, sizeof text, format, args);
    fprintf(stderr, "poised: %s%s%s%s\n", level, text, tail ? ": " : "", tail ? tail : "");
    errno = kept;
}

void log_info(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    line("", NULL, format, args);
    va_end(args);
}

/* With the words of errno; log_warnx without. */
void log_warn(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    line("warning: ", strerror(errno), format, args);
    va_end(args);
}

void log_warnx(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    line("warning: ", NULL, format, args);
    va_end(args);
}
