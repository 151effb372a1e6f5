#include "tests/e2e/terminal.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <pty.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cmocka.h>

static void blank(struct terminal *t, int row, int from, int to)
{
    for (int c = from; c < to; c++)
        t->cell[row][c] = ' ';
}

static int number(const char *sequence, int place, int otherwise)
{
    const char *at = sequence + 2;
    for (; place > 0 && at; place--) {
        at = strchr(at, ';');
        at = at ? at + 1 : NULL;
    }
    return at && isdigit((unsigned char)*at) ? atoi(at) : otherwise;
}

static int within(int value, int max)
{
    return value < 0 ? 0 : value >= max ? max - 1 : value;
}

/* The region's rows move one down (or up); the one that becomes free is blank. */
static void scroll(struct terminal *t, bool down)
{
    size_t rows = (size_t)(t->bottom - t->top), bytes = rows * sizeof t->cell[0];
    memmove(t->cell[t->top + down], t->cell[t->top + !down], bytes);
    blank(t, down ? t->top : t->bottom, 0, TERMINAL_COLS);
}

static void down(struct terminal *t)
{
    if (t->row == t->bottom)
        scroll(t, false);
    else
        t->row = within(t->row + 1, TERMINAL_ROWS);
}

static void up(struct terminal *t)
{
    if (t->row == t->top)
        scroll(t, true);
    else
        t->row = within(t->row - 1, TERMINAL_ROWS);
}

static void control(struct terminal *t, char last)
{
    const char *s = t->sequence;
    int n = number(s, 0, 1);
    switch (last) {
    case 'H':
        t->row = within(number(s, 0, 1) - 1, TERMINAL_ROWS);
        t->col = within(number(s, 1, 1) - 1, TERMINAL_COLS);
        break;
    case 'A':
        t->row = within(t->row - n, TERMINAL_ROWS);
        break;
    case 'B':
        t->row = within(t->row + n, TERMINAL_ROWS);
        break;
    case 'C':
        t->col = within(t->col + n, TERMINAL_COLS);
        break;
    case 'D':
        t->col = within(t->col - n, TERMINAL_COLS);
        break;
    case 'J':
        blank(t, t->row, number(s, 0, 0) == 2 ? 0 : t->col, TERMINAL_COLS);
        for (int r = number(s, 0, 0) == 2 ? 0 : t->row + 1; r < TERMINAL_ROWS; r++)
            blank(t, r, 0, TERMINAL_COLS);
        break;
    case 'K':
        if (number(s, 0, 0) == 1)
            blank(t, t->row, 0, t->col + 1);
        else
            blank(t, t->row, t->col, TERMINAL_COLS);
        break;
    case 'r':
        t->top = within(n - 1, TERMINAL_ROWS);
        t->bottom = within(number(s, 1, TERMINAL_ROWS) - 1, TERMINAL_ROWS);
        t->row = t->col = 0;
        break;
    default:
        break; /* colours, modes */
    }
}

static void take(struct terminal *t, char c)
{
    size_t n = strlen(t->sequence);
    if (n > 0) {
        if (n + 1 < sizeof t->sequence) {
            t->sequence[n] = c;
            t->sequence[n + 1] = '\0';
        }
        bool csi = t->sequence[1] == '[', set = strchr("()", t->sequence[1]) != NULL && t->sequence[1];
        if ((csi && n > 1 && c >= '@') || (set && n == 2) || (!csi && !set)) {
            if (csi)
                control(t, c);
            else if (c == 'M')
                up(t);
            else if (c == 'D')
                down(t);
            t->sequence[0] = '\0';
        }
        return;
    }
    switch (c) {
    case 27:
        strcpy(t->sequence, "\033");
        break;
    case '\r':
        t->col = 0;
        break;
    case '\n':
        down(t);
        break;
    case '\b':
        t->col = within(t->col - 1, TERMINAL_COLS);
        break;
    case '\t':
        t->col = within((t->col / 8 + 1) * 8, TERMINAL_COLS);
        break;
    default:
        if ((unsigned char)c < 0x20)
            break;
        if (t->col >= TERMINAL_COLS) { /* the pending wrap of a vt100 */
            t->col = 0;
            t->row = within(t->row + 1, TERMINAL_ROWS);
        }
        t->cell[t->row][t->col++] = c;
    }
}

void terminal_drain(struct terminal *t)
{
    char bytes[4096];
    ssize_t got;
    while ((got = read(t->fd, bytes, sizeof bytes)) > 0)
        for (ssize_t i = 0; i < got; i++)
            take(t, bytes[i]);
}

const char *terminal_page(struct terminal *t)
{
    size_t n = 0;
    for (int r = 0; r < TERMINAL_ROWS; r++) {
        memcpy(t->text + n, t->cell[r], TERMINAL_COLS);
        n += TERMINAL_COLS;
        t->text[n++] = '\n';
    }
    t->text[n] = '\0';
    return t->text;
}

void terminal_press(struct terminal *t, const char *keys)
{
    assert_int_equal(write(t->fd, keys, strlen(keys)), (ssize_t)strlen(keys));
}

void terminal_run(struct terminal *t, const char *socket, const char *const words[])
{
    terminal_run_in(t, socket, words, "C");
}

void terminal_run_in(struct terminal *t, const char *socket, const char *const words[], const char *locale)
{
    struct winsize size = {.ws_row = TERMINAL_ROWS, .ws_col = TERMINAL_COLS};
    char program[512];
    const char *build = getenv("POISE_BUILD");
    snprintf(program, sizeof program, "%s/poise", build ? build : "build");
    memset(t, 0, sizeof *t);
    t->bottom = TERMINAL_ROWS - 1;
    for (int r = 0; r < TERMINAL_ROWS; r++)
        blank(t, r, 0, TERMINAL_COLS);
    t->pid = forkpty(&t->fd, NULL, NULL, &size);
    if (t->pid < 0)
        fail_msg("no pty: %s", strerror(errno));
    if (t->pid == 0) {
        setenv("TERM", "vt100", 1);
        setenv("LC_ALL", locale, 1);
        setenv("POISE_SOCKET", socket, 1);
        execv(program, (char *const *)(uintptr_t)words);
        _exit(127);
    }
    fcntl(t->fd, F_SETFL, O_NONBLOCK);
}

void terminal_open(struct terminal *t, const char *socket)
{
    terminal_run(t, socket, (const char *const[]){"poise", "bench", NULL});
}
