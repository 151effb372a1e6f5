/* leave.c - a wait that a signal may end. It must not know what is taken back then: the command does that between
 * LEAVE_ASKED and leave_end. Used where a command holds something of the daemon's that a person would miss: a check
 * weight that is begun blocks its bench until it is ended. */
#include "client/socket.h"

#include "text/utf8.h"

#include <errno.h>
#include <poll.h>
#include <string.h>
#include <sys/signalfd.h>
#include <unistd.h>

/* Signals are turned into a descriptor that poll can wait for beside the socket: a handler could not take back a
 * check, and a flag alone would be seen only when the wait is over. */
void leave_begin(struct leave *l)
{
    static const int signals[] = {SIGINT, SIGTERM, SIGHUP};
    sigset_t set;
    *l = (struct leave){.fd = -1};
    sigemptyset(&set);
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++) {
        struct sigaction now; /* one that is ignored, as behind nohup, a descriptor would tell of all the same */
        if (sigaction(signals[i], NULL, &now) == 0 && now.sa_handler != SIG_IGN)
            sigaddset(&set, signals[i]);
    }
    sigprocmask(SIG_BLOCK, &set, &l->before);
    l->fd = signalfd(-1, &set, SFD_NONBLOCK | SFD_CLOEXEC);
    if (l->fd < 0)
        sigprocmask(SIG_SETMASK, &l->before, NULL);
}

/* The signal that came is raised again with the old mask, so a shell sees that the program was interrupted and not
 * that it ended by itself. */
void leave_end(struct leave *l)
{
    if (l->fd < 0)
        return;
    close(l->fd);
    l->fd = -1;
    sigprocmask(SIG_SETMASK, &l->before, NULL);
    if (l->signal)
        raise(l->signal);
}

/* Remembers the first signal: leave_end raises it again when all is taken back. The first signal counts: who presses
 * Ctrl-C twice wants the same thing twice. */
static bool asked(struct leave *l)
{
    struct signalfd_siginfo info;
    if (!l->signal && l->fd >= 0 && read(l->fd, &info, sizeof info) == (ssize_t)sizeof info)
        l->signal = (int)info.ssi_signo;
    return l->signal != 0;
}

/* Until fd can be read, a signal comes, or the time is up. Milliseconds of now_ms. A `until` that has passed looks
 * once and does not wait. */
static void wait_for(const struct leave *l, int fd, long long until)
{
    struct pollfd fds[] = {{.fd = fd, .events = POLLIN}, {.fd = l->fd, .events = POLLIN}};
    long long left = until - now_ms();
    (void)poll(fds, 2, left > 0 ? (int)left : 0); /* poll lets a descriptor of -1 pass */
}

/* As socket_call, but a signal ends the wait. Messages that are there already are read before the signal is looked
 * at: an answer that has come counts. */
enum leave_outcome leave_call(struct leave *l, struct poise_socket *s, const char *method, json_t *params,
                              json_t **answer, int timeout_ms)
{
    json_int_t id = 0;
    long long until = now_ms() + timeout_ms;
    *answer = NULL;
    if (socket_send(s, method, params, &id) != SOCKET_OK)
        return LEAVE_LOST;
    for (;;) {
        json_t *message = NULL;
        enum socket_outcome outcome = socket_receive(s, &message, 0);
        const json_t *its = json_object_get(message, "id");
        bool note = json_object_get(message, "method") != NULL;
        if (outcome == SOCKET_OK && !note && (json_integer_value(its) == id || json_is_null(its))) {
            *answer = message;
            return LEAVE_ANSWERED;
        }
        json_decref(message);
        if (asked(l))
            return LEAVE_ASKED;
        if (outcome == SOCKET_LOST || outcome == SOCKET_LIES || now_ms() >= until)
            return LEAVE_LOST;
        if (outcome == SOCKET_LATE)
            wait_for(l, s->fd, until);
    }
}

/* In place. CR as well: a terminal in raw mode sends it in front of the line end. */
static void trim(char *line)
{
    size_t len = strlen(line), first = strspn(line, " \t");
    while (len > first && strchr(" \t\r", line[len - 1]))
        len--;
    memmove(line, line + first, len - first);
    line[len - first] = '\0';
}

/* Byte by byte, since what was typed ahead for the next question must stay in the terminal. A line longer than
 * `size` counts as empty: half a name would be a wrong one. */
bool leave_line(struct leave *l, char *line, size_t size)
{
    size_t len = 0;
    for (;;) {
        char c;
        /* An hour at a time: poll takes an int, and nobody stands at the scale longer. */
        wait_for(l, STDIN_FILENO, now_ms() + 3600000);
        if (asked(l))
            return false;
        struct pollfd p = {.fd = STDIN_FILENO, .events = POLLIN};
        if (poll(&p, 1, 0) != 1)
            continue;
        ssize_t got = read(STDIN_FILENO, &c, 1);
        if (got == 0 || (got < 0 && errno != EINTR))
            return false;
        if (got == 1 && c == '\n')
            break;
        if (got == 1 && len < size)
            line[len++] = c;
    }
    line[len < size ? len : 0] = '\0';
    trim(line);
    if (!utf8_is_clean(line)) /* a key that is no letter (an arrow) came with it, or not UTF-8: no name */
        line[0] = '\0';
    return true;
}
