/* sections.c - one section of a file to the JSON of its thing, by the tables of the kinds. Knows no store. */
#include "catalogue/file_reading.h"

#include <string.h>

/* Any kind but a formula: one section is the whole thing. */
static void thing_take(struct reading *r, const struct ini_file *f, const struct ini_section *s,
                       const struct shape *kind, const char *id)
{
    struct fault fault;
    if (!id_fits(id)) {
        file_faults_add(r->faults, f->path, s->line, kind->name, say("file_id given=%s", id));
        return;
    }
    if (!reading_first(r, kind->name, id, f->path, s->line))
        return;
    json_t *object = json_pack("{s:s}", "id", id), *thing = NULL;
    if (settings_take(r, f, s, kind, object) && !(thing = catalogue_shape(kind->name, object, &fault)))
        reading_refuse(r, f->path, s->line, s, &fault);
    json_decref(object);
    if (!thing)
        return;
    crypto_hash_sha256_state hash;
    crypto_hash_sha256_init(&hash);
    section_hash(&hash, s);
    reading_keep(r, kind->name, id, thing, &hash, f->path, s->line);
}

/* A formula and its coats are several sections; all other kinds are looked up by their table. */
void section_take(struct reading *r, const struct ini_file *f, const struct ini_section *s)
{
    size_t n = strcspn(s->name, " \t");
    const char *rest = s->name + n + strspn(s->name + n, " \t");
    if (n == 7 && memcmp(s->name, "formula", n) == 0) {
        formula_open(r, f, s, rest);
        return;
    }
    if (n == 4 && memcmp(s->name, "coat", n) == 0) {
        formula_add_coat(r, f, s, rest);
        return;
    }
    char word[16] = "";
    if (n < sizeof word)
        memcpy(word, s->name, n);
    const struct shape *kind = catalogue_kind(word);
    if (kind)
        thing_take(r, f, s, kind, rest);
    else
        file_faults_add(r->faults, f->path, s->line, s->name, say("file_section"));
}
