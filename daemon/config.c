/* config.c - poised.ini: its sections, and what their settings say together. The settings stand in config_keys.c. */
#include "config.h"

#include "config_keys.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* One reading of the file. Sections may stand in any order, so what depends on two of them is settled at the end. */
struct reading {
    const struct ini_file *file;
    struct config *out;
    struct file_faults *faults;
    int shop_line, http_line, print_line, rights_line, limits_line; /* where the section stood before; 0: not yet */
    int data_line, token_line, cert_line, key_line;
};

/* An ini_knows: *arg is a struct shape. */
static bool knows(const void *arg, const char *key, char *known, size_t size)
{
    const struct shape *shape = arg;
    for (const struct shape_member *m = shape->members; m->name; m++) {
        size_t used = strlen(known);
        if (used + strlen(m->name) + 3 < size)
            snprintf(known + used, size - used, "%s%s", used ? ", " : "", m->name);
    }
    return shape_find(shape, key) != NULL;
}

/* What is wrong with a value: what its member says, but for two slips that any value may hold. */
static struct said slip(const struct ini_entry *e, const struct fault *fault)
{
    if (strpbrk(e->value, ";#"))
        return say("file_comment given=%s", e->value);
    if (said_is(&fault->said, "member_no_number") && strchr(e->value, ','))
        return say("file_comma given=%s", e->value);
    return fault->said;
}

/* The settings of a section by their table. Each fault is kept and the reading goes on: a person wants all at once. */
static void take_section(struct reading *r, const struct ini_section *s, const struct shape *shape, void *target,
                         int line[CONFIG_KEYS_MAX])
{
    ini_section_check(r->file, s, knows, shape, r->faults);
    for (size_t i = 0; i < s->count; i++) {
        const struct ini_entry *e = &s->entry[i];
        const struct shape_member *m = shape_find(shape, e->key);
        struct fault fault = {0};
        if (m && line)
            line[m - shape->members] = e->line;
        if (m && !config_setting_read(shape, e->key, e->value, target, &fault))
            file_faults_add(r->faults, r->file->path, e->line, e->key, slip(e, &fault));
    }
}

/* The line to name: that of the setting, or of the section where it was left out. */
static int line_of(const struct ini_section *s, const char *key)
{
    const struct ini_entry *e = ini_get(s, key);
    return e ? e->line : s->line;
}

/* A fault of what several settings say together, at the line of the one to change. */
static void wrong(struct reading *r, const struct ini_section *s, const char *key, struct said why)
{
    file_faults_add(r->faults, r->file->path, line_of(s, key), key, why);
}

/* What the keys of a station say together. */
static void check_station(struct reading *r, const struct ini_section *s, struct config_station *c)
{
    if (isnan(c->tolerance_g))
        c->tolerance_g = c->d_g;
    if (isnan(c->repeatability_g)) /* a scale repeats to about one interval: common practice, no source */
        c->repeatability_g = c->d_g;
    if (!ini_get(s, "port"))
        wrong(r, s, "port", say("config_no_port"));
    if (c->tolerance_g < c->d_g / 2 - 1e-9)
        wrong(r, s, "tolerance_g",
              say("config_tolerance tolerance_g=%f d_g=%f half_g=%f", c->tolerance_g, c->d_g, c->d_g / 2));
    /* A multi-interval scale: both ends of the first range, or neither. */
    if (isnan(c->range1_g) != isnan(c->d2_g))
        wrong(r, s, isnan(c->d2_g) ? "range1_g" : "d2_g", say("config_pair"));
    if (c->d2_g <= c->d_g)
        wrong(r, s, "d2_g", say("config_d2 d_g=%f", c->d_g));
    if (c->range1_g >= c->capacity_g)
        wrong(r, s, "range1_g", say("config_range1 capacity_g=%f", c->capacity_g));
    if (c->capacity_g <= c->d_g)
        wrong(r, s, "capacity_g", say("config_capacity d_g=%f", c->d_g));
}

/* Beside the contract's section 8; a number whose 0 means something starts as NaN. */
const struct config_station config_station_defaults = {.profile = "auto",
                                                       .poll_ms = 200,
                                                       .flow = "none",
                                                       .d_g = 0.1,
                                                       .capacity_g = NAN,
                                                       .range1_g = NAN,
                                                       .d2_g = NAN,
                                                       .tolerance_g = NAN,
                                                       .tolerance_pct = 0.5,
                                                       .auto_grow_pct = 5,
                                                       .error_pct = 5,
                                                       .repeatability_g = NAN, /* d_g, once that is known */
                                                       .drop_g = 0.03, /* half a drop: common practice, no source */
                                                       .drift_g = 0,
                                                       .check_days = 1,
                                                       .pour_order = POUR_ORDERS,    /* not given */
                                                       .language = WORDS_LANGUAGES}; /* not given */
