/* config_keys.c - which settings poised.ini has and which values they take. Knows no file and no line. */
#include "config_keys.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- texts with a rule of their own ---- */

/* HOST:PORT behind `tcp:`. Whether the host can be found is for the port to say, since the network may come up after
 * us. */
static bool is_tcp(const char *address)
{
    const char *colon = strrchr(address, ':');
    double port;
    if (!colon || colon == address || !isdigit((unsigned char)colon[1]) || !ini_number(colon + 1, &port))
        return false;
    size_t host = (size_t)(colon - address);
    if (memchr(address, ':', host) && (address[0] != '[' || address[host - 1] != ']'))
        return false; /* an IPv6 address stands in brackets, else its end and the port run together */
    return port >= 1 && port <= 65535 && port == floor(port) && strcspn(address, " \t/") == strlen(address);
}

/* By its prefix; a bare path is a serial device. Nothing is opened: the cable may be put in later. */
static bool is_port(const char *text)
{
    return strncmp(text, "tcp:", 4) == 0   ? is_tcp(text + 4)
           : strncmp(text, "hid:", 4) == 0 ? text[4] == '/' && text[5]
           : strncmp(text, "pty:", 4) == 0 ? text[4] != '\0'
                                           : text[0] == '/' && text[1];
}

/* Such as 8N1: 7 or 8 data bits, parity none, even or odd, 1 or 2 stop bits. */
static bool is_frame(const char *text)
{
    return strlen(text) == 3 && strchr("78", text[0]) && strchr("NEO", text[1]) && strchr("12", text[2]);
}

/* A literal address, or localhost: a name that DNS gives would decide who may reach the bench. */
static bool is_address(const char *text)
{
    unsigned char address[sizeof(struct in6_addr)];
    return strcmp(text, "localhost") == 0 || inet_pton(AF_INET, text, address) == 1 ||
           inet_pton(AF_INET6, text, address) == 1;
}

/* WIDTHxHEIGHT in whole millimetres, 40 to 200 by 20 to 200: common practice of label printers, no source. */
static bool is_size(const char *text)
{
    char *end;
    size_t digits = strspn(text, "0123456789");
    if (digits < 2 || digits > 3 || text[digits] != 'x' || !isdigit((unsigned char)text[digits + 1]))
        return false;
    long width = strtol(text, NULL, 10), height = strtol(text + digits + 1, &end, 10);
    return *end == '\0' && width >= 40 && width <= 200 && height >= 20 && height <= 200;
}

/* Only the letters that a Host header may have; at least one name. */
static bool are_hosts(const char *text)
{
    for (const char *p = text; *p; p++)
        if (!isalnum((unsigned char)*p) && !strchr("-.:[] ,\t", *p))
            return false;
    return text[strspn(text, " ,\t")] != '\0';
}

/* One line with its days at *text, which is moved behind it; the lines are apart by commas. False: it is no such pair.
 */
static bool take_line(const char **text, char line[32], int *days)
{
    int end = 0;
    *text += strspn(*text, " \t,");
    if (sscanf(*text, "%31[^ \t,] %5d%n", line, days, &end) != 2 || *days < 1 || *days > 3650)
        return false;
    *text += end;
    return **text == '\0' || strchr(" \t,", **text);
}

static bool are_shelf_days(const char *text)
{
    char line[32];
    int days;
    do {
        if (!take_line(&text, line, &days))
            return false;
        text += strspn(text, " \t,");
    } while (*text);
    return true;
}

bool config_keeps_until(const struct config *c, const char *line, const char *since, char day[11])
{
    char of[32];
    int days, y, m, d;
    struct tm t = {.tm_isdst = -1};
    for (const char *text = c->shelf_days; *text && take_line(&text, of, &days); text += strspn(text, " \t,"))
        if (strcmp(of, line) == 0 && sscanf(since, "%4d-%2d-%2d", &y, &m, &d) == 3) {
            t.tm_year = y - 1900;
            t.tm_mon = m - 1;
            t.tm_mday = d + days; /* timegm brings it into its month */
            timegm(&t);
            return strftime(day, 11, "%Y-%m-%d", &t) == 10;
        }
    return false;
}

/* ---- the tables ---- */

