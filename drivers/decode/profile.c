/* profile.c - reads a profile. The form is that of all our INI files (contract, section 8); the reader is our own, from
 * memory, so that each fault has its line and a fuzzer can run it 50,000 times a second. */
#include "drivers/decode/profile.h"

#include "drivers/decode/linelayout.h"
#include "drivers/decode/text.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Where the reader stands in the file. The lines of the keys are kept for what is found out only at the end. */
struct reader {
    struct scale_profile *profile;
    struct profile_fault *fault;
    const char *wanted;      /* the section's name; NULL: the first */
    bool found, inside, any; /* the section wanted was met; we are in it; there was one at all */
    int line;
    int at[32]; /* the line of each key met in this section; 0: not met */
};

/* The first fault ends the reading. A key of a broken file is cut to the struct's room. */
static bool refuse(struct reader *r, const char *field, struct said why)
{
    r->fault->line = r->line;
    snprintf(r->fault->field, sizeof r->fault->field, "%.31s", field);
    r->fault->said = why;
    return false;
}

/* ---- values ---- */

/* \r \n \s (a space) \\ \xNN become bytes. -1: a bad escape, a NUL, or too long for `size`. */
static int unescape(const char *text, size_t len, char *out, size_t size)
{
    size_t n = 0;
    for (size_t i = 0; i < len; i++) {
        int c = (unsigned char)text[i];
        if (c == '\\' && i + 3 < len && text[i + 1] == 'x' && text_hex(text[i + 2]) >= 0 &&
            text_hex(text[i + 3]) >= 0) {
            c = text_hex(text[i + 2]) * 16 + text_hex(text[i + 3]);
            i += 3;
        } else if (c == '\\' && i + 1 < len && strchr("rns\\", text[i + 1])) {
            i++;
            c = text[i] == 'r' ? '\r' : text[i] == 'n' ? '\n' : text[i] == 's' ? ' ' : '\\';
        } else if (c == '\\') {
            return -1;
        }
        if (c == 0 || n + 1 >= size)
            return -1;
        out[n++] = (char)c;
    }
    out[n] = '\0';
    return (int)n;
}

/* A control byte by its name, where its escape is meant. Manuals print `CR LF`, so people write it; as text it would be
 * two letters that never come. */
static bool is_byte_name(const char *value)
{
    static const char *const names[] = {"CR", "LF", "CRLF", "CR LF", "LF CR", "STX", "ETX", "EOT", "NUL", "ENQ"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (strcmp(value, names[i]) == 0)
            return true;
    }
    return value[0] == '0' && (value[1] == 'x' || value[1] == 'X');
}

/* At least one byte, and as many as `size` takes with its NUL; `out` is not to be used on a fault. */
static bool set_bytes(struct reader *r, const char *key, const char *value, char *out, size_t size)
{
    if (is_byte_name(value))
        return refuse(r, key, say("profile_byte_name"));
    if (unescape(value, strlen(value), out, size) >= 1)
        return true;
    return refuse(r, key, say("profile_bytes most=%zu", size - 1));
}

/* Words with ` ` between them; `blank` is nothing at all, where that can say something. */
static bool set_words(struct reader *r, const char *key, const char *value, struct line_words *out)
{
    out->count = 0;
    out->blank = false;
    for (const char *at = value; *at;) {
        size_t len = strcspn(at, " ");
        if (len == 5 && strncmp(at, "blank", 5) == 0)
            out->blank = true;
        else if (out->count == LINE_WORDS || unescape(at, len, out->word[out->count++], LINE_WORD_BYTES) < 1)
            return refuse(r, key, say("profile_words"));
        at += len + strspn(at + len, " ");
    }
    bool of_value =
        strncmp(key, "unit_", 5) == 0 || !strcmp(key, "over") || !strcmp(key, "under") || !strcmp(key, "error");
    if (out->blank && of_value)
        return refuse(r, key, say("profile_blank"));
    return true;
}

/* `value` must be there exactly once; the other parts are looked at when the section is over. */
static bool set_order(struct reader *r, const char *value, struct scale_line *line)
{
    static const char *const names[] = {"sign", "value", "unit", "mark", "kind", "skip"};
    int values = 0;
    line->parts = 0;
    for (const char *at = value; *at;) {
        size_t len = strcspn(at, " ");
        size_t part = 0;
        while (part < sizeof names / sizeof *names &&
               (strlen(names[part]) != len || strncmp(at, names[part], len) != 0))
            part++;
        if (part == sizeof names / sizeof *names || line->parts == LINE_ORDER)
            return refuse(r, "order", say("profile_order"));
        line->order[line->parts++] = (enum line_part)part;
        values += part == LINE_VALUE;
        at += len + strspn(at + len, " ");
    }
    if (values != 1)
        return refuse(r, "order", say("profile_order_value"));
    return true;
}

/* Either a unit for lines that name none, or that a missing one tells of motion. */
static bool set_unit(struct reader *r, const char *value)
{
    struct scale_profile *p = r->profile;
    if (strcmp(value, "blank_moving") == 0)
        p->family.blank_unit_means_moving = p->line.unit_tells_stability = true;
    else if (!scale_unit_find(value, &p->line.unit_unsaid))
        return refuse(r, "unit", say("profile_unit"));
    return true;
}

