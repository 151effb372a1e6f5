/* The reader of recordings, a line at a time. */
#include "drivers/decode/recording.h"

#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct recording_line line;
    char text[4096];
    if (size >= sizeof text)
        return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    if (recording_parse(text, &line) == RECORDING_CHUNK && (line.len == 0 || line.len > RECORDING_BYTES))
        __builtin_trap();
    return 0;
}
