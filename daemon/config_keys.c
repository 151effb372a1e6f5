#include "config_keys.h"

#include <arpa/inet.h>
#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static bool wrong(struct key_fault *fault, const char *why, const char *help)
{
    *fault = (struct key_fault){why, help};
    return false;
}

static bool take_text(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    if (strlen(text) >= key->size)
        return wrong(fault, "too long", "Write it shorter.");
    memcpy((char *)target + key->offset, text, strlen(text) + 1);
    return true;
}

static bool take_word(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    for (size_t i = 0; key->words[i]; i++)
        if (strcmp(key->words[i], text) == 0)
            return take_text(key, text, target, fault);
    return wrong(fault, "not known", key->help);
}

static bool number_of(const struct config_key *key, const char *text, double *out, struct key_fault *fault)
{
    if (!ini_number(text, out))
        return wrong(fault, "not a number", key->help);
    if (*out < key->least || *out > key->most || (key->above && *out <= key->least))
        return wrong(fault, "out of range", key->help);
    return true;
}

static bool take_number(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    double value;
    if (!number_of(key, text, &value, fault))
        return false;
    memcpy((char *)target + key->offset, &value, sizeof value);
    return true;
}

static bool take_whole(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    double value;
    if (!number_of(key, text, &value, fault))
        return false;
    if (value != floor(value))
        return wrong(fault, "not a whole number", key->help);
    int whole = (int)value;
    memcpy((char *)target + key->offset, &whole, sizeof whole);
    return true;
}

static bool take_speed(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    /* What serial ports are set to; common practice, no source. A typing error such as 960 is none of them. */
    static const int speeds[] = {300,   600,   1200,  2400,  4800,   9600,   14400,  19200,
                                 28800, 38400, 57600, 76800, 115200, 230400, 460800, 921600};
    double value;
    if (!number_of(key, text, &value, fault))
        return false;
    for (size_t i = 0; i < sizeof speeds / sizeof *speeds; i++)
        if (value == speeds[i])
            return take_whole(key, text, target, fault);
    return wrong(fault, "not a speed of serial ports", key->help);
}

static bool take_decimal(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    bool comma = strcmp(text, "comma") == 0;
    if (!comma && strcmp(text, "point") != 0)
        return wrong(fault, "not known", key->help);
    memcpy((char *)target + key->offset, &comma, sizeof comma);
    return true;
}

static bool take_language(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    enum words_language language;
    if (!words_language_of(text, &language))
        return wrong(fault, "not known", key->help);
    memcpy((char *)target + key->offset, &language, sizeof language);
    return true;
}

/* ---- a station's port, profile, frame, poll ---- */

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

static bool take_port(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    bool fits = strncmp(text, "tcp:", 4) == 0   ? is_tcp(text + 4)
                : strncmp(text, "hid:", 4) == 0 ? text[4] == '/' && text[5]
                : strncmp(text, "pty:", 4) == 0 ? text[4] != '\0'
                                                : text[0] == '/' && text[1];
    if (!fits)
        return wrong(fault, "not a port", key->help);
    return take_text(key, text, target, fault);
}

static bool take_profile(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    if (!id_fits(text))
        return wrong(fault, "not a name", key->help);
    return take_text(key, text, target, fault);
}

static bool take_frame(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    if (strlen(text) != 3 || !strchr("78", text[0]) || !strchr("NEO", text[1]) || !strchr("12", text[2]))
        return wrong(fault, "not a frame", key->help);
    return take_text(key, text, target, fault);
}

static bool take_poll(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    struct config_station *s = target;
    s->poll_len = 0;
    if (strcmp(text, "none") == 0)
        return true;
    if (text[0] == '"') /* no scale is asked so, but a person may mean a text by it */
        return wrong(fault, "it begins with a quote, which would be sent", "Write it without, or \\x22 for a quote.");
    switch (polltext_read(text, s->poll, &s->poll_len)) {
    case POLLTEXT_TOO_LONG:
        return wrong(fault, "too long", "Give at most 60 bytes.");
    case POLLTEXT_BAD_ESCAPE:
        return wrong(fault, "an escape that is not known", key->help);
    default:
        return true;
    }
}

/* ---- HTTP and labels ---- */

static bool take_bind(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    unsigned char address[sizeof(struct in6_addr)];
    if (strcmp(text, "localhost") != 0 && inet_pton(AF_INET, text, address) != 1 &&
        inet_pton(AF_INET6, text, address) != 1)
        return wrong(fault, "not an address", key->help);
    return take_text(key, text, target, fault);
}

static bool take_hosts(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    char *out = (char *)target + key->offset;
    size_t used = 0;
    if (strlen(text) >= key->size)
        return wrong(fault, "too long", "Give fewer names.");
    for (const char *p = text + strspn(text, " ,\t"); *p; p += strspn(p, " ,\t")) {
        size_t n = strcspn(p, " ,\t");
        for (size_t i = 0; i < n; i++)
            if (!isalnum((unsigned char)p[i]) && !strchr("-.:[]", p[i]))
                return wrong(fault, "not a host's name", key->help);
        if (used)
            out[used++] = ' ';
        memcpy(out + used, p, n);
        used += n;
        p += n;
    }
    out[used] = '\0';
    return used > 0 || wrong(fault, "no name", key->help);
}