static const char *const decimals[] = {"point", "comma", NULL};            /* in the order of decimal_comma */
static const char *const roles[] = {"read", "paint", "keep", "own", NULL}; /* in the order of enum right */
static const char *const languages[] = {"en", "de", NULL};                 /* in the order of enum words_language */
static const char *const orders[] = {"formula", "bed", NULL};              /* in the order of enum pour_order */
static const char *const flows[] = {"none", "xonxoff", "rtscts", NULL};
static const char *const units[] = {"g", "kg", "mg", "t", "lb", "oz", "gr", NULL};
/* What serial ports are set to; common practice, no source. A typing error such as 960 is not among them. */
static const int speeds[] = {300,   600,   1200,  2400,  4800,   9600,   14400,  19200,
                             28800, 38400, 57600, 76800, 115200, 230400, 460800, 921600};

static const struct shape_range interval_g = {0, 1000, true}, load_g = {0, 1e7, true}, tolerance_g = {0, 1e6, true};
/* Of a batch 0 would read as not said, and no scale repeats to nothing. */
static const struct shape_range doubt_g = {0, 1000, true}, drift_g = {0, 1000, false};
static const struct shape_range money = {0, 1e6, false};
static const struct shape_range poll_ms = {20, 60000, false}, days = {1, 3650, false}, accept_s = {0, 5, false},
                                ports = {0, 65535, false};
/* Fewer than 8 would leave no room beside a few screens; the kernel gives no process more than 1,048,576 descriptors.
 */
static const struct shape_range connections = {8, 1000000, false}, seconds = {1, 86400, false};
static const struct shape_range speed_range = {300, 921600, false};

#define SHOP(member)    SHAPE_AT(struct config, member)
#define STATION(member) SHAPE_AT(struct config_station, member)

