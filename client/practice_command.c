/* practice_command.c - `poise practice [SCENARIO] [--painter P]`: the terminal at a bench with a simulated scale, and
 * how it went once it is left. It must not know what a mishap is, nor judge what was done: the daemon does (learn.*).
 */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"
#include "client/screen/screen.h"

#include <stdio.h>
#include <sysexits.h>
#include <unistd.h>

/* Who practises: who is named, else who stands at the bench. */
static int begin(struct ask *a, char station[64])
{
    const struct poise_options *opt = a->opt;
    json_t *screen = NULL, *begun = NULL;
    int code = ask_station(a);
    if (code == 0)
        code = ask_screen(a, &screen);
    const char *signed_in = member_text(screen, "signed_in");
    const char *painter = opt->text[OPTION_PAINTER] ? opt->text[OPTION_PAINTER] : signed_in;
    if (code == 0 && !painter[0])
        code = failure_say(opt->style, EX_USAGE, a->what, "practice_painter");
    if (code == 0)
        code = ask_change(a, "learn.start",
                          json_pack("{s:s, s:s, s:s}", "painter", painter, "scenario",
                                    opt->word_count ? opt->word[0] : "overpour", "station", a->station),
                          &begun);
    snprintf(station, 64, "%.63s", member_text(begun, "station"));
    json_decref(begun);
    json_decref(screen);
    return code;
}

static void tell(const struct poise_options *opt, const json_t *list)
{
    const json_t *one;
    size_t i;
    json_array_foreach(list, i, one)
    {
        output_line(opt->style, "practice.line text=%s", wording_said(opt->style, one, "").text);
    }
}

/* It ends with the screen, whoever ended it; what was left as it stood is ended now. One that is gone tells nothing. */
static int end(struct poise_options *opt, const char *station, json_t *how)
{
    struct ask a;
    json_t *answer = NULL;
    int code = how ? 0 : ask_open(&a, opt);
    if (!how && code == 0)
        code = ask_answer(&a, "learn.end", json_pack("{s:s}", "station", station), &answer);
    if (!how)
        ask_close(&a);
    const json_t *told = how ? how : json_object_get(answer, "result");
    if (opt->json && told) {
        output_json(told);
    } else {
        const json_t *well = json_object_get(told, "well"), *next_time = json_object_get(told, "next_time");
        if (json_array_size(well) > 0)
            output_line(opt->style, "page.learnt_well");
        tell(opt, well);
        if (json_array_size(next_time) > 0)
            output_line(opt->style, "page.learnt_next_time");
        tell(opt, next_time);
    }
    json_decref(answer);
    return code;
}

int command_practice(struct poise_options *opt)
{
    struct ask a;
    char station[64] = "", home[64];
    json_t *how = NULL;
    if (!isatty(STDIN_FILENO) || !isatty(STDOUT_FILENO)) /* before anything is begun */
        return failure_say(opt->style, EX_USAGE, "practice", "no_terminal");
    int code = ask_open(&a, opt);
    if (code == 0)
        code = begin(&a, station);
    snprintf(home, sizeof home, "%s", a.station);
    ask_close(&a);
    if (code)
        return code;
    code = screen_practise(opt, station, home, &how);
    int ended = end(opt, station, how);
    json_decref(how);
    return code ? code : ended;
}
