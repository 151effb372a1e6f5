/* The settings of a port as a section that a person pastes into the configuration. */
#include "drivers/port_own.h"

#include <stdio.h>
#include <string.h>

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
