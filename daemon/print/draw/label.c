#include "print/draw/label.h"

#include "print/draw/fit.h"
#include "print/draw/qr.h"
#include "print/draw/rows.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define GAP_MM  1.5
#define RULE_MM 0.35

/* Sizes of type in mm, and where things stand. */
struct layout {
    bool roomy;
    double code_mm, head_mm; /* the first line: the code, and what stands beside it */
    double coat_mm, text_mm, hazard_mm, use_by_mm, batch_mm;
    double least_mm;  /* nothing is smaller, but what must never be cut */
    double rule_y;    /* upper edge of the rule under the first line */
    double column_mm; /* width left of the QR code and its free modules */
    double qr_x, qr_y;
};

/* What found its place in the first line. */
struct placed {
    bool name, coat, variant;
};

static struct layout layout_of(const struct label_request *request)
{
    bool roomy = request->height_mm >= LABEL_ROOMY_MM;
    struct layout lay = {.roomy = roomy, .code_mm = 5.8, .head_mm = 3.4, .coat_mm = 3.6, .text_mm = 3.0};
    lay.hazard_mm = roomy ? 2.8 : 2.2;
    lay.use_by_mm = 3.4;
    lay.batch_mm = 3.4;
    lay.least_mm = roomy ? 2.5 : 2.2;
    if (!roomy) {
        lay.code_mm = 4.6;
        lay.head_mm = 3.0;
        lay.coat_mm = lay.text_mm = 2.4;
    }
    lay.rule_y = LABEL_MARGIN_MM + FIT_CAPITAL * lay.code_mm + (roomy ? 1.2 : 0.9);
    /* The free modules may reach into the margin, but not over the label's edge. */
    lay.qr_x = request->width_mm - fmax(LABEL_MARGIN_MM, QR_QUIET_MM) - QR_SIDE_MM;
    lay.qr_y = lay.rule_y + RULE_MM + QR_QUIET_MM;
    lay.column_mm = lay.qr_x - QR_QUIET_MM - LABEL_MARGIN_MM;
    return lay;
}

/* Adds a text to a line, with what separates it; nothing for an empty one. */
static void append(char line[FIT_BYTES], const char *between, const char *before, const char *text)
{
    size_t used = strlen(line);
    if (text[0] == '\0')
        return;
    int wanted = snprintf(line + used, FIT_BYTES - used, "%s%s%s", used > 0 ? between : "", before, text);
    if (wanted < 0 || (size_t)wanted < FIT_BYTES - used)
        return;
    /* Half a kilobyte is more than a label shows, but it may have ended inside a character. */
    used = strlen(line);
    while (used > 0 && ((unsigned char)line[used - 1] & 0xc0) == 0x80)
        used--;
    line[used > 0 && (unsigned char)line[used - 1] >= 0xc0 ? used - 1 : used] = '\0';
}

static void append_words(char line[FIT_BYTES], const char *before, const struct label_words *words)
{
    for (size_t i = 0; i < words->n; i++)
        append(line, ", ", i == 0 ? before : "", words->word[i]);
}

/* `25 Nov 2026 10:51` becomes `25 Nov 26 10:51` where room is short. */
static void short_year(char line[FIT_BYTES])
{
    static const char digits[] = "0123456789";
    for (char *at = strstr(line, " 20"); at; at = strstr(at + 1, " 20")) {
        if (strspn(at + 1, digits) == 4 && (at[5] == ' ' || at[5] == ',' || at[5] == '\0')) {
            memmove(at + 1, at + 3, strlen(at + 3) + 1);
            return;
        }
    }
}

/* One line of hazard words from *next on. Safety words are not cut inside: those that do not fit give way
 * to a word that says where to look. */
static void hazard_line(cairo_t *cr, const struct label_words *words, size_t *next, bool last, bool bold,
                        double size_mm, double width_mm, char line[FIT_BYTES])
{
    struct fit_text fit;
    char most[FIT_BYTES] = "hazards: see sheet";
    size_t used = *next;
    line[0] = '\0';
    for (size_t i = *next; i < words->n; i++) {
        char rest[FIT_BYTES];
        append(line, ", ", "", words->word[i]);
        memcpy(rest, line, sizeof rest);
        if (i + 1 < words->n)
            append(rest, "", "", last ? ", \xe2\x80\xa6 see sheet" : ",");
        fit_cut(cr, rest, bold, size_mm, width_mm, &fit);
        if (!fit.cut) {
            memcpy(most, rest, sizeof most);
            used = i + 1;
        }
    }
    *next = used;
    memcpy(line, most, sizeof most);
}

