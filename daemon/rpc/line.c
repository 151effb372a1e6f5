/* line.c - bytes to lines, bounded. It must not know what a line holds. */
#include "rpc/conn.h"

#include <stdlib.h>
#include <string.h>

/* A whole line, its newline, and one more read. */
#define CAP_MAX (RPC_LINE_MAX + 1u + RPC_LINE_ROOM)

/* What was taken in front is given up, so that the room behind grows without more memory. */
static void move_down(struct rpc_line *l)
{
    if (l->start == 0)
        return;
    memmove(l->data, l->data + l->start, l->end - l->start);
    l->end -= l->start;
    l->start = 0;
}

/* Doubles until a whole line fits, so that a long call is moved few times. */
char *rpc_line_room(struct rpc_line *l, size_t *room)
{
    if (l->cap - l->end < RPC_LINE_ROOM)
        move_down(l);
    if (l->cap - l->end < RPC_LINE_ROOM && l->cap < CAP_MAX) {
        size_t cap = l->cap ? l->cap * 2 : RPC_LINE_ROOM;
        char *data;

        if (cap > CAP_MAX)
            cap = CAP_MAX;
        data = realloc(l->data, cap);
        if (!data)
            return NULL;
        l->data = data;
        l->cap = cap;
    }
    *room = l->cap - l->end;
    return *room > 0 ? l->data + l->end : NULL;
}

/* At most what rpc_line_room gave. */
void rpc_line_filled(struct rpc_line *l, size_t n)
{
    l->end += n;
}

/* An idle connection keeps little, whatever it sent once. */
static void rest(struct rpc_line *l)
{
    l->start = l->end = l->seen = 0;
    if (l->cap > RPC_LINE_ROOM) {
        free(l->data);
        l->data = NULL;
        l->cap = 0;
    }
}

/* Looks only at bytes that were not looked at: a line that drips in is searched once. */
enum rpc_line_result rpc_line_next(struct rpc_line *l, const char **line, size_t *len)
{
    const char *from, *newline;

    if (l->start == l->end) {
        rest(l);
        return RPC_LINE_NONE;
    }
    from = l->data + l->start;
    newline = memchr(from + l->seen, '\n', l->end - l->start - l->seen);
    if (!newline) {
        l->seen = l->end - l->start;
        return l->seen > RPC_LINE_MAX ? RPC_LINE_TOO_LONG : RPC_LINE_NONE;
    }
    if ((size_t)(newline - from) > RPC_LINE_MAX)
        return RPC_LINE_TOO_LONG;
    *line = from;
    *len = (size_t)(newline - from);
    l->start += *len + 1;
    l->seen = 0;
    return RPC_LINE_WHOLE;
}

/* Of a connection that is to end: nothing of it is a call any more. */
void rpc_line_drop(struct rpc_line *l)
{
    rest(l);
}

/* The struct may be used again afterwards. */
void rpc_line_finish(struct rpc_line *l)
{
    free(l->data);
    *l = (struct rpc_line){0};
}