static bool take_size(const struct config_key *key, const char *text, void *target, struct key_fault *fault)
{
    char *end;
    size_t digits = strspn(text, "0123456789");
    if (digits < 2 || digits > 3 || text[digits] != 'x' || !isdigit((unsigned char)text[digits + 1]))
        return wrong(fault, "not a size", key->help);
    long width = strtol(text, NULL, 10), height = strtol(text + digits + 1, &end, 10);
    if (*end || width < 40 || width > 200 || height < 20 || height > 200)
        return wrong(fault, "not a size", key->help);
    return take_text(key, text, target, fault);
}

/* ---- the tables ---- */

static const char *const flows[] = {"none", "xonxoff", "rtscts", NULL};
static const char *const units[] = {"g", "kg", "mg", "t", "lb", "oz", "gr", NULL};

#define SHOP(member)    offsetof(struct config, member), sizeof((struct config *)0)->member
#define STATION(member) offsetof(struct config_station, member), sizeof((struct config_station *)0)->member
#define ABOVE_0(most)   0, most, true, NULL
#define NO_RANGE        0, 0, false, NULL
#define PER_CENT_HELP   "Give a per cent from 0 to 100."

const struct config_key config_shop_keys[] = {
    {"name", take_text, SHOP(shop), NO_RANGE, NULL},
    {"currency", take_text, SHOP(currency), NO_RANGE, NULL},
    {"decimal", take_decimal, SHOP(decimal_comma), NO_RANGE, "Give point or comma."},
    {"language", take_language, SHOP(language), NO_RANGE, "Give en or de."},
    {"data", take_text, SHOP(data), NO_RANGE, NULL},
    {0},
};

const struct config_key config_station_keys[] = {
    {"port", take_port, STATION(port), NO_RANGE,
     "Give /dev/serial/by-id/..., tcp:HOST:PORT, hid:/dev/hidrawN or pty:PATH."},
    {"profile", take_profile, STATION(profile), NO_RANGE, "Give auto, or a name that `poise decode --help` lists."},
    {"speed", take_speed, STATION(speed), 300, 921600, false, NULL, "Give bits a second, such as 9600."},
    {"frame", take_frame, STATION(frame), NO_RANGE, "Give data bits, parity N, E or O, and stop bits, such as 8N1."},
    {"poll", take_poll, STATION(poll), NO_RANGE, "Give none, a text, or one with \\r, \\n or \\xNN."},
    {"poll_ms", take_whole, STATION(poll_ms), 20, 60000, false, NULL, "Give whole milliseconds from 20 to 60000."},
    {"flow", take_word, STATION(flow), 0, 0, false, flows, "Give none, xonxoff or rtscts."},
    {"unit", take_word, STATION(unit), 0, 0, false, units, "Give g, kg, mg, t, lb, oz or gr."},
    {"d_g", take_number, STATION(d_g), ABOVE_0(1000), "Give the scale's interval in grams, above 0, at most 1000."},
    {"capacity_g", take_number, STATION(capacity_g), ABOVE_0(1e7), "Give what the scale can bear in grams, above 0."},
    {"range1_g", take_number, STATION(range1_g), ABOVE_0(1e7), "Give the end of the scale's first range in grams."},
    {"d2_g", take_number, STATION(d2_g), ABOVE_0(1000), "Give the interval above range1_g in grams, at most 1000."},
    {"tolerance_g", take_number, STATION(tolerance_g), ABOVE_0(1e6), "Give grams above 0, at most 1000000."},
    {"tolerance_pct", take_number, STATION(tolerance_pct), 0, 100, false, NULL, PER_CENT_HELP},
    {"auto_grow_pct", take_number, STATION(auto_grow_pct), 0, 100, false, NULL, PER_CENT_HELP},
    {"error_pct", take_number, STATION(error_pct), ABOVE_0(100), "Give a per cent above 0, at most 100."},
    {"check_days", take_whole, STATION(check_days), 1, 3650, false, NULL, "Give whole days from 1 to 3650."},
    {"language", take_language, STATION(language), NO_RANGE, "Give en or de."},
    {0},
};

const struct config_key config_http_keys[] = {
    {"port", take_whole, SHOP(http_port), 0, 65535, false, NULL, "Give a port from 1 to 65535, or 0 for a free one."},
    {"bind", take_bind, SHOP(http_bind), NO_RANGE, "Give an address in figures, such as 127.0.0.1 or ::1."},
    {"hosts", take_hosts, SHOP(http_hosts), NO_RANGE, "Give names such as bench.local, apart by spaces."},
    {"token_file", take_text, SHOP(http_token_file), NO_RANGE, NULL},
    {0},
};

const struct config_key config_print_keys[] = {
    {"command", take_text, SHOP(print_command), NO_RANGE, NULL},
    {"size_mm", take_size, SHOP(print_size_mm), NO_RANGE, "Give WIDTHxHEIGHT in mm, such as 62x29 or 50x25."},
    {0},
};
