/* styles.c - the shape of every family's frames (the language is told in styles.h), and what each may be asked. A style
 * without a name comes first and is the default. Where the facts show no frame for a case, it is NULL, or says below
 * that it is a guess. */
#include "drivers/sim/styles.h"
#include <stdbool.h>
#include <string.h>

#define FIX         "%+%9d %3u\r\n"
#define FIX_MOVING  "%+%9d    \r\n"
#define STX18       "\2%A%6D%6T\r"
#define STX18_ZEROS "\2%A%06D%06T\r"
#define SCP_STATUS  "\r\n%h\r\3"

const struct sim_style sim_styles[] = {
    {"sics", "", "S %(S|D) %10s%2r\r\n", NULL, "S +\r\n", "S -\r\n", "ES\r\n"},
    {"sics", "wide", "S %(S|D) %11s%2r\r\n", NULL, "S +\r\n", "S -\r\n", "ET\r\n"},
    {"sics", "old", "S%( |D)%10s%2r\r\n", NULL, "SI+\r\n", "SI-\r\n", "EL\r\n"},
    {"sics-b", "", "SI %( |?) %-%9d %3u\r\n", NULL, "S ^\r\n", "S v\r\n", "S E\r\n"},
    {"hdr2", "", "%(ST|US),%+%08d%3r\r\n", NULL, "OL,+%8n%3r\r\n", "OL,-%8n%3r\r\n", NULL},
    {"hdr2", "exp", "%(ST|US),%+%08d%3r\r\n", NULL, "OL,+9999999E+19\r\n", "OL,-9999999E+19\r\n", NULL},
    {"hdr2", "wt", "%(WT|US),%+%08d%3r\r\n", NULL, "OL,+%8n%3r\r\n", "OL,-%8n%3r\r\n", NULL},
    {"hdr2", "semicolon", "%(ST|US);%+%,08d;%3r\r\n", NULL, "OL;+%,8n;%3r\r\n", "OL;-%,8n;%3r\r\n", NULL},
    {"hdr2g", "", "%(ST|US),%[GS|NT],%+%8d%4r\r\n", NULL, "OL,%[GS|NT],+            \r\n",
     "OL,%[GS|NT],-            \r\n", NULL},
    {"hdr2g", "lf", "%(ST|US),%[GS|NT],%+%08d%2r\n", NULL, "OL,%[GS|NT],+          \n", "OL,%[GS|NT],-          \n",
     NULL},
    {"hdr2g", "lfcr", "%(ST|US),%[GS|NT],%+%7d%4r\n\r", NULL, "OL,%[GS|NT],+           \n\r",
     "OL,%[GS|NT],-           \n\r", NULL},
    {"hdr2g", "short", "%(ST|US),%[GS|NT]%-%d%U\r\n", NULL, "OL,%[GS|NT]\r\n", NULL, NULL},
    {"hdr2g", "comma", "%(ST|US),%[GS|NT]%8s,%u\r\n", NULL, "OL,%[GS|NT]        ,%u\r\n", NULL, NULL},
    {"hdr2g22", "", "%(ST|US),%[GS|NT],1%L,%08s%3r\r\n", NULL, "OL,%[GS|NT],1%L,%8n%3r\r\n",
     "OL,%[GS|NT],1%L,-%7n%3r\r\n", NULL},
    {"fix16", "", FIX, FIX_MOVING, "      High    \r\n", "      Low     \r\n", "   Err 054    \r\n"},
    {"fix16", "brackets", "%+%9b %3u\r\n", "%+%9b    \r\n", "      High    \r\n", "      Low     \r\n",
     "   Err 054    \r\n"},
    {"fix22", "", "%[G|N]     " FIX, "%[G|N]     " FIX_MOVING, "Stat        High    \r\n", "Stat        Low     \r\n",
     "Stat     ERR 054    \r\n"},
    {"fix16n", "", "%+%9d%3u\r\n", NULL, "      High   \r\n", "      Low    \r\n",
     "   Err 054   \r\n"}, /* marks: a guess */
    {"stx18", "", STX18, NULL, STX18, STX18, NULL},
    {"stx18", "check", STX18 "%y", NULL, STX18 "%y", STX18 "%y", NULL},
    {"stx18", "zeros", STX18_ZEROS, NULL, STX18_ZEROS, STX18_ZEROS, NULL},
    {"stx18", "zeros-lf", STX18_ZEROS "\n", NULL, STX18_ZEROS "\n", STX18_ZEROS "\n", NULL},
    {"stx11", "", "\2%A%6D\r", NULL, "\2%A%6D\r", "\2%A%6D\r", NULL},
    {"scp", "", "\n%7s%2u" SCP_STATUS, NULL, "\n^^^^^^%2u" SCP_STATUS, "\n______%2u" SCP_STATUS,
     "\n------%2u" SCP_STATUS},
    {"scp", "narrow", "\n%5s%2u" SCP_STATUS, NULL, "\n^^^^^^%2u" SCP_STATUS, "\n______%2u" SCP_STATUS, NULL},
    {"scp", "net", "\n%-%7d%2u\r\n%H\r\3", NULL, "\n^^^^^^^^%2u\r\n%H\r\3", "\n________%2u\r\n%H\r\3", NULL},
    {"scp-ecr", "", "\n%06s%U\r\nS%h\r\3", NULL, "\n^^^^^^%U\r\nS%h\r\3", "\n______%U\r\nS%h\r\3", NULL},
    {"retail", "", "\2%06P%[|N]\r", "\2?%m\r", "\2?%m\r", "\2?%m\r", "\2?%m\r"},
    {"retail", "five", "\2%05P%[|N]\r", "\2?%m\r", "\2?%m\r", "\2?%m\r", "\2?%m\r"},
    {"retail", "bit5", "\2%06P%[|N]\r", "\2?%M\r", "\2?%M\r", "\2?%M\r", "\2?%M\r"},
    {"plain", "", "%11s %u%(| ?)\r\n", NULL, "   99999999 %u\r\n", "  -99999999 %u\r\n", NULL},
    {"plain", "marks", "%-%9d %3u%( |?) %[G|NET]\r\n", NULL, "   99999999 %3u\r\n", "-  99999999 %3u\r\n", NULL},
    {"plain", "apart", "%+%8d %2u\r\n", NULL, "+99999999 %2u\r\n", "-99999999 %2u\r\n", NULL},
    {"plain", "zeros", "%+%07d %3u\r\n", NULL, "+9999999 %3u\r\n", "-9999999 %3u\r\n", NULL},
    {"plain", "no-unit", "%+%08d\r\n", NULL, "+99999999\r\n", "-99999999\r\n", NULL},
    {"plain", "kind-first", "%[G|N]      %+%7d %u\r\n", NULL, "%[G|N]      +9999999 %u\r\n",
     "%[G|N]      -9999999 %u\r\n", NULL},
    {"plain-u", "", "%12s %3u\r\n", "%12s    \r\n", "    99999999 %3u\r\n", "   -99999999 %3u\r\n", NULL},
    {"plain-u", "wide", "%13s %u\r\n", "%13s \r\n", "     99999999 %u\r\n", "    -99999999 %u\r\n", NULL},
    {"plain-su", "", "%(S|U)%+%8d%2u\r", NULL, "S+99999999%2u\r", "S-99999999%2u\r", NULL},
    {"plain-14", "", "%+%07d %U %(S|U)\r\n", NULL, "+0000.00 %U E\r\n", "-0000.00 %U E\r\n", "+0000.00 %U E\r\n"},
    {"nu", "", "%+%08d\r\n", NULL, "+99999999\r\n", "-99999999\r\n", NULL},
    {"sma", "", "\n%z1%[G|N]%( |M) %10s%3u\r", NULL, "\nO1%[G|N]  ----------%3u\r", "\nU1%[G|N]  ----------%3u\r",
     "\nE1%[G|N]  ----------%3u\r"},
    /* Of the next four the page shows no frame for over and under: O and U in the place of the status, no digits. A
       guess. */
    {"stx-pol", "", "\2%-%7d%k%[G|N]%( |M)\r\n", NULL, "\2        %k%[G|N]O\r\n", "\2        %k%[G|N]U\r\n", NULL},
    {"stx-etx", "", "\2%-%7d%[G|N]\3", "\2%-%7dM\3", "\2        O\3", "\2        U\3", NULL},
    {"stx-etx2", "", "\2%-%7d%[G|N]%( |M)Z-%3r\3", NULL, "\2        %[G|N]OZ-%3r\3", "\2        %[G|N]UZ-%3r\3", NULL},
    {"cr-etx", "", "\r%+%06d%( |m)%3r%[ g| n]  \3", NULL, "\r      o%3r%[ g| n]  \3", "\r      u%3r%[ g| n]  \3", NULL},
    {"stx-xor", "", "\2%+%06D%p%x\3", NULL, NULL, NULL, NULL},
    {"wg-xor", "", "W%[G|N]%07s%2r%x\r\n", NULL, "         HI%x\r\n", "         LO%x\r\n",
     NULL}, /* HI: a guess, as LO */
    {"enq-bcc", "", "\1\2%(S|U) %06s%2r%c\3\4", NULL, NULL, NULL, NULL},
    {"eq-rev", "", "=%8R", NULL, NULL, NULL, NULL},
    {"eq-fwd", "", "=%08s", NULL, NULL, NULL, NULL},
};
const size_t sim_styles_count = sizeof sim_styles / sizeof *sim_styles;

