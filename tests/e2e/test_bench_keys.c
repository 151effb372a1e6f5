/* Keys at random at `poise bench`, from a seed: a hand's, whole bursts with escape sequences and broken UTF-8, windows
 * of any size, while weights move and poised is ended and started again. What always holds:
 *
 *   it never ends by itself, and a window that changes is drawn
 *   an act is sent by Enter or `.` alone, one for each, and only one that the foot line printed when the key was
 * pressed once it has ended, the terminal is as it was
 *
 * KEYS says how many rounds of each kind, SEED where it begins; a fault prints the keys. */
#include "tests/e2e/bench_view.h"
#include "tests/e2e/call_tap.h"

#include <math.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

#include <cmocka.h>

enum { ROUNDS = 12, HELD_MS = 80, STANDS_MS = 480, TOLD = 400, SILL = 23, ABOVE = 22 };

static const struct harness_setup setup = {.config_lines = "[print]\ncommand = true\n"};

static struct walk {
    struct harness *h;
    struct terminal t;
    struct call_tap tap;
    const char *locale;
    uint64_t random;
    char told[TOLD * 8]; /* the newest keys, for who reads a fault */
    double pan_g;
} walk;

static uint32_t chance(uint32_t n)
{
    walk.random = walk.random * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(walk.random >> 33) % n;
}

static void tell(const char *keys)
{
    size_t n = strlen(walk.told);
    if (n > sizeof walk.told - 64)
        n = 0;
    for (; *keys && n < sizeof walk.told - 8; keys++)
        n += (size_t)snprintf(walk.told + n, 8, *keys >= ' ' && *keys < 127 ? "%c" : "\\x%02x", (unsigned char)*keys);
    snprintf(walk.told + n, sizeof walk.told - n, " ");
}

#define FAULT(...)                                                                                                     \
    do {                                                                                                               \
        print_error("keys: %s\n%s", walk.told, terminal_page(&walk.t));                                                \
        fail_msg(__VA_ARGS__);                                                                                         \
    } while (0)

static void press(const char *keys)
{
    tell(keys);
    terminal_press(&walk.t, keys);
}

/* Time in which what was pressed is done and drawn. */
static void pass(int ms)
{
    (void)bench_seen(walk.h, &walk.t, "\001", bench_now_ms() + ms);
}

static void resize(int cols, int rows)
{
    struct winsize size = {.ws_row = (unsigned short)rows, .ws_col = (unsigned short)cols};
    ioctl(walk.t.fd, TIOCSWINSZ, &size);
}

static void open_terminal(void)
{
    terminal_run_in(&walk.t, walk.tap.path, (const char *const[]){"poise", "bench", NULL}, walk.locale);
    bench_sees(walk.h, &walk.t, "menu");
}

/* Its modes as they were before: a line is read by lines, and echoed. */
static void expect_end(const char *how, int code)
{
    struct termios modes;
    int status = 0;
    for (int64_t deadline = harness_deadline(); waitpid(walk.t.pid, &status, WNOHANG) == 0;) {
        terminal_drain(&walk.t);
        harness_step(walk.h, deadline, "the end of poise bench");
    }
    if (!WIFEXITED(status) || WEXITSTATUS(status) != code)
        FAULT("%s: it ended with status %d", how, status);
    assert_int_equal(tcgetattr(walk.t.fd, &modes), 0);
    if ((modes.c_lflag & (ICANON | ECHO)) != (ICANON | ECHO))
        FAULT("%s: the terminal is not as it was", how);
    close(walk.t.fd);
    walk.t.pid = 0;
}

/* q on the menu leaves the screen, as it is printed there; nothing else does. */
static bool has_left(void)
{
    siginfo_t end = {.si_pid = 0};
    waitid(P_PID, (id_t)walk.t.pid, &end, WEXITED | WNOHANG | WNOWAIT);
    return end.si_pid != 0;
}

static void forget_acts(void)
{
    for (json_t *act; (act = tap_act(&walk.tap));)
        json_decref(act);
}

/* A window of another size and back is drawn anew, whatever came before: nothing hangs. */
static void stand(void)
{
    if (has_left()) {
        expect_end("q", 0);
        open_terminal();
    }
    resize(TERMINAL_COLS + 1, TERMINAL_ROWS);
    pass(HELD_MS);
    memset(walk.t.cell[ABOVE], ' ', TERMINAL_COLS);
    resize(TERMINAL_COLS, TERMINAL_ROWS);
    if (!bench_seen(walk.h, &walk.t, walk.locale[1] ? "\342\224\200" : "----------", harness_deadline()))
        FAULT("nothing is drawn");
}

/* ---- the world moves ---- */

/* As the scale shows it: in hundredths of a gram. */
static void weigh(void)
{
    walk.pan_g = round(walk.pan_g * 100) / 100;
    harness_weigh(walk.h, "bench", walk.pan_g);
}

