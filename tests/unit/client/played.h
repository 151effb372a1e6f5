/* played.h - a daemon played by the test: a thread that answers line by line from a script, hangs up where the script
 * says so, and keeps what it was sent; and a command run against it in this process.
 *
 * Whole in a header, because each unit test is one file and a program of its own.
 */
#pragma once

#include "client/commands.h"
#include "client/options.h"

#include <jansson.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cmocka.h>

enum { LINES = 12 };

/* `@` stands for the id of the call; `hang up`: no answer, the connection ends. */
struct played {
    const char *answers[LINES];
    char *heard[LINES];
    size_t count;
    int listener;
    char dir[64], path[96];
    pthread_t thread;
};

static void answer(FILE *to, const char *text, json_int_t id)
{
    for (; *text; text++)
        if (*text == '@')
            fprintf(to, "%" JSON_INTEGER_FORMAT, id);
        else
            fputc(*text, to);
    fputc('\n', to);
    fflush(to);
}

/* One connection after another until the script is at its end. */
static void *play(void *arg)
{
    struct played *p = arg;
    while (p->count < LINES && p->answers[p->count]) {
        int fd = accept(p->listener, NULL, NULL);
        if (fd < 0)
            return NULL;
        FILE *from = fdopen(fd, "r"), *to = fdopen(dup(fd), "w");
        char line[8192];
        while (from && to && p->count < LINES && p->answers[p->count] && fgets(line, sizeof line, from)) {
            json_t *call = json_loads(line, 0, NULL);
            json_int_t id = json_integer_value(json_object_get(call, "id"));
            const char *text = p->answers[p->count];
            json_decref(call);
            p->heard[p->count++] = strdup(line);
            if (strcmp(text, "hang up") == 0)
                break;
            answer(to, text, id);
        }
        if (to)
            fclose(to);
        if (from)
            fclose(from);
    }
    return NULL;
}

static void play_begin(struct played *p)
{
    snprintf(p->dir, sizeof p->dir, "/tmp/poise-XXXXXX");
    assert_non_null(mkdtemp(p->dir));
    snprintf(p->path, sizeof p->path, "%s/sock", p->dir);
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    snprintf(at.sun_path, sizeof at.sun_path, "%s", p->path);
    p->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(bind(p->listener, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(p->listener, 4), 0);
    assert_int_equal(pthread_create(&p->thread, NULL, play, p), 0);
}

static void play_end(struct played *p)
{
    shutdown(p->listener, SHUT_RDWR); /* wakes a thread that waits for a connection */
    pthread_join(p->thread, NULL);
    close(p->listener);
    unlink(p->path);
    rmdir(p->dir);
    for (size_t i = 0; i < p->count; i++)
        free(p->heard[i]);
}

/* The member of a call that was heard, as JSON text; to be freed. */
static char *member(const struct played *p, size_t call, const char *name)
{
    json_t *v = call < p->count ? json_loads(p->heard[call], 0, NULL) : NULL;
    json_t *params = json_object_get(v, "params");
    json_t *one = json_object_get(params, name) ? json_object_get(params, name) : json_object_get(v, name);
    char *text = one ? json_dumps(one, JSON_ENCODE_ANY | JSON_COMPACT) : strdup("(none)");
    json_decref(v);
    return text;
}

static void expect(const struct played *p, size_t call, const char *name, const char *json)
{
    char *text = member(p, call, name);
    if (strcmp(text, json) != 0)
        fail_msg("call %zu: %s is %s, want %s", call, name, text, json);
    free(text);
}

struct heard {
    int code;
    char out[4096], err[1024];
};

static int redirect(int fd, FILE *to)
{
    int kept = dup(fd);
    assert_true(to && kept >= 0 && dup2(fileno(to), fd) >= 0);
    return kept;
}

static void take_back(int fd, int kept, FILE *from, char *text, size_t size)
{
    dup2(kept, fd);
    close(kept);
    rewind(from);
    text[fread(text, 1, size - 1, from)] = '\0';
    fclose(from);
}

/* `poise LINE --socket ...`, in this process. */
static struct heard run(const struct played *p, const char *line)
{
    static char words[512];
    char *argv[32] = {"poise", "--socket", (char *)(uintptr_t)p->path};
    int argc = 3;
    struct poise_options opt;
    struct heard h = {0};
    snprintf(words, sizeof words, "%s", line);
    for (char *w = strtok(words, " "); w; w = strtok(NULL, " "))
        argv[argc++] = w;
    FILE *out = tmpfile(), *err = tmpfile();
    fflush(stdout);
    fflush(stderr);
    int kept_out = redirect(STDOUT_FILENO, out), kept_err = redirect(STDERR_FILENO, err);
    h.code = options_parse(&opt, commands, argc, argv);
    if (h.code == 0)
        h.code = opt.command->run(&opt);
    fflush(stdout);
    fflush(stderr);
    take_back(STDOUT_FILENO, kept_out, out, h.out, sizeof h.out);
    take_back(STDERR_FILENO, kept_err, err, h.err, sizeof h.err);
    return h;
}
