/* config_settings.c - which keys of poised.ini a painter or owner may change at the screen, and the walk over them. It
 * must not know how a value is kept or who may change it.
 *
 * A batch carries the tolerances that it was begun by, so a change is felt by the next one. What decides how a scale is
 * read (port, profile, d_g, capacity_g) is left to the file: a slip there would make a wrong weight. */
#include "config_settings.h"

#include "config_keys.h"
#include "config_shown.h"
#include "log.h"
#include "text/json_read.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum section { SHOP, PRINT, STATION };

/* In the order in which a person looks for them. */
static const struct setting {
    enum section section;
    const char *key;
    const char *form; /* its words; a station's bear the station's name */
} settings[] = {
    {SHOP, "name", "setting.name"},
    {SHOP, "language", "setting.language"},
    {SHOP, "decimal", "setting.decimal"},
    {SHOP, "currency", "setting.currency"},
    {SHOP, "pour_order", "setting.pour_order"},
    {SHOP, "second_mix_cost", "setting.second_mix_cost"},
    {PRINT, "size_mm", "setting.size_mm"},
    {STATION, "tolerance_g", "setting.tolerance_g station=%s"},
    {STATION, "tolerance_pct", "setting.tolerance_pct station=%s"},
    {STATION, "auto_grow_pct", "setting.auto_grow_pct station=%s"},
    {STATION, "error_pct", "setting.error_pct station=%s"},
    {STATION, "repeatability_g", "setting.repeatability_g station=%s"},
    {STATION, "drop_g", "setting.drop_g station=%s"},
    {STATION, "drift_g", "setting.drift_g station=%s"},
    {STATION, "check_days", "setting.check_days station=%s"},
    {STATION, "accept_after_s", "setting.accept_after_s station=%s"},
    {STATION, "glance_hardener", "setting.glance_hardener station=%s"},
    {STATION, "pour_order", "setting.pour_order_bench station=%s"},
    {STATION, "language", "setting.language_bench station=%s"},
};
enum { SETTINGS = sizeof settings / sizeof *settings };

static const char *const section_names[] = {[SHOP] = "shop", [PRINT] = "print", [STATION] = "station"};
static const struct shape *const shapes[] = {
    [SHOP] = &config_shop_shape, [PRINT] = &config_print_shape, [STATION] = &config_station_shape};

/* A setting of one place: of the shop, or of one station. */
struct place {
    const struct setting *setting;
    size_t station; /* sense only for a station's */
};

static const void *part_of(const struct config *c, struct place p)
{
    return p.setting->section == STATION ? (const void *)&c->station[p.station] : (const void *)c;
}

static const char *station_of(const struct config *c, struct place p)
{
    return p.setting->section == STATION ? c->station[p.station].name : "";
}

static void key_of(const struct config *c, struct place p, char out[SETTING_KEY_MAX])
{
    const char *station = station_of(c, p);
    snprintf(out, SETTING_KEY_MAX, "%s.%s%s%s", section_names[p.setting->section], station, *station ? "." : "",
             p.setting->key);
}

/* Where the file has it; 0: it does not. */
static int line_of(const struct config *c, struct place p)
{
    const struct shape *shape = shapes[p.setting->section];
    const int *lines = p.setting->section == SHOP    ? c->shop_line
                       : p.setting->section == PRINT ? c->print_line
                                                     : c->station[p.station].line;
    return lines[shape_find(shape, p.setting->key) - shape->members];
}

/* `poised.ini:12` of a key that the file sets; "": it does not. */
static void file_place(const struct config *c, struct place p, char *out, size_t size)
{
    const char *slash = strrchr(c->path, '/');
    int line = line_of(c, p);
    out[0] = '\0';
    if (line > 0)
        snprintf(out, size, "%s:%d", slash ? slash + 1 : c->path, line);
}

static json_t *member_of(const struct shape *shape, const void *part, const char *key)
{
    json_t *all = shape_write(shape, part), *value = json_incref(json_object_get(all, key));
    json_decref(all);
    return value ? value : json_null();
}

/* What holds where neither file nor screen says anything. Some follow from others: a tolerance, and how well a scale
 * repeats, are its interval, a bench speaks as the shop does and pours in its order. */
static json_t *default_of(const struct config *c, struct place p)
{
    bool station = p.setting->section == STATION;
    if (strcmp(p.setting->key, "language") == 0)
        return json_string(words_language_names[station ? c->language : WORDS_EN]);
    if (strcmp(p.setting->key, "pour_order") == 0)
        return json_string(station && c->pour_order == POUR_BED ? "bed" : "formula");
    if (strcmp(p.setting->key, "tolerance_g") == 0 || strcmp(p.setting->key, "repeatability_g") == 0)
        return json_real(c->station[p.station].d_g);
    return member_of(shapes[p.setting->section],
                     station ? (const void *)&config_station_defaults : (const void *)&config_defaults, p.setting->key);
}

/* The words of a choice, for a screen to offer; null: any value of its kind. */
static json_t *choices_of(struct place p)
{
    const struct shape_member *m = shape_find(shapes[p.setting->section], p.setting->key);
    json_t *list = m->choices ? json_array() : json_null();
    for (size_t i = 0; m->choices && m->choices[i]; i++)
        json_array_append_new(list, json_string(m->choices[i]));
    return list;
}

