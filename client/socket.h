/* socket.h - the way to poised: one JSON value a line over its Unix socket.
 *
 * socket_open, then socket_call for a call and its answer; or, for a program with a loop of its own (the terminal
 * screen), socket_send and socket_receive around poll() on `fd`.
 * Owner   A params object is taken over; a message handed out belongs to the caller (json_decref).
 * Errors  Nothing here prints. enum socket_outcome says what happened; errno tells why an open failed.
 */
#pragma once

#include <jansson.h>
#include <signal.h>
#include <stdbool.h>
#include <stddef.h>

struct poise_socket {
    int fd; /* -1: closed */
    char *inbox;
    size_t inbox_len, inbox_size;
    json_int_t last_id;
    /* What arrives while an answer is awaited; NULL: thrown away. The note is borrowed. */
    void (*notify)(void *arg, const char *method, const json_t *params);
    void *notify_arg;
    /* Asked for each line before it is read as JSON; true: it is done with, and stands for no message. NULL: nobody.
     * For what comes so often that a value made of it would cost more than the rest. */
    bool (*takes)(void *arg, const char *line, size_t len);
    void *takes_arg;
};

enum socket_outcome {
    SOCKET_OK,
    SOCKET_LATE, /* nothing within the time given */
    SOCKET_LOST, /* closed or broken by the other side; the socket is closed now */
    SOCKET_LIES, /* what came is no JSON-RPC; the socket is closed now */
};

enum { SOCKET_PATIENCE_MS = 30000 }; /* an accept may take 3 s, a printer longer */

/* Milliseconds of a clock that never goes back: for deadlines. */
long long now_ms(void);

/* Connects. False with errno (ENAMETOOLONG for a path that no socket can have). */
bool socket_open(struct poise_socket *s, const char *path);
void socket_close(struct poise_socket *s);

/* Sends a call; *id is what its answer will bear. */
enum socket_outcome socket_send(struct poise_socket *s, const char *method, json_t *params, json_int_t *id);
/* The next whole message, answer or note, waiting at most timeout_ms for it (0: only what is there already). NULL and
 * SOCKET_OK: a line that `takes` took. */
enum socket_outcome socket_receive(struct poise_socket *s, json_t **message, int timeout_ms);
/* Sends a call and waits for the answer that bears its id: the whole object with `result` or `error`. */
enum socket_outcome socket_call(struct poise_socket *s, const char *method, json_t *params, json_t **answer,
                                int timeout_ms);

/* ---- a wait that the person may end (leave.c) ----
 *
 *   leave_begin(&l);  ... leave_call, leave_line ...  leave_end(&l);
 *
 * From begin to end SIGINT, SIGTERM and SIGHUP end no program: a wait returns instead, so that what was begun can be
 * taken back. leave_end then lets the signal that came do its work. One that was ignored before stays so.
 */

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
