/* label.c - `poise label BATCH`: the label as a PDF, drawn here by poise-label, or printed by the daemon. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/draw.h"
#include "client/fault.h"
#include "client/number.h"
#include "client/output.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sysexits.h>

/* The batch's number without `#` and `POISE:`, for a file's name: never anything but digits. */
static size_t number_of(const char *batch, const char **digits)
{
    *digits = strncmp(batch, "POISE:", 6) == 0 ? batch + 6 : batch + (*batch == '#');
    return strspn(*digits, "0123456789");
}

static int copies_of(const struct poise_options *opt, int *copies)
{
    double value = 0;
    const char *text = opt->text[OPTION_COPIES];
    *copies = 0;
    int code = text ? number_read("--copies", text, &value) : 0;
    if (code == 0 && text && (value < 1 || value > 100 || floor(value) != value))
        return fault_say(EX_USAGE, "--copies", "Give a whole number from 1 to 100.", "%s is no count of labels", text);
    *copies = (int)value;
    return code;
}

static json_t *params_for(const struct poise_options *opt, int copies)
{
    json_t *params = json_pack("{s:s, s:i}", "batch", opt->word[0], "copies", copies);
    if (opt->text[OPTION_SIZE])
        json_object_set_new(params, "size_mm", json_string(opt->text[OPTION_SIZE]));
    if (opt->text[OPTION_LID])
        json_object_set_new(params, "lid", json_true());
    return params;
}

/* Where the PDF goes: --out, else label-BATCH.pdf here. */
static void path_of(const struct poise_options *opt, char *path, size_t size)
{
    const char *digits;
    size_t len = number_of(opt->word[0], &digits);
    if (opt->text[OPTION_OUT])
        snprintf(path, size, "%s", opt->text[OPTION_OUT]);
    else
        snprintf(path, size, "label-%.*s.pdf", (int)len, digits);
}

static void say_done(const struct poise_options *opt, const char *path, int copies)
{
    if (opt->json) {
        json_t *done = json_pack("{s:s}", "batch", opt->word[0]);
        json_object_set_new(done, path ? "out" : "copies", path ? json_string(path) : json_integer(copies));
        output_json(done);
        json_decref(done);
    } else if (path) {
        puts(path);
    } else {
        printf("%d label%s of batch %s handed to the printer\n", copies, copies == 1 ? "" : "s", opt->word[0]);
    }
}

static int to_file(struct ask *a)
{
    char path[4096];
    json_t *result = NULL;
    int code = ask_call(a, "batch.label", params_for(a->opt, 0), &result);
    json_t *label = json_object_get(result, "label");
    if (code == 0 && !json_is_object(label))
        code = fault_say(EX_SOFTWARE, a->what, NULL, "the daemon's answer holds no label");
    if (code == 0) {
        path_of(a->opt, path, sizeof path);
        if (json_integer_value(json_object_get(label, "copies")) < 1)
            json_object_set_new(label, "copies", json_integer(1));
        if (a->opt->text[OPTION_SIZE])
            json_object_set_new(label, "size_mm", json_string(a->opt->text[OPTION_SIZE]));
        code = draw_label(label, path);
    }
    if (code == 0 && strcmp(path, "-") != 0)
        say_done(a->opt, path, 0);
    json_decref(result);
    return code;
}

static int to_printer(struct ask *a, int copies)
{
    json_t *result = NULL;
    int code = ask_change(a, "batch.label", params_for(a->opt, copies), &result);
    if (code == 0)
        say_done(a->opt, NULL, copies);
    json_decref(result);
    return code;
}

int command_label(struct poise_options *opt)
{
    struct ask a;
    int copies = 0;
    const char *digits;
    size_t len = number_of(opt->word[0], &digits);
    if (len == 0 || digits[len] != '\0')
        return fault_say(EX_DATAERR, opt->word[0], "Give the number on the cup, such as 1042.", "that is no batch");
    int code = copies_of(opt, &copies);
    if (code)
        return code;
    code = ask_open(&a, opt);
    if (code == 0 && (copies == 0 || opt->text[OPTION_OUT]))
        code = to_file(&a);
    if (code == 0 && copies > 0)
        code = to_printer(&a, copies);
    ask_close(&a);
    return code;
}
