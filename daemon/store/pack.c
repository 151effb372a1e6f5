/* pack.c - bodies of events packed by deflate with a dictionary of our own.
 *
 * Knows no event: the dictionary is only text that is likely in one. A dictionary is part of the file's format.
 */
#include "store/pack.h"

#include <stdlib.h>
#include <string.h>

/* 8 kB of window: the dictionary and a beginning of twenty toners. It takes 48 kB to pack and 10 kB to open. */
enum { WINDOW_BITS = 13, MEMORY_LEVEL = 5, LEVEL = 6 };

/* What is met most stands last: a shorter way back is a shorter code. Never changed; see PACK_VERSION. */
static const char dictionary[] =
    "\"caution\":[{\"code\":\"caution_solvent\",\"caution_isocyanate\",\"caution_voc\",\"have\":[{\"batch\":\"\","
    "\"repeat_of\":\"\",\"cup_ml\":,\"kind_tare_g\":,\"made\":\"made_product\",\"product\":\"\",\"is_product\":true,"
    "\"by_volume\":true,\"hardener_tolerance\":0.,\"reducer_tolerance\":0.,\"pot_life_min\":,\"of_mix\":true,"
    "\"foreign\":true,\"per_base\":,\"exempt_pct\":,\"exempt_density_g_per_ml\":,\"solids_vol_pct\":,\"role\":"
    "\"additive\""
    "\"role\":\"hardener\",\"role\":\"reducer\",\"settings\":{\"d_g\":0.01,\"d_g\":0.1,\"capacity_g\":3000.0,"
    "\"range1_g\":,\"d2_g\":,\"tolerance_g\":0.05,\"tolerance_pct\":0.5,\"auto_grow_pct\":2.0,\"error_pct\":5.0,"
    "\"comma\":true}}\"wanted_g\":100.0,\"fill_pct\":95.0,\"have_g\":[0.0,0.0,0.0,0.0,0.0,0.0,0.0,0.0],\"recipe\":{"
    "\"code\":\"\",\"name\":\"\",\"variant\":\"standard\",\"coat\":\"ground\",\"coat\":\"base\",\"finish\":\"pearl\","
    "\"finish\":\"metallic\",\"finish\":\"solid\",\"line\":\"waterborne\",\"line\":\"two-pack\",\"line\":\"solvent\","
    "\"formula_revision\":1,\"reduce_pct\":10.0,\"steps\":[{\"part\":0,\"share\":0.},{\"part\":1,\"share\":0.},"
    "{\"part\":2,\"share\":0.},{\"part\":3,\"share\":0.},{\"part\":4,\"share\":0.},{\"part\":5,\"share\":0.},{\"part\":"
    "6,"
    "\"share\":0.},\"parts\":[{\"toner\":\"\",\"name\":\"\",\"pigment\":\"P\",\"place\":\"rack \",\"hazards\":[\"\"],"
    "\"role\":\"colour\",\"share\":0.,\"density_g_per_ml\":1.,\"price_per_kg\":,\"voc_pct\":,\"water_pct\":},{"
    "\"toner\":"
    "\"said\":{\"code\":\"begun\",\"args\":{\"total_g\":,\"toner\":\"\",\"past_g\":}},\"grew\",\"begun\":{\"rules\":5,"
    "\"batch\":\"1\",\"order\":\"RO-\",\"painter\":\"\",\"text\":\"\",\"remedy\":\"grow\",\"remedy\":\"dip\","
    "\"remedy\":"
    "\"leave\",\"take_g\":,\"lost_g\":,\"lifted\":true,\"low_ug\":,\"fall_ug\":,\"tared\":true,\"tare_g\":,\"short\":"
    "\"counted\",\"closed\":true,\"jump_g\":,\"over\":true,\"grew_g\":,\"edge\":true,\"total_g\":,\"toner\":\"\","
    "\"lot\":"
    "\"\",{\"v\":2}{\"v\":2,\"weight_ug\":0000000,\"base_ug\":0000000,\"has_weight\":true,\"stable\":true,\"raw\":"
    "\"53542c2b30303030302e30302020670d0a\",\"profile\":\"hdr2\",\"port\":\"/dev/ttyUSB0\",\"d_g\":0.01,\"counted_g\":";

