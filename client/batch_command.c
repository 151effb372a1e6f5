/* batch_command.c - the moves at a bench: each is one call of the daemon, and prints the screen that follows. It must
 * not know when a move is allowed: the daemon decides that, by the revision that ask_act sends along. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/failure.h"
#include "client/output.h"
#include "client/params.h"
#include "client/status.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
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

/* Params are read before the daemon is called: a typing error costs no connection and changes nothing. */
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

/* The word may be a formula or a product; the daemon is asked which, so that the person need not say it. */
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

/* The moves that need no more than the table: what the one word of each fills, or all its words as a sentence. What
 * its options fill stands in params.c. */
static const struct move {
    const char *command, *method;
    const char *member; /* NULL: it takes no word */
} moves[] = {
    {"accept", "batch.accept", NULL}, {"undo", "batch.undo", NULL},        {"remedy", "batch.remedy", "choice"},
    {"retare", "batch.retare", NULL}, {"tint", "batch.tint", "toner"},     {"note", "batch.note", "text"},
    {"hold", "batch.hold", NULL},     {"resume", "batch.resume", "batch"}, {"finish", "batch.finish", NULL},
    {"scrap", "batch.scrap", "why"},
};

int command_move(struct poise_options *opt)
{
    const struct move *m = moves;
    while (strcmp(m->command, opt->command->name) != 0)
        m++; /* commands.c sends no other name here */
    char *text = options_sentence(opt, 0);
    int code = text || !m->member ? act(opt, m->method, m->member, text) : EX_SOFTWARE;
    free(text);
    return code;
}