static void move_weight(void)
{
    static const double steps_g[] = {0.5, 2, 20, 84.1, 212, 31.2, -1, -12};
    uint32_t what = chance(10);
    if (what == 0)
        walk.pan_g = 0;
    else if (what > 2)
        walk.pan_g += steps_g[chance(sizeof steps_g / sizeof *steps_g)];
    if (walk.pan_g < 0 || walk.pan_g > 2800)
        walk.pan_g = 31.2;
    weigh();
}

/* What a hand mostly does: a batch is begun, its cup put on, the open step poured until the screen shows 0. */
static void pour_on(void)
{
    const char *state = harness_text(walk.h, "bench", "state");
    double to_go_g = harness_number(walk.h, "bench", "now.to_go_g");
    if (strcmp(state, "idle") == 0) {
        harness_act(walk.h, "bench", "batch.begin",
                    json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
        walk.pan_g = 0;
    } else if (strcmp(state, "cup") == 0) {
        walk.pan_g = 31.2;
    } else if (to_go_g > 0 && walk.pan_g + to_go_g < 2800) {
        walk.pan_g += to_go_g;
    }
    weigh();
}

static void start_again(void)
{
    harness_stop(walk.h, chance(2) ? SIGKILL : SIGTERM);
    if (chance(2))
        press("1\r"); /* to nobody */
    harness_start(walk.h);
    harness_wait_scale(walk.h, "bench", "live");
    weigh();
}

/* ---- bursts ---- */

static void burst(void)
{
    static const char *const scraps[] = {"\033[A",
                                         "\033[B",
                                         "\033OM",
                                         "\033Oq",
                                         "\033[200~",
                                         "\033[",
                                         "\033O",
                                         "\033[<0;3;4M",
                                         "\033[1;5C",
                                         "\033]0;x\007",
                                         "\033\033",
                                         "\033[999;999H",
                                         "\303\244",
                                         "\346\274\242",
                                         "\342\200\215",
                                         "e\314\201",
                                         "\303",
                                         "\346\274",
                                         "\377\376",
                                         "\365\200\200",
                                         "\300\200",
                                         "\355\240\200",
                                         "POISE:1\r",
                                         "N10*L7\r",
                                         "/207",
                                         "0123456789",
                                         "+++---",
                                         "****",
                                         "\t\t",
                                         "\010\010\177",
                                         "\r\r",
                                         "..",
                                         "0",
                                         "\014",
                                         "\001\002\005",
                                         "TI-207\r",
                                         "\302\233\061m",
                                         "#1\r",
                                         "\033[I\033[O",
                                         "'\";DROP TABLE--",
                                         "9,999.99",
                                         "\xf0\x9f\x8e\xa8"};
    char keys[600] = "";
    for (uint32_t n = 1 + chance(12); n > 0; n--) {
        const char *scrap = scraps[chance(sizeof scraps / sizeof *scraps)];
        if (strlen(keys) + strlen(scrap) < sizeof keys)
            strcat(keys, scrap);
    }
    if (chance(8) == 0)
        memset(keys, "7xA\377"[chance(4)], sizeof keys - 1);
    press(keys);
    if (chance(3) == 0)
        resize(1 + (int)chance(220), 1 + (int)chance(80));
    pass((int)chance(HELD_MS));
}

static void it_outlives_any_burst(void **state)
{
    (void)state;
    open_terminal();
    const char *asked = getenv("KEYS");
    for (int round = asked ? atoi(asked) : ROUNDS; round > 0; round--) {
        walk.told[0] = '\0';
        for (uint32_t n = 1 + chance(4); n > 0; n--)
            burst();
        if (chance(3) == 0)
            move_weight();
        if (chance(20) == 0)
            start_again();
        stand();
    }
    press("\003");
    expect_end("Ctrl-C", 0);
}

/* ---- one key after another ---- */

/* Whether all that the daemon's act holds is in what was sent. */
static bool holds(const json_t *sent, const json_t *act)
{
    const char *name;
    json_t *value;
    const char *is = json_string_value(json_object_get(sent, "method")),
               *was = json_string_value(json_object_get(act, "method"));
    if (!is || !was || strcmp(is, was) != 0)
        return false;
    json_object_foreach(json_object_get(act, "params"), name, value)
    {
        const json_t *has = json_object_get(json_object_get(sent, "params"), name);
        if (strcmp(name, "label") != 0 && !json_equal(has, value)) /* copies are counted on the page */
            return false;
    }
    return true;
}

/* Its words as far as the first figure, which each client writes by itself. */
static bool printed(const json_t *said, const char *rows)
{
    char words[64];
    const char *text = json_string_value(json_object_get(said, "text"));
    snprintf(words, sizeof words, "%.*s", text ? (int)strcspn(text, "0123456789") : 0, text ? text : "");
    return text && strstr(rows, words);
}

/* What was sent is the move that the foot line had, or one of the open moves, chosen on a page of digits. */
static void expect_printed(const json_t *sent, const json_t *screen, const char *rows, bool dot)
{
    const json_t *next = json_object_get(screen, "next"), *line = dot ? json_object_get(next, "second") : next, *move;
    size_t i;
    const char *method = json_string_value(json_object_get(sent, "method"));
    if (!strstr(rows, dot ? ". " : "[Enter]"))
        FAULT("%s was sent, and the foot line had no such key:\n%s", method, rows);
    if (strncmp(method, "batch.", 6) != 0 || !json_object_get(json_object_get(sent, "params"), "revision"))
        return;
    if (holds(sent, json_object_get(line, "act")) && printed(json_object_get(line, "said"), rows))
        return;
    json_array_foreach(json_object_get(screen, "moves"), i, move)
    {
        if (json_is_true(json_object_get(move, "open")) && holds(sent, json_object_get(move, "act")))
            return;
    }
    FAULT("%s is no open move of the screen; the foot line was\n%s", method, rows);
}

/* The two rows of the foot line. */
static void foot(char rows[2 * TERMINAL_COLS + 1])
{
    memcpy(rows, walk.t.cell[ABOVE], TERMINAL_COLS);
    memcpy(rows + TERMINAL_COLS, walk.t.cell[SILL], TERMINAL_COLS);
    rows[2 * TERMINAL_COLS] = '\0';
}

static void one_key(void)
{
    static const char keys[] = "\r\r\r\r\r\r\r...00112345678912345+++---//*\033\010\tTn207 ";
    char one[2] = {keys[chance(sizeof keys - 1)], '\0'}, rows[2 * TERMINAL_COLS + 1];
    bool commits = one[0] == '\r' || one[0] == '.';
    if (commits)
        pass(STANDS_MS); /* the page has been read */
    foot(rows);
    json_t *screen = json_deep_copy(harness_screen(walk.h, "bench"));
    press(one);
    pass(commits ? HELD_MS * 2 : HELD_MS);
    json_t *sent = tap_act(&walk.tap);
    if (commits && !sent) { /* it may have come too early, and wait */
        pass(STANDS_MS);
        sent = tap_act(&walk.tap);
    }
    json_t *more = tap_act(&walk.tap);
    bool stops_check = (one[0] == '0' || one[0] == '\033') && strstr(rows, "stop");
    if (sent && !commits && !stops_check)
        FAULT("%s was sent by the key %d", json_string_value(json_object_get(sent, "method")), one[0]);
    if (sent && commits)
        expect_printed(sent, screen, rows, one[0] == '.');
    if (more)
        FAULT("%s was sent by the same key", json_string_value(json_object_get(more, "method")));
    json_decref(screen);
    json_decref(sent);
}

static void an_act_is_what_the_foot_line_said(void **state)
{
    (void)state;
    open_terminal();
    const char *asked = getenv("KEYS");
    for (int round = asked ? atoi(asked) : ROUNDS; round > 0; round--) {
        walk.told[0] = '\0';
        if (chance(25) == 0)
            start_again();
        stand();
        pass(STANDS_MS);
        if (chance(4))
            pour_on();
        else
            move_weight();
        forget_acts();
        for (uint32_t n = 2 + chance(6); n > 0 && !has_left(); n--)
            one_key();
    }
    stand();
    press("\003");
    expect_end("Ctrl-C", 0);
}

/* Who ends the program finds the modes as they were: ncurses puts them right, and leaves with a failure. */
static void a_signal_leaves_the_terminal_as_it_was(void **state)
{
    (void)state;
    open_terminal();
    press("/207");
    kill(walk.t.pid, SIGTERM);
    expect_end("SIGTERM", EXIT_FAILURE);
}

static int begin_in(void **state, const char *locale)
{
    const char *seed = getenv("SEED");
    int code = harness_begin(state, &setup);
    if (code != 0)
        return code;
    memset(&walk, 0, sizeof walk);
    walk.h = *state;
    walk.locale = locale;
    walk.random = seed ? strtoull(seed, NULL, 10) : 1;
    harness_weigh(walk.h, "bench", 0);
    harness_call(walk.h, "people.put", json_pack("{s:s}", "painter", "Ines"));
    tap_begin(&walk.tap, walk.h->dir, walk.h->socket);
    return 0;
}

static int begin(void **state)
{
    return begin_in(state, "C");
}

static int begin_utf8(void **state)
{
    return begin_in(state, "C.UTF-8");
}

static int end(void **state)
{
    if (walk.t.pid > 0)
        kill(walk.t.pid, SIGKILL);
    tap_end(&walk.tap);
    return harness_end(state);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(it_outlives_any_burst, begin_utf8, end),
        cmocka_unit_test_setup_teardown(an_act_is_what_the_foot_line_said, begin, end),
        cmocka_unit_test_setup_teardown(a_signal_leaves_the_terminal_as_it_was, begin, end),
    };
    return cmocka_run_group_tests_name("keys at random", tests, NULL, NULL);
}