/* A row without a place is kept by config_setting_read. */
static const struct shape_member shop_members[] = {
    {.name = "name", .type = SHAPE_TEXT, SHOP(shop), .about = "on labels and reports"},
    {.name = "currency", .type = SHAPE_TEXT, SHOP(currency), .about = "of all costs"},
    {.name = "decimal",
     .type = SHAPE_CHOICE,
     .choices = decimals,
     SHOP(decimal_comma),
     .about = "the decimal sign of screens and labels"},
    {.name = "language", .type = SHAPE_CHOICE, .choices = languages, SHOP(language), .about = "of benches and labels"},
    {.name = "pour_order", .type = SHAPE_CHOICE, .choices = orders, SHOP(pour_order), .about = "of the colour"},
    {.name = "second_mix_cost",
     .type = SHAPE_NUMBER,
     .range = &money,
     SHOP(second_mix_cost),
     .about = "of mixing once more, beside its paint"},
    {.name = "shelf_days",
     .type = SHAPE_TEXT,
     .fits = are_shelf_days,
     .unfit = "config_shelf_days field=%s given=%s",
     SHOP(shelf_days),
     .about = "how long leftovers and premixes of a line keep: solvent 365, waterborne 90"},
    {.name = "data", .type = SHAPE_TEXT, SHOP(data), .about = "folder of toners, formulas, products, cups and panels"},
    {0},
};
static const struct shape_member station_members[] = {
    {.name = "port",
     .type = SHAPE_TEXT,
     .fits = is_port,
     .unfit = "config_port field=%s given=%s",
     STATION(port),
     .about = "where the scale is"},
    {.name = "profile",
     .type = SHAPE_TEXT,
     .fits = id_fits,
     .unfit = "config_profile field=%s given=%s",
     STATION(profile),
     .about = "what the scale speaks; auto finds out"},
    {.name = "speed", .type = SHAPE_COUNT, .range = &speed_range, STATION(speed), .about = "bits a second"},
    {.name = "frame",
     .type = SHAPE_TEXT,
     .fits = is_frame,
     .unfit = "config_frame field=%s given=%s",
     STATION(frame),
     .about = "data bits, parity, stop bits"},
    {.name = "poll", .type = SHAPE_LINES, .about = "text to send where the scale speaks only if asked"},
    {.name = "poll_ms", .type = SHAPE_COUNT, .range = &poll_ms, STATION(poll_ms), .about = "how often to ask"},
    {.name = "flow", .type = SHAPE_CHOICE, .choices = flows, STATION(flow), .about = "flow control"},
    {.name = "unit", .type = SHAPE_CHOICE, .choices = units, STATION(unit), .about = "of a frame that names none"},
    {.name = "d_g", .type = SHAPE_NUMBER, .range = &interval_g, STATION(d_g), .about = "the scale's interval"},
    {.name = "capacity_g", .type = SHAPE_NUMBER, .range = &load_g, STATION(capacity_g), .about = "what it can bear"},
    {.name = "range1_g",
     .type = SHAPE_NUMBER,
     .range = &load_g,
     STATION(range1_g),
     .about = "end of the first range of a multi-interval scale"},
    {.name = "d2_g", .type = SHAPE_NUMBER, .range = &interval_g, STATION(d2_g), .about = "its interval above range1_g"},
    {.name = "tolerance_g",
     .type = SHAPE_NUMBER,
     .range = &tolerance_g,
     STATION(tolerance_g),
     .about = "how far a pour may miss its aim"},
    {.name = "tolerance_pct",
     .type = SHAPE_NUMBER,
     .range = &shape_pct,
     STATION(tolerance_pct),
     .about = "the same as a share of the aim"},
    {.name = "auto_grow_pct",
     .type = SHAPE_NUMBER,
     .range = &shape_pct,
     STATION(auto_grow_pct),
     .about = "how far a batch may grow by itself"},
    {.name = "error_pct",
     .type = SHAPE_NUMBER,
     .range = &shape_pct_above_0,
     STATION(error_pct),
     .about = "an amount whose weighing errs by more is warned about"},
    {.name = "repeatability_g",
     .type = SHAPE_NUMBER,
     .range = &doubt_g,
     STATION(repeatability_g),
     .about = "standard deviation of one weight weighed again and again"},
    {.name = "drop_g",
     .type = SHAPE_NUMBER,
     .range = &doubt_g,
     STATION(drop_g),
     .about = "of what the last drop of a pour adds"},
    {.name = "drift_g",
     .type = SHAPE_NUMBER,
     .range = &drift_g,
     STATION(drift_g),
     .about = "of the scale's drift within one pour"},
    {.name = "check_days",
     .type = SHAPE_COUNT,
     .range = &days,
     STATION(check_days),
     .about = "days between two check weights"},
    {.name = "accept_after_s",
     .type = SHAPE_COUNT,
     .range = &accept_s,
     STATION(accept_after_s),
     .about = "seconds on aim after which the station accepts by itself; 0: never"},
    {.name = "glance_hardener",
     .type = SHAPE_FLAG,
     STATION(glance_hardener),
     .about = "a second person looks at each pour of hardener"},
    {.name = "pour_order",
     .type = SHAPE_CHOICE,
     .choices = orders,
     STATION(pour_order),
     .about = "of the colour at this bench"},
    {.name = "language",
     .type = SHAPE_CHOICE,
     .choices = languages,
     STATION(language),
     .about = "of this bench and its labels"},
    {0},
};
static const struct shape_member http_members[] = {
    {.name = "port", .type = SHAPE_COUNT, .range = &ports, SHOP(http_port), .about = "0 takes a free one"},
    {.name = "bind",
     .type = SHAPE_TEXT,
     .fits = is_address,
     .unfit = "config_bind field=%s given=%s",
     SHOP(http_bind),
     .about = "the address to listen on"},
    {.name = "hosts",
     .type = SHAPE_TEXT,
     .fits = are_hosts,
     .unfit = "config_host field=%s given=%s",
     SHOP(http_hosts),
     .about = "names the page is reached by"},
    {.name = "token_file", .type = SHAPE_TEXT, SHOP(http_token_file), .about = "a line for each token: ROLE TOKEN"},
    {.name = "role",
     .type = SHAPE_CHOICE,
     .choices = roles,
     SHOP(http_role),
     .about = "what a page may do that has the token of this start"},
    {.name = "cert", .type = SHAPE_TEXT, SHOP(http_cert), .about = "certificate in PEM; with key, for TLS"},
    {.name = "key", .type = SHAPE_TEXT, SHOP(http_key), .about = "its private key in PEM"},
    {0},
};
static const struct shape_member print_members[] = {
    {.name = "command", .type = SHAPE_TEXT, SHOP(print_command), .about = "gets the PDF's path as its last word"},
    {.name = "size_mm",
     .type = SHAPE_TEXT,
     .fits = is_size,
     .unfit = "config_size field=%s given=%s",
     SHOP(print_size_mm),
     .about = "of a label"},
    {0},
};

