/* script.c - what is played with nobody at the keyboard: timed words (a scenario) and recorded bytes (a replay). It
 * carries nothing out and knows no wire: the program does what is due. */
#include "drivers/sim/script.h"
#include "drivers/sim/grammar.h"
#include "drivers/sim/sim.h"
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* As a compiler says it, FILE:LINE: what; without a line where the whole file could not be read. */
const char *script_fault_text(const struct script_fault *fault, const char *file, enum words_language language,
                              char *out, size_t size)
{
    char text[SAID_TEXT_MAX];
    said_text(&fault->why, language, NULL, text, sizeof text);
    if (file && fault->line)
        snprintf(out, size, "%s:%d: %s", file, fault->line, text);
    else
        snprintf(out, size, "%s%s%s", file ? file : "", file ? ": " : "", text);
    return out;
}

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
 * such file, not readable), 70 (no memory). On a fault nothing is left allocated. */
static int read_file(const char *path, char **text, struct said *why)
{
    *text = NULL;
    size_t len = 0;
    FILE *file = fopen(path, "re");
    int code = file ? read_all(file, text, &len) : 66;
    if (code == 66)
        *why = say("sim_file_unread cause=%s", said_reason(errno));
    else if (code)
        *why = code == 70 ? say("sim_no_memory") : say("sim_file_no_text");
    if (file)
        fclose(file);
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}

/* Hands out each line that is neither empty nor a comment, without blanks at its ends (CR too), cut out of `text`.
 * False: `take` refused one; fault->line tells which. */
static bool each_line(char *text, bool (*take)(void *arg, char *line, struct said *why), void *arg,
                      struct script_fault *fault)
{
    char *line;
    for (fault->line = 1; (line = strsep(&text, "\n")); fault->line++) {
        line += strspn(line, " \t");
        for (size_t end = strlen(line); end && strchr(" \t\r", line[end - 1]); end--)
            line[end - 1] = 0;
        if (*line && *line != '#' && !take(arg, line, &fault->why))
            return false;
    }
    fault->line = 0;
    return true;
}

/* An upper limit, comments and empty lines with it: it is only how much room is taken. */
static size_t count_lines(const char *text)
{
    size_t count = 1;
    for (; (text = strchr(text, '\n')); text++)
        count++;
    return count;
}

/* The same for all lines of a file; `none` is shown where not one of them counted. Returns 0 or 65. */
static int read_lines(char *text, bool (*take)(void *arg, char *line, struct said *why), void *arg, const size_t *count,
                      struct said none, struct script_fault *fault)
{
    if (!each_line(text, take, arg, fault))
        return 65;
    if (*count)
        return 0;
    fault->why = none;
    return 65;
}

/* The beginning of what somebody wrote wrongly. */
static const char *cut(const char *text, char out[41])
{
    snprintf(out, 41, "%.40s", text);
    return out;
}

/* ---- a scenario ---- */

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
static bool read_head(struct sim_options *options, char *line, struct said *why)
{
    char *value = line + strcspn(line, " \t");
    if (*value)
        *value++ = 0;
    value += strspn(value, " \t");
    return sim_options_set(options, line, value, why);
}

/* Where the lines of a scenario go. */
struct reader {
    struct scenario *scenario;
    struct sim_options *options;
};

/* The act is read here only to be checked: what is wrong must show before the scale begins. */
static bool take_line(void *arg, char *line, struct said *why)
{
    struct scenario *scenario = ((struct reader *)arg)->scenario;
    struct sim_act act;
    struct scenario_line next;
    char shown[41];
    if (scenario->loop) {
        *why = say("sim_after_loop");
        return false;
    }
    if (!strcmp(line, "loop")) {
        scenario->loop = scenario->count > 0;
        *why = say("sim_loop_of_nothing");
        return scenario->loop;
    }
    bool timed = strchr("+0123456789", *line) != NULL || !strncmp(line, "done+", 5);
    if (!timed && !scenario->count)
        return read_head(((struct reader *)arg)->options, line, why);
    if (!read_time(&line, &next)) {
        *why = say("sim_no_time text=%s", cut(line, shown));
        return false;
    }
    if (!*line) {
        *why = say("sim_time_alone ms=%lld", (long long)next.ms);
        return false;
    }
    next.words = line;
    scenario->lines[scenario->count++] = next;
    return sim_act_read(line, &act, why);
}

/* Words point into the text, which therefore stays as long as the scenario; its lines are cut in place. On a fault
 * nothing is left of either. */
int scenario_read(struct scenario *scenario, const char *path, struct sim_options *options, struct script_fault *fault)
{
    memset(scenario, 0, sizeof *scenario);
    fault->line = 0;
    int code = read_file(path, &scenario->text, &fault->why);
    if (code)
        return code;
    scenario->lines = calloc(count_lines(scenario->text), sizeof *scenario->lines);
    struct reader reader = {scenario, options};
    if (!scenario->lines) {
        fault->why = say("sim_no_memory");
        code = 70;
    } else {
        code = read_lines(scenario->text, take_line, &reader, &scenario->count, say("sim_no_timed_line"), fault);
    }
    if (code)
        scenario_finish(scenario);
    return code;
}

void scenario_finish(struct scenario *scenario)
{
    free(scenario->text);
    free(scenario->lines);
    memset(scenario, 0, sizeof *scenario);
}

/* Both clocks begin here: that of the start, and that of the line before the first. */
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

/* ---- a recording ---- */

/* One line of bytes, behind those read already. The room is that of the whole text, two hex digits a byte. */
static bool take_chunk(void *arg, char *line, struct said *why)
{
    struct replay *replay = arg;
    char *hex = line + strcspn(line, " \t"), shown[41];
    if (*hex)
        *hex++ = 0;
    double ms;
    size_t at = replay->count ? replay->lines[replay->count - 1].end : 0, len;
    int64_t before = replay->count ? replay->lines[replay->count - 1].ms : 0;
    if (!sim_number(line, &ms) || ms < (double)before || ms > LONGEST_MS) {
        *why = say("sim_chunk_no_time text=%s", cut(line, shown));
        return false;
    }
    if (!sim_hex_read(hex, replay->bytes + at, strlen(hex) / 2, &len)) {
        *why = say("sim_chunk_no_hex text=%s", cut(hex, shown));
        return false;
    }
    replay->lines[replay->count++] = (struct replay_line){.ms = (int64_t)ms, .end = at + len};
    return true;
}

/* All lines in one block and all bytes in another: two hex digits make a byte, so half the text is room enough. */
int replay_read(struct replay *replay, const char *path, double speed, size_t chunk, struct script_fault *fault)
{
    *replay = (struct replay){.speed = speed, .chunk = chunk};
    fault->line = 0;
    char *text;
    int code = read_file(path, &text, &fault->why);
    if (code)
        return code;
    replay->bytes = malloc(strlen(text) / 2 + 1);
    replay->lines = calloc(count_lines(text), sizeof *replay->lines);
    if (!replay->bytes || !replay->lines) {
        fault->why = say("sim_no_memory");
        code = 70;
    } else {
        code = read_lines(text, take_chunk, replay, &replay->count, say("sim_no_bytes"), fault);
    }
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

/* From the first line again, whatever was sent before. */
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
