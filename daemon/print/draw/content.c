/* content.c - the lines of a label: what they say in its language, and which give way. Knows no batch and no printer.
 */
#include "print/draw/label.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

#define USE_BY_LEAST_MM 2.8

enum { HAZARD_LINES_MAX = 5 };

/* What is still there where room is short. */
struct give {
    size_t hazard_lines; /* more where the first rank needs more */
    bool two;            /* facts in a row of their own above the shelf */
    bool shelf, name, deviations, facts;
};
/* The least important gives way first. A line for a pen costs no row where facts stand before it. */
static const struct give gives[] = {
    {3, true, true, true, true, true},    {3, false, true, true, true, true},    {2, false, true, true, true, true},
    {1, false, true, true, true, true},   {1, false, false, true, true, true},   {1, false, true, false, true, true},
    {1, false, false, false, true, true}, {1, false, false, false, false, true}, {1, false, false, false, false, false},
};

static const char *word(const struct label_request *request, const char *code)
{
    return words_of(request->language, code);
}

const char *content_coat(const struct label_request *request)
{
    char code[64];
    (void)snprintf(code, sizeof code, "coat.%.50s", request->coat);
    const struct words_row *row = words_find(code);
    return row ? row->text[request->language] : request->coat;
}

/* Adds a text to a line, with what separates it; nothing for an empty one. More than FIT_BYTES no label shows. */
static void append(char line[FIT_BYTES], const char *between, const char *before, const char *text)
{
    char whole[4 * FIT_BYTES];
    if (text[0] == '\0')
        return;
    (void)snprintf(whole, sizeof whole, "%s%s%s%.1100s", line, line[0] != '\0' ? between : "", before, text);
    (void)utf8_copy(line, FIT_BYTES, whole);
}