/* As `settings = 9600 8N1`. The speed goes to the driver of the port, which knows better what it can do. */
static bool set_settings(struct reader *r, const char *value)
{
    struct scale_profile *p = r->profile;
    char end;
    bool sound = sscanf(value, "%7d %3s%c", &p->speed, p->frame, &end) == 2 && p->speed >= 50 &&
                 strlen(p->frame) == 3 && strchr("5678", p->frame[0]) && strchr("NEOMS", p->frame[1]) &&
                 strchr("12", p->frame[2]);
    return sound || refuse(r, "settings", say("profile_settings"));
}

/* Without this a 7E1 sender read as 8N1 would never be believed. */
static bool set_bits(struct reader *r, const char *value)
{
    if (strcmp(value, "7") != 0 && strcmp(value, "8") != 0)
        return refuse(r, "bits", say("profile_bits"));
    r->profile->family.seven_bit = value[0] == '7';
    return true;
}

/* One character: a scale that sends either needs a family of its own. */
static bool set_point(struct reader *r, const char *value)
{
    if (strcmp(value, ".") != 0 && strcmp(value, ",") != 0)
        return refuse(r, "point", say("profile_point"));
    r->profile->line.point = value[0];
    return true;
}

/* ---- keys ---- */

/* In the order of keys[]. A new key goes into both, and into drivers/profiles/README.md. */
enum key {
    KEY_DELIMITER,
    KEY_START,
    KEY_ORDER,
    KEY_SEPARATORS,
    KEY_UNIT,
    KEY_SETTINGS,
    KEY_ASK,
    KEY_POINT,
    KEY_BITS,
    KEY_WORDS, /* the first of eight, in the order of set() */
    KEY_UNITS = KEY_WORDS + 8,
    KEYS = KEY_UNITS + SCALE_UNIT_PCS
};

static const char *const keys[KEYS] = {
    "delimiter", "start",   "order",   "separators", "unit",   "settings", "ask",      "point", "bits",
    "stable",    "moving",  "over",    "under",      "error",  "net",      "gross",    "tare",  "unit_g",
    "unit_kg",   "unit_lb", "unit_oz", "unit_mg",    "unit_t", "unit_gr",  "unit_pcs",
};

/* KEYS: none such. Keys are few and a file is read once: no need for more than a walk. */
static size_t key_of(const char *name)
{
    size_t key = 0;
    while (key < KEYS && strcmp(keys[key], name) != 0)
        key++;
    return key;
}

/* Told also in a section that is not asked for: a slip is better found now than on the day it is used. */
static bool no_such_key(struct reader *r, const char *name)
{
    return refuse(r, name, say("profile_key"));
}

/* The keys that are neither words nor spellings of a unit. */
static bool set_text(struct reader *r, size_t key, const char *value)
{
    struct scale_profile *p = r->profile;
    switch (key) {
    case KEY_DELIMITER:
        return set_bytes(r, keys[key], value, p->line.delimiter, sizeof p->line.delimiter);
    case KEY_START:
        return set_bytes(r, keys[key], value, p->line.start, sizeof p->line.start);
    case KEY_ORDER:
        return set_order(r, value, &p->line);
    case KEY_SEPARATORS:
        return set_bytes(r, keys[key], value, p->line.separators, sizeof p->line.separators);
    case KEY_UNIT:
        return set_unit(r, value);
    case KEY_SETTINGS:
        return set_settings(r, value);
    case KEY_ASK:
        return set_bytes(r, keys[key], value, p->ask, sizeof p->ask);
    case KEY_POINT:
        return set_point(r, value);
    default:
        return set_bits(r, value);
    }
}

/* Every key once: with two nobody knows which of them was meant. */
static bool set(struct reader *r, const char *name, const char *value)
{
    struct scale_line *line = &r->profile->line;
    struct line_words *const words[] = {&line->stable, &line->moving, &line->over,  &line->under,
                                        &line->error,  &line->net,    &line->gross, &line->tare};
    size_t key = key_of(name);
    if (key == KEYS)
        return no_such_key(r, name);
    if (r->at[key])
        return refuse(r, name, say("profile_twice"));
    r->at[key] = r->line;
    if (key >= KEY_UNITS)
        return set_words(r, name, value, &line->unit[key - KEY_UNITS + SCALE_UNIT_G]);
    if (key >= KEY_WORDS)
        return set_words(r, name, value, words[key - KEY_WORDS]);
    return set_text(r, key, value);
}

/* ---- lines ---- */

