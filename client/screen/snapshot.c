/* snapshot.c - the page printed once, from the same model and the same reads as loop.c. It must not know a terminal. */
#include "client/screen/screen.h"

#include "client/ask.h"
#include "client/failure.h"
#include "client/screen/calls.h"
#include "client/screen/moment.h"
#include "client/screen/page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

enum { COLS = 80, ROWS = 24, WEIGHT_MS = 1000 }; /* a scale that is live has spoken within a second */

/* All that the page shows beside the screen itself. */
static int read_all(struct ask *a, struct model *m)
{
    struct calls calls = {0};
    struct call call;
    int code = 0;
    calls_read(&calls, m, CALL_INFO);
    calls_read(&calls, m, CALL_SCALES);
    calls_after_screen(&calls, m);
    while (code == 0 && calls_take(&calls, &call)) {
        json_t *answer = NULL;
        code = ask_answer(a, call.method, call.params, &answer);
        if (code == 0)
            calls_answer(&calls, m, &call, json_object_get(answer, "result"), json_object_get(answer, "error"),
                         moment_now());
        json_decref(answer);
    }
    calls_finish(&calls);
    return code;
}

/* Notes until one of them is a weight. A scale that says nothing is no fault: the page shows it as dead. */
static void hear_weight(struct ask *a, struct model *m)
{
    int64_t end_ms = moment_now().ms + WEIGHT_MS;
    for (int64_t left = WEIGHT_MS; left > 0 && !m->weight.known; left = end_ms - moment_now().ms) {
        json_t *message = NULL;
        if (socket_receive(&a->socket, &message, (int)left) != SOCKET_OK)
            return;
        const char *method = json_string_value(json_object_get(message, "method"));
        json_t *params = json_object_get(message, "params");
        if (method && strcmp(method, "weight") == 0)
            model_weight(m, params, moment_now());
        else if (method && strcmp(method, "screen") == 0)
            model_screen(m, params, moment_now());
        json_decref(message);
    }
}

static void print_page(struct model *m, struct grid *g)
{
    char row[GRID_COLS_MAX * 4 + 1];
    struct moment now = moment_now();
    model_tick(m, now);
    page_draw(m, now, COLS, ROWS, g);
    for (int r = 0; r < g->rows; r++) {
        grid_row_text(g, r, row, sizeof row);
        printf("%s\n", row);
    }
}

int screen_once(struct poise_options *opt)
{
    struct ask a;
    json_t *screen = NULL;
    struct model *m = calloc(1, sizeof *m);
    struct grid *g = calloc(1, sizeof *g);
    if (!m || !g) {
        free(m);
        free(g);
        return failure_say(opt->style, EX_OSERR, "status", "no_memory");
    }
    int code = ask_open(&a, opt);
    if (code == 0)
        code = ask_station(&a);
    if (code == 0)
        code = ask_screen(&a, &screen);
    if (code == 0) {
        /* Plain characters: a ruler drawn in reverse is lost in text. */
        model_init(m, a.station, false, moment_now());
        model_fix_language(m, opt->text[OPTION_LANGUAGE]);
        m->linked = true;
        model_screen(m, screen, moment_now());
        code = read_all(&a, m);
    }
    if (code == 0) {
        hear_weight(&a, m);
        print_page(m, g);
    }
    json_decref(screen);
    ask_close(&a);
    model_finish(m);
    free(m);
    free(g);
    return code;
}
