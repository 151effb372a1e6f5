/* variant.c - the variant, and what was done to the cup since: it must not look like a plain one. It knows no list that
 * shows it. */
#include "client/variant.h"

#include "client/ask.h"
#include "client/output.h"

#include <stdio.h>

const char *variant_words(const struct poise_options *opt, const json_t *batch, char *out, size_t size)
{
    bool tinted = json_array_size(member_list(batch, "tinted")) > 0,
         foreign = json_array_size(member_list(batch, "foreign")) > 0;
    const char *variant = member_text(batch, "variant");
    snprintf(out, size, "%.90s%s%.30s%s%.30s", variant, tinted && *variant ? ", " : "",
             tinted ? wording_of(opt->style, "find.tinted").text : "", foreign && (*variant || tinted) ? ", " : "",
             foreign ? wording_of(opt->style, "find.foreign").text : "");
    return out;
}