/* A list behind its word: `with 1031, 1007`. */
static void append_list(char line[FIT_BYTES], const char *word, const struct label_words *list)
{
    for (size_t i = 0; i < list->n; i++) {
        if (i == 0)
            append(line, ", ", "", word);
        append(line, i == 0 && word[0] != '\0' ? " " : ", ", "", list->word[i]);
    }
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

/* One line of hazard words from *next on. Safety words are not cut inside: those that do not fit give way to a word
 * that says where to look. Of the first rank one is taken in any case; row->whole then lets it become smaller. */
static void hazard_line(cairo_t *cr, const struct label_request *request, size_t *next, bool last, double width_mm,
                        struct row *row)
{
    const struct label_words *words = &request->hazard_words;
    char line[FIT_BYTES] = "", most[FIT_BYTES] = "";
    bool bold = row->kind == ROW_BAR;
    size_t used = *next;
    if (*next == 0 && request->signal[0] != '\0')
        append(line, "", "", word(request, request->signal[0] == 'd' ? "hazard.danger" : "hazard.warning"));
    for (size_t i = *next; i < words->n; i++) {
        struct fit_text fit;
        char rest[FIT_BYTES];
        bool more = i + 1 < words->n, needed = i < request->gravest;
        append(line, i == 0 ? ": " : ", ", "", words->word[i]);
        memcpy(rest, line, sizeof rest);
        append(rest, "", "", !more ? "" : last ? ", \xe2\x80\xa6 " : ",");
        append(rest, "", "", more && last ? word(request, "label.see_sheet") : "");
        fit_cut(cr, rest, bold, row->size_mm, width_mm, &fit);
        if (fit.cut && needed && last) { /* rather one more of these than where to look */
            memcpy(rest, line, sizeof rest);
            append(rest, "", "", more ? ", \xe2\x80\xa6" : "");
            fit_cut(cr, rest, bold, row->size_mm, width_mm, &fit);
        }
        if (fit.cut && !(needed && i == *next))
            break;
        memcpy(most, rest, sizeof most);
        used = i + 1;
        row->whole = fit.cut;
        if (fit.cut)
            break;
    }
    if (used == *next && *next > 0)
        append(most, "", "\xe2\x80\xa6 ", word(request, "label.see_sheet"));
    else if (used == *next)
        append(most, "", "", word(request, "label.hazards_see_sheet"));
    *next = used;
    memcpy(row->text, most, sizeof most);
}

/* Adds the hazard words in at most `lines` rows, in a bar unless the bar is taken by the use-by. Returns how many words
 * are shown. */
static size_t add_hazard_rows(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                              double size_mm, size_t lines, struct rows *rows)
{
    bool bar = request->use_by[0] == '\0' && !request->activated;
    double width_mm = bar ? rows_bar_text_mm(lay->column_mm) : lay->column_mm;
    size_t next = 0;
    for (size_t i = 0; i < lines && (i == 0 || next < request->hazard_words.n); i++) {
        struct row *row =
            rows_add(rows, bar ? ROW_BAR : ROW_TEXT, size_mm, size_mm < lay->least_mm ? size_mm : lay->least_mm);
        if (!row)
            break;
        size_t before = next;
        hazard_line(cr, request, &next, i + 1 == lines, width_mm, row);
        if (next == before)
            break; /* not even one word fits: the row says where to look */
    }
    return next;
}

/* The same, with as many lines more as the first rank needs. */
static size_t add_hazards(cairo_t *cr, const struct label_request *request, const struct layout *lay, double size_mm,
                          size_t lines, struct rows *rows)
{
    size_t before = rows->n, shown = add_hazard_rows(cr, request, lay, size_mm, lines, rows);
    while (shown < request->gravest && lines < HAZARD_LINES_MAX) {
        rows->n = before;
        shown = add_hazard_rows(cr, request, lay, size_mm, ++lines, rows);
    }
    return shown;
}

/* What was done to this batch, and where it stands. Two rows where there is room and need, else one. */
static void add_shelf(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                      const struct give *give, struct rows *rows)
{
    struct fit_text fit;
    char text[FIT_BYTES] = "";
    const char *shelf = word(request, "label.shelf");
    if (give->facts) {
        append_list(text, word(request, "label.tinted"), &request->tinted);
        append_list(text, word(request, "label.holds"), &request->foreign);
    }
    if (give->deviations) {
        append_list(text, "", &request->deviations);
        append_list(text, word(request, "label.with"), &request->with);
    }
    fit_cut(cr, text, false, lay->hazard_mm, rows_shelf_text_mm(cr, shelf, lay->hazard_mm, lay->column_mm), &fit);
    bool apart = text[0] != '\0' && (fit.cut || !give->shelf);
    bool pen = give->shelf && (!apart || give->two);
    if (apart && !give->two && give->shelf && request->tinted.n + request->foreign.n == 0) {
        apart = false; /* of these the end may be cut; what was tinted comes before a line for a pen */
        pen = true;
    }
    struct row *row = apart ? rows_add(rows, ROW_TEXT, lay->hazard_mm, LAYOUT_LEAST_MM) : NULL;
    if (row)
        memcpy(row->text, text, sizeof text);
    row = pen ? rows_add(rows, ROW_SHELF, lay->hazard_mm, LAYOUT_LEAST_MM) : NULL;
    if (!row)
        return;
    if (!apart)
        memcpy(row->text, text, sizeof text);
    row->blank = shelf;
}

static void add_use_by(const struct label_request *request, const struct layout *lay, struct rows *rows)
{
    struct row *row = NULL;
    if (request->use_by[0] != '\0' || request->activated)
        row = rows_add(rows, ROW_BAR, lay->use_by_mm, USE_BY_LEAST_MM);
    if (!row)
        return;
    row->whole = true;
    append(row->text, "", "", word(request, request->use_by[0] != '\0' ? "label.use_by" : "label.activated"));
    append(row->text, " ", "", request->use_by);
}

/* One line of what is known: text, then tail; none where both are empty. */
static void add_line(const struct layout *lay, const char *text, const char *tail, struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    if (!row)
        return;
    append(row->text, "", "", text);
    append(row->tail, "", text[0] != '\0' ? ", " : "", tail);
    if (row->text[0] == '\0' && row->tail[0] == '\0')
        rows_drop(rows);
}

static void add_order(const struct label_request *request, const struct layout *lay, const char *text,
                      struct rows *rows)
{
    char order[FIT_BYTES] = "";
    if (request->order[0] != '\0')
        append(order, "", "", word(request, "label.order"));
    append(order, " ", "", request->order);
    add_line(lay, text, order, rows);
}

/* Roomy: coat variant, made / vehicle, order / time, painter. */
static void add_roomy_texts(const struct label_request *request, const struct layout *lay, struct placed placed,
                            const struct give *give, struct rows *rows)
{
    char text[FIT_BYTES] = "";
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", content_coat(request));
    row->lead_mm = lay->coat_mm;
    append(row->text, "", "", request->variant);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->made);
    if (!placed.name && give->name)
        add_line(lay, request->name, "", rows);
    add_order(request, lay, request->vehicle, rows);
    append(text, "", "", request->time);
    append(text, ", ", "", request->painter);
    add_line(lay, text, "", rows);
}

