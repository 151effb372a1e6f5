/* sections.c - one section of a file to the JSON of its thing, by the tables of the kinds; coats joined to their
 * formula.
 *
 * It must not know the store, nor which files there are.
 */
#include "catalogue/sections.h"
#include "text/json_write.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Adds a fault at a line of the file being read. Always false. */
static bool refuse(struct reading *r, int line, const char *field, struct said why)
{
    return file_faults_add(r->faults, r->file->path, line, field, why);
}

/* ---- settings ---- */

/* What stands in a section's head, or in no file at all, is no setting; what a premix is made of comes from
 * the cup that it was mixed in. */
static bool is_setting(const struct shape_member *m)
{
    return strcmp(m->name, "id") != 0 && strcmp(m->name, "composition") != 0;
}

/* An ini_knows: *arg is a struct shape. known gets the settings there are, for the help of one that is not: as many as
 * fit, none cut. */
static bool knows(const void *arg, const char *key, char *known, size_t size)
{
    const struct shape *shape = arg;
    const struct shape_member *member = shape_find(shape, key);
    for (const struct shape_member *m = shape->members; m->name; m++) {
        size_t used = strlen(known);
        if (is_setting(m) && used + strlen(m->name) + 3 < size)
            snprintf(known + used, size - used, "%s%s", used ? ", " : "", m->name);
    }
    return member && is_setting(member);
}

/* `parts = CL, , R` lost an id that the ratio counts on. A list with nothing between two commas, or behind the last. */
static bool has_gap(const struct shape_member *m, const char *text)
{
    bool gap = true;
    for (; m->type == SHAPE_LIST && *text; text++) {
        if (*text == ',' && gap)
            return true;
        gap = *text == ',' || (gap && (*text == ' ' || *text == '\t'));
    }
    return m->type == SHAPE_LIST && gap;
}

/* The settings as JSON members of object, as the kind's table takes them; false: a fault was added. */
static bool settings_take(struct reading *r, const struct ini_section *s, const struct shape *shape, json_t *object)
{
    bool fine = ini_section_check(r->file, s, knows, shape, r->faults);
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        const struct shape_member *member = shape_find(shape, e->key);
        struct fault fault = {0};
        if (!member || !is_setting(member))
            continue;
        if (has_gap(member, e->value)) {
            fine = refuse(r, e->line, e->key, say("file_gap"));
            continue;
        }
        json_t *value = shape_of_text(member, e->value, &fault);
        if (value)
            json_object_set_new(object, e->key, value);
        else if (said_is(&fault.said, "member_no_number") && strchr(e->value, ','))
            fine = refuse(r, e->line, e->key, say("file_comma given=%s", e->value));
        else
            fine = refuse(r, e->line, e->key, fault.said);
    }
    return fine;
}

/* ---- what a reading keeps ---- */

/* `seen` and `uses` live for all files of a reading: an id may not stand twice, in whichever file. */
void reading_begin(struct reading *r, struct file_items *items, struct file_faults *faults)
{
    *r = (struct reading){
        .items = items, .faults = faults, .seen = json_object(), .uses = json_array(), .asked = json_object()};
}

/* Each item points to it: 100,000 copies of a path took 50 MB. */
bool reading_file(struct reading *r, const char *path)
{
    char **grown = realloc(r->items->file, (r->items->files + 1) * sizeof *grown), *copy = strdup(path);
    if (grown)
        r->items->file = grown;
    if (grown && copy) {
        grown[r->items->files++] = copy;
        return true;
    }
    free(copy);
    return file_faults_add(r->faults, path, 0, NULL, say("out_of_memory"));
}

void reading_end(struct reading *r)
{
    json_decref(r->seen);
    json_decref(r->uses);
    json_decref(r->asked);
    json_decref(r->formula);
    json_decref(r->coat_lines);
    r->seen = r->uses = r->asked = r->formula = r->coat_lines = NULL;
}

/* More lines than a file may have bytes. */
enum { LINES_MOST = 1 << 24 };

/* Notes where a thing stands. False: it stood somewhere before; the fault names that place, which may be in another
 * file. */
static bool reading_first(struct reading *r, const char *kind, const char *id, int line)
{
    char key[16 + ID_MAX];
    snprintf(key, sizeof key, "%s %s", kind, id);
    const json_t *before = json_object_get(r->seen, key);
    json_int_t place = json_integer_value(before);
    if (before)
        return refuse(r, line, key,
                      say("file_twice file=%s line=%d", r->items->file[place / LINES_MOST], (int)(place % LINES_MOST)));
    json_object_set_new(r->seen, key, json_integer((json_int_t)(r->items->files - 1) * LINES_MOST + line));
    return true;
}

