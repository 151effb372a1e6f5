/* replay.c - recorded bytes and when they are due. It knows no wire: the program sends what is due. */
#include "drivers/sim/replay.h"
#include "drivers/sim/grammar.h"
#include "drivers/sim/sim.h"
#include "drivers/sim/textfile.h"
#include <stdlib.h>
#include <string.h>

/* One line of bytes, behind those read already. False: why. */
static bool read_line(struct replay *replay, char *line, size_t room_bytes, char *why, size_t room)
{
    char *hex = line + strcspn(line, " \t");
    if (*hex)
        *hex++ = 0;
    double ms;
    size_t at = replay->count ? replay->lines[replay->count - 1].end : 0, len;
    int64_t before = replay->count ? replay->lines[replay->count - 1].ms : 0;
    if (!sim_number(line, &ms) || ms < (double)before || ms > 1e9) {
        snprintf(why, room, "%.40s: no time, or before that of the line above. Write MS HEXBYTES", line);
        return false;
    }
    if (!sim_hex_read(hex, replay->bytes + at, room_bytes - at, &len)) {
        snprintf(why, room, "%.40s: these are no bytes in hex. Write MS HEXBYTES, as in 120 53542c0d0a", hex);
        return false;
    }
    replay->lines[replay->count++] = (struct replay_line){.ms = (int64_t)ms, .end = at + len};
    return true;
}

/* All lines in one block and all bytes in another: two hex digits make a byte, so half the text is room enough. */
static int read_lines(struct replay *replay, char *text, const char *path, char *why, size_t room)
{
    size_t bytes = strlen(text) / 2 + 1, lines = 1;
    for (const char *at = text; (at = strchr(at, '\n')); at++)
        lines++;
    replay->bytes = malloc(bytes);
    replay->lines = calloc(lines, sizeof *replay->lines);
    if (!replay->bytes || !replay->lines) {
        snprintf(why, room, "%s: no memory. Try again", path);
        return 70;
    }
    char *rest = text, *line, inner[200];
    for (int number = 1; (line = strsep(&rest, "\n")); number++) {
        line = textfile_trim(line);
        if (*line && *line != '#' && !read_line(replay, line, bytes, inner, sizeof inner)) {
            snprintf(why, room, "%s:%d: %s", path, number, inner);
            return 65;
        }
    }
    if (replay->count)
        return 0;
    snprintf(why, room, "%s: no bytes are in it. Write lines of MS HEXBYTES", path);
    return 65;
}

int replay_read(struct replay *replay, const char *path, double speed, size_t chunk, char *why, size_t room)
{
    *replay = (struct replay){.speed = speed, .chunk = chunk};
    char *text;
    int code = textfile_read(path, &text, why, room);
    if (!code)
        code = read_lines(replay, text, path, why, room);
    free(text);
    if (code)
        replay_finish(replay);
    return code;
}

void replay_finish(struct replay *replay)
{
    free(replay->bytes);
    free(replay->lines);
    memset(replay, 0, sizeof *replay);
}

void replay_start(struct replay *replay, int64_t now_us)
{
    replay->start_us = now_us;
    replay->next = 0;
    replay->sent = 0;
}

/* Speed 0 makes all due at once. */
int64_t replay_next_us(const struct replay *replay)
{
    if (replay->next >= replay->count)
        return -1;
    if (replay->speed <= 0)
        return replay->start_us;
    return replay->start_us + (int64_t)((double)replay->lines[replay->next].ms * 1000 / replay->speed);
}

/* With a chunk size bytes wait until so many are due, or until no more come. */
size_t replay_due(struct replay *replay, int64_t now_us, const uint8_t **bytes)
{
    for (;;) {
        size_t due = replay->next ? replay->lines[replay->next - 1].end : 0, have = due - replay->sent;
        bool over = replay->next >= replay->count;
        size_t len = replay->chunk && have > replay->chunk ? replay->chunk : have;
        if (have && (over || have >= replay->chunk)) {
            *bytes = replay->bytes + replay->sent;
            replay->sent += len;
            return len;
        }
        if (over || replay_next_us(replay) > now_us)
            return 0;
        replay->next++;
    }
}
