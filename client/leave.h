/* leave.h - waiting for an answer or a line of the keyboard, and being told when the person wants to leave meanwhile.
 *
 *   leave_begin(&l);  ... leave_call, leave_line ...  leave_end(&l);
 *
 * From begin to end SIGINT, SIGTERM and SIGHUP end no program: a wait returns instead, so that what was begun can be
 * taken back. leave_end then lets the signal that came do its work. One that was ignored before stays so.
 */
#pragma once

#include "client/socket.h"

#include <signal.h>

struct leave {
    int fd; /* signalfd; -1: none */
    sigset_t before;
    int signal; /* that came; 0: none */
};

/* Where the system gives no descriptor for signals they work as ever. */
void leave_begin(struct leave *l);
/* Signals work as before; one that came ends the program now. May be called twice. */
void leave_end(struct leave *l);

enum leave_outcome {
    LEAVE_ANSWERED, /* *answer is the whole object, the caller's */
    LEAVE_ASKED,    /* a signal came */
    LEAVE_LOST,     /* no answer in that time, or no daemon any more */
};
/* As socket_call; the params are taken over. */
enum leave_outcome leave_call(struct leave *l, struct poise_socket *s, const char *method, json_t *params,
                              json_t **answer, int timeout_ms);
/* A line of stdin without its end and without blanks around it; "" where it is no UTF-8 or does not fit. False: a
 * signal, or the end of stdin. */
bool leave_line(struct leave *l, char *line, size_t size);
