/* formulas.c - a formula of several sections: a coat joins the formula above it. Knows no store. */
#include "catalogue/file_reading.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The code of `[formula CODE]`, of its setting, or of both where they agree; NULL: a fault was added. */
static const char *code_of(struct reading *r, const struct ini_file *f, const struct ini_section *s, const char *named)
{
    const struct ini_entry *e = ini_get(s, "code");
    const char *code = *named ? named : e ? e->value : "";
    int line = !*named && e ? e->line : s->line;
    if (!*code) {
        file_faults_add(r->faults, f->path, s->line, "code", say("formula_no_code"));
        return NULL;
    }
    if (!id_fits(code)) {
        file_faults_add(r->faults, f->path, line, "code", say("file_id given=%s", code));
        return NULL;
    }
    if (e && strcmp(code, e->value) != 0) {
        file_faults_add(r->faults, f->path, e->line, "code",
                        say("formula_codes section=%s given=%s", s->name, e->value));
        return NULL;
    }
    return reading_first(r, "formula", code, f->path, line) ? code : NULL;
}

/* The hash covers the head and all coats, so that a change of one coat makes a new revision of the formula. */
void formula_open(struct reading *r, const struct ini_file *f, const struct ini_section *s, const char *named)
{
    formula_close(r);
    r->faults_before = r->faults->count;
    r->formula = json_pack("{s:[]}", "coats");
    r->coat_lines = json_array();
    r->file = f;
    r->head = s;
    crypto_hash_sha256_init(&r->hash);
    section_hash(&r->hash, s);
    const char *code = code_of(r, f, s, named);
    settings_take(r, f, s, &formula_shape, r->formula);
    if (code)
        json_object_set_new(r->formula, "code", json_string(code));
}

/* The toners of a coat in pouring order; NULL: a fault was added. One may stand there twice. */
static json_t *parts_take(struct reading *r, const struct ini_file *f, const struct ini_section *s)
{
    json_t *parts = json_array();
    bool fine = true;
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        double grams;
        if (!id_fits(e->key)) {
            fine = file_faults_add(r->faults, f->path, e->line, e->key, say("file_id given=%s", e->key));
        } else if (!ini_number(e->value, &grams) || grams <= 0 || grams > 1e9) {
            fine = file_faults_add(
                r->faults, f->path, e->line, e->key,
                say(strchr(e->value, ',') ? "file_comma given=%s" : "formula_parts given=%s", e->value));
        } else {
            json_array_append_new(parts, json_pack("{s:s, s:f}", "toner", e->key, "parts", grams));
            json_array_append_new(r->uses,
                                  json_pack("{s:s, s:s, s:i}", "toner", e->key, "file", f->path, "line", e->line));
        }
    }
    if (s->count == 0)
        fine = file_faults_add(r->faults, f->path, s->line, s->name, say("formula_coat_empty"));
    if (fine)
        return parts;
    json_decref(parts);
    return NULL;
}

/* `[coat mid / darker]`: coat, then variant; without a slash it is the standard one. */
void formula_add_coat(struct reading *r, const struct ini_file *f, const struct ini_section *s, const char *name)
{
    if (!r->formula) {
        file_faults_add(r->faults, f->path, s->line, s->name, say("formula_coat_alone"));
        return;
    }
    const char *slash = strchr(name, '/');
    size_t n = slash ? (size_t)(slash - name) : strlen(name);
    const char *variant = slash ? slash + 1 + strspn(slash + 1, " \t") : "standard";
    while (n > 0 && (name[n - 1] == ' ' || name[n - 1] == '\t'))
        n--;
    if (n == 0) {
        file_faults_add(r->faults, f->path, s->line, "coat", say("formula_coat_name"));
        return;
    }
    if (!variant_fits(variant)) {
        file_faults_add(r->faults, f->path, s->line, s->name, say("formula_coat_variant given=%s", variant));
        return;
    }
    section_hash(&r->hash, s);
    json_t *parts = parts_take(r, f, s);
    if (!parts)
        return;
    json_array_append_new(json_object_get(r->formula, "coats"),
                          json_pack("{s:s%, s:s, s:o}", "coat", name, n, "variant", variant, "parts", parts));
    json_array_append_new(r->coat_lines, json_integer(s->line));
}

/* The line that a fault's field speaks of: that of the coat for `coats[2].variant`, else the formula's own. */
static int line_of(const struct reading *r, const struct fault *fault)
{
    size_t index;
    if (sscanf(fault->field, "coats[%zu]", &index) == 1 && index < json_array_size(r->coat_lines))
        return (int)json_integer_value(json_array_get(r->coat_lines, index));
    return r->head->line;
}

/* Makes the item, unless a section of it had a fault. May be called with none open. */
void formula_close(struct reading *r)
{
    struct formula formula;
    struct fault fault;
    if (!r->formula)
        return;
    if (r->faults->count == r->faults_before) {
        if (formula_from_json(r->formula, &formula, &fault)) {
            reading_keep(r, "formula", formula.code, formula_to_json(&formula), &r->hash, r->file->path, r->head->line);
            formula_finish(&formula);
        } else {
            reading_refuse(r, r->file->path, line_of(r, &fault), r->head, &fault);
        }
    }
    json_decref(r->formula);
    json_decref(r->coat_lines);
    r->formula = r->coat_lines = NULL;
}
