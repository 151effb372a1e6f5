/* import.c - `poise import FILE...`: the daemon reads the files again and takes over what changed. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/failure.h"
#include "client/output.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>

/* The daemon stands in another folder than the person, so it is given whole paths. */
static int paths_of(const struct poise_options *opt, json_t *paths)
{
    for (size_t i = 0; i < opt->word_count; i++) {
        char *path = realpath(opt->word[i], NULL);
        if (!path)
            return failure_say(opt->style, EX_NOINPUT, opt->word[i], "import_no_file why=%s",
                               wording_errno(opt->style, errno));
        json_array_append_new(paths, json_string(path));
        free(path);
    }
    return 0;
}

/* Files that are the same as before change nothing, and the person should see that they were read. */
static void say_changed(const struct poise_options *opt, const json_t *result)
{
    json_int_t changed = json_integer_value(json_object_get(result, "changed"));
    if (opt->json)
        output_json(result);
    else if (changed == 0)
        output_line(opt->style, "import.unchanged");
    else
        output_line(opt->style, "import.changed count=%d", (int)changed);
}

int command_import(struct poise_options *opt)
{
    struct ask a;
    json_t *result = NULL, *paths = json_array();
    int code = paths_of(opt, paths);
    if (code == 0) {
        code = ask_open(&a, opt);
        if (code == 0)
            code = ask_change(&a, "catalogue.import", json_pack("{s:O}", "files", paths), &result);
        if (code == 0)
            say_changed(opt, result);
        ask_close(&a);
    }
    json_decref(paths);
    json_decref(result);
    return code;
}
