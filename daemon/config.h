/* config.h - poised.ini: the shop, its stations, HTTP, printing.
 *
 * Read once at start (and by --check); contract.md section 8. `data` and `token_file` are relative to the file they
 * stand in. To add a setting: a row in config_keys.c, its member here, its default in config.c where 0 will not do.
 * Units   in the names. Left out: see the contract; d_g left out is 0.1, capacity_g NaN.
 */
#pragma once

#include "drivers/port.h"
#include "id.h"
#include "inifile.h"
#include "rights.h"
#include "text/words.h"

#define STATIONS_MAX  64
#define SHOP_NAME_MAX 128
enum { CONFIG_KEYS_MAX = 32 }; /* keys of one section; a shape of more would fail test_config */

/* In which order a batch's colour is poured (bench/begin_bed.c). */
enum pour_order { POUR_FORMULA, POUR_BED, POUR_ORDERS };

struct config_station {
    char name[ID_MAX];
    char port[256];
    char profile[48];
    int profile_line;         /* where it stands in the file, so that whoever knows the families can name the place */
    int speed;                /* 0: the family's usual */
    char frame[4];            /* `8N1`; "" : the family's usual */
    char poll[POLLTEXT_ROOM]; /* bytes to send, unescaped, CR LF added where the text had no escape */
    size_t poll_len;          /* 0: none */
    int poll_ms;
    char flow[8]; /* none, xonxoff, rtscts */
    /* Of a frame that names none; "": g, but not where a blank unit means moving. 8 bytes, since shape.h takes a choice
     * of 4 bytes for an enum. */
    char unit[8];
    double d_g, capacity_g, tolerance_g, tolerance_pct, auto_grow_pct, error_pct;
    double repeatability_g, drop_g, drift_g; /* standard uncertainties of one pour: station/sure.h */
    double range1_g, d2_g; /* a multi-interval scale: above range1_g its interval is d2_g; NaN: one interval */
    int check_days;
    int accept_after_s;           /* a pour on aim is accepted by itself after so many seconds, 2 to 5; 0: never */
    bool glance_hardener;         /* a second person looks at each pour of hardener */
    enum pour_order pour_order;   /* the station's own, else the shop's */
    bool pour_order_own;          /* false: the shop's */
    enum words_language language; /* the station's own, else the shop's, else English */
    bool language_own;            /* the station's own */
    bool language_given;          /* false: nobody says; a bench screen then follows LANG */
    int line[CONFIG_KEYS_MAX];    /* where the file has each key, in the order of the shape; 0: it does not */
};

/* Of clients on the local socket. 0: the contract's. */
struct config_limits {
    int connections; /* 1024 */
    int line_s;      /* 10: from a line's first byte to its end */
    int idle_s;      /* 600: without a call and without watching */
};

struct config {
    char shop[SHOP_NAME_MAX];
    char currency[8];
    int decimal_comma;            /* 0 or 1: the place of `comma` among its choices */
    enum pour_order pour_order;   /* of stations that say none */
    char shelf_days[160];         /* days that a leftover of a line keeps: `solvent 365, waterborne 90`; "": for ever */
    double second_mix_cost;       /* what mixing a second time costs beside its paint, in the currency */
    enum words_language language; /* English where language_given is false */
    bool language_given;
    char data[512]; /* folder of catalogue files, absolute or relative to the working directory; "" : none */
    char path[512], folder[512]; /* of the file itself, and what it stands in; "" : too long */
    size_t station_count;
    bool http;
    int http_port;
    char http_bind[64];
    char http_hosts[256]; /* names apart by a space */
    char http_token_file[512];
    enum right http_role;               /* of whoever has the token of this start, where there is no token_file */
    char http_cert[512], http_key[512]; /* PEM files; both or neither; "" : no TLS */
    char print_command[256];            /* "" : none */
    char print_size_mm[16];
    char rights_paint[256], rights_keep[256], rights_own[256]; /* as written; `rights` is what they come to */
    struct rights rights;
    struct config_limits limits;
    int shop_line[CONFIG_KEYS_MAX], print_line[CONFIG_KEYS_MAX]; /* as a station's */
    /* Last: of 40 kB a shop uses the first one or two, and the pages behind station_count are never touched. */
    struct config_station station[STATIONS_MAX];
};

/* What a station has of which the file says nothing; tolerance_g stays NaN: d_g, once that is known. */
extern const struct config_station config_station_defaults;
/* The same of the shop and of printing. */
extern const struct config config_defaults;
/* Copies no more stations than there are. */
void config_copy(struct config *to, const struct config *from);
/* Gives each station without a language of its own the shop's. */
void config_share_orders(struct config *c);
void config_share_language(struct config *c);
/* Reads a configuration. False: *fault says where, and what fixes it (exit 78). */
bool config_read(const char *path, struct config *out, struct file_fault *fault);
/* The same, with every fault there is; *out holds what could be read. */
bool config_read_all(const char *path, struct config *out, struct file_faults *faults);
/* The day until which what was made on a day, or at a time of it, keeps: by the shelf_days of its line. False: nobody
 * says how long that keeps. */
bool config_keeps_until(const struct config *c, const char *line, const char *since, char day[11]);
const struct config_station *config_station_find(const struct config *c, const char *name);
/* The interval that holds at a load, in grams. */
double config_station_d_g(const struct config_station *c, double load_g);
/* True for 127.0.0.0/8, ::1 and `localhost`. */
bool config_is_loopback(const char *address);