const char *const sim_status_names[SIM_STATUSES] = {"ok", "over", "under", "error"};
const char *const sim_unit_names[SIM_UNITS] = {"g", "kg", "lb", "oz", "mg", "t", "gr", "pcs"};

/* A family's row without a style is its default. */
const struct sim_style *sim_style_find(const char *family, const char *style)
{
    for (size_t i = 0; i < sim_styles_count; i++) {
        const struct sim_style *row = &sim_styles[i];
        if (!strcmp(row->family, family) && !strcmp(row->style, style ? style : ""))
            return row;
    }
    return NULL;
}

/* A shape for moving is given only where the stable one cannot tell it by itself. */
static const char *shape_for(const struct sim_style *style, enum sim_status status, bool stable)
{
    switch (status) {
    case SIM_OK:
        return !stable && style->moving ? style->moving : style->stable;
    case SIM_OVER:
        return style->over;
    case SIM_UNDER:
        return style->under;
    case SIM_ERROR:
    case SIM_STATUSES:
        return style->error;
    }
    return NULL;
}

/* A scale whose frames have no room for a minus says under instead. */
size_t sim_write(const struct sim_style *style, const struct sim_weight *weight, uint8_t out[SIM_FRAME_MAX])
{
    const char *shape = shape_for(style, weight->status, weight->stable);
    size_t len = shape ? sim_shape(shape, weight, out) : 0;
    if (len || weight->status != SIM_OK || !weight->negative || !style->under)
        return len;
    struct sim_weight below = *weight;
    below.status = SIM_UNDER;
    return sim_shape(style->under, &below, out);
}

