#include "catalogue/catalogue.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

static void warn(json_t *out, const char *code, const struct coat *c, const char *toner, const char *format, ...)
    __attribute__((format(printf, 5, 6)));

static void warn(json_t *out, const char *code, const struct coat *c, const char *toner, const char *format, ...)
{
    char text[256];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    json_array_append_new(out, json_pack("{s:s, s:s?, s:s?, s:s?, s:s}", "code", code, "coat", c ? c->coat : NULL,
                                         "variant", c ? c->variant : NULL, "toner", toner, "text", text));
}

/* Whether an earlier part of the coat names the same toner; counts only the first repetition. */
static bool is_second(const struct coat *c, size_t part)
{
    size_t before = 0;
    for (size_t i = 0; i < part; i++)
        before += strcmp(c->parts[i].toner, c->parts[part].toner) == 0;
    return before == 1;
}

static void check_part(json_t *out, struct store *s, const struct formula *f, const struct coat *c, size_t part)
{
    const char *id = c->parts[part].toner;
    struct toner t;
    if (is_second(c, part))
        warn(out, "twice", c, id, "%s / %s names %s twice: both count as one component, each keeps its own step",
             c->coat, c->variant, id);
    if (!catalogue_toner(s, id, &t)) {
        warn(out, "unknown", c, id, "%s / %s: no toner is called %s", c->coat, c->variant, id);
        return;
    }
    if (isnan(t.density_g_per_ml))
        warn(out, "no_density", c, id, "%s has no density: volumes of %s / %s cannot be said", id, c->coat, c->variant);
    if (t.line[0] && strcmp(t.line, f->line) != 0)
        warn(out, "line", c, id, "%s is %s, the formula %s: they do not go into one cup", id, t.line, f->line);
}

json_t *formula_check(struct store *s, const struct formula *f)
{
    json_t *out = json_array();
    struct toner reducer;
    for (size_t i = 0; i < f->coat_count; i++) {
        const struct coat *c = &f->coats[i];
        for (size_t k = 0; k < c->part_count; k++)
            check_part(out, s, f, c, k);
        if (!formula_coat(f, c->coat, "standard"))
            warn(out, "no_standard", c, NULL, "%s has a variant %s and no standard", c->coat, c->variant);
    }
    if (!catalogue_reducer(s, f->line, &reducer))
        warn(out, "no_reducer", NULL, NULL, "no toner of role reducer and line %s: there will be no reducer step",
             f->line);
    return out;
}

bool formula_toners_known(struct store *s, const struct formula *f, struct fault *fault)
{
    struct toner t;
    for (size_t i = 0; i < f->coat_count; i++)
        for (size_t k = 0; k < f->coats[i].part_count; k++)
            if (!catalogue_toner(s, f->coats[i].parts[k].toner, &t))
                return fault_set(fault, FAULT_UNKNOWN, "toner", "unknown",
                                 "Mend its name, or put the toner first with toner.put.", "no toner is called %s",
                                 f->coats[i].parts[k].toner);
    return true;
}
