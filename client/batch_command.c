/* batch.c - the moves at a bench: each is one call of the daemon, and prints the screen that follows. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/failure.h"
#include "client/output.h"
#include "client/params.h"
#include "client/status.h"

#include <stdio.h>
#include <stdlib.h>
#include <sysexits.h>

/* Sends the call with the options' members and one more (`member` NULL: none), shows the screen. */
static int act_in(struct ask *a, const char *method, json_t *params, const char *member, const char *text)
{
    json_t *screen = NULL;
    if (member)
        json_object_set_new(params, member, json_string(text));
    int code = ask_act(a, method, params, &screen);
    if (code == 0)
        status_print(a, screen);
    json_decref(screen);
    return code;
}

static int act(struct poise_options *opt, const char *method, const char *member, const char *text)
{
    struct ask a;
    json_t *params = NULL;
    int code = params_of(opt, &params);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code)
        json_decref(params);
    else
        code = act_in(&a, method, params, member, text);
    ask_close(&a);
    return code;
}

/* The same with all words as one text. */
static int act_sentence(struct poise_options *opt, const char *method, const char *member)
{
    char *text = options_sentence(opt, 0);
    int code = text ? act(opt, method, member, text) : EX_SOFTWARE;
    free(text);
    return code;
}

int command_begin(struct poise_options *opt)
{
    struct ask a;
    json_t *params = NULL;
    const char *member = NULL;
    int code = params_amount(opt, true);
    if (code == 0)
        code = params_of(opt, &params);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0)
        code = ask_code_member(&a, opt->word[0], &member);
    if (code)
        json_decref(params);
    else
        code = act_in(&a, "batch.begin", params, member, opt->word[0]);
    ask_close(&a);
    return code;
}

int command_repeat(struct poise_options *opt)
{
    if (!opt->text[OPTION_AS])
        opt->text[OPTION_AS] = "poured"; /* what matched the vehicle is what was in the cup */
    int code = params_amount(opt, false);
    return code ? code : act(opt, "batch.begin", "repeat", opt->word[0]);
}

int command_accept(struct poise_options *opt)
{
    return act(opt, "batch.accept", NULL, NULL);
}

int command_undo(struct poise_options *opt)
{
    return act(opt, "batch.undo", NULL, NULL);
}

int command_remedy(struct poise_options *opt)
{
    return act(opt, "batch.remedy", "choice", opt->word[0]);
}

int command_retare(struct poise_options *opt)
{
    return act(opt, "batch.retare", NULL, NULL);
}

int command_tint(struct poise_options *opt)
{
    return act(opt, "batch.tint", "toner", opt->word[0]);
}

int command_note(struct poise_options *opt)
{
    return act_sentence(opt, "batch.note", "text");
}

int command_hold(struct poise_options *opt)
{
    return act(opt, "batch.hold", NULL, NULL);
}

int command_resume(struct poise_options *opt)
{
    return act(opt, "batch.resume", "batch", opt->word[0]);
}

int command_finish(struct poise_options *opt)
{
    return act(opt, "batch.finish", NULL, NULL);
}

int command_scrap(struct poise_options *opt)
{
    return act_sentence(opt, "batch.scrap", "why");
}