/* Adds the hazard words in at most `lines` rows. In a bar, unless the bar is taken by the use-by. */
static void add_hazards(cairo_t *cr, const struct label_request *request, const struct layout *lay, size_t lines,
                        struct rows *rows)
{
    bool bar = request->use_by[0] == '\0';
    double size_mm = bar && !lay->roomy ? lay->text_mm : lay->hazard_mm;
    double width_mm = bar ? rows_bar_text_mm(lay->column_mm) : lay->column_mm;
    size_t next = 0;
    for (size_t i = 0; i < lines && (i == 0 || next < request->hazard_words.n); i++) {
        struct row *row = rows_add(rows, bar ? ROW_BAR : ROW_TEXT, size_mm, lay->least_mm);
        if (!row)
            return;
        size_t before = next;
        hazard_line(cr, &request->hazard_words, &next, i + 1 == lines, bar, size_mm, width_mm, row->text);
        if (next == before)
            return; /* not even one word fits: the row says where to look */
    }
}

/* What was done to this batch, and where it stands. Two rows where there is room and need, else one. */
static void add_shelf(cairo_t *cr, const struct label_request *request, const struct layout *lay, bool two,
                      struct rows *rows)
{
    struct fit_text fit;
    char text[FIT_BYTES] = "";
    append_words(text, "", &request->deviations);
    append_words(text, "with ", &request->with);
    fit_cut(cr, text, false, lay->hazard_mm, rows_shelf_text_mm(cr, lay->hazard_mm, lay->column_mm), &fit);
    if (two && fit.cut) {
        struct row *row = rows_add(rows, ROW_TEXT, lay->hazard_mm, lay->least_mm);
        if (row)
            memcpy(row->text, text, sizeof text);
        text[0] = '\0';
    }
    struct row *row = rows_add(rows, ROW_SHELF, lay->hazard_mm, lay->least_mm);
    if (row)
        memcpy(row->text, text, sizeof text);
}

static void add_use_by(const struct label_request *request, const struct layout *lay, struct rows *rows)
{
    struct row *row = NULL;
    if (request->use_by[0] != '\0')
        row = rows_add(rows, ROW_BAR, lay->use_by_mm, lay->use_by_mm);
    if (!row)
        return;
    row->whole = true;
    append(row->text, "", "use by ", request->use_by);
}

/* One line of what is known: text, then tail; none where both are empty. */
static void add_line(const struct layout *lay, const char *text, const char *before, const char *tail,
                     struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    if (!row)
        return;
    append(row->text, "", "", text);
    if (tail[0] != '\0') {
        append(row->tail, "", text[0] != '\0' ? ", " : "", before[0] != '\0' ? before : tail);
        append(row->tail, "", "", before[0] != '\0' ? tail : "");
    }
    if (row->text[0] == '\0' && row->tail[0] == '\0')
        rows_drop(rows);
}

/* Roomy: coat variant, made / vehicle, order / time, painter. */
static void add_roomy_texts(const struct label_request *request, const struct layout *lay, struct placed placed,
                            struct rows *rows)
{
    char text[FIT_BYTES] = "";
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", request->coat);
    row->lead_mm = lay->coat_mm;
    append(row->text, "", "", request->variant);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->made);
    if (!placed.name)
        add_line(lay, request->name, "", "", rows);
    add_line(lay, request->vehicle, "order ", request->order, rows);
    append(text, "", "", request->time);
    append(text, ", ", "", request->painter);
    add_line(lay, text, "", "", rows);
}

/* Batch and coat, where a long code took all of the first line, with name and variant behind them. */
static void add_lead(const struct label_request *request, const struct layout *lay, struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", request->batch);
    append(row->lead, "  ", "", request->coat);
    append(row->text, "", "", request->name);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->variant);
}

/* Compact: name, made / vehicle, order / time, painter. What the first line had no room for stands here: batch
 * and coat before the name; the variant beside it, and how it was made moves on to the next line. */
