/* content.c - the lines of a label: what they say in its language, and which give way. Knows no batch and no printer.
 */
#include "print/draw/label.h"

#include "text/utf8.h"

#include <stdio.h>
#include <string.h>

/* Until when it may be used is read at arm's length, by someone who is in a hurry. */
#define USE_BY_LEAST_MM 2.8
#define LID_LARGER      1.3 /* date and order on a lid, which has the room */

/* Where the first rank needs more than its share; beyond that the label has no room for the cup's own name. What a
 * large label may spare for the other ranks. */
enum { HAZARD_LINES_MAX = 5, HAZARD_LINES_SPARE = 9 };

/* What is still there where room is short. */
struct give {
    size_t hazard_lines; /* more where the first rank needs more */
    bool two;            /* the line for a pen in a row of its own below the facts */
    bool shelf, name, deviations, facts;
    size_t fact_rows; /* at most; what does not fit the last of them is cut */
    bool changed;     /* only for what was tinted or holds a toner that is not in the formula */
    bool lean;        /* without the order: the batch number leads to it */
};
/* The least important gives way first. A line for a pen costs no row where facts stand before it. A tint and a wrong
 * tin make it another colour: of such a batch name, deviations and shelf go before they are cut. */
static const struct give gives[] = {
    {3, true, true, true, true, true, 4, false, false},    {3, false, true, true, true, true, 4, false, false},
    {2, false, true, true, true, true, 4, false, false},   {2, false, false, true, true, true, 4, true, false},
    {2, false, false, false, true, true, 4, true, false},  {2, false, false, true, false, true, 2, true, false},
    {2, false, false, false, false, true, 2, true, false}, {1, false, true, true, true, true, 1, false, false},
    {1, false, false, true, true, true, 1, false, false},  {1, false, true, false, true, true, 1, false, false},
    {1, false, false, false, true, true, 1, false, false}, {1, false, false, false, false, true, 1, false, false},
    {1, false, false, false, false, true, 1, true, true},  {1, false, false, false, false, false, 1, false, false},
};

/* Whether the cup is not what its formula says. */
static bool is_changed(const struct label_request *request)
{
    return request->tinted.n + request->foreign.n > 0;
}

/* In the language of the label, which is the bench's and not the reader's. */
static const char *word(const struct label_request *request, const char *code)
{
    return words_of(request->language, code);
}

