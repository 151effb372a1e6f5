#include "catalogue/sections.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SETTINGS_MAX = 24 };

static const struct setting toner_settings[] = {
    {"name", SETTING_TEXT},
    {"pigment", SETTING_TEXT},
    {"line", SETTING_TEXT},
    {"role", SETTING_TEXT},
    {"density_g_per_ml", SETTING_NUMBER},
    {"voc_pct", SETTING_NUMBER},
    {"water_pct", SETTING_NUMBER},
    {"exempt_pct", SETTING_NUMBER},
    {"exempt_density_g_per_ml", SETTING_NUMBER},
    {"solids_vol_pct", SETTING_NUMBER},
    {"price_per_kg", SETTING_NUMBER},
    {"metals_pct", SETTING_NUMBER},
    {"bank", SETTING_TEXT},
    {"code", SETTING_TEXT},
    {"hazards", SETTING_TEXT},
    {0},
};
static const struct setting product_settings[] = {
    {"name", SETTING_TEXT},
    {"role", SETTING_TEXT},
    {"line", SETTING_TEXT},
    {"ratio", SETTING_TEXT},
    {"basis", SETTING_TEXT},
    {"of", SETTING_TEXT},
    {"parts", SETTING_LIST},
    {"pot_life_min", SETTING_NUMBER},
    {"flash_min", SETTING_NUMBER},
    {"film_um", SETTING_NUMBER},
    {"solids_vol_pct", SETTING_NUMBER},
    {"hardener_tolerance_pct", SETTING_NUMBER},
    {"reducer_tolerance_pct", SETTING_NUMBER},
    {"hardeners", SETTING_CHOICES},
    {"reducers", SETTING_CHOICES},
    {0},
};
static const struct setting cup_settings[] = {
    {"ml", SETTING_NUMBER}, {"tare_g", SETTING_NUMBER}, {"fill_pct", SETTING_NUMBER}, {0}};
static const struct setting panel_settings[] = {
    {"name", SETTING_TEXT}, {"area_m2", SETTING_NUMBER}, {"default", SETTING_FLAG}, {0}};

static const struct kind {
    const char *name;
    const struct setting *settings;
} kinds[] = {
    {"toner", toner_settings},
    {"product", product_settings},
    {"cup", cup_settings},
    {"panel", panel_settings},
};

/* ---- settings ---- */

static json_t *flag_of(const char *text)
{
    if (strcmp(text, "yes") == 0 || strcmp(text, "true") == 0)
        return json_true();
    return strcmp(text, "no") == 0 || strcmp(text, "false") == 0 ? json_false() : NULL;
}

/* `RED-M 18-26` (degrees Celsius) or `HARD-1 fast` or an id alone, of n bytes. */
static json_t *choice_of(const char *text, size_t n)
{
    int id = (int)n, from, to, end = 0;
    for (int i = 0; i < (int)n; i++) {
        if (text[i] == ' ' || text[i] == '\t') {
            id = i;
            break;
        }
    }
    const char *rest = text + id + strspn(text + id, " \t");
    int left = (int)n - (int)(rest - text);
    if (left <= 0)
        return json_pack("{s:s%}", "id", text, (size_t)id);
    if (sscanf(rest, "%d-%d%n", &from, &to, &end) == 2 && end == left)
        return json_pack("{s:s%, s:i, s:i}", "id", text, (size_t)id, "min_c", from, "max_c", to);
    return json_pack("{s:s%, s:s%}", "id", text, (size_t)id, "speed", rest, (size_t)left);
}

/* Apart by commas; an empty one between two commas stays and is refused as an id. */
static json_t *list_of(const char *text, bool choices)
{
    json_t *out = json_array();
    for (const char *p = text;; p++) {
        p += strspn(p, " \t");
        size_t n = strcspn(p, ","), trimmed = n;
        while (trimmed > 0 && (p[trimmed - 1] == ' ' || p[trimmed - 1] == '\t'))
            trimmed--;
        json_array_append_new(out, choices ? choice_of(p, trimmed) : json_stringn(p, trimmed));
        p += n;
        if (!*p)
            return out;
    }
}