/* Other sections are looked at for their form, and their keys for being known, and then passed over. */
static bool section(struct reader *r, const char *line)
{
    char name[PROFILE_NAME + 2], end;
    r->inside = false;
    r->any = true;
    if (sscanf(line, "[profile %49[^]]]%c", name, &end) != 1)
        return refuse(r, "", say("profile_section"));
    if (strlen(name) > PROFILE_NAME ||
        strspn(name, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-") != strlen(name))
        return refuse(r, "", say("profile_name"));
    if (r->wanted ? strcmp(r->wanted, name) != 0 : r->found && strcmp(r->profile->name, name) != 0)
        return true; /* another one */
    if (r->found)
        return refuse(r, "", say("profile_section_twice"));
    r->found = r->inside = true;
    memcpy(r->profile->name, name, strlen(name) + 1);
    return true;
}

/* Cuts the comment and the spaces behind. */
static void trim(char *line)
{
    char *comment = strstr(line, " ;");
    if (comment)
        *comment = '\0';
    size_t len = strlen(line);
    while (len > 0 && (line[len - 1] == ' ' || line[len - 1] == '\t' || line[len - 1] == '\r'))
        line[--len] = '\0';
}

/* A continued line (indented) is refused rather than read as part of a value, as other readers of INI do. */
static bool take_line(struct reader *r, char *line)
{
    if (line[0] == ' ' || line[0] == '\t') {
        trim(line);
        return line[strspn(line, " \t")] == '\0' || refuse(r, "", say("profile_indented"));
    }
    trim(line);
    if (line[0] == '\0' || line[0] == '#' || line[0] == ';')
        return true;
    if (line[0] == '[')
        return section(r, line);
    char *equals = strchr(line, '=');
    if (!equals || equals == line)
        return refuse(r, "", say("profile_no_setting"));
    if (!r->any)
        return refuse(r, "", say("profile_no_section"));
    char *value = equals + 1 + strspn(equals + 1, " \t");
    *equals = '\0';
    trim(line);
    /* Also in a section that is not wanted: a slip there is told now, not on the day when it is used. */
    if (!r->inside)
        return key_of(line) < KEYS || no_such_key(r, line);
    if (*value == '\0')
        return refuse(r, line, say("profile_no_value"));
    return set(r, line, value);
}

/* From memory and of any length, since a fuzzer gives what no editor would. */
static bool lines(struct reader *r, const char *text, size_t len)
{
    char line[PROFILE_LINE_BYTES + 1];
    size_t mark = len >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0 ? 3 : 0; /* UTF-8's, as some editors write it */
    for (size_t at = mark; at < len;) {
        const char *end = memchr(text + at, '\n', len - at);
        size_t size = end ? (size_t)(end - text) - at : len - at;
        r->line++;
        if (size > PROFILE_LINE_BYTES || memchr(text + at, '\0', size))
            return refuse(r, "", say("profile_line_long"));
        memcpy(line, text + at, size);
        line[size] = '\0';
        if (!take_line(r, line))
            return false;
        at += size + 1;
    }
    r->line++;
    return true;
}

/* What is missing, or does not go together. */
static bool complete(struct reader *r)
{
    struct scale_profile *p = r->profile;
    if (!r->found)
        return refuse(r, "", say("profile_absent name=%s", r->wanted ? r->wanted : "NAME"));
    const struct profile_gap *gap = profile_gap_of(&p->line);
    if (gap) {
        size_t key = key_of(gap->field);
        if (key < KEYS && r->at[key])
            r->line = r->at[key]; /* what is there, but does not go together with the rest */
        struct said why = {.used = 0};
        snprintf(why.code, sizeof why.code, "%s", gap->code);
        return refuse(r, gap->field, why);
    }
    p->family.name = p->name;
    p->family.line = &p->line;
    p->family.ask = p->ask[0] ? p->ask : NULL;
    p->family.max_frame = SCALE_FRAME_MAX;
    p->family.tail_looks_whole = p->line.start[0] == '\0';
    return true;
}

/* The defaults stand here: a point, and text of 7 bits. */
bool profile_parse(const char *text, size_t len, const char *name, struct scale_profile *out,
                   struct profile_fault *fault)
{
    struct reader r = {.profile = out, .fault = fault, .wanted = name};
    memset(out, 0, sizeof *out);
    memset(fault, 0, sizeof *fault);
    out->line.point = '.';
    out->family.seven_bit = true;
    return lines(&r, text, len) && complete(&r);
}

/* One byte more than allowed is read, so that a longer file shows. */
bool profile_load(const char *path, const char *name, struct scale_profile *out, struct profile_fault *fault)
{
    char *text = malloc(PROFILE_FILE_BYTES + 1);
    FILE *file = text ? fopen(path, "re") : NULL;
    struct reader r = {.profile = out, .fault = fault};
    memset(fault, 0, sizeof *fault);
    bool done = false;
    if (!file) {
        refuse(&r, "", say("profile_unread cause=%s", said_reason(errno)));
    } else {
        size_t len = fread(text, 1, PROFILE_FILE_BYTES + 1, file);
        if (ferror(file))
            refuse(&r, "", say("profile_unread cause=%s", said_reason(errno)));
        else if (len > PROFILE_FILE_BYTES)
            refuse(&r, "", say("profile_long"));
        else
            done = profile_parse(text, len, name, out, fault);
        fclose(file);
    }
    free(text);
    return done;
}