/* Made once and set back for each body: setting up costs more than the packing of one, and reading the dictionary as
 * much again. So both are done beforehand where somebody has time. */
bool pack_ready(struct packer *p)
{
    if (p->primed)
        return true;
    if (p->made && deflateReset(&p->stream) != Z_OK)
        return false;
    if (!p->made) {
        p->stream = (z_stream){0};
        p->made = deflateInit2(&p->stream, LEVEL, Z_DEFLATED, -WINDOW_BITS, MEMORY_LEVEL, Z_DEFAULT_STRATEGY) == Z_OK;
    }
    p->primed = p->made && deflateSetDictionary(&p->stream, (const Bytef *)dictionary, sizeof dictionary - 1) == Z_OK;
    return p->primed;
}

/* Room for the packed form; what does not fit into it would save nothing. */
static bool grow(struct packer *p, size_t room)
{
    if (p->room >= room)
        return true;
    uint8_t *out = realloc(p->out, room);
    if (!out)
        return false;
    p->out = out;
    p->room = room;
    return true;
}

/* Into p->out: version, length of the text (the least byte first), then the deflated text. 0: it would not be smaller,
 * and the caller keeps the text. */
size_t pack(struct packer *p, const char *text)
{
    size_t length = strlen(text);
    if (length > PACK_MOST || !grow(p, length + PACK_HEAD) || !pack_ready(p))
        return 0;
    p->primed = false;
    p->out[0] = PACK_VERSION;
    for (size_t i = 1; i < PACK_HEAD; i++)
        p->out[i] = (uint8_t)(length >> (8 * (i - 1)));
    p->stream.next_in = (z_const Bytef *)(uintptr_t)text;
    p->stream.avail_in = (uInt)length;
    p->stream.next_out = p->out + PACK_HEAD;
    p->stream.avail_out = (uInt)length;
    if (deflate(&p->stream, Z_FINISH) != Z_STREAM_END)
        return 0;
    size_t used = PACK_HEAD + (length - p->stream.avail_out);
    return used < length ? used : 0;
}

/* May be called of one that never packed. */
void pack_finish(struct packer *p)
{
    if (p->made)
        deflateEnd(&p->stream);
    free(p->out);
    *p = (struct packer){.made = false};
}

/* A text with a NUL within was never ours: it would read as a shorter one. *no_memory: nothing is known of it. */
static bool open_into(const uint8_t *from, size_t size, char *to, size_t length, bool *no_memory)
{
    z_stream stream = {.next_in = (z_const Bytef *)(uintptr_t)from,
                       .avail_in = (uInt)size,
                       .next_out = (Bytef *)to,
                       .avail_out = (uInt)length};
    int made = inflateInit2(&stream, -WINDOW_BITS), told = Z_OK, end = Z_OK;
    if (made == Z_OK) {
        told = inflateSetDictionary(&stream, (const Bytef *)dictionary, sizeof dictionary - 1);
        end = told == Z_OK ? inflate(&stream, Z_FINISH) : Z_OK;
        inflateEnd(&stream);
    }
    *no_memory = made != Z_OK || told == Z_MEM_ERROR || end == Z_MEM_ERROR;
    return end == Z_STREAM_END && stream.avail_out == 0 && stream.avail_in == 0 && !memchr(to, '\0', length);
}

/* The length was written by us but read from a disk: beyond PACK_MOST it is damage, and no memory is asked for it. */
char *pack_open(const void *packed, size_t size, size_t *length, bool *no_memory)
{
    const uint8_t *bytes = packed;
    *no_memory = false;
    if (!packed || size <= PACK_HEAD || bytes[0] != PACK_VERSION)
        return NULL;
    *length = 0;
    for (size_t i = 1; i < PACK_HEAD; i++)
        *length |= (size_t)bytes[i] << (8 * (i - 1));
    if (*length > PACK_MOST)
        return NULL;
    char *text = malloc(*length + 1);
    *no_memory = !text;
    if (!text)
        return NULL;
    text[*length] = '\0';
    if (open_into(bytes + PACK_HEAD, size - PACK_HEAD, text, *length, no_memory))
        return text;
    free(text);
    return NULL;
}
