/* status_command.c - `poise status` and `poise bench`: a screen once, as lines while it changes, or as the page. It
 * must not know how a screen reads: status_lines.c and client/screen do. Following prints a line for each weight
 * that reads otherwise than the one before, so a log of it stays readable and a scale at rest is silent. */
#include "client/status.h"

#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/screen/screen.h"

#include <stdio.h>
#include <string.h>
#include <sysexits.h>

/* What `--follow` holds while notes come. */
struct follow {
    struct ask *ask;
    struct view view;
    json_t *screen;
    char last[160]; /* the weight line printed last, so that a scale at rest is silent */
};

/* How the shop and the scale write a weight. One call of daemon.info tells decimal sign, interval and currency. */
static struct view view_for(struct ask *a)
{
    ask_style(a);
    return (struct view){.style = a->opt->style, .currency = ask_currency(a)};
}

/* JSON is the whole screen as the daemon sent it. */
static void print_screen(const struct ask *a, const struct view *v, const json_t *screen)
{
    if (a->opt->json)
        output_json(screen);
    else
        view_screen(v, screen, stdout);
}

/* After an act: the style is asked for only now, so a refused act costs no second call. */
void status_print(struct ask *a, const json_t *screen)
{
    struct view v = {0};
    if (!a->opt->json)
        v = view_for(a);
    print_screen(a, &v, screen);
}

/* Notes of other benches come on the same connection where the daemon was told to watch them. A screen comes whole,
 * and after an empty line, so that each can be told from the one before. */
static void show_note(struct follow *f, const char *method, json_t *params)
{
    bool screen = strcmp(method, "screen") == 0;
    if (strcmp(member_text(params, "station"), f->ask->station) != 0)
        return;
    if (screen) {
        json_decref(f->screen);
        f->screen = json_incref(params);
    }
    if (f->ask->opt->json) {
        output_json(params);
    } else if (screen) {
        fputc('\n', stdout);
        view_screen(&f->view, params, stdout);
    } else if (strcmp(method, "weight") == 0) {
        char line[sizeof f->last];
        view_weight(&f->view, f->screen, params, line, sizeof line);
        if (*line && strcmp(line, f->last) != 0)
            printf("%s\n", line);
        memcpy(f->last, line, sizeof line);
    }
    fflush(stdout);
}

/* Until the daemon goes, or whoever reads stdout. A full or closed stdout ends it: `poise status --follow | head`
 * must not run for ever. */
static int follow(struct follow *f)
{
    for (;;) {
        json_t *message = NULL;
        enum socket_outcome outcome = socket_receive(&f->ask->socket, &message, SOCKET_PATIENCE_MS);
        const char *method = json_string_value(json_object_get(message, "method"));
        if (method)
            show_note(f, method, json_object_get(message, "params"));
        json_decref(message);
        if (ferror(stdout))
            return 0; /* poise.c says it */
        if (outcome == SOCKET_LOST || outcome == SOCKET_LIES)
            return failure_say(f->ask->opt->style, EX_UNAVAILABLE, f->ask->what, "daemon_gone");
    }
}

/* The page has a connection and a loop of its own (client/screen). */
int command_bench(struct poise_options *opt)
{
    return screen_run(opt, opt->word_count ? opt->word[0] : opt->station);
}

/* Without --follow one answer and the end; with it the first screen, then one line for each weight that reads
 * otherwise, and the whole screen when it changes. */
int command_status(struct poise_options *opt)
{
    struct ask a;
    struct follow f = {.ask = &a};
    if (opt->text[OPTION_PAGE])
        return screen_once(opt);
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_station(&a);
    if (code == 0) {
        f.view = view_for(&a); /* before the watch: a call throws away the notes that come meanwhile */
        code = ask_screen(&a, &f.screen);
    }
    if (code == 0) {
        print_screen(&a, &f.view, f.screen);
        fflush(stdout);
        if (opt->text[OPTION_FOLLOW])
            code = follow(&f);
    }
    json_decref(f.screen);
    ask_close(&a);
    return code;
}
