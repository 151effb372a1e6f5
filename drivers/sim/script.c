/* script.c - what is played with nobody at the keyboard: timed words (a scenario) and recorded bytes (a replay). It
 * carries nothing out and knows no wire: the program does what is due. */
#include "drivers/sim/script.h"
#include "drivers/sim/grammar.h"
#include "drivers/sim/sim.h"
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Hours of a fast scale in hex. */
static const size_t LARGEST = 64u << 20;

/* Grows *text as the file goes on. Returns 0 or an exit code. */
static int read_all(FILE *file, char **text, size_t *len)
{
    size_t room = 0, got;
    do {
        if (*len + 4096 > room) {
            room = room ? room * 2 : 16384;
            char *more = realloc(*text, room + 1);
            if (!more)
                return 70;
            *text = more;
        }
        got = fread(*text + *len, 1, room - *len, file);
        *len += got;
        if (*len > LARGEST)
            return 65;
    } while (got);
    (*text)[*len] = 0;
    if (ferror(file))
        return 66;
    return strlen(*text) == *len ? 0 : 65;
}

/* Reads at most 64 MiB, ended with a NUL; the caller frees *text. Returns 0, 65 (too large, or a NUL inside), 66 (no
 * such file, not readable), 70 (no memory); why as `WHAT: WHY. HELP`. On a fault nothing is left allocated. */
static int textfile_read(const char *path, char **text, char *why, size_t room)
{
    *text = NULL;
    size_t len = 0;
    FILE *file = fopen(path, "re");
    int code = file ? read_all(file, text, &len) : 66;
    if (code == 66)
        snprintf(why, room, "%s: %s. Check the path", path, strerror(errno));
    else if (code)
        snprintf(why, room, "%s: %s", path,
                 code == 70 ? "no memory. Try again" : "it is no text, or larger than 64 MiB. Give a text file");
    if (file)
        fclose(file);
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}

/* The line without blanks at both ends (CR too), in place. */
static char *textfile_trim(char *line)
{
    line += strspn(line, " \t");
    for (size_t end = strlen(line); end && strchr(" \t\r", line[end - 1]); end--)
        line[end - 1] = 0;
    return line;
}

static const double LONGEST_MS = 1e9; /* eleven days */

/* Reads AT from *line and moves it to the words; false when it is no time. */
static bool read_time(char **line, struct scenario_line *out)
{
    char *at = *line;
    out->from = FROM_START;
    if (!strncmp(at, "done+", 5))
        out->from = FROM_ANSWERS;
    else if (*at == '+')
        out->from = FROM_LINE;
    at += out->from == FROM_ANSWERS ? 5 : out->from == FROM_LINE;
    char *end = at + strspn(at, "0123456789");
    if (end == at || !strchr(" \t", *end)) /* strchr finds the end of the line too */
        return false;
    double ms = strtod(at, NULL);
    if (ms > LONGEST_MS)
        return false;
    out->ms = (int64_t)ms;
    *line = end + strspn(end, " \t");
    return true;
}

/* NAME VALUE, up to the first timed line; the value may hold blanks. */
static bool read_head(struct sim_options *options, char *line, char *why, size_t room)
{
    char *value = line + strcspn(line, " \t");
    if (*value)
        *value++ = 0;
    value += strspn(value, " \t");
    return sim_options_set(options, line, value, why, room);
}

/* One line that is neither empty nor a comment. False: why. */
static bool read_line(struct scenario *scenario, struct sim_options *options, char *line, char *why, size_t room)
{
    struct sim_act act;
    struct scenario_line next;
    if (scenario->loop) {
        snprintf(why, room, "something stands after loop. Put loop on the last line");
        return false;
    }
    if (!strcmp(line, "loop")) {
        scenario->loop = scenario->count > 0;
        if (!scenario->loop)
            snprintf(why, room, "loop: nothing stands before it. Put it on the last line");
        return scenario->loop;
    }
    bool timed = strchr("+0123456789", *line) != NULL || !strncmp(line, "done+", 5);
    if (!timed && !scenario->count)
        return read_head(options, line, why, room);
    if (!read_time(&line, &next)) {
        snprintf(why, room, "%.40s: no time stands here. Begin the line with MS, +MS or done+MS", line);
        return false;
    }
    if (!*line) {
        snprintf(why, room, "no word stands after the time. Write `%lld cup 60`, say", (long long)next.ms);
        return false;
    }
    if (!sim_act_read(line, &act, why, room))
        return false;
    next.words = line;
    scenario->lines[scenario->count++] = next;
    return true;
}