static const struct shape_member rights_members[] = {
    {.name = "paint",
     .type = SHAPE_TEXT,
     .fits = rights_fit,
     .unfit = "config_rights field=%s given=%s",
     SHOP(rights_paint),
     .about = "who may work at a station"},
    {.name = "keep",
     .type = SHAPE_TEXT,
     .fits = rights_fit,
     .unfit = "config_rights field=%s given=%s",
     SHOP(rights_keep),
     .about = "who may also change toners, formulas and products"},
    {.name = "own",
     .type = SHAPE_TEXT,
     .fits = rights_fit,
     .unfit = "config_rights field=%s given=%s",
     SHOP(rights_own),
     .about = "who may also import, set up and copy"},
    {0},
};

static const struct shape_member limits_members[] = {
    {.name = "connections",
     .type = SHAPE_COUNT,
     .range = &connections,
     SHOP(limits.connections),
     .about = "clients at a time on the local socket"},
    {.name = "line_s",
     .type = SHAPE_COUNT,
     .range = &seconds,
     SHOP(limits.line_s),
     .about = "from a call's first byte to its end"},
    {.name = "idle_s",
     .type = SHAPE_COUNT,
     .range = &seconds,
     SHOP(limits.idle_s),
     .about = "without a call, for a client that watches nothing"},
    {0},
};

const struct shape config_shop_shape = {"shop", shop_members, "the shop"};
const struct shape config_http_shape = {"http", http_members, "the page"};
const struct shape config_print_shape = {"print", print_members, "labels"};
const struct shape config_rights_shape = {"rights", rights_members, "who may do what"};
const struct shape config_limits_shape = {"limits", limits_members, "clients of the local socket"};
const struct shape config_station_shape = {"station", station_members, "a bench and its scale"};

/* ---- what a row cannot say ---- */

/* `none` is a word of ours, not a question to send. */
static bool take_poll(const char *text, struct config_station *s, struct fault *fault)
{
    s->poll_len = 0;
    if (strcmp(text, "none") == 0)
        return true;
    if (text[0] == '"') /* no scale is asked so, but a person may mean a text by it */
        return fault_said(fault, FAULT_INVALID, "poll", "quote", "config_poll_quote given=%s", text);
    switch (polltext_read(text, s->poll, &s->poll_len)) {
    case POLLTEXT_TOO_LONG:
        return fault_said(fault, FAULT_INVALID, "poll", "too long", "config_poll_long given=%s", text);
    case POLLTEXT_BAD_ESCAPE:
        return fault_said(fault, FAULT_INVALID, "poll", "escape", "config_poll_escape given=%s", text);
    default:
        return true;
    }
}

/* The shape knows the range, this the values: a speed that no port has would open it at another one. */
static bool speed_fits(const struct config_station *s, struct fault *fault)
{
    for (size_t i = 0; i < sizeof speeds / sizeof *speeds; i++)
        if (s->speed == speeds[i])
            return true;
    return fault_said(fault, FAULT_INVALID, "speed", "speed", "config_speed field=%s given=%d", "speed", s->speed);
}

/* Less than 2 s leaves nobody the time to say no. */
static bool accept_fits(const struct config_station *s, struct fault *fault)
{
    return s->accept_after_s != 1 || fault_said(fault, FAULT_INVALID, "accept_after_s", "range",
                                                "config_accept_after field=%s given=%d", "accept_after_s", 1);
}

/* Names apart by one space each. */
static void join_hosts(char *hosts)
{
    size_t used = 0;
    for (const char *p = hosts + strspn(hosts, " ,\t"); *p; p += strspn(p, " ,\t")) {
        size_t n = strcspn(p, " ,\t");
        if (used)
            hosts[used++] = ' ';
        memmove(hosts + used, p, n);
        used += n;
        p += n;
    }
    hosts[used] = '\0';
}

/* The table reads the value; what a row cannot say of it follows. */
bool config_setting_read(const struct shape *shape, const char *key, const char *text, void *into, struct fault *fault)
{
    const struct shape_member *m = shape_find(shape, key);
    json_t *value = shape_of_text(m, text, fault);
    bool fits = value && shape_read_member(m, value, into, fault);
    json_decref(value);
    if (!fits)
        return false;
    if (shape == &config_station_shape && strcmp(key, "poll") == 0)
        return take_poll(text, into, fault);
    if (shape == &config_station_shape && strcmp(key, "speed") == 0)
        return speed_fits(into, fault);
    if (shape == &config_station_shape && strcmp(key, "accept_after_s") == 0)
        return accept_fits(into, fault);
    if (shape == &config_http_shape && strcmp(key, "hosts") == 0)
        join_hosts(((struct config *)into)->http_hosts);
    return true;
}
