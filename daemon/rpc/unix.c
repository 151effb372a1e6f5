/* unix.c - the Unix socket: taking its place, listening, going away. */
#include "rpc/conn.h"

#include "daemon.h"
#include "log.h"

#include <errno.h>
#include <fcntl.h>
#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

/* More than a shop has screens that come back at once after a restart; beyond it a connect waits. */
#define BACKLOG 64

/* errno says why; step is the system call. */
static bool failed(struct fault *fault, const char *path, const char *what)
{
    return fault_said(fault, FAULT_STORE, "socket", "io", "socket_failed path=%s step=%s why=%s", path, what,
                      said_reason(errno));
}

/* Exit 75: the same again may work once the other has ended. */
static bool taken(struct fault *fault, const char *path)
{
    return fault_said(fault, FAULT_NOT_PERMITTED, "socket", "busy", "socket_taken path=%s", path);
}

/* Removes a socket file that nobody listens on. A full backlog or any other doubt means that somebody does. */
static bool remove_stale(const char *path, const struct sockaddr_un *address, struct fault *fault)
{
    struct stat st;
    int probe, refused;

    if (lstat(path, &st) < 0)
        return errno == ENOENT || failed(fault, path, "lstat");
    if (!S_ISSOCK(st.st_mode))
        return fault_said(fault, FAULT_STORE, "socket", "io", "socket_is_none path=%s", path);
    probe = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    if (probe < 0)
        return failed(fault, path, "socket");
    refused = connect(probe, (const struct sockaddr *)address, sizeof *address) < 0 && errno == ECONNREFUSED;
    close(probe);
    if (!refused)
        return taken(fault, path);
    return unlink(path) == 0 || errno == ENOENT || failed(fault, path, "unlink");
}

/* Bound and listened on with nobody between: mode before listen, since a connect is refused until then. */
static int bind_there(struct rpc_server *s, const struct sockaddr_un *address, struct fault *fault)
{
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_NONBLOCK | SOCK_CLOEXEC, 0);
    struct stat st;

    if (fd < 0) {
        failed(fault, s->path, "socket");
        return -1;
    }
    if (bind(fd, (const struct sockaddr *)address, sizeof *address) < 0) {
        failed(fault, s->path, "bind");
        close(fd);
        return -1;
    }
    if (chmod(s->path, 0660) < 0 || lstat(s->path, &st) < 0 || listen(fd, BACKLOG) < 0) {
        failed(fault, s->path, "listen");
        close(fd);
        unlink(s->path);
        return -1;
    }
    s->device = st.st_dev;
    s->inode = st.st_ino;
    return fd;
}

/* The folder is locked meanwhile, so that of two daemons that start at once none removes the other's fresh socket. A
 * lock on the folder itself leaves no file behind. */
static int take_place(struct rpc_server *s, struct fault *fault)
{
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    char copy[sizeof s->path];
    int folder, fd = -1;

    memcpy(address.sun_path, s->path, sizeof s->path);
    memcpy(copy, s->path, sizeof copy);
    folder = open(dirname(copy), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (folder < 0) {
        failed(fault, s->path, "open");
        return -1;
    }
    if (flock(folder, LOCK_EX | LOCK_NB) < 0)
        taken(fault, s->path);
    else if (remove_stale(s->path, &address, fault))
        fd = bind_there(s, &address, fault);
    close(folder);
    return fd;
}

static void on_away(uv_handle_t *handle);

/* No memory: taken with what the server has of its own and closed. Left alone, it would keep libuv from listening on
 * for ever; so another that comes before this one is gone waits for that. */
static void turn_away(struct rpc_server *s)
{
    s->away_waiting = s->away_open;
    if (s->away_open)
        return;
    uv_pipe_init(s->loop, &s->away, 0);
    s->away.data = s;
    s->away_open = true;
    s->handles++;
    (void)uv_accept((uv_stream_t *)&s->listener, (uv_stream_t *)&s->away);
    uv_close((uv_handle_t *)&s->away, on_away);
}

/* Without a descriptor the client stays in the backlog, which libuv tries again. */
static void on_connection(uv_stream_t *listener, int status)
{
    if (status == 0 && !rpc_conn_accept(listener->data))
        turn_away(listener->data);
    if (status != 0)
        log_warnx("a client could not be taken: %s", uv_strerror(status));
}

/* The last of listener, idle handle, timer and connections frees the server. */
static void end_if_all_gone(struct rpc_server *s)
{
    if (!s->closing || s->handles > 0 || s->count > 0)
        return;
    if (s->closed)
        s->closed(s->closed_arg);
    free(s);
}

/* Of the listener, the idle handle or the timer. */
static void on_handle_closed(uv_handle_t *handle)
{
    struct rpc_server *s = handle->data;

    s->handles--;
    end_if_all_gone(s);
}

static void on_away(uv_handle_t *handle)
{
    struct rpc_server *s = handle->data;
    bool waiting = s->away_waiting && !s->closing;

    s->away_open = s->away_waiting = false;
    if (waiting)
        on_connection((uv_stream_t *)&s->listener, 0);
    s->handles--;
    end_if_all_gone(s);
}

/* A connection's memory is gone. */
static void forget(struct rpc_server *s)
{
    s->count--;
    end_if_all_gone(s);
}

/* libuv's own bind would cut a long path and leave no moment for chmod; so the socket is made by hand and handed to
 * it. */
struct rpc_server *rpc_listen(uv_loop_t *loop, struct daemon *d, const char *socket_path, struct fault *fault)
{
    struct rpc_server *s;
    int fd, r;

    if (socket_path[0] == '\0' || strlen(socket_path) >= sizeof s->path) {
        fault_said(fault, FAULT_INVALID, "socket", "too long", "socket_path most=%zu", sizeof s->path - 1);
        return NULL;
    }
    s = calloc(1, sizeof *s);
    if (!s) {
        fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
        return NULL;
    }
    s->loop = loop;
    s->daemon = d;
    snprintf(s->path, sizeof s->path, "%s", socket_path);
    fd = take_place(s, fault);
    if (fd < 0) {
        free(s);
        return NULL;
    }
    uv_pipe_init(loop, &s->listener, 0);
    s->forget = forget;
    uv_idle_init(loop, &s->later);
    uv_timer_init(loop, &s->due);
    s->listener.data = s->later.data = s->due.data = s;
    s->handles = 3;
    r = uv_pipe_open(&s->listener, fd);
    if (r < 0)
        close(fd);
    if (r == 0)
        r = uv_listen((uv_stream_t *)&s->listener, BACKLOG, on_connection);
    if (r == 0)
        return s;
    fault_said(fault, FAULT_STORE, "socket", "io", "socket_failed path=%s step=%s why=%s", socket_path, "listen",
               uv_strerror(r));
    rpc_close(s, NULL, NULL);
    return NULL;
}

/* Only our own socket file is removed: another daemon may have taken the place since. */
void rpc_close(struct rpc_server *s, void (*closed)(void *arg), void *arg)
{
    struct stat st;

    if (s->closing)
        return;
    s->closing = true;
    s->closed = closed;
    s->closed_arg = arg;
    if (lstat(s->path, &st) == 0 && st.st_dev == s->device && st.st_ino == s->inode)
        unlink(s->path);
    while (s->first)
        rpc_conn_close(s->first);
    uv_close((uv_handle_t *)&s->listener, on_handle_closed);
    uv_close((uv_handle_t *)&s->later, on_handle_closed);
    uv_close((uv_handle_t *)&s->due, on_handle_closed);
}
