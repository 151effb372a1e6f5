/* call_command.c - `poise call METHOD [JSON|-]`: any method as it is; the result on stdout, an error object on stderr.
 */
#include "client/ask.h"
#include "client/commands.h"
#include "client/output.h"

#include <stdio.h>
#include <string.h>
#include <sysexits.h>

/* `-` reads standard input to its end; left out, they are {}. 65 where it is no JSON. */
static int read_params(const struct poise_options *opt, json_t **params)
{
    const char *text = opt->word_count > 1 ? opt->word[1] : "{}";
    json_error_t why;
    if (strcmp(text, "-") == 0)
        *params = json_loadf(stdin, JSON_REJECT_DUPLICATES, &why);
    else
        *params = json_loads(text, JSON_REJECT_DUPLICATES, &why);
    if (!*params)
        return failure_say(opt->style, EX_DATAERR, "call", "params_no_json line=%d column=%d", why.line, why.column);
    return 0;
}

/* The error object stays JSON on stderr, since a program is meant to read it. */
static int answered(const json_t *answer)
{
    const json_t *error = json_object_get(answer, "error");
    if (!error) {
        output_json(json_object_get(answer, "result"));
        return 0;
    }
    output_json_to(error, stderr);
    return failure_exit(json_integer_value(json_object_get(error, "code")));
}

/* Any method by its name, and the answer as it came: for scripts, and for what no command does. */
int command_call(struct poise_options *opt)
{
    struct ask a;
    json_t *params = NULL, *answer = NULL;
    int code = read_params(opt, &params);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code)
        json_decref(params);
    else
        code = ask_answer(&a, opt->word[0], params, &answer);
    if (code == 0)
        code = answered(answer);
    json_decref(answer);
    ask_close(&a);
    return code;
}
