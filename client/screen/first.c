/* first.c - the link, the bench and its first screen. It must not know a key, nor how a page is shown. */
#include "client/screen/first.h"

#include "client/options.h"

#include <time.h>

/* The system knows the zone; where it does not, the wall clock is that of UTC. */
struct moment moment_now(void)
{
    struct tm wall;
    time_t now = time(NULL);
    struct moment m = {(int64_t)now_ms(), (int64_t)now};
    if (localtime_r(&now, &wall))
        m.wall_s += wall.tm_gmtoff;
    return m;
}

/* In the order in which a fault can be told: the daemon, the bench, what it shows. */
int first_screen(struct ask *a, struct poise_options *opt, struct model *m, bool utf8)
{
    json_t *screen = NULL;
    int code = ask_open(a, opt);
    if (code == 0)
        code = ask_station(a);
    if (code == 0)
        code = ask_screen(a, &screen);
    if (code == 0) {
        struct moment now = moment_now();
        model_init(m, a->station, utf8, now);
        model_fix_language(m, opt->text[OPTION_LANGUAGE]);
        m->linked = true;
        model_screen(m, screen, now);
    }
    json_decref(screen);
    return code;
}