/* Adds a section's words to a hash, so that comments, spaces and line ends change nothing. */
static void section_hash(crypto_hash_sha256_state *hash, const struct ini_section *s)
{
    const unsigned char *name = (const unsigned char *)s->name;
    crypto_hash_sha256_update(hash, name, strlen(s->name) + 1); /* the NULs keep words apart */
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        crypto_hash_sha256_update(hash, (const unsigned char *)e->key, strlen(e->key) + 1);
        crypto_hash_sha256_update(hash, (const unsigned char *)e->value, strlen(e->value) + 1);
    }
}

/* Tells what a *_from_json refused. A fault names a member; the person looks for a line. So the setting of that name is
 * looked for in the section. */
static void reading_refuse(struct reading *r, int line, const struct ini_section *s, const struct fault *fault)
{
    char key[sizeof fault->field];
    snprintf(key, sizeof key, "%.*s", (int)strcspn(fault->field, ".["), fault->field);
    const struct ini_entry *e = s ? ini_get(s, key) : NULL;
    const char *dot = strrchr(fault->field, '.'); /* `coats[1].coat`: the line says which of them */
    if (e)
        refuse(r, e->line, key, fault->said);
    else
        refuse(r, line, dot ? dot + 1 : fault->field, fault->said);
}

/* Room for one more item. False: no memory. */
static bool item_fits(struct file_items *items)
{
    if (items->count < items->room)
        return true;
    size_t room = items->room ? 2 * items->room : 64;
    struct file_item *grown = realloc(items->item, room * sizeof *grown);
    if (!grown)
        return false;
    items->item = grown;
    items->room = room;
    return true;
}

/* Keeps a thing as an item: takes the reference. The id is one that fits and the kind is one of ours, so neither is
 * cut. The item owns body and text. */
static void reading_keep(struct reading *r, const char *kind, const char *id, json_t *thing,
                         crypto_hash_sha256_state *hash, const struct ini_section *s)
{
    struct fault fault = {0};
    if (!catalogue_name_fits(thing, &fault)) {
        reading_refuse(r, s->line, s, &fault);
        json_decref(thing);
        return;
    }
    unsigned char digest[crypto_hash_sha256_BYTES];
    char *body = json_write(thing, JSON_COMPACT | JSON_REAL_PRECISION(15)), *text = catalogue_text(thing);
    json_decref(thing);
    if (!body || !text || !item_fits(r->items)) {
        free(body);
        free(text);
        refuse(r, s->line, NULL, say("out_of_memory"));
        return;
    }
    struct file_item *item = &r->items->item[r->items->count++];
    const struct ini_entry *codes = ini_get(s, ini_get(s, "codes") ? "codes" : "code");
    *item = (struct file_item){.body = body,
                               .text = text,
                               .file = r->items->file[r->items->files - 1],
                               .line = s->line,
                               .code_line = codes ? codes->line : s->line};
    snprintf(item->kind, sizeof item->kind, "%s", kind);
    snprintf(item->id, sizeof item->id, "%s", id);
    crypto_hash_sha256_final(hash, digest);
    sodium_bin2hex(item->source, sizeof item->source, digest, sizeof digest);
}

/* ---- a formula: its section and those of its coats ---- */

/* The code of `[formula CODE]`, of its setting, or of both where they agree; NULL: a fault was added. */
static const char *code_of(struct reading *r, const struct ini_section *s, const char *named)
{
    const struct ini_entry *e = ini_get(s, "code");
    const char *code = *named ? named : e ? e->value : "";
    int line = !*named && e ? e->line : s->line;
    if (!*code) {
        refuse(r, s->line, "code", say("formula_no_code"));
        return NULL;
    }
    if (!id_fits(code)) {
        refuse(r, line, "code", say("file_id given=%s", code));
        return NULL;
    }
    if (e && strcmp(code, e->value) != 0) {
        refuse(r, e->line, "code", say("formula_codes section=%s given=%s", s->name, e->value));
        return NULL;
    }
    return reading_first(r, "formula", code, line) ? code : NULL;
}

/* Begins the formula of a [formula] section. The hash covers the head and all coats, so that a change of one coat makes
 * a new revision of the formula. */
static void formula_open(struct reading *r, const struct ini_section *s, const char *named)
{
    formula_close(r);
    r->faults_before = r->faults->count;
    r->formula = json_pack("{s:[]}", "coats");
    r->coat_lines = json_array();
    r->head = s;
    crypto_hash_sha256_init(&r->hash);
    section_hash(&r->hash, s);
    const char *code = code_of(r, s, named);
    settings_take(r, s, &formula_shape, r->formula);
    if (code)
        json_object_set_new(r->formula, "code", json_string(code));
}

/* A coat names a toner. What the store has is asked once a toner; only what nobody knows yet is looked at again when
 * all files are read: 100,000 formulas name 700,000. */
