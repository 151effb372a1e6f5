/* settings.c - a port's settings: whether they are sound, a poll as a person writes it, and the section that a person
 * pastes into the configuration. It opens nothing, and knows no family but by name. */
#include "drivers/port_own.h"

#include "drivers/scale.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* A hid: port speaks hid whatever the profile says: nothing else can be on it. */
const struct scale_family *port_family_of(const struct port_settings *s)
{
    if (s->declared)
        return s->declared;
    return scale_family_find(strncmp(s->port, "hid:", 4) == 0 ? "hid" : s->profile);
}

/* `auto` is no family: it is found out, by seeking.c. */
static bool is_sought(const struct port_settings *s)
{
    return strcmp(s->profile, "auto") == 0;
}

/* Only what can be known without opening. Whether the port is there is told by its state. */
struct said port_settings_fault(const struct port_settings *s)
{
    char host[256], service[8], parity;
    int bits, stop;
    if (!port_family_of(s) && !is_sought(s))
        return say("port_no_profile profile=%s", s->profile);
    if (s->port[0] == '\0')
        return say("port_unnamed");
    if (strncmp(s->port, "tcp:", 4) == 0 && !tcp_split(s->port, host, sizeof host, service, sizeof service))
        return say("port_bad_address port=%s", s->port);
    if (s->frame[0] && !serial_frame(s->frame, &bits, &parity, &stop))
        return say("port_bad_frame frame=%s", s->frame);
    if (s->speed < 0 || s->poll_len > sizeof s->poll || s->poll_ms < 0)
        return say("port_bad_numbers");
    return (struct said){.used = 0};
}

/* The byte that the escape at `text`, behind its backslash, stands for; how many characters it took, 0: it is no
 * escape. */
static size_t unescape(const char *text, char *out)
{
    if (*text == 'r' || *text == 'n') {
        *out = *text == 'r' ? '\r' : '\n';
        return 1;
    }
    if (*text != 'x' || !isxdigit((unsigned char)text[1]) || !isxdigit((unsigned char)text[2]))
        return 0;
    const char digits[] = {text[1], text[2], '\0'};
    *out = (char)strtol(digits, NULL, 16);
    return 3;
}

enum polltext_fault polltext_read(const char *text, char out[POLLTEXT_ROOM], size_t *len)
{
    bool escaped = strchr(text, '\\') != NULL;
    size_t n = 0;
    for (; *text; text++) {
        if (n + 2 >= POLLTEXT_ROOM) /* CR LF may still follow */
            return POLLTEXT_TOO_LONG;
        out[n] = *text;
        if (*text == '\\') {
            size_t took = unescape(text + 1, &out[n]);
            if (took == 0)
                return POLLTEXT_BAD_ESCAPE;
            text += took;
        }
        n++;
    }
    if (!escaped) {
        out[n++] = '\r';
        out[n++] = '\n';
    }
    *len = n;
    return POLLTEXT_FINE;
}

/* Text with CR LF after it is written without; anything else with escapes, which goes out as it stands. */
static void put_poll(FILE *page, const struct port_settings *s)
{
    size_t text = 0;
    while (text < s->poll_len && s->poll[text] > ' ' && s->poll[text] < 0x7f && s->poll[text] != '\\')
        text++;
    if (text > 0 && text + 2 == s->poll_len && memcmp(s->poll + text, "\r\n", 2) == 0) {
        fprintf(page, "poll = %.*s\n", (int)text, s->poll);
        return;
    }
    bool bare = text == s->poll_len; /* no byte needs an escape, but without one CR LF would be added */
    fprintf(page, "poll = ");
    for (size_t i = 0; i < s->poll_len; i++) {
        unsigned char c = (unsigned char)s->poll[i];
        if (c == '\r')
            fprintf(page, "\\r");
        else if (c == '\n')
            fprintf(page, "\\n");
        else if (c > ' ' && c < 0x7f && c != '\\' && !(bare && i == 0))
            fprintf(page, "%c", c);
        else
            fprintf(page, "\\x%02x", c);
    }
    fprintf(page, "\n");
}

/* One step of the last decimal sent, in grams. */
static void put_d(FILE *page, const struct port *p)
{
    char one[SCALE_DIGITS];
    int64_t ug;
    size_t len = strlen(p->digits);
    bool negative = p->digits[0] == '-';
    if (len == 0)
        return;
    memcpy(one, p->digits + negative, len + 1 - negative);
    for (char *c = one; *c; c++) {
        if (*c != '.')
            *c = c[1] ? '0' : '1';
    }
    enum scale_unit unit = p->unit ? p->unit : p->settings.unit ? p->settings.unit : SCALE_UNIT_G;
    if (!scale_weight_ug(one, unit, &ug) || ug <= 0)
        return;
    char grams[40];
    snprintf(grams, sizeof grams, "%lld.%06lld", (long long)(ug / 1000000), (long long)(ug % 1000000));
    size_t end = strlen(grams);
    while (grams[end - 1] == '0')
        grams[--end] = '\0';
    if (grams[end - 1] == '.')
        grams[end - 1] = '\0';
    fprintf(page, "d_g = %s ; one step of the last digit sent; the plate may say 2 or 5\n", grams);
}

/* A d of 1 in the last digit is a guess: a scale may count in twos or fives there, so the line says so. */
bool port_section(const struct port *port, const char *station, char *out, size_t size)
{
    const struct port_settings *s = &port->settings;
    FILE *page = port->family && size > 0 ? fmemopen(out, size, "w") : NULL;
    if (!page)
        return false;
    fprintf(page, "[station %s]\nport = %s\nprofile = %s\n", station, s->port, port->family->name);
    if (port->transport == &transport_serial)
        fprintf(page, "speed = %d\nframe = %s\n", s->speed ? s->speed : 9600, s->frame[0] ? s->frame : "8N1");
    if (s->poll_len)
        put_poll(page, s);
    put_d(page, port);
    bool fitted = fflush(page) == 0 && ftell(page) < (long)size;
    return fclose(page) == 0 && fitted;
}
