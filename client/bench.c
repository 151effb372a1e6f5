/* bench.c - `poise bench [STATION]`: the door to the terminal screen. */
#include "client/commands.h"
#include "client/options.h"
#include "client/screen/screen.h"

int command_bench(struct poise_options *opt)
{
    return screen_run(opt, opt->word_count ? opt->word[0] : opt->station);
}
