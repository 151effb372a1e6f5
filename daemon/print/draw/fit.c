/* fit.c - one text set into one width. Knows no label. */
#include "print/draw/fit.h"

#include "text/utf8.h"

#include <dlfcn.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#define ELLIPSIS "\xe2\x80\xa6"

/* The first of these that has a letter draws it. The toy text of cairo looks into one font only; a full
 * text engine would double what this small program loads. */
static const char *const families[] = {
    "sans-serif",     "DejaVu Sans", "Noto Sans",           "Noto Sans CJK JP", "WenQuanYi Zen Hei",
    "Noto Sans Thai", "FreeSans",    "Droid Sans Fallback", "Unifont",          "serif",
};
#define FAMILIES (sizeof families / sizeof *families)

/* The squeeze goes into the font's matrix, so that extents already tell the narrowed width. */
static void use_family(cairo_t *cr, size_t family, const struct fit_text *text)
{
    cairo_matrix_t matrix;
    cairo_select_font_face(cr, families[family], CAIRO_FONT_SLANT_NORMAL,
                           text->bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_matrix_init_scale(&matrix, text->size_mm * text->squeeze, text->size_mm);
    cairo_set_font_matrix(cr, &matrix);
}

/* Glyph 0 is the box that a font draws for what it lacks. */
static bool has_glyph(cairo_t *cr, const char *text, size_t bytes)
{
    cairo_glyph_t *glyphs = NULL;
    int n = 0;
    cairo_status_t status = cairo_scaled_font_text_to_glyphs(cairo_get_scaled_font(cr), 0, 0, text, (int)bytes, &glyphs,
                                                             &n, NULL, NULL, NULL);
    bool has = status == CAIRO_STATUS_SUCCESS && n > 0;
    for (int i = 0; has && i < n; i++)
        has = glyphs[i].index != 0;
    cairo_glyph_free(glyphs);
    return has;
}

/* FAMILIES where none has it. */
static size_t family_with(cairo_t *cr, const char *text, const struct fit_text *style)
{
    size_t family = 0;
    do {
        use_family(cr, family, style);
    } while (!has_glyph(cr, text, utf8_character(text)) && ++family < FAMILIES);
    return family;
}

/* The box of the first family stands for what nobody has. */
static size_t family_of(cairo_t *cr, const char *text, const struct fit_text *style)
{
    size_t family = family_with(cr, text, style);
    return family < FAMILIES ? family : 0;
}

/* Bytes from text on that one family draws, and which. */
static size_t run_of(cairo_t *cr, const char *text, const struct fit_text *style, size_t *family)
{
    size_t bytes = utf8_character(text);
    *family = family_of(cr, text, style);
    while (text[bytes] != '\0' && family_of(cr, text + bytes, style) == *family)
        bytes += utf8_character(text + bytes);
    return bytes;
}

/* Walks the runs: measures them, and draws them where draw is set. */
static double walk(cairo_t *cr, const struct fit_text *text, bool draw, double x, double y)
{
    double width_mm = 0;
    for (const char *at = text->text; *at != '\0';) {
        char run[FIT_BYTES];
        size_t family = 0;
        size_t bytes = run_of(cr, at, text, &family);
        cairo_text_extents_t extents;
        memcpy(run, at, bytes);
        run[bytes] = '\0';
        use_family(cr, family, text);
        if (draw) {
            cairo_move_to(cr, x + width_mm, y);
            cairo_show_text(cr, run);
        }
        cairo_text_extents(cr, run, &extents);
        width_mm += extents.x_advance;
        at += bytes;
    }
    return width_mm;
}

/* At its present size and squeeze. */
static void measure(cairo_t *cr, struct fit_text *text)
{
    text->width_mm = walk(cr, text, false, 0, 0);
}

/* Takes the last whole character off, and the spaces and commas that then stand at the end. */
static bool drop_last(char *text)
{
    size_t bytes = strlen(text);
    if (bytes == 0)
        return false;
    size_t last = 0;
    for (size_t at = 0; at < bytes; at += utf8_character(text + at))
        last = at;
    while (last > 0 && (text[last - 1] == ' ' || text[last - 1] == ','))
        last--;
    text[last] = '\0';
    return true;
}

/* True when it fits, narrowed where needed. */
static bool narrow(cairo_t *cr, double width_mm, struct fit_text *out)
{
    out->squeeze = 1;
    measure(cr, out);
    if (out->width_mm <= width_mm)
        return true;
    out->squeeze = fmax(FIT_NARROWEST, width_mm / out->width_mm);
    measure(cr, out);
    return out->width_mm <= width_mm * (1 + 1e-9);
}

/* The text as it may be drawn: cleaned, and short enough for the place. */
static void begin(const char *text, bool bold, double size_mm, struct fit_text *out)
{
    char clean[2 * FIT_BYTES];
    *out = (struct fit_text){.bold = bold, .size_mm = size_mm, .squeeze = 1};
    size_t bytes = utf8_fit(utf8_clean(clean, sizeof clean, text), FIT_BYTES - sizeof ELLIPSIS, SIZE_MAX);
    out->cut = clean[bytes] != '\0';
    memcpy(out->text, clean, bytes); /* the rest is 0 already */
}

/* One character less at each try: widths are not proportional, so no sum would tell at once where to cut. */
void fit_cut(cairo_t *cr, const char *text, bool bold, double size_mm, double width_mm, struct fit_text *out)
{
    char rest[FIT_BYTES];
    begin(text, bold, size_mm, out);
    if (!out->cut && narrow(cr, width_mm, out))
        return;
    out->cut = true;
    memcpy(rest, out->text, sizeof rest);
    do {
        (void)snprintf(out->text, sizeof out->text, "%.*s" ELLIPSIS, (int)(FIT_BYTES - sizeof ELLIPSIS), rest);
    } while (!narrow(cr, width_mm, out) && drop_last(rest));
}

/* Width grows with size, so one division finds the size. */
void fit_whole(cairo_t *cr, const char *text, bool bold, double size_mm, double width_mm, struct fit_text *out)
{
    begin(text, bold, size_mm, out);
    if (narrow(cr, width_mm, out) || !(out->width_mm > 0))
        return;
    out->size_mm *= width_mm / out->width_mm;
    measure(cr, out);
}

/* Which letter no font of this machine has, or would set wrong; the caller refuses rather than print a box in a name.
 */
bool fit_missing(cairo_t *cr, const char *text, char letter[8])
{
    struct fit_text whole;
    begin(text, false, 1, &whole);
    for (const char *at = whole.text; *at != '\0'; at += utf8_character(at)) {
        size_t bytes;
        if (!utf8_needs_shaping(utf8_next(at, &bytes)) && family_with(cr, at, &whole) < FAMILIES)
            continue;
        (void)snprintf(letter, 8, "%.*s", (int)bytes, at);
        return true;
    }
    return false;
}

/* Walks as the measuring did: a letter drawn in another font than it was measured in would run into the next. */
void fit_draw(cairo_t *cr, const struct fit_text *text, double x, double y)
{
    (void)walk(cr, text, true, x, y);
}

/* For leak checkers alone; the program ends behind it. */
void fit_finish(void)
{
    void (*finish)(void) = NULL;
    cairo_debug_reset_static_data();
    /* cairo loads fontconfig but never ends it, and leak checkers then count its patterns as lost. Looked up
     * by name, since it is cairo's dependency and not ours: another build of cairo may do without. */
    *(void **)&finish = dlsym(RTLD_DEFAULT, "FcFini");
    if (finish)
        finish();
}