/* A coat that a later daemon knows stands as it is written. */
const char *content_coat(const struct label_request *request)
{
    char code[64];
    (void)snprintf(code, sizeof code, "coat.%.50s", request->coat);
    return words_or(request->language, code, request->coat);
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

/* Puts a piece into the last of the rows of facts if it then still fits, or if there may be no more; else into one of
 * its own. */
static void add_fact(cairo_t *cr, const struct layout *lay, const char *piece, size_t first, size_t most,
                     struct rows *rows)
{
    struct row *row = rows->n > first ? &rows->row[rows->n - 1] : NULL;
    if (piece[0] == '\0')
        return;
    if (row) {
        struct row longer = *row;
        append(longer.text, ", ", "", piece);
        if (rows->n >= first + most || rows_whole(cr, &longer, lay->column_mm)) {
            *row = longer;
            return;
        }
    }
    if ((row = rows_add(rows, ROW_TEXT, lay->hazard_mm, LAYOUT_LEAST_MM)))
        append(row->text, "", "", piece);
}

/* What was done to this batch, and where it stands: a tint with what is not in the formula, deviations, cups worked
 * off. The line for a pen stands behind the last of them where there is room, else in a row of its own. */
static void add_shelf(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                      const struct give *give, struct rows *rows)
{
    const struct {
        const char *word;
        const struct label_words *list;
        bool shown;
    } pieces[] = {
        {word(request, "label.tinted"), &request->tinted, give->facts},
        {word(request, "label.holds"), &request->foreign, give->facts},
        {"", &request->deviations, give->deviations},
        {word(request, "label.with"), &request->with, give->deviations},
    };
    const char *shelf = word(request, "label.shelf");
    size_t first = rows->n;
    for (size_t i = 0; i < sizeof pieces / sizeof *pieces; i++) {
        char piece[FIT_BYTES] = "";
        if (pieces[i].shown)
            append_list(piece, pieces[i].word, pieces[i].list);
        add_fact(cr, lay, piece, first, give->fact_rows, rows);
    }
    struct row *last = rows->n > first ? &rows->row[rows->n - 1] : NULL;
    struct fit_text fit;
    if (!give->shelf)
        return;
    if (last)
        fit_cut(cr, last->text, false, lay->hazard_mm, rows_shelf_text_mm(cr, shelf, lay->hazard_mm, lay->column_mm),
                &fit);
    /* Of deviations the end may be cut; what was tinted comes before a line for a pen. */
    if (last && (!fit.cut || (!give->two && !is_changed(request))))
        last->kind = ROW_SHELF;
    else if (!last || give->two)
        last = rows_add(rows, ROW_SHELF, lay->hazard_mm, LAYOUT_LEAST_MM);
    if (last && last->kind == ROW_SHELF)
        last->blank = shelf;
}

/* In the bar, whole: an activated mix that hardens in the gun is the dearest mistake. Without a pot life known the bar
 * says that it is activated. */
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

/* One line of what is known: text, then tail; none, and NULL, where both are empty. */
static struct row *add_line(const struct layout *lay, const char *text, const char *tail, struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    if (!row)
        return NULL;
    append(row->text, "", "", text);
    append(row->tail, "", text[0] != '\0' ? ", " : "", tail);
    if (row->text[0] != '\0' || row->tail[0] != '\0')
        return row;
    rows_drop(rows);
    return NULL;
}

/* `standard` says least: it goes before anything beside it is cut. part is the row's text or its tail. */
static void drop_standard(cairo_t *cr, const struct layout *lay, struct row *row, const char *variant, bool tail)
{
    if (!row || strcmp(variant, "standard") != 0 || rows_whole(cr, row, lay->column_mm))
        return;
    if (tail) {
        row->tail[0] = '\0';
        return;
    }
    (void)memmove(row->text, row->tail, sizeof row->text);
    row->tail[0] = '\0';
    if (strncmp(row->text, ", ", 2) == 0)
        (void)memmove(row->text, row->text + 2, strlen(row->text + 2) + 1);
}

/* The order keeps its place when the text before it is cut: a cup without its order is looked for. */
static struct row *add_order(const struct label_request *request, const struct layout *lay, const char *text,
                             struct rows *rows)
{
    char order[FIT_BYTES] = "";
    if (request->order[0] != '\0')
        append(order, "", "", word(request, "label.order"));
    append(order, " ", "", request->order);
    return add_line(lay, text, order, rows);
}

/* Roomy: coat variant, made / how much, vehicle, order / time, painter. */
static void add_roomy_texts(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                            struct placed placed, const struct give *give, struct rows *rows)
{
    char text[FIT_BYTES] = "";
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", content_coat(request));
    row->lead_mm = lay->coat_mm;
    append(row->text, "", "", request->variant);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->made);
    drop_standard(cr, lay, row, request->variant, false);
    if (!placed.name && give->name)
        add_line(lay, request->name, "", rows);
    append(text, "", "", request->content);
    append(text, ", ", "", request->vehicle);
    if (!give->lean)
        add_order(request, lay, text, rows);
    text[0] = '\0';
    append(text, "", "", request->time);
    append(text, ", ", "", request->painter);
    add_line(lay, text, give->lean ? request->content : "", rows);
}

/* Batch and coat, where a long code took all of the first line, with name and variant behind them. */
static void add_lead(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct rows *rows)
{
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    append(row->lead, "", "", request->batch);
    append(row->lead, "  ", "", content_coat(request));
    append(row->text, "", "", request->name);
    append(row->tail, "", row->text[0] != '\0' ? ", " : "", request->variant);
    drop_standard(cr, lay, row, request->variant, true);
}

/* Compact: name, made / vehicle, order / time, painter, how much. What the first line had no room for stands here:
 * batch and coat before the name; the variant beside it, and how it was made moves on to the next line. */