/* Batch and coat, where a long code took all of the first line, with name and variant behind them. */
static void add_lead(const struct label_request *request, const struct layout *lay, struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", request->batch);
    append(row->lead, "  ", "", content_coat(request));
    append(row->text, "", "", request->name);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->variant);
}

/* Compact: name, made / vehicle, order / time, painter. What the first line had no room for stands here: batch
 * and coat before the name; the variant beside it, and how it was made moves on to the next line. */
static void add_compact_texts(const struct label_request *request, const struct layout *lay, struct placed placed,
                              const struct give *give, struct rows *rows)
{
    char text[FIT_BYTES] = "";
    if (!placed.coat) {
        add_lead(request, lay, rows);
        append(text, "", "", request->made);
    } else if (placed.variant && give->name) {
        add_line(lay, request->name, request->made, rows);
    } else if (placed.variant) {
        append(text, "", "", request->made);
    } else {
        if (give->name)
            add_line(lay, request->name, request->variant, rows);
        else
            append(text, "", "", request->variant);
        append(text, ", ", "", request->made);
    }
    append(text, ", ", "", request->vehicle);
    add_order(request, lay, text, rows);
    text[0] = '\0';
    append(text, "", "", request->time);
    short_year(text);
    append(text, ", ", "", request->painter);
    add_line(lay, text, "", rows);
}

/* One try: what this much giving way leaves. Returns how many hazard words are shown. */
static size_t try_cup(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                      const struct give *give, double hazard_mm, struct rows *rows)
{
    *rows = (struct rows){.n = 0};
    if (lay->roomy)
        add_roomy_texts(request, lay, placed, give, rows);
    else
        add_compact_texts(request, lay, placed, give, rows);
    add_use_by(request, lay, rows);
    size_t shown = add_hazards(cr, request, lay, hazard_mm, give->hazard_lines, rows);
    add_shelf(cr, request, lay, give, rows);
    return shown;
}

void content_cup(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                 double height_mm, struct rows *rows)
{
    bool bar = request->use_by[0] == '\0' && !request->activated;
    const double sizes[] = {bar && !lay->roomy ? lay->text_mm : lay->hazard_mm, lay->least_mm, LAYOUT_LEAST_MM};
    for (size_t g = 0; g < sizeof gives / sizeof *gives; g++) {
        size_t best = 0, size = sizeof sizes / sizeof *sizes;
        /* Smaller hazard words only where more of them are then shown: a larger label never shows less. */
        for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
            size_t shown = try_cup(cr, request, lay, placed, &gives[g], sizes[i], rows);
            if (rows_fit(rows, height_mm) && (size == sizeof sizes / sizeof *sizes || shown > best)) {
                best = shown;
                size = i;
            }
        }
        if (size < sizeof sizes / sizeof *sizes) {
            (void)try_cup(cr, request, lay, placed, &gives[g], sizes[size], rows);
            return;
        }
    }
}

void content_lid(const struct label_request *request, const struct layout *lay, struct placed placed, struct rows *rows)
{
    if (!lay->roomy && !placed.coat)
        add_lead(request, lay, rows);
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    row->lead_mm = 2 * lay->coat_mm;
    append(row->lead, "", "", content_coat(request));
    append(row->text, "", "", request->variant);
    add_use_by(request, lay, rows);
}
