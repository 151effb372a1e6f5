/* label.c - the page of a label: its head, its QR code, its rule. What the lines say stands in content.c. */
#include "print/draw/label.h"

#include "print/draw/fit.h"
#include "text/utf8.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include <qrencode.h>

#define QR_MODULES   21   /* version 1 */
#define QR_MODULE_MM 0.56 /* four dots of a 203 dpi label printer are 0.5 mm; a little more reads well */
#define QR_SIDE_MM   (QR_MODULES * QR_MODULE_MM)
#define QR_QUIET_MM  (4 * QR_MODULE_MM) /* free all round, ISO/IEC 18004 (from memory) */

#define GAP_MM     1.5
#define CODE_LEAST 0.8 /* of its height, before the code takes the whole line */
#define RULE_MM    0.35

/* Draws `POISE:` and the batch, version 1, level M, in the context's colour, its upper left corner at x, y (mm). False,
 * and nothing drawn, where it does not fit version 1 (more than 14 digits) or memory is short. */
static bool qr_draw(cairo_t *cr, const char *batch, double x, double y)
{
    char text[64];
    int length = snprintf(text, sizeof text, "POISE:%s", batch);
    if (length < 0 || (size_t)length >= sizeof text)
        return false;
    QRcode *code = QRcode_encodeString(text, 1, QR_ECLEVEL_M, QR_MODE_8, 1);
    bool fits = code && code->width == QR_MODULES;
    /* All modules are one path: filled one by one, hairlines would show between them. */
    for (int i = 0; fits && i < QR_MODULES * QR_MODULES; i++) {
        int column = i % QR_MODULES;
        int row = i / QR_MODULES;
        if (code->data[i] & 1)
            cairo_rectangle(cr, x + column * QR_MODULE_MM, y + row * QR_MODULE_MM, QR_MODULE_MM, QR_MODULE_MM);
    }
    if (fits)
        cairo_fill(cr);
    QRcode_free(code);
    return fits;
}

/* Whether code and coat of a low label fit beside the QR code, the code about as tall as it should be. */
static bool head_fits(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text code, coat;
    fit_whole(cr, content_coat(request), true, lay->head_mm, QR_SIDE_MM, &coat);
    fit_whole(cr, request->code, true, lay->code_mm, lay->column_mm - coat.width_mm - GAP_MM, &code);
    return code.size_mm >= CODE_LEAST * lay->code_mm;
}

/* Sizes of letters in mm: a low label gets smaller ones, and its coat moves into the head line. */
static struct layout layout_of(cairo_t *cr, const struct label_request *request)
{
    bool roomy = request->height_mm >= LABEL_ROOMY_MM;
    struct layout lay = {.roomy = roomy, .code_mm = 5.8, .head_mm = 3.4, .coat_mm = 3.6, .text_mm = 3.0};
    lay.hazard_mm = roomy ? 2.8 : 2.2;
    lay.use_by_mm = 3.4;
    lay.batch_mm = 3.4;
    lay.least_mm = roomy ? 2.4 : LAYOUT_LEAST_MM;
    if (!roomy) {
        lay.code_mm = 4.6;
        lay.head_mm = 3.0;
        lay.coat_mm = lay.text_mm = 2.4;
    }
    lay.rule_y = LABEL_MARGIN_MM + FIT_CAPITAL * lay.code_mm + (roomy ? 1.2 : 0.9);
    /* The free modules may reach into the margin, but not over the label's edge. */
    lay.qr_x = request->width_mm - fmax(LABEL_MARGIN_MM, QR_QUIET_MM) - QR_SIDE_MM;
    lay.column_mm = lay.qr_x - QR_QUIET_MM - LABEL_MARGIN_MM;
    lay.beside = !roomy && head_fits(cr, request, &lay);
    lay.qr_y = lay.beside ? fmax(LABEL_MARGIN_MM, QR_QUIET_MM) : lay.rule_y + RULE_MM + QR_QUIET_MM;
    lay.line_mm = lay.beside ? lay.column_mm : request->width_mm - 2 * LABEL_MARGIN_MM;
    return lay;
}

/* The first line. Returns how much of it is free; whoever is first gets what is needed, the code above all. */
static double draw_code(cairo_t *cr, const struct label_request *request, const struct layout *lay, double width_mm,
                        double *x)
{
    struct fit_text code;
    double baseline = LABEL_MARGIN_MM + FIT_CAPITAL * lay->code_mm;
    fit_whole(cr, request->code, true, lay->code_mm, width_mm, &code);
    fit_draw(cr, &code, LABEL_MARGIN_MM, baseline);
    *x = LABEL_MARGIN_MM + code.width_mm + GAP_MM;
    return width_mm - code.width_mm - GAP_MM;
}

/* The line between what the cup is and what is to be known of it. */
static void draw_rule(cairo_t *cr, const struct layout *lay)
{
    cairo_rectangle(cr, LABEL_MARGIN_MM, lay->rule_y, lay->line_mm, RULE_MM);
    cairo_fill(cr);
}

/* In the middle below the QR code and its free modules. */
static void draw_batch_below(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text text;
    fit_whole(cr, request->batch, true, lay->batch_mm, request->width_mm - LABEL_MARGIN_MM - lay->qr_x, &text);
    fit_draw(cr, &text, lay->qr_x + (QR_SIDE_MM - text.width_mm) / 2,
             lay->qr_y + QR_SIDE_MM + QR_QUIET_MM + FIT_CAPITAL * text.size_mm);
}

