/* print.c - two children, one after the other: the drawing and the print command. Knows no batch and no paper. */
#include "print/print.h"

#include "text/utf8.h"

#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Of each child: a print queue that is stuck may never answer, and one that has not taken it by then will not. */
#define LIMIT_MS 30000
#define STOP_MS  2000 /* the same once poised ends: a queue that works takes a label in less */

/* One label on its way. Freed in end(), when the handles of the last child are closed. */
struct print_job {
    struct print_jobs *jobs;
    struct print_job *prev, *next;
    uv_loop_t *loop;
    uv_process_t process;
    uv_pipe_t in, err;
    uv_timer_t limit;
    uv_write_t write;
    char *program, *command, *json; /* owned */
    char pdf[72];                   /* "": there is no file */
    char said[200];                 /* first bytes of the child's stderr */
    size_t said_len;
    char spill[256]; /* what does not fit, never read */
    char why[320];   /* "" while all is well */
    bool printing;   /* the second child is the present one */
    bool ok, late;   /* it went well; it was ended for its time */
    bool picture;    /* an SVG, for a screen */
    int open;        /* handles of the present child */
    int64_t status;  /* exit code of the present child */
    print_done *done;
    print_drawn *drawn; /* in place of done: the drawing alone was asked for */
    void *arg;
};

/* First the drawing, then the print command with the PDF as its last word. The command is a line of the shop's own
 * configuration, so a shell may read it; what a client says never gets into it. */
static void next_child(struct print_job *j);

/* Once, when the last has ended. */
static void tell_end(struct print_jobs *jobs)
{
    void (*ended)(void *arg) = jobs->first ? NULL : jobs->ended;
    if (!ended)
        return;
    jobs->ended = NULL;
    ended(jobs->arg);
}

/* Tells whoever waits, once, and only then lets go: done may start the next label. The PDF is gone by then, so a print
 * command that only queues must have copied it (lp does). */
static void end(struct print_job *j)
{
    struct print_jobs *jobs = j->jobs;
    if (j->prev)
        j->prev->next = j->next;
    else
        jobs->first = j->next;
    if (j->next)
        j->next->prev = j->prev;
    if (j->drawn)
        j->drawn(j->arg, j->ok ? j->pdf : NULL, j->why);
    if (j->pdf[0])
        unlink(j->pdf);
    if (j->done)
        j->done(j->arg, j->ok, j->why);
    free(j->program);
    free(j->command);
    free(j->json);
    free(j);
    tell_end(jobs);
}

/* The child and its pipes are gone: go on, or say why not. */
static void child_closed(uv_handle_t *handle)
{
    struct print_job *j = handle->data;
    if (--j->open > 0)
        return;
    char said[sizeof j->said];
    j->said[strcspn(j->said, "\n")] = '\0';
    utf8_clean(said, sizeof said, j->said); /* in whatever coding, and cut anywhere */
    if (j->status == 0 && !j->printing && !j->drawn) {
        j->printing = true;
        next_child(j);
        return;
    }
    j->ok = j->status == 0;
    if (!j->ok && !j->why[0])
        snprintf(j->why, sizeof j->why, "%s: %s", j->printing ? "the print command failed" : "the label was not drawn",
                 j->late            ? j->jobs->stopping ? "poised was ended meanwhile" : "it took more than 30 s"
                 : said[0]          ? said
                 : j->status == 127 ? "no such command"
                                    : "it gave no reason");
    end(j);
}

/* Closes all four handles; child_closed goes on with the last. */
static void close_child(struct print_job *j)
{
    uv_handle_t *handles[] = {(uv_handle_t *)&j->process, (uv_handle_t *)&j->in, (uv_handle_t *)&j->err,
                              (uv_handle_t *)&j->limit};
    for (size_t i = 0; i < 4; i++)
        if (!uv_is_closing(handles[i]))
            uv_close(handles[i], child_closed);
}

/* A child that a signal ended counts as 128 and its number, as a shell says it. */
static void on_exit_(uv_process_t *process, int64_t status, int signal)
{
    struct print_job *j = process->data;
    j->status = signal ? 128 + signal : status;
    close_child(j);
}

/* A child that hangs would keep the next label waiting for ever. What it started goes with it: its group is its own. */
static void on_late(uv_timer_t *timer)
{
    struct print_job *j = timer->data;
    j->late = true;
    kill(-j->process.pid, SIGKILL);
}

/* What a child says on stderr, as far as one line of a fault needs it. */
static void room(uv_handle_t *handle, size_t size, uv_buf_t *buf)
{
    struct print_job *j = handle->data;
    (void)size;
    /* What does not fit is read and thrown away, so that the child never blocks. */
    if (j->said_len < sizeof j->said - 1)
        *buf = uv_buf_init(j->said + j->said_len, (unsigned)(sizeof j->said - 1 - j->said_len));
    else
        *buf = uv_buf_init(j->spill, sizeof j->spill);
}

/* Only the first line becomes the reason; a child may go on talking as long as it likes. */
static void on_said(uv_stream_t *stream, ssize_t n, const uv_buf_t *buf)
{
    struct print_job *j = stream->data;
    if (n > 0 && buf->base == j->said + j->said_len) {
        j->said_len += (size_t)n;
        j->said[j->said_len] = '\0';
    }
}