const struct config config_defaults = {.currency = "EUR",
                                       .second_mix_cost = 15, /* a quarter of an hour: common practice, no source */
                                       .http_port = 8470,
                                       .http_role = RIGHT_OWN,
                                       .http_bind = "127.0.0.1",
                                       .print_size_mm = "62x29",
                                       .language = WORDS_LANGUAGES,
                                       .limits = {.connections = 1024, .line_s = 10, .idle_s = 600}};

/* A station with a fault still takes its place, so that its later faults are found too. */
static void take_station(struct reading *r, const struct ini_section *s, const char *name)
{
    struct config *c = r->out;
    if (!id_fits(name)) {
        file_faults_add(r->faults, r->file->path, s->line, "station", say("config_station_name given=%s", s->name));
        return;
    }
    if (config_station_find(c, name)) {
        file_faults_add(r->faults, r->file->path, s->line, s->name, say("config_station_twice"));
        return;
    }
    if (c->station_count == STATIONS_MAX) {
        file_faults_add(r->faults, r->file->path, s->line, s->name, say("config_stations most=%d", STATIONS_MAX));
        return;
    }
    struct config_station *out = &c->station[c->station_count++];
    *out = config_station_defaults;
    snprintf(out->name, sizeof out->name, "%s", name);
    take_section(r, s, &config_station_shape, out, out->line);
    out->profile_line = line_of(s, "profile");
    check_station(r, s, out);
}

double config_station_d_g(const struct config_station *c, double load_g)
{
    return fabs(load_g) > c->range1_g ? c->d2_g : c->d_g; /* NaN: never above it */
}

bool config_is_loopback(const char *address)
{
    return strncmp(address, "127.", 4) == 0 || strcmp(address, "::1") == 0 || strcmp(address, "localhost") == 0;
}

/* An address that others reach is refused without a token file and the names that a browser may ask for: any page on
 * the same network could act at the bench else. */
static void take_http(struct reading *r, const struct ini_section *s)
{
    struct config *c = r->out;
    c->http = true;
    take_section(r, s, &config_http_shape, c, NULL);
    r->token_line = line_of(s, "token_file");
    r->cert_line = line_of(s, "cert");
    r->key_line = line_of(s, "key");
    if (!c->http_cert[0] != !c->http_key[0])
        wrong(r, s, c->http_cert[0] ? "cert" : "key", say("config_tls_half"));
    if (config_is_loopback(c->http_bind) || (c->http_token_file[0] && c->http_hosts[0]))
        return;
    wrong(r, s, "bind", say("config_bind_bare"));
}

/* A section of which there is one. *line is where it stood before; 0: not yet. */
static bool is_first(struct reading *r, const struct ini_section *s, int *line)
{
    if (*line) {
        file_faults_add(r->faults, r->file->path, s->line, s->name, say("config_section_twice line=%d", *line));
        return false;
    }
    *line = s->line;
    return true;
}

/* With the section, whoever it does not name may read only; so an empty one shuts everybody out, and is refused. */
static void take_rights(struct reading *r, const struct ini_section *s)
{
    struct config *c = r->out;
    take_section(r, s, &config_rights_shape, c, NULL);
    c->rights = (struct rights){.given = true};
    if (!rights_add(&c->rights, RIGHT_PAINT, c->rights_paint) || !rights_add(&c->rights, RIGHT_KEEP, c->rights_keep) ||
        !rights_add(&c->rights, RIGHT_OWN, c->rights_own))
        wrong(r, s, "own", say("config_rights_many most=%d", (int)RIGHTS_MOST));
    if (!ini_get(s, "own"))
        wrong(r, s, "own", say("config_rights_nobody"));
}

/* A section by the first word of its head. One that nobody knows is a fault: a slip in `[station` would leave a bench
 * out unseen. */
static void take_any(struct reading *r, const struct ini_section *s)
{
    size_t word = strcspn(s->name, " \t");
    const char *rest = s->name + word + strspn(s->name + word, " \t");
    if (word == 7 && strncmp(s->name, "station", word) == 0) {
        take_station(r, s, rest);
    } else if (strcmp(s->name, "shop") == 0) {
        if (is_first(r, s, &r->shop_line)) {
            take_section(r, s, &config_shop_shape, r->out, r->out->shop_line);
            r->data_line = line_of(s, "data");
        }
    } else if (strcmp(s->name, "http") == 0) {
        if (is_first(r, s, &r->http_line))
            take_http(r, s);
    } else if (strcmp(s->name, "print") == 0) {
        if (is_first(r, s, &r->print_line))
            take_section(r, s, &config_print_shape, r->out, r->out->print_line);
    } else if (strcmp(s->name, "rights") == 0) {
        if (is_first(r, s, &r->rights_line))
            take_rights(r, s);
    } else if (strcmp(s->name, "limits") == 0) {
        if (is_first(r, s, &r->limits_line))
            take_section(r, s, &config_limits_shape, r->out, NULL);
    } else {
        file_faults_add(r->faults, r->file->path, s->line, s->name, say("config_section"));
    }
}

