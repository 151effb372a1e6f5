/* once.c - the page printed once, as `poise status` shows it. It must not know a key. */
#include "client/screen/screen.h"

#include "client/options.h"
#include "client/output.h"
#include "client/screen/calls.h"
#include "client/screen/first.h"
#include "client/screen/page.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* A scale that is live has spoken within a second. */
enum { ONCE_COLS = 80, ONCE_ROWS = 24, ONCE_WEIGHT_MS = 1000 };

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
    int64_t end_ms = moment_now().ms + ONCE_WEIGHT_MS;
    for (int64_t left = ONCE_WEIGHT_MS; left > 0 && !m->weight.known; left = end_ms - moment_now().ms) {
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

/* Rows without their trailing blanks, so that a pipe or a mail keeps them as they are. */
static void print_page(struct model *m, struct grid *g)
{
    char row[GRID_COLS_MAX * 4 + 1];
    struct moment now = moment_now();
    model_tick(m, now);
    page_draw(m, now, ONCE_COLS, ONCE_ROWS, g);
    for (int r = 0; r < g->rows; r++) {
        grid_row_text(g, r, row, sizeof row);
        printf("%s\n", row);
    }
}

int screen_once(struct poise_options *opt)
{
    struct ask a;
    struct model *m = calloc(1, sizeof *m);
    struct grid *g = calloc(1, sizeof *g);
    if (!m || !g) {
        free(m);
        free(g);
        return failure_say(opt->style, EX_OSERR, "status", "no_memory");
    }
    /* Plain characters: a ruler drawn in reverse is lost in text. */
    int code = first_screen(&a, opt, m, false);
    if (code == 0)
        code = read_all(&a, m);
    if (code == 0) {
        hear_weight(&a, m);
        print_page(m, g);
    }
    ask_close(&a);
    model_finish(m);
    free(m);
    free(g);
    return code;
}
