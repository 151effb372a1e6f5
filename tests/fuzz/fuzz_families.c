/* Every framer with its decoder. The first byte chooses the family; the second how many bytes come singly, and whether
 * all are read a second time in one piece; the third where those begin.
 *
 * Beside crashes it looks for lies: a weight beside over, under or error; a reading that depends on how the bytes were
 * chopped; more bytes in frames and noise than came in. */
#include "drivers/decode/framer.h"
#include "drivers/scale.h"

#include <string.h>

enum { HEAD = 3 }; /* bytes that say how, before those of the scale */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check(bool holds)
{
    if (!holds)
        __builtin_trap();
}

static void look(void *arg, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    size_t *bytes = arg;
    int64_t ug;
    (void)frame;
    check(r->status == SCALE_OK || (r->digits[0] == '\0' && !r->has_weight));
    check(memchr(r->digits, '\0', sizeof r->digits) != NULL);
    check(!r->has_weight || r->weight_ug == 0 || r->unit == SCALE_UNIT_NONE ||
          (scale_weight_ug(r->digits, r->unit, &ug) && ug == r->weight_ug));
    *bytes += len;
}

/* Where the bytes are chopped: in one piece up to `from`, singly up to `to`, the rest in one piece. A framer looks at
 * what it holds again with each push, so singly all the way would spend nine tenths of the time on the same bytes. */
struct cuts {
    size_t from, to;
};

static uint64_t run(const struct scale_family *family, bool opened, const uint8_t *data, size_t size, struct cuts cuts)
{
    static struct framer framer;
    size_t bytes = 0;
    framer_init(&framer, family, SCALE_UNIT_G, opened);
    framer_push(&framer, data, cuts.from, look, &bytes);
    for (size_t at = cuts.from; at < cuts.to; at++)
        framer_push(&framer, data + at, 1, look, &bytes);
    framer_push(&framer, data + cuts.to, size - cuts.to, look, &bytes);
    framer_finish(&framer, look, &bytes);
    check(bytes + framer.skipped <= size);
    return framer.frames;
}

static bool has_bit_7(const uint8_t *bytes, size_t len)
{
    uint8_t any = 0;
    for (size_t i = 0; i < len; i++)
        any |= bytes[i];
    return any & 0x80;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    size_t families = 0;
    while (scale_families[families])
        families++;
    if (size < HEAD)
        return 0;
    const struct scale_family *family = scale_families[data[0] % families];
    bool opened = data[1] & 0x80;
    struct cuts cuts = {.from = data[2] % (size - HEAD + 1)};
    cuts.to = cuts.from + (data[1] & 0x0f);
    if (cuts.to > size - HEAD)
        cuts.to = size - HEAD;
    uint64_t chopped = run(family, opened, data + HEAD, size - HEAD, cuts);
    if (!(data[1] & 0x40))
        return 0;
    uint64_t whole = run(family, opened, data + HEAD, size - HEAD, (struct cuts){0, 0});
    /* Whether a check byte comes is learnt from what had come by then: there the chopping may count. So it may where an
     * LF follows a CR that ended all lines till now: if it was damaged, a line that waited for it is refused. */
    check(family->optional_check || has_bit_7(data + HEAD, size - HEAD) || chopped == whole);
    return 0;
}