static void add_compact_texts(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                              struct placed placed, const struct give *give, struct rows *rows)
{
    char text[FIT_BYTES] = "";
    if (!placed.coat) {
        add_lead(cr, request, lay, rows);
        append(text, "", "", request->made);
    } else if (placed.variant && give->name) {
        add_line(lay, request->name, request->made, rows);
    } else if (placed.variant) {
        append(text, "", "", request->made);
    } else {
        if (give->name)
            drop_standard(cr, lay, add_line(lay, request->name, request->variant, rows), request->variant, true);
        else if (strcmp(request->variant, "standard") != 0)
            append(text, "", "", request->variant);
        append(text, ", ", "", request->made);
    }
    append(text, ", ", "", request->vehicle);
    if (!give->lean)
        add_order(request, lay, text, rows);
    text[0] = '\0';
    append(text, "", "", request->time);
    short_year(text);
    append(text, ", ", "", request->painter);
    add_line(lay, text, request->content, rows);
}

/* One try: what this much giving way leaves. Returns how many hazard words are shown. */
static size_t try_cup(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                      const struct give *give, double hazard_mm, struct rows *rows)
{
    *rows = (struct rows){.n = 0};
    if (lay->roomy)
        add_roomy_texts(cr, request, lay, placed, give, rows);
    else
        add_compact_texts(cr, request, lay, placed, give, rows);
    add_use_by(request, lay, rows);
    size_t shown = add_hazards(cr, request, lay, hazard_mm, give->hazard_lines, rows);
    add_shelf(cr, request, lay, give, rows);
    return shown;
}

/* A label with room to spare shows more hazards than its share of rows: as many as stand there with no letter made
 * smaller. False: it has none to spare, and *rows is nothing. */
static bool more_hazards(cairo_t *cr, const struct label_request *request, const struct layout *lay,
                         struct placed placed, double height_mm, struct rows *rows)
{
    struct give give = gives[0], best = gives[0];
    size_t most = 0;
    for (give.hazard_lines = HAZARD_LINES_SPARE; give.hazard_lines > gives[0].hazard_lines; give.hazard_lines--) {
        size_t shown = try_cup(cr, request, lay, placed, &give, lay->hazard_mm, rows);
        if (rows_fit_unshrunk(rows, height_mm) && shown > most) {
            most = shown;
            best = give;
        }
    }
    if (most > 0)
        (void)try_cup(cr, request, lay, placed, &best, lay->hazard_mm, rows);
    return most > 0;
}

/* Gives way step by step (gives), and at each step tries three sizes of hazard words, so that words are lost before
 * letters become too small only where there is no other way. What fits no step at all is drawn as the last leaves it.
 */
void content_cup(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                 double height_mm, struct rows *rows)
{
    bool bar = request->use_by[0] == '\0' && !request->activated;
    const double sizes[] = {bar && !lay->roomy ? lay->text_mm : lay->hazard_mm, lay->least_mm, LAYOUT_LEAST_MM};
    if (lay->roomy && more_hazards(cr, request, lay, placed, height_mm, rows))
        return;
    for (size_t g = 0; g < sizeof gives / sizeof *gives; g++) {
        if (gives[g].changed && !is_changed(request))
            continue;
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

/* Large: the lid is read from above, with many cups side by side. No hazards: those stand on the cup itself. */
void content_lid(cairo_t *cr, const struct label_request *request, const struct layout *lay, struct placed placed,
                 struct rows *rows)
{
    char text[FIT_BYTES] = "";
    if (!lay->roomy && !placed.coat)
        add_lead(cr, request, lay, rows);
    struct row *row = rows_add(rows, ROW_TEXT, lay->text_mm, lay->least_mm);
    row->lead_mm = 2 * lay->coat_mm;
    append(row->lead, "", "", content_coat(request));
    append(row->text, "", "", request->variant);
    add_use_by(request, lay, rows);
    append(text, "", "", request->time);
    if (!lay->roomy)
        short_year(text);
    row = add_order(request, lay, "", rows);
    if (row)
        row->size_mm = LID_LARGER * lay->text_mm;
    row = add_line(lay, text, "", rows);
    if (row)
        row->size_mm = LID_LARGER * lay->text_mm;
}
