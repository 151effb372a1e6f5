/* file_reading.c - what a reading of the catalogue's files knows and keeps: settings, things seen, faults.
 *
 * It must not know which sections there are (sections.c), nor the store.
 */
#include "catalogue/file_reading.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- settings ---- */

/* What stands in a section's head, or in no file at all, is no setting. */
static bool is_setting(const struct shape_member *m)
{
    return strcmp(m->name, "id") != 0;
}

/* An ini_knows: *arg is a struct shape. */
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

/* A list with nothing between two commas, or behind the last. */
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

bool settings_take(struct reading *r, const struct ini_file *f, const struct ini_section *s, const struct shape *shape,
                   json_t *object)
{
    bool fine = ini_section_check(f, s, knows, shape, r->faults);
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        const struct shape_member *member = shape_find(shape, e->key);
        struct fault fault;
        if (!member || !is_setting(member))
            continue;
        if (has_gap(member, e->value)) {
            fine = file_faults_add(r->faults, f->path, e->line, e->key, say("file_gap"));
            continue;
        }
        json_t *value = shape_of_text(member, e->value, &fault);
        if (value)
            json_object_set_new(object, e->key, value);
        else if (said_is(&fault.said, "member_no_number") && strchr(e->value, ','))
            fine = file_faults_add(r->faults, f->path, e->line, e->key, say("file_comma given=%s", e->value));
        else
            fine = file_faults_add(r->faults, f->path, e->line, e->key, fault.said);
    }
    return fine;
}

/* ---- what a reading keeps ---- */

/* `seen` and `uses` live for all files of a reading: an id may not stand twice, in whichever file. */
void reading_begin(struct reading *r, struct file_items *items, struct file_faults *faults)
{
    *r = (struct reading){.items = items, .faults = faults, .seen = json_object(), .uses = json_array()};
}

void reading_end(struct reading *r)
{
    json_decref(r->seen);
    json_decref(r->uses);
    json_decref(r->formula);
    json_decref(r->coat_lines);
    r->seen = r->uses = r->formula = r->coat_lines = NULL;
}

/* The fault names the place where it stood first, which may be another file. */
bool reading_first(struct reading *r, const char *kind, const char *id, const char *path, int line)
{
    char key[16 + ID_MAX];
    snprintf(key, sizeof key, "%s %s", kind, id);
    const json_t *before = json_object_get(r->seen, key);
    if (before)
        return file_faults_add(r->faults, path, line, key,
                               say("file_twice file=%s line=%d", json_string_value(json_object_get(before, "file")),
                                   (int)json_integer_value(json_object_get(before, "line"))));
    json_object_set_new(r->seen, key, json_pack("{s:s, s:i}", "file", path, "line", line));
    return true;
}

void section_hash(crypto_hash_sha256_state *hash, const struct ini_section *s)
{
    const unsigned char *name = (const unsigned char *)s->name;
    crypto_hash_sha256_update(hash, name, strlen(s->name) + 1); /* the NULs keep words apart */
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        crypto_hash_sha256_update(hash, (const unsigned char *)e->key, strlen(e->key) + 1);
        crypto_hash_sha256_update(hash, (const unsigned char *)e->value, strlen(e->value) + 1);
    }
}

/* The id is one that fits and the kind is one of ours, so neither is cut. The item owns body and text. */
void reading_keep(struct reading *r, const char *kind, const char *id, json_t *thing, crypto_hash_sha256_state *hash,
                  const char *path, int line)
{
    unsigned char digest[crypto_hash_sha256_BYTES];
    struct file_item *grown = realloc(r->items->item, (r->items->count + 1) * sizeof *grown);
    if (grown)
        r->items->item = grown;
    char *body = json_dumps(thing, JSON_COMPACT | JSON_REAL_PRECISION(15)), *text = catalogue_text(thing);
    json_decref(thing);
    if (!grown || !body || !text) {
        free(body);
        free(text);
        file_faults_add(r->faults, path, line, NULL, say("out_of_memory"));
        return;
    }
    struct file_item *item = &grown[r->items->count++];
    *item = (struct file_item){.body = body, .text = text, .line = line};
    snprintf(item->kind, sizeof item->kind, "%s", kind);
    snprintf(item->id, sizeof item->id, "%s", id);
    snprintf(item->file, sizeof item->file, "%s", path);
    crypto_hash_sha256_final(hash, digest);
    sodium_bin2hex(item->source, sizeof item->source, digest, sizeof digest);
}

/* A fault names a member; the person looks for a line. So the setting of that name is looked for in the section. */
void reading_refuse(struct reading *r, const char *path, int line, const struct ini_section *s,
                    const struct fault *fault)
{
    char key[sizeof fault->field];
    snprintf(key, sizeof key, "%.*s", (int)strcspn(fault->field, ".["), fault->field);
    const struct ini_entry *e = s ? ini_get(s, key) : NULL;
    const char *dot = strrchr(fault->field, '.'); /* `coats[1].coat`: the line says which of them */
    if (e)
        file_faults_add(r->faults, path, e->line, key, fault->said);
    else
        file_faults_add(r->faults, path, line, dot ? dot + 1 : fault->field, fault->said);
}