/* Roomy: code and name. */
static struct placed draw_roomy_head(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text text;
    double x = 0;
    double free_mm = draw_code(cr, request, lay, lay->line_mm, &x);
    draw_batch_below(cr, request, lay);
    if (free_mm < 4 * lay->head_mm)
        return (struct placed){.name = false};
    fit_cut(cr, request->name, true, lay->head_mm, free_mm, &text);
    fit_draw(cr, &text, x, LABEL_MARGIN_MM + FIT_CAPITAL * lay->code_mm);
    return (struct placed){.name = true};
}

/* Compact: code, coat, variant; where they need the whole width the batch number stands at its right end. A code that
 * would become too small beside them has the line for itself. */
static struct placed draw_compact_head(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text batch = {.width_mm = -GAP_MM}, coat, text;
    double baseline = LABEL_MARGIN_MM + FIT_CAPITAL * lay->code_mm;
    double x = 0;
    if (!lay->beside)
        fit_whole(cr, request->batch, true, lay->batch_mm, QR_SIDE_MM, &batch);
    fit_whole(cr, content_coat(request), true, lay->head_mm, QR_SIDE_MM, &coat);
    double code_mm = lay->line_mm - batch.width_mm - coat.width_mm - 2 * GAP_MM;
    fit_whole(cr, request->code, true, lay->code_mm, code_mm, &text);
    if (text.size_mm < lay->text_mm) {
        (void)draw_code(cr, request, lay, lay->line_mm, &x);
        return (struct placed){.coat = false};
    }
    double free_mm = draw_code(cr, request, lay, code_mm, &x);
    if (lay->beside)
        draw_batch_below(cr, request, lay);
    else
        fit_draw(cr, &batch, LABEL_MARGIN_MM + lay->line_mm - batch.width_mm, baseline);
    fit_draw(cr, &coat, x, baseline);
    if (free_mm < lay->head_mm)
        return (struct placed){.coat = true, .variant = request->variant[0] == '\0'};
    fit_cut(cr, request->variant, false, lay->head_mm, free_mm, &text);
    if (!text.cut)
        fit_draw(cr, &text, x + coat.width_mm + GAP_MM, baseline);
    return (struct placed){.coat = true, .variant = !text.cut};
}

/* One page: head, rule, rows at the left, QR code at the right. False: the QR code does not fit. */
static bool draw_page(cairo_t *cr, const struct label_request *request, bool lid)
{
    struct layout lay = layout_of(cr, request);
    struct rows rows = {.n = 0};
    double top = lay.rule_y + RULE_MM + 0.4;
    double bottom = request->height_mm - LABEL_MARGIN_MM;
    struct placed placed = lay.roomy ? draw_roomy_head(cr, request, &lay) : draw_compact_head(cr, request, &lay);
    draw_rule(cr, &lay);
    if (lid)
        content_lid(cr, request, &lay, placed, &rows);
    else
        content_cup(cr, request, &lay, placed, bottom - top, &rows);
    rows_draw(cr, &rows, LABEL_MARGIN_MM, lay.column_mm, top, bottom);
    return qr_draw(cr, request->batch, lay.qr_x, lay.qr_y);
}

/* Looked for before anything is drawn: a label with a box in place of a letter is worse than none. */
bool label_missing(cairo_surface_t *pdf, const struct label_request *request, char letter[8])
{
    const char *const texts[] = {request->code, request->name,    request->coat,    request->variant,
                                 request->made, request->vehicle, request->painter, request->order,
                                 request->time, request->use_by,  request->content};
    const struct label_words *const lists[] = {&request->hazard_words, &request->tinted, &request->foreign,
                                               &request->deviations, &request->with};
    cairo_t *cr = cairo_create(pdf);
    bool missing = false;
    for (size_t i = 0; i < sizeof texts / sizeof *texts && !missing; i++)
        missing = fit_missing(cr, texts[i], letter);
    for (size_t i = 0; i < sizeof lists / sizeof lists[0]; i++)
        for (size_t k = 0; k < lists[i]->n && !missing; k++)
            missing = fit_missing(cr, lists[i]->word[k], letter);
    cairo_destroy(cr);
    return missing;
}

/* With `lid` each copy is two pages: the cup's, then the lid's. */
bool label_draw(cairo_surface_t *pdf, const struct label_request *request)
{
    bool fine = true;
    cairo_t *cr = cairo_create(pdf);
    cairo_font_options_t *options = cairo_font_options_create();
    /* Widths must be those of the paper, not of some screen's pixels. */
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_set_font_options(cr, options);
    cairo_font_options_destroy(options);
    cairo_scale(cr, LABEL_POINTS_PER_MM, LABEL_POINTS_PER_MM);
    for (int page = 0; fine && page < request->copies * (request->lid ? 2 : 1); page++) {
        fine = draw_page(cr, request, request->lid && page % 2 == 1);
        cairo_show_page(cr);
    }
    fine = cairo_status(cr) == CAIRO_STATUS_SUCCESS && fine;
    cairo_destroy(cr);
    return fine;
}
