/* label_file.c - /label/ID.pdf, and /label/ID.svg for a screen that shows no PDF: what batch.label says stands on the
 * label, drawn by poise-label. It must not know what a label holds.
 */
#include "http/server.h"

#include "daemon.h"
#include "print/print.h"
#include "text/json_read.h"
#include "text/json_write.h"

#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PDF_MAX ((size_t)1 << 20)

/* A drawing under way. It outlives its request where the browser goes away. */
struct http_drawing {
    struct http_exchange *exchange; /* NULL: gone */
    bool done;
    bool picture;
    void *pdf;
    size_t len;
    char why[160]; /* why there is no PDF */
};

/* The request ends first, or the drawing does: whoever is last frees it. */
static void forget(struct http_exchange *e)
{
    struct http_drawing *drawing = e->drawing;
    e->drawing = NULL;
    if (!drawing)
        return;
    drawing->exchange = NULL;
    if (!drawing->done)
        return; /* drawn() frees it */
    free(drawing->pdf);
    free(drawing);
}

/* The file goes when this returns, so it is read whole, up to PDF_MAX. */
static void take_pdf(struct http_drawing *drawing, const char *path)
{
    FILE *file = fopen(path, "re");
    drawing->pdf = file ? malloc(PDF_MAX) : NULL;
    if (drawing->pdf)
        drawing->len = fread(drawing->pdf, 1, PDF_MAX, file);
    if (file)
        (void)fclose(file);
}

/* A print_drawn callback; path NULL: it was not drawn, and why says so. */
static void drawn(void *arg, const char *path, const char *why)
{
    struct http_drawing *drawing = arg;
    struct http_exchange *e = drawing->exchange;
    if (!e) {
        free(drawing);
        return;
    }
    if (path)
        take_pdf(drawing, path);
    snprintf(drawing->why, sizeof drawing->why, "%s", why);
    drawing->done = true;
    http_go_on(e);
}

/* Called again after each resume until the drawing has come. */
static enum MHD_Result send_pdf(struct http_exchange *e)
{
    struct http_drawing *drawing = e->drawing;
    enum MHD_Result result;
    if (!drawing->done)
        return http_wait(e);
    e->drawing = NULL;
    if (drawing->len > 0)
        result = http_reply(e, MHD_HTTP_OK,
                            (struct http_body){.type = drawing->picture ? "image/svg+xml" : "application/pdf",
                                               .data = drawing->pdf,
                                               .len = drawing->len});
    else
        result = http_say(e, MHD_HTTP_INTERNAL_SERVER_ERROR, drawing->why);
    free(drawing->pdf);
    free(drawing);
    return result;
}

/* The label is known: it is drawn. Unknown batches and sizes are refused in the call's own words. */
static enum MHD_Result draw(struct http_exchange *e)
{
    struct daemon *d = e->server->daemon;
    json_t *answer = e->answer ? json_read(e->answer, e->answer_len, JSON_READ_DEPTH, NULL) : NULL;
    const json_t *label = json_object_get(json_object_get(answer, "result"), "label");
    const char *why = json_string_value(json_object_get(json_object_get(answer, "error"), "message"));
    char *text = label ? json_write(label, JSON_COMPACT) : NULL;
    struct http_drawing *drawing = text ? calloc(1, sizeof *drawing) : NULL;
    enum MHD_Result result;
    if (drawing) {
        drawing->exchange = e;
        e->drawing = drawing;
        e->forget = forget;
        e->answered = send_pdf;
        drawing->picture = strcmp(e->rest + strlen(e->rest) - 4, ".svg") == 0;
        print_draw(d->prints, e->server->loop, d->label_program, text, drawing->picture, drawn, drawing);
        result = send_pdf(e); /* where there is no room for its file it has failed already */
    } else {
        result = http_say(e, MHD_HTTP_NOT_FOUND, why ? why : "no such label");
    }
    free(text);
    json_decref(answer);
    return result;
}

/* `?size=62x29` in millimetres and `?lid=1`, as batch.label takes them. 40 characters hold any batch's number. */
enum MHD_Result http_run_label(struct http_exchange *e)
{
    const char *size = e->server->library.value(e->connection, MHD_GET_ARGUMENT_KIND, "size");
    const char *lid = e->server->library.value(e->connection, MHD_GET_ARGUMENT_KIND, "lid");
    size_t len = strlen(e->rest);
    if (len < 5 || len > 40 || (strcmp(e->rest + len - 4, ".pdf") != 0 && strcmp(e->rest + len - 4, ".svg") != 0))
        return http_say(e, MHD_HTTP_NOT_FOUND, "no such path");
    json_t *params = json_pack("{s:s%, s:i, s:s*, s:b}", "batch", e->rest, len - 4, "copies", 0, "size_mm", size, "lid",
                               lid && strcmp(lid, "1") == 0);
    char *text = params ? json_write(params, JSON_COMPACT) : NULL;
    json_decref(params);
    if (!text)
        return MHD_NO;
    e->answered = draw;
    e->caller.right = RIGHT_PAINT;
    e->caller.may_change = true; /* no copies: nothing is printed or written */
    e->caller.right = RIGHT_PAINT;
    http_call(e, "batch.label", text);
    free(text);
    return http_answer_or_wait(e);
}