static void note_use(struct reading *r, const char *toner, int line)
{
    char key[16 + ID_MAX];
    snprintf(key, sizeof key, "toner %s", toner);
    const json_t *known = json_object_get(r->seen, key);
    if (!known && !(known = json_object_get(r->asked, toner))) {
        bool has = r->known && r->known(r->known_arg, "toner", toner);
        json_object_set_new(r->asked, toner, json_boolean(has));
        known = json_object_get(r->asked, toner);
    }
    if (!known || json_is_false(known))
        json_array_append_new(r->uses,
                              json_pack("{s:s, s:s, s:i}", "toner", toner, "file", r->file->path, "line", line));
}

/* The toners of a coat in pouring order, grams as their parts; NULL: a fault was added. One may stand there twice.
 * Every line is looked at even after a fault: a person fixes them all at once. */
static json_t *parts_take(struct reading *r, const struct ini_section *s)
{
    json_t *parts = json_array();
    bool fine = true;
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        double grams;
        if (!id_fits(e->key)) {
            fine = refuse(r, e->line, e->key, say("file_id given=%s", e->key));
        } else if (!ini_number(e->value, &grams) || grams <= 0 || grams > 1e9) {
            fine = refuse(r, e->line, e->key,
                          say(strchr(e->value, ',') ? "file_comma given=%s" : "formula_parts given=%s", e->value));
        } else {
            json_array_append_new(parts, json_pack("{s:s, s:f}", "toner", e->key, "parts", grams));
            note_use(r, e->key, e->line);
        }
    }
    if (s->count == 0)
        fine = refuse(r, s->line, s->name, say("formula_coat_empty"));
    if (fine)
        return parts;
    json_decref(parts);
    return NULL;
}

/* `[coat mid / darker]`: spaces about the slash are free. Coat, then variant; without a slash it is the standard one.
 */
static void formula_add_coat(struct reading *r, const struct ini_section *s, const char *name)
{
    if (!r->formula) {
        refuse(r, s->line, s->name, say("formula_coat_alone"));
        return;
    }
    const char *slash = strchr(name, '/');
    size_t n = slash ? (size_t)(slash - name) : strlen(name);
    const char *variant = slash ? slash + 1 + strspn(slash + 1, " \t") : "standard";
    while (n > 0 && (name[n - 1] == ' ' || name[n - 1] == '\t'))
        n--;
    if (n == 0) {
        refuse(r, s->line, "coat", say("formula_coat_name"));
        return;
    }
    if (!variant_fits(variant)) {
        refuse(r, s->line, s->name, say("formula_coat_variant given=%s", variant));
        return;
    }
    section_hash(&r->hash, s);
    json_t *parts = parts_take(r, s);
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
    struct fault fault = {0};
    if (!r->formula)
        return;
    if (r->faults->count == r->faults_before) {
        if (formula_from_json(r->formula, &formula, &fault)) {
            reading_keep(r, "formula", formula.code, formula_to_json(&formula), &r->hash, r->head);
            formula_finish(&formula);
        } else {
            reading_refuse(r, line_of(r, &fault), r->head, &fault);
        }
    }
    json_decref(r->formula);
    json_decref(r->coat_lines);
    r->formula = r->coat_lines = NULL;
}

/* ---- any section ---- */

/* Any kind but a formula: one section is the whole thing. The id is looked at first, since every other fault is told by
 * it; one that stood before hides no fault of its settings, which are then another thing's. */
static void thing_take(struct reading *r, const struct ini_section *s, const struct shape *kind, const char *id)
{
    struct fault fault = {0};
    if (!id_fits(id)) {
        refuse(r, s->line, kind->name, say("file_id given=%s", id));
        return;
    }
    if (!reading_first(r, kind->name, id, s->line))
        return;
    json_t *object = json_pack("{s:s}", "id", id), *thing = NULL;
    if (settings_take(r, s, kind, object) && !(thing = catalogue_shape(kind->name, object, &fault)))
        reading_refuse(r, s->line, s, &fault);
    json_decref(object);
    if (!thing)
        return;
    crypto_hash_sha256_state hash;
    crypto_hash_sha256_init(&hash);
    section_hash(&hash, s);
    reading_keep(r, kind->name, id, thing, &hash, s);
}

/* A formula and its coats are several sections; all other kinds are looked up by their table. */
void section_take(struct reading *r, const struct ini_file *f, const struct ini_section *s)
{
    r->file = f;
    size_t n = strcspn(s->name, " \t");
    const char *rest = s->name + n + strspn(s->name + n, " \t");
    if (n == 7 && memcmp(s->name, "formula", n) == 0) {
        formula_open(r, s, rest);
        return;
    }
    if (n == 4 && memcmp(s->name, "coat", n) == 0) {
        formula_add_coat(r, s, rest);
        return;
    }
    char word[16] = "";
    if (n < sizeof word)
        memcpy(word, s->name, n);
    const struct shape *kind = catalogue_kind(word);
    if (kind)
        thing_take(r, s, kind, rest);
    else
        refuse(r, s->line, s->name, say("file_section"));
}
