/* store_command.c - `poise backup FILE` and `poise verify`: a copy of the shop's journal, and whether it is whole. It
 * must not know how the journal is kept.
 */
#include "client/ask.h"
#include "client/commands.h"

#include <errno.h>
#include <libgen.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* The daemon stands in another folder than the person: the file's folder must be there, the file not yet. */
static int whole_path(const struct poise_options *opt, char out[PATH_MAX])
{
    char folder[PATH_MAX], name[PATH_MAX], real[PATH_MAX];
    snprintf(folder, sizeof folder, "%s", opt->word[0]);
    snprintf(name, sizeof name, "%s", opt->word[0]);
    if (!realpath(dirname(folder), real))
        return failure_say(opt->style, EX_NOINPUT, opt->word[0], "import_no_file why=%s",
                           wording_errno(opt->style, errno));
    int n = snprintf(out, PATH_MAX, "%s/%s", strcmp(real, "/") == 0 ? "" : real, basename(name));
    return n < PATH_MAX ? 0
                        : failure_say(opt->style, EX_USAGE, opt->word[0], "import_no_file why=%s",
                                      wording_errno(opt->style, ENAMETOOLONG));
}

/* The hash is for a notebook: kept elsewhere, it shows later that no tail was cut off. */
static int copied(struct ask *a, const json_t *result)
{
    if (a->opt->json)
        output_json(result);
    else
        output_line(a->opt->style, "store.copied events=%lld file=%s head=%s",
                    (long long)json_integer_value(json_object_get(result, "events")), a->opt->word[0],
                    member_text(result, "head"));
    return 0;
}

/* The daemon writes the copy, as its own user, and refuses a file that is there already. */
int command_backup(struct poise_options *opt)
{
    char file[PATH_MAX];
    int code = whole_path(opt, file);
    return code ? code : ask_show(opt, "store.backup", json_pack("{s:s}", "file", file), copied);
}

/* What is not whole is shown with the first event that does not follow, and ends with 65: bad data. */
static int checked(struct ask *a, const json_t *result)
{
    const json_t *bad = json_object_get(result, "bad");
    if (a->opt->json)
        output_json(result);
    if (!json_is_true(json_object_get(result, "whole")))
        return json_is_integer(bad) ? failure_say(a->opt->style, EX_DATAERR, a->what, "store_broken event=%lld",
                                                  (long long)json_integer_value(bad))
                                    : failure_say(a->opt->style, EX_IOERR, a->what, "store_damaged");
    if (json_integer_value(json_object_get(result, "wrong")) > 0)
        return failure_say(a->opt->style, EX_DATAERR, a->what, "store_rows_wrong wrong=%lld batch=%s",
                           (long long)json_integer_value(json_object_get(result, "wrong")),
                           member_text(result, "wrong_batch"));
    if (!a->opt->json)
        output_line(a->opt->style, "store.whole events=%lld head=%s",
                    (long long)json_integer_value(json_object_get(result, "events")), member_text(result, "head"));
    return 0;
}

/* 0 where it is whole, 65 where an event does not follow the one before, 74 where it cannot be read. A backup is read
 * without a daemon: before it is taken back there may be none. */
int command_verify(struct poise_options *opt)
{
    json_t *result;
    struct ask a = {.opt = opt, .what = opt->word_count ? opt->word[0] : "verify"};
    if (opt->word_count == 0)
        return ask_show(opt, "store.verify", json_object(), checked);
    int code = backup_verify(opt, opt->word[0], &result);
    if (code == 0)
        code = checked(&a, result);
    json_decref(result);
    return code;
}
