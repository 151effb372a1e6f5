/* log.c - what the service manager hears of us: lines on stderr, and that we are ready or stopping. Knows nobody. */
#include "log.h"

#include <errno.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

/* One fprintf a line: lines of two threads then stay whole. */
static void line(const char *level, const char *tail, const char *format, va_list args)
{
    char text[512];
    int kept = errno;
    vsnprintf(text, sizeof text, format, args);
    fprintf(stderr, "poised: %s%s%s%s\n", level, text, tail ? ": " : "", tail ? tail : "");
    errno = kept;
}

/* What a person may want to see once: a scale came back, a port was lent. */
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

/* What somebody should look at, where no system call failed. */
void log_warnx(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    line("warning: ", NULL, format, args);
    va_end(args);
}

/* Never waits and never fails aloud: a service manager that does not listen must not keep a bench from pouring. */
void notify_service(const char *state)
{
    const char *path = getenv("NOTIFY_SOCKET");
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    if (!path || (path[0] != '/' && path[0] != '@') || strlen(path) >= sizeof to.sun_path)
        return;
    size_t n = strlen(path);
    memcpy(to.sun_path, path, n);
    /* An abstract socket: its name begins with a NUL byte in place of the @, and its length ends it. */
    if (path[0] == '@')
        to.sun_path[0] = '\0';
    int fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0)
        return;
    sendto(fd, state, strlen(state), MSG_NOSIGNAL | MSG_DONTWAIT, (struct sockaddr *)&to,
           (socklen_t)(offsetof(struct sockaddr_un, sun_path) + n));
    close(fd);
}