/* The end of its input tells the drawing that the JSON is whole. */
static void on_fed(uv_write_t *write, int status)
{
    struct print_job *j = write->data;
    (void)status;
    if (!uv_is_closing((uv_handle_t *)&j->in))
        uv_close((uv_handle_t *)&j->in, child_closed);
}

/* All four are closed before the next child begins with them anew. */
static void open_handles(struct print_job *j)
{
    uv_pipe_init(j->loop, &j->in, 0);
    uv_pipe_init(j->loop, &j->err, 0);
    uv_timer_init(j->loop, &j->limit);
    j->process.data = j->in.data = j->err.data = j->limit.data = j->write.data = j;
    j->open = 4;
    j->said[0] = '\0';
    j->said_len = 0;
}

/* The print command reads the file, so its input is closed at once. */
static void feed(struct print_job *j)
{
    uv_buf_t text = uv_buf_init(j->json, (unsigned)strlen(j->json));
    if (j->printing || uv_write(&j->write, (uv_stream_t *)&j->in, &text, 1, on_fed) != 0)
        uv_close((uv_handle_t *)&j->in, child_closed);
    uv_read_start((uv_stream_t *)&j->err, room, on_said);
    uv_timer_start(&j->limit, on_late, j->jobs->stopping ? STOP_MS : LIMIT_MS, 0);
}

static void next_child(struct print_job *j)
{
    char script[320];
    snprintf(script, sizeof script, "exec %s \"$1\"", j->command ? j->command : "");
    char *draw[] = {j->program, j->pdf, NULL};
    char *print[] = {"/bin/sh", "-c", script, "poise-print", j->pdf, NULL};
    uv_stdio_container_t stdio[3] = {{.flags = UV_CREATE_PIPE | UV_READABLE_PIPE},
                                     {.flags = UV_IGNORE},
                                     {.flags = UV_CREATE_PIPE | UV_WRITABLE_PIPE}};
    open_handles(j);
    stdio[0].data.stream = (uv_stream_t *)&j->in;
    stdio[2].data.stream = (uv_stream_t *)&j->err;
    uv_process_options_t options = {.exit_cb = on_exit_,
                                    .flags = UV_PROCESS_DETACHED, /* a group of its own */
                                    .file = j->printing ? "/bin/sh" : j->program,
                                    .args = j->printing ? print : draw,
                                    .stdio_count = 3,
                                    .stdio = stdio};
    int failed = uv_spawn(j->loop, &j->process, &options);
    if (failed == 0) {
        feed(j);
        return;
    }
    j->status = 127;
    snprintf(j->why, sizeof j->why, "%s could not be started: %s", j->printing ? "the print command" : j->program,
             uv_strerror(failed));
    close_child(j);
}

/* Everything is copied: a print takes seconds, and its caller has answered long before. Without memory the callback
 * comes at once. */
static void begin(struct print_jobs *jobs, uv_loop_t *loop, const char *label_program, const char *command,
                  const char *json, struct print_job asked)
{
    struct print_job *j = calloc(1, sizeof *j);
    if (!j) {
        if (asked.drawn)
            asked.drawn(asked.arg, NULL, "out of memory");
        if (asked.done)
            asked.done(asked.arg, false, "out of memory");
        return;
    }
    *j = asked;
    j->jobs = jobs;
    j->next = jobs->first;
    if (j->next)
        j->next->prev = j;
    jobs->first = j;
    j->loop = loop;
    j->program = strdup(label_program);
    j->command = strdup(command);
    j->json = strdup(json);
    const char *tmp = getenv("TMPDIR");
    const char *suffix = j->picture ? ".svg" : "";
    snprintf(j->pdf, sizeof j->pdf, "%.32s/poise-label-XXXXXX%s", tmp && *tmp && strlen(tmp) < 33 ? tmp : "/tmp",
             suffix);
    int fd = mkstemps(j->pdf, (int)strlen(suffix));
    if (fd < 0 || !j->program || !j->command || !j->json) {
        j->pdf[0] = '\0';
        snprintf(j->why, sizeof j->why, "no room for the label's file");
        end(j);
        return;
    }
    close(fd);
    next_child(j);
}

/* The PDF's name is made here, with mkstemp: nobody else can have put a file or a link of that name there before. */
void print_label(struct print_jobs *jobs, uv_loop_t *loop, const char *label_program, const char *command,
                 const char *json, print_done *done, void *arg)
{
    begin(jobs, loop, label_program, command, json, (struct print_job){.done = done, .arg = arg});
}

/* A file for who asked, and no printer. */
void print_draw(struct print_jobs *jobs, uv_loop_t *loop, const char *label_program, const char *json, bool picture,
                print_drawn *drawn, void *arg)
{
    begin(jobs, loop, label_program, "", json, (struct print_job){.drawn = drawn, .arg = arg, .picture = picture});
}

void print_stop(struct print_jobs *jobs, void (*ended)(void *arg), void *arg)
{
    jobs->stopping = true;
    jobs->ended = ended;
    jobs->arg = arg;
    for (struct print_job *j = jobs->first; j; j = j->next)
        if (uv_is_active((uv_handle_t *)&j->limit))
            uv_timer_start(&j->limit, on_late, STOP_MS, 0);
    tell_end(jobs);
}