/* A path written in the file is relative to it, and must lead to something. */
static void find_path(struct reading *r, int line, const char *field, char *path, size_t size)
{
    const char *beside = r->file->path, *slash = strrchr(beside, '/');
    char whole[1200];
    struct stat st;
    if (!path[0])
        return;
    if (path[0] != '/' && slash) {
        int n = snprintf(whole, sizeof whole, "%.*s/%s", (int)(slash - beside), beside, path);
        if (n < 0 || (size_t)n >= size) {
            file_faults_add(r->faults, beside, line, field, say("file_long_path"));
            return;
        }
        memcpy(path, whole, (size_t)n + 1);
    }
    if (stat(path, &st) < 0)
        file_faults_add(r->faults, beside, line, field, say("file_no_path path=%s why=%s", path, said_reason(errno)));
}

/* The folder of the file: a scale that the shop declared is looked for there too. */
static void keep_place(struct config *out, const char *path)
{
    const char *slash = strrchr(path, '/');
    size_t length = slash ? (size_t)(slash - path) : 0;
    snprintf(out->path, sizeof out->path, "%s", path);
    if (slash && length < sizeof out->folder)
        snprintf(out->folder, sizeof out->folder, "%.*s", length ? (int)length : 1, path);
    else if (!slash)
        snprintf(out->folder, sizeof out->folder, ".");
}

/* Also after a setting was changed at a screen: a station without a language of its own follows the shop's. */
void config_share_language(struct config *c)
{
    for (size_t i = 0; i < c->station_count; i++) {
        struct config_station *s = &c->station[i];
        s->language_given = s->language_own || c->language_given;
        if (!s->language_own)
            s->language = c->language;
    }
}

/* The order of the sections does not matter: a station may stand above [shop]. */
static void settle_languages(struct config *c)
{
    c->language_given = c->language < WORDS_LANGUAGES;
    if (!c->language_given)
        c->language = WORDS_EN;
    for (size_t i = 0; i < c->station_count; i++)
        c->station[i].language_own = c->station[i].language < WORDS_LANGUAGES;
    config_share_language(c);
}

void config_share_orders(struct config *c)
{
    for (size_t i = 0; i < c->station_count; i++)
        if (!c->station[i].pour_order_own)
            c->station[i].pour_order = c->pour_order;
}

/* A file is read in any order of its sections, so which of both was given is known only at its end. */
static void settle_orders(struct config *c)
{
    for (size_t i = 0; i < c->station_count; i++)
        c->station[i].pour_order_own = c->station[i].pour_order < POUR_ORDERS;
    config_share_orders(c);
}

/* Only the stations that there are: the room for all that may be is many times as much. */
void config_copy(struct config *to, const struct config *from)
{
    memcpy(to, from, offsetof(struct config, station) + from->station_count * sizeof *from->station);
}

/* All faults of the file at once, each with its line: who fixes one should not meet the next at the next start. *out
 * holds what could be read, also where there are faults. */
bool config_read_all(const char *path, struct config *out, struct file_faults *faults)
{
    struct ini_file file;
    size_t before = faults->count;
    config_copy(out, &config_defaults);
    struct reading r = {.file = &file, .out = out, .faults = faults};
    keep_place(out, path);
    ini_file_read(path, &file, faults);
    for (size_t i = 0; i < file.count; i++)
        take_any(&r, &file.section[i]);
    settle_languages(out);
    settle_orders(out);
    find_path(&r, r.data_line, "data", out->data, sizeof out->data);
    find_path(&r, r.token_line, "token_file", out->http_token_file, sizeof out->http_token_file);
    find_path(&r, r.cert_line, "cert", out->http_cert, sizeof out->http_cert);
    find_path(&r, r.key_line, "key", out->http_key, sizeof out->http_key);
    ini_file_finish(&file);
    return faults->count == before;
}

/* For a start, which ends with the first fault; `poised --check` prints them all. */
bool config_read(const char *path, struct config *out, struct file_fault *fault)
{
    struct file_faults faults = {0};
    bool fine = config_read_all(path, out, &faults);
    *fault = faults.count ? faults.fault[0] : (struct file_fault){0};
    file_faults_finish(&faults);
    return fine;
}

const struct config_station *config_station_find(const struct config *c, const char *name)
{
    for (size_t i = 0; i < c->station_count; i++)
        if (strcmp(c->station[i].name, name) == 0)
            return &c->station[i];
    return NULL;
}
