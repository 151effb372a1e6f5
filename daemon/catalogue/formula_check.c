/* formula_check.c - what a painter should know of a formula beside its toners. It refuses nothing. */
#include "catalogue/catalogue.h"

#include <math.h>
#include <string.h>

/* `text` is the same as `said`, in English, for who reads the list without our words. */
static void warn(json_t *out, const char *code, const struct coat *c, const char *toner, struct said said)
{
    char text[SAID_TEXT_MAX];
    said_text(&said, WORDS_EN, NULL, text, sizeof text);
    json_array_append_new(out, json_pack("{s:s, s:s?, s:s?, s:s?, s:s, s:o}", "code", code, "coat", c ? c->coat : NULL,
                                         "variant", c ? c->variant : NULL, "toner", toner, "text", text, "said",
                                         said_json(&said, NULL)));
}

/* Whether an earlier part of the coat names the same toner; counts only the first repetition. */
static bool is_second(const struct coat *c, size_t part)
{
    size_t before = 0;
    for (size_t i = 0; i < part; i++)
        before += strcmp(c->parts[i].toner, c->parts[part].toner) == 0;
    return before == 1;
}

/* A toner that the bank does not have cannot be poured; one without a density can, but neither sized in mL nor told as
 * VOC; one of another line may curdle in the cup. */
static void check_part(json_t *out, struct store *s, const struct formula *f, const struct coat *c, size_t part)
{
    const char *id = c->parts[part].toner;
    struct toner t;
    if (is_second(c, part))
        warn(out, "twice", c, id, say("formula_twice coat=%s variant=%s toner=%s", c->coat, c->variant, id));
    if (!catalogue_toner(s, id, &t)) {
        warn(out, "unknown", c, id, say("formula_unknown_toner coat=%s variant=%s toner=%s", c->coat, c->variant, id));
        return;
    }
    if (isnan(t.density_g_per_ml))
        warn(out, "no_density", c, id, say("formula_no_density toner=%s coat=%s variant=%s", id, c->coat, c->variant));
    if (t.line[0] && strcmp(t.line, f->line) != 0)
        warn(out, "line", c, id, say("formula_line toner=%s toner_line=%s line=%s", id, t.line, f->line));
}

/* Every coat of every variant, since a batch may be begun with any. */
json_t *formula_check(struct store *s, const struct formula *f)
{
    json_t *out = json_array();
    struct toner reducer;
    for (size_t i = 0; i < f->coat_count; i++) {
        const struct coat *c = &f->coats[i];
        for (size_t k = 0; k < c->part_count; k++)
            check_part(out, s, f, c, k);
        if (!formula_coat(f, c->coat, "standard"))
            warn(out, "no_standard", c, NULL, say("formula_no_standard coat=%s variant=%s", c->coat, c->variant));
    }
    if (!catalogue_reducer(s, f->line, &reducer))
        warn(out, "no_reducer", NULL, NULL, say("formula_no_reducer line=%s", f->line));
    return out;
}

/* Asked before a put: a formula with a toner that nothing describes would be refused at the bench, with the cup already
 * on the scale. A store that cannot be read is another fault than a toner that is not there. */
bool formula_toners_known(struct store *s, const struct formula *f, struct fault *fault)
{
    struct toner t;
    uint64_t unread = store_unread(s);
    for (size_t i = 0; i < f->coat_count; i++)
        for (size_t k = 0; k < f->coats[i].part_count; k++)
            if (!catalogue_toner(s, f->coats[i].parts[k].toner, &t))
                return catalogue_was_read(s, unread, fault) &&
                       catalogue_unknown(s, "toner", "toner", f->coats[i].parts[k].toner, fault);
    return true;
}