static json_t *row_of(const struct config *c, struct place p)
{
    char key[SETTING_KEY_MAX], fixed[sizeof c->path + 16];
    const struct shape_member *m = shape_find(shapes[p.setting->section], p.setting->key);
    const char *unit = shape_unit(p.setting->key);
    struct said said = say(p.setting->form, station_of(c, p));
    json_t *value = member_of(shapes[p.setting->section], part_of(c, p), p.setting->key);
    key_of(c, p, key);
    file_place(c, p, fixed, sizeof fixed);
    json_t *shown = setting_shown(m, c->currency, value);
    return json_pack("{s:s, s:o, s:o, s:s?, s:o, s:o, s:o, s:o, s:s?}", "key", key, "value", value, "default",
                     default_of(c, p), "unit", *unit ? unit : NULL, "choices", choices_of(p), "said",
                     said_json(&said, NULL), "shown", shown, "offers", setting_offers(m), "fixed",
                     *fixed ? fixed : NULL);
}

/* Hands out each setting of each place, in the order of the list, until it is the one of `key` (NULL: all). True: it
 * is, and *found is it. */
static bool walk(const struct config *c, const char *key, struct place *found, json_t *rows)
{
    for (size_t station = 0; station < (c->station_count ? c->station_count : 1); station++)
        for (size_t i = 0; i < SETTINGS; i++) {
            char name[SETTING_KEY_MAX];
            bool of_station = settings[i].section == STATION;
            if (of_station ? station >= c->station_count : station > 0)
                continue;
            *found = (struct place){&settings[i], station};
            key_of(c, *found, name);
            if (key && strcmp(key, name) == 0)
                return true;
            if (rows)
                json_array_append_new(rows, row_of(c, *found));
        }
    return false;
}

json_t *settings_list(const struct config *c)
{
    struct place place;
    json_t *rows = json_array();
    walk(c, NULL, &place, rows);
    return rows;
}

/* Into its place; whoever follows it follows. False: *fault, and c may be changed in part. */
static bool set(struct config *c, struct place p, const json_t *value, struct fault *fault)
{
    struct config_station *s = p.setting->section == STATION ? &c->station[p.station] : NULL;
    bool none =
        !value || json_is_null(value) || strcmp(json_is_string(value) ? json_string_value(value) : "-", "") == 0;
    json_t *given = none ? default_of(c, p) : json_incref((json_t *)(uintptr_t)value);
    bool fine = shape_read_member(shape_find(shapes[p.setting->section], p.setting->key), given,
                                  s ? (void *)s : (void *)c, fault);
    json_decref(given);
    if (!fine)
        return false;
    if (s && s->tolerance_g < s->d_g / 2 - 1e-9)
        return fault_said(fault, FAULT_INVALID, "value", "tolerance",
                          "config_tolerance tolerance_g=%f d_g=%f half_g=%f", s->tolerance_g, s->d_g, s->d_g / 2);
    if (s && s->accept_after_s == 1)
        return fault_said(fault, FAULT_INVALID, "value", "range", "config_accept_after field=%s given=%d",
                          "accept_after_s", 1);
    if (strcmp(p.setting->key, "pour_order") == 0) {
        if (s)
            s->pour_order_own = !none;
        config_share_orders(c);
    }
    if (strcmp(p.setting->key, "language") == 0) {
        *(s ? &s->language_own : &c->language_given) = !none;
        config_share_language(c);
    }
    return true;
}

/* The key's place, where it may be changed. False: *fault. */
static bool find(const struct config *c, const char *key, struct place *place, struct fault *fault)
{
    char fixed[sizeof c->path + 16];
    if (!walk(c, key, place, NULL))
        return fault_said(fault, FAULT_UNKNOWN, "key", "unknown", "setting_unknown key=%s", key);
    file_place(c, *place, fixed, sizeof fixed);
    if (*fixed)
        return fault_said(fault, FAULT_NOT_PERMITTED, "key", "file", "setting_fixed key=%s place=%s", key, fixed);
    return true;
}

json_t *settings_try(const struct config *c, const char *key, const json_t *value, struct fault *fault)
{
    struct place place;
    struct config then;
    config_copy(&then, c);
    if (!find(c, key, &place, fault))
        return NULL;
    if (!set(&then, place, value, fault)) {
        snprintf(fault->field, sizeof fault->field, "value"); /* the shape names the key, the call has `value` */
        return NULL;
    }
    return row_of(&then, place);
}

void settings_apply(struct config *c, const char *key, const json_t *value)
{
    struct place place;
    struct fault fault = {0};
    struct config then;
    config_copy(&then, c);
    if (!find(c, key, &place, &fault))
        return;
    if (set(&then, place, value, &fault))
        config_copy(c, &then);
    else
        log_warnx("the setting %s that was kept does not fit any more: %s", key, fault.message);
}

/* A store_item_list callback. */
static void apply_kept(void *arg, const struct store_item *item)
{
    json_t *body = json_read_text(item->body ? item->body : "");
    const char *key = json_string_value(json_object_get(body, "key"));
    if (key)
        settings_apply(arg, key, json_object_get(body, "value"));
    json_decref(body);
}

bool settings_load(struct config *c, struct store *store)
{
    return store_item_list(store, "setting", NULL, apply_kept, c);
}