/* Sources: the `ask` column of the fact sheet that tests/data/frames.tsv goes with. A family may stand in several rows.
 */
static const struct question {
    const char *families; /* a blank before and after each name */
    const char *text;
    enum sim_ask ask;
} questions[] = {
    {" sics sics-b hdr2 hdr2g hdr2g22 ", "S\r\n", SIM_ASK_STABLE},
    {" sics sics-b hdr2 hdr2g hdr2g22 ", "SI\r\n", SIM_ASK_NOW},
    {" sics hdr2 hdr2g hdr2g22 ", "SIR\r\n", SIM_ASK_STREAM},
    {" sics-b ", "SU\r\n", SIM_ASK_STABLE},
    {" sics-b ", "SUI\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "Q\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "RW\r\n", SIM_ASK_NOW},
    {" hdr2 hdr2g hdr2g22 ", "C\r\n", SIM_ASK_STOP},
    {" fix16 fix22 fix16n ", "\033P", SIM_ASK_NOW},
    {" scp scp-ecr ", "W\r", SIM_ASK_NOW},
    {" retail ", "W", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "IP\r\n", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "SP\r\n", SIM_ASK_STABLE},
    {" plain plain-u plain-su plain-14 nu ", "CP\r\n", SIM_ASK_STREAM},
    {" plain plain-u plain-su plain-14 nu ", "0P\r\n", SIM_ASK_STOP},
    {" plain plain-u plain-su plain-14 nu ", "w", SIM_ASK_NOW},
    {" plain plain-u plain-su plain-14 nu ", "s", SIM_ASK_STABLE},
    {" sma ", "\nW\r", SIM_ASK_NOW},
    {" enq-bcc ", "\005", SIM_ASK_HELLO},
    {" enq-bcc ", "\021", SIM_ASK_NOW},
};

/* Whole names alone: `plain` must not be found in `plain-u`. */
static bool speaks(const char *families, const char *family)
{
    size_t len = strlen(family);
    for (const char *at = families; (at = strstr(at, family)); at += len)
        if (at[-1] == ' ' && at[len] == ' ')
            return true;
    return false;
}

/* The rest moves to the front, since a question may have come in part. */
static void take(uint8_t *bytes, size_t *len, size_t count)
{
    memmove(bytes, bytes + count, *len - count);
    *len -= count;
}

/* A byte that begins no question is skipped, so noise before one does no harm. */
enum sim_ask sim_ask_take(const char *family, uint8_t *bytes, size_t *len)
{
    while (*len) {
        bool begun = false; /* the bytes may become a question yet */
        for (size_t i = 0; i < sizeof questions / sizeof *questions; i++) {
            if (!speaks(questions[i].families, family))
                continue;
            size_t want = strlen(questions[i].text), have = *len < want ? *len : want;
            if (memcmp(bytes, questions[i].text, have) != 0)
                continue;
            if (have == want) {
                take(bytes, len, want);
                return questions[i].ask;
            }
            begun = true;
        }
        if (begun)
            return SIM_ASK_NOTHING;
        take(bytes, len, 1);
    }
    return SIM_ASK_NOTHING;
}
