/* kiosk_command.c - `poise kiosk [STATION]`: the page full screen in a browser that shows nothing else. It must not
 * know what the page does.
 */
#include "client/ask.h"
#include "client/commands.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* Debian's name of the browser first; POISE_BROWSER names another one of its kind. */
static const char *const browsers[] = {"chromium", "chromium-browser"};

/* No tabs, no address, no crash bubble, no menu; a profile of its own, so that nobody's pages come up. */
static void run(const char *browser, const char *url, const char *profile)
{
    char app[600], data[512];
    snprintf(app, sizeof app, "--app=%s", url);
    snprintf(data, sizeof data, "--user-data-dir=%s", profile);
    char *arguments[] = {(char *)(uintptr_t)browser,
                         "--kiosk",
                         "--start-fullscreen",
                         "--no-first-run",
                         "--no-default-browser-check",
                         "--noerrdialogs",
                         "--disable-session-crashed-bubble",
                         "--disable-translate",
                         "--overscroll-history-navigation=0",
                         "--disable-pinch",
                         "--autoplay-policy=no-user-gesture-required",
                         data,
                         app,
                         NULL};
    execvp(browser, arguments); /* comes back only where there is no such program */
}

/* Where the browser keeps the token's cookie: $XDG_STATE_HOME, else ~/.local/state. */
static void find_profile(char *out, size_t size)
{
    const char *state = getenv("XDG_STATE_HOME"), *home = getenv("HOME");
    if (state && *state)
        snprintf(out, size, "%s/poise-kiosk", state);
    else
        snprintf(out, size, "%s/.local/state/poise-kiosk", home && *home ? home : "/tmp");
}

/* Comes back only with a failure: the browser takes this process's place. */
static int browse(struct ask *a, const json_t *info)
{
    const struct poise_options *opt = a->opt;
    const char *address = member_text(info, "http"), *named = getenv("POISE_BROWSER");
    char url[512], profile[480];
    if (!address[0])
        return failure_say(opt->style, EX_CONFIG, a->what, "kiosk_no_page");
    snprintf(url, sizeof url, "%s/?kiosk%s%s", address, opt->word_count ? "&station=" : "",
             opt->word_count ? opt->word[0] : "");
    find_profile(profile, sizeof profile);
    if (named && *named)
        run(named, url, profile);
    for (size_t i = 0; i < sizeof browsers / sizeof *browsers; i++)
        run(browsers[i], url, profile);
    return failure_say(opt->style, EX_UNAVAILABLE, a->what, "kiosk_no_browser url=%s", url);
}

/* The daemon knows where its page is, whatever port it was given. */
int command_kiosk(struct poise_options *opt)
{
    return ask_show(opt, "daemon.info", json_object(), browse);
}