static bool setting_take(struct reading *r, const struct ini_file *f, const struct ini_entry *e, enum setting_type type,
                         json_t *object)
{
    double number;
    json_t *value = NULL;
    switch (type) {
    case SETTING_TEXT:
        value = json_string(e->value);
        break;
    case SETTING_NUMBER:
        if (!ini_number(e->value, &number))
            return file_faults_add(r->faults, f->path, e->line, e->key, "Give a number such as 38.50, with a point.",
                                   "not a number: %.80s", e->value);
        value = json_real(number);
        break;
    case SETTING_FLAG:
        if (!(value = flag_of(e->value)))
            return file_faults_add(r->faults, f->path, e->line, e->key, "Give yes or no.", "neither yes nor no: %.80s",
                                   e->value);
        break;
    case SETTING_LIST:
    case SETTING_CHOICES:
        value = list_of(e->value, type == SETTING_CHOICES);
        break;
    }
    json_object_set_new(object, e->key, value);
    return true;
}

bool settings_take(struct reading *r, const struct ini_file *f, const struct ini_section *s,
                   const struct setting *settings, json_t *object)
{
    const char *keys[SETTINGS_MAX + 1] = {NULL};
    for (size_t i = 0; settings[i].key && i < SETTINGS_MAX; i++)
        keys[i] = settings[i].key;
    bool fine = ini_section_check(f, s, keys, r->faults);
    for (size_t i = 0; i < s->count; i++)
        for (const struct setting *t = settings; t->key; t++)
            if (strcmp(t->key, s->entry[i].key) == 0)
                fine = setting_take(r, f, &s->entry[i], t->type, object) && fine;
    return fine;
}

/* ---- what a reading keeps ---- */

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

bool reading_first(struct reading *r, const char *kind, const char *id, const char *path, int line)
{
    char key[16 + ID_MAX];
    snprintf(key, sizeof key, "%s %s", kind, id);
    const json_t *before = json_object_get(r->seen, key);
    if (before)
        return file_faults_add(r->faults, path, line, key, "Keep one of the two.", "it stands in %s:%d already",
                               json_string_value(json_object_get(before, "file")),
                               (int)json_integer_value(json_object_get(before, "line")));
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
        file_faults_add(r->faults, path, line, NULL, NULL, "out of memory");
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

void reading_refuse(struct reading *r, const char *path, int line, const struct ini_section *s,
                    const struct fault *fault)
{
    char key[sizeof fault->field];
    snprintf(key, sizeof key, "%.*s", (int)strcspn(fault->field, ".["), fault->field);
    const struct ini_entry *e = s ? ini_get(s, key) : NULL;
    const char *dot = strrchr(fault->field, '.'); /* `coats[1].coat`: the line says which of them */
    if (e)
        file_faults_add(r->faults, path, e->line, key, fault->help, "%s: %.60s", fault->why, e->value);
    else
        file_faults_add(r->faults, path, line, dot ? dot + 1 : fault->field, fault->help, "%s", fault->message);
}

/* ---- sections ---- */

static void thing_take(struct reading *r, const struct ini_file *f, const struct ini_section *s,
                       const struct kind *kind, const char *id)
{
    struct fault fault;
    if (!id_fits(id)) {
        file_faults_add(r->faults, f->path, s->line, kind->name, "Use 1 to 40 of A-Z a-z 0-9 . _ - .",
                        "not an id: [%s]", s->name);
        return;
    }
    if (!reading_first(r, kind->name, id, f->path, s->line))
        return;
    json_t *object = json_pack("{s:s}", "id", id), *thing = NULL;
    if (settings_take(r, f, s, kind->settings, object) && !(thing = catalogue_shape(kind->name, object, &fault)))
        reading_refuse(r, f->path, s->line, s, &fault);
    json_decref(object);
    if (!thing)
        return;
    crypto_hash_sha256_state hash;
    crypto_hash_sha256_init(&hash);
    section_hash(&hash, s);
    reading_keep(r, kind->name, id, thing, &hash, f->path, s->line);
}

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
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        if (strlen(kinds[i].name) == n && memcmp(s->name, kinds[i].name, n) == 0) {
            thing_take(r, f, s, &kinds[i], rest);
            return;
        }
    }
    file_faults_add(r->faults, f->path, s->line, s->name,
                    "It may be [formula CODE], [coat NAME], [toner ID], [product ID], [panel ID] or [cup ID]; the "
                    "others stand in poised.ini.",
                    "the section is not known");
}