static void add_compact_texts(const struct label_request *request, const struct layout *lay, struct placed placed,
                              struct rows *rows)
{
    char text[FIT_BYTES] = "";
    if (!placed.coat) {
        add_lead(request, lay, rows);
        append(text, "", "", request->made);
    } else if (placed.variant) {
        add_line(lay, request->name, "", request->made, rows);
    } else {
        add_line(lay, request->name, "", request->variant, rows);
        append(text, "", "", request->made);
    }
    append(text, ", ", "", request->vehicle);
    add_line(lay, text, "order ", request->order, rows);
    text[0] = '\0';
    append(text, "", "", request->time);
    short_year(text);
    append(text, ", ", "", request->painter);
    add_line(lay, text, "", "", rows);
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

static void draw_rule(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    cairo_rectangle(cr, LABEL_MARGIN_MM, lay->rule_y, request->width_mm - 2 * LABEL_MARGIN_MM, RULE_MM);
    cairo_fill(cr);
}

/* Roomy: code and name; the batch number below the QR code. */
static struct placed draw_roomy_head(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text text;
    double x = 0;
    double free_mm = draw_code(cr, request, lay, request->width_mm - 2 * LABEL_MARGIN_MM, &x);
    double column_mm = request->width_mm - LABEL_MARGIN_MM - lay->qr_x;
    fit_whole(cr, request->batch, true, lay->batch_mm, column_mm, &text);
    fit_draw(cr, &text, lay->qr_x + (QR_SIDE_MM - text.width_mm) / 2,
             lay->qr_y + QR_SIDE_MM + QR_QUIET_MM + FIT_CAPITAL * text.size_mm);
    if (free_mm < 4 * lay->head_mm)
        return (struct placed){.name = false};
    fit_cut(cr, request->name, true, lay->head_mm, free_mm, &text);
    fit_draw(cr, &text, x, LABEL_MARGIN_MM + FIT_CAPITAL * lay->code_mm);
    return (struct placed){.name = true};
}

/* Compact: code, coat, variant, and the batch number at the right, over the QR code. A code that would become
 * too small beside them has the line for itself. */
static struct placed draw_compact_head(cairo_t *cr, const struct label_request *request, const struct layout *lay)
{
    struct fit_text batch;
    struct fit_text coat;
    struct fit_text text;
    double baseline = LABEL_MARGIN_MM + FIT_CAPITAL * lay->code_mm;
    double width_mm = request->width_mm - 2 * LABEL_MARGIN_MM;
    double x = 0;
    fit_whole(cr, request->batch, true, lay->batch_mm, QR_SIDE_MM, &batch);
    fit_whole(cr, request->coat, true, lay->head_mm, QR_SIDE_MM, &coat);
    double code_mm = width_mm - batch.width_mm - coat.width_mm - 2 * GAP_MM;
    fit_whole(cr, request->code, true, lay->code_mm, code_mm, &text);
    if (text.size_mm < lay->text_mm) {
        (void)draw_code(cr, request, lay, width_mm, &x);
        return (struct placed){.coat = false};
    }
    double free_mm = draw_code(cr, request, lay, code_mm, &x);
    fit_draw(cr, &batch, LABEL_MARGIN_MM + width_mm - batch.width_mm, baseline);
    fit_draw(cr, &coat, x, baseline);
    if (free_mm < lay->head_mm)
        return (struct placed){.coat = true, .variant = request->variant[0] == '\0'};
    fit_cut(cr, request->variant, false, lay->head_mm, free_mm, &text);
    if (!text.cut)
        fit_draw(cr, &text, x + coat.width_mm + GAP_MM, baseline);
    return (struct placed){.coat = true, .variant = !text.cut};
}

/* The rows of the cup. The less important give way first: the second row of what was done, then the second
 * of hazard words. */
static void cup_rows(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                     double height_mm, struct rows *rows)
{
    for (int give = 0; give < 3; give++) {
        *rows = (struct rows){.n = 0};
        (lay->roomy ? add_roomy_texts : add_compact_texts)(request, lay, placed, rows);
        add_use_by(request, lay, rows);
        add_hazards(cr, request, lay, give < 2 ? 2 : 1, rows);
        add_shelf(cr, request, lay, give < 1, rows);
        if (rows_fit(rows, height_mm))
            return;
    }
}

/* The lid: what is in the cup below it, until when, and which batch it is. */
static void lid_rows(const struct label_request *request, const struct layout *lay, struct placed placed,
                     struct rows *rows)
{
    if (!lay->roomy && !placed.coat)
        add_lead(request, lay, rows);
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    row->lead_mm = 2 * lay->coat_mm;
    append(row->lead, "", "", request->coat);
    append(row->text, "", "", request->variant);
    add_use_by(request, lay, rows);
}

static bool draw_page(cairo_t *cr, const struct label_request *request, bool lid)
{
    struct layout lay = layout_of(request);
    struct rows rows = {.n = 0};
    double top = lay.rule_y + RULE_MM + 0.4;
    double bottom = request->height_mm - LABEL_MARGIN_MM;
    struct placed placed = lay.roomy ? draw_roomy_head(cr, request, &lay) : draw_compact_head(cr, request, &lay);
    draw_rule(cr, request, &lay);
    if (lid)
        lid_rows(request, &lay, placed, &rows);
    else
        cup_rows(cr, request, &lay, placed, bottom - top, &rows);
    rows_draw(cr, &rows, LABEL_MARGIN_MM, lay.column_mm, top, bottom);
    return qr_draw(cr, request->batch, lay.qr_x, lay.qr_y);
}

bool label_missing(cairo_surface_t *pdf, const struct label_request *request, char letter[5])
{
    const char *const texts[] = {request->code,    request->name,    request->coat,  request->variant, request->made,
                                 request->vehicle, request->painter, request->order, request->time,    request->use_by};
    cairo_t *cr = cairo_create(pdf);
    bool missing = false;
    for (size_t i = 0; i < sizeof texts / sizeof *texts && !missing; i++)
        missing = fit_missing(cr, texts[i], letter);
    cairo_destroy(cr);
    return missing;
}

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
