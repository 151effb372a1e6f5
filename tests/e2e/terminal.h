/* terminal.h - a terminal owned by the test: `poise bench`, or any command, runs in a pty, what it draws is kept as
 * a page of text.
 *
 * As much of a vt100 as ncurses uses of one; TERM=vt100, LC_ALL=C, 80x24.
 * Owner   terminal_open starts the program; the test ends it (Ctrl-C), waits for pid and closes fd. A program left
 * behind by a failed test ends with its pty. */
#ifndef TESTS_E2E_TERMINAL_H
#define TESTS_E2E_TERMINAL_H

#include <sys/types.h>

enum { TERMINAL_COLS = 80, TERMINAL_ROWS = 24 };

struct terminal {
    int fd;
    pid_t pid;
    char cell[TERMINAL_ROWS][TERMINAL_COLS + 1];
    int row, col;
    int top, bottom;   /* the rows that scroll, the last one included */
    char sequence[64]; /* an escape sequence as far as it has come; "" outside one */
    char text[TERMINAL_ROWS * (TERMINAL_COLS + 1) + 1];
};

/* Starts `poise bench` of the build folder on a daemon's socket. Fails the test where there is no pty. */
void terminal_open(struct terminal *t, const char *socket);
/* The same with these words, the first of them `poise`, the last NULL. */
void terminal_run(struct terminal *t, const char *socket, const char *const words[]);
/* And in another locale than C; what is not ASCII comes as its bytes. */
void terminal_run_in(struct terminal *t, const char *socket, const char *const words[], const char *locale);
/* Takes in what was drawn since; never blocks. */
void terminal_drain(struct terminal *t);
/* The page as lines; valid until the next call. */
const char *terminal_page(struct terminal *t);
void terminal_press(struct terminal *t, const char *keys);

#endif
