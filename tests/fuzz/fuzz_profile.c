/* The profile reader, and what it made of the file run over the file's own bytes and a few lines. */
#include "drivers/decode/framer.h"
#include "drivers/decode/profile.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void look(void *arg, const struct scale_reading *r, const uint8_t *frame, size_t len)
{
    (void)arg;
    (void)frame;
    (void)len;
    if (r->status != SCALE_OK && r->digits[0] != '\0')
        __builtin_trap();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct scale_profile profile;
    static struct framer framer;
    static const char lines[] = "*S*  0012,50 GRM N\r\n[12.50-]g\003ST -12.5 kg OL\r\n";
    struct profile_fault fault;
    if (!profile_parse((const char *)data, size, NULL, &profile, &fault)) {
        char help[SAID_TEXT_MAX];
        said_part(&fault.said, "help", WORDS_EN, NULL, help, sizeof help);
        if (!words_find(fault.said.code) || help[0] == '\0')
            __builtin_trap();
        return 0;
    }
    framer_init(&framer, &profile.family, SCALE_UNIT_G, false);
    framer_push(&framer, (const uint8_t *)lines, strlen(lines), look, NULL);
    framer_push(&framer, data, size, look, NULL);
    framer_finish(&framer, look, NULL);
    return 0;
}
