/* scenario.c - timed words from a file, all read and checked before the first is due. It carries nothing out. */
#include "drivers/sim/scenario.h"
#include "drivers/sim/textfile.h"
#include <errno.h>
#include <stdlib.h>
#include <string.h>

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