static size_t count_lines(const char *text)
{
    size_t count = 1;
    for (; (text = strchr(text, '\n')); text++)
        count++;
    return count;
}

/* The act is read here only to be checked: what is wrong must show before the scale begins. */
int scenario_read(struct scenario *scenario, const char *path, struct sim_options *options, char *why, size_t room)
{
    memset(scenario, 0, sizeof *scenario);
    int code = textfile_read(path, &scenario->text, why, room);
    if (code)
        return code;
    scenario->lines = calloc(count_lines(scenario->text), sizeof *scenario->lines);
    char *rest = scenario->text, *line;
    for (int number = 1; scenario->lines && (line = strsep(&rest, "\n")); number++) {
        line = textfile_trim(line);
        char inner[400];
        if (*line && *line != '#' && !read_line(scenario, options, line, inner, sizeof inner)) {
            snprintf(why, room, "%s:%d: %s", path, number, inner);
            scenario_finish(scenario);
            return 65;
        }
    }
    if (scenario->count)
        return 0;
    int fault = scenario->lines ? 65 : 70;
    snprintf(why, room, "%s: %s", path,
             fault == 70 ? "no memory. Try again" : "no timed line is in it. Write `0 cup 60`, say");
    scenario_finish(scenario);
    return fault;
}

void scenario_finish(struct scenario *scenario)
{
    free(scenario->text);
    free(scenario->lines);
    memset(scenario, 0, sizeof *scenario);
}

void scenario_start(struct scenario *scenario, int64_t now_us)
{
    scenario->next = 0;
    scenario->start_us = scenario->line_us = now_us;
    scenario->answers_us = now_us;
}

/* done+MS has no time until everything said before is answered. */
int64_t scenario_next_us(const struct scenario *scenario)
{
    if (scenario->next >= scenario->count)
        return -1;
    const struct scenario_line *line = &scenario->lines[scenario->next];
    int64_t from = line->from == FROM_START ? scenario->start_us : scenario->line_us;
    if (line->from == FROM_ANSWERS)
        from = scenario->answers_us;
    return from ? from + line->ms * 1000 : -1;
}

/* `idle` is looked at first: an answer that has just come may make this line due. */
const char *scenario_due(struct scenario *scenario, int64_t now_us, bool idle)
{
    enum { LEAST_ROUND_US = 10000 }; /* a loop with nothing to wait for shall not spin */
    if (!idle)
        scenario->answers_us = 0;
    else if (!scenario->answers_us)
        scenario->answers_us = now_us;
    if (scenario->next >= scenario->count && scenario->loop && idle && now_us >= scenario->start_us + LEAST_ROUND_US)
        scenario_start(scenario, now_us);
    int64_t due = scenario_next_us(scenario);
    if (due < 0 || due > now_us)
        return NULL;
    scenario->line_us = due;
    scenario->answers_us = 0; /* this line is to be answered too */
    return scenario->lines[scenario->next++].words;
}

/* One line of bytes, behind those read already. False: why. */
static bool read_chunk(struct replay *replay, char *line, size_t room_bytes, char *why, size_t room)
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
static int read_chunks(struct replay *replay, char *text, const char *path, char *why, size_t room)
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
        if (*line && *line != '#' && !read_chunk(replay, line, bytes, inner, sizeof inner)) {
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
        code = read_chunks(replay, text, path, why, room);
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
