/* screen.h - `poise bench`: the full-screen pour in a terminal.
 *
 * The only door to this folder. From below: shown, lists, model (what is known) -> menu, footline (what it means) ->
 * figures, ruler, paint, page (how it looks, in a grid) -> term (the terminal). keys says what a key asks for, act does
 * it, calls queues what the daemon is asked and reads what comes back. loop drives all of it: it and term touch the
 * world, the rest is pure and can be tested without a terminal. */
#pragma once

#include <jansson.h>

struct poise_options;

/* Runs until the painter leaves it (q on the contents page, or Ctrl-C); the batch stays as it is. station: the bench,
 * or NULL for the only one. Returns an exit code: 0, 64 no terminal or no bench named, 65 no such bench, 69 daemon not
 * reached at the start (a link lost later is tried again). */
int screen_run(const struct poise_options *opt, const char *station);

/* The same at a bench to practise at, in place of `home`, to which the screen goes when the practice ends. *how: what
 * its end told, the caller's; NULL: it was left as it stood. */
int screen_practise(const struct poise_options *opt, const char *station, const char *home, json_t **how);

/* Prints the page as it is now, once, as 24 lines of at most 80 columns on stdout: for a pipe, and for who is told by
 * telephone what to look for. Plain characters, no ink: the words and shapes say the same. An exit code, as above.
 */
int screen_once(struct poise_options *opt);
