/* The errands of a day at `poise bench`, by keys alone: each is begun on the idle page, each key is counted, and what
 * it takes is held against the table of docs/page.md, where the page's own count stands beside it. */
#include "tests/e2e/bench_view.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { STANDS_MS = 450 }; /* a second Enter sooner than this could be a double tap, and is refused */

/* One errand under way: the bench, and the keys so far. */
struct errand {
    struct harness *h;
    struct terminal t;
    int keys;
};

static const struct harness_setup setup = {.config_lines = "[print]\ncommand = true\n"};

static int begin(void **state)
{
    return harness_begin(state, &setup);
}

static int end(void **state)
{
    return harness_end(state);
}

/* One key, and what it brings. */
static void key(struct errand *e, const char *key, const char *text)
{
    if (key[0] == '\r') /* the page has been read */
        (void)bench_seen(e->h, &e->t, "\001", bench_now_ms() + STANDS_MS);
    e->keys++;
    bench_keys(e->h, &e->t, key, text);
}

/* The last row, which tells where the screen is. */
static bool at_home(struct errand *e)
{
    const char *page = terminal_page(&e->t);
    return strstr(page + strlen(page) - TERMINAL_COLS - 1, "0 menu") != NULL;
}

static bool on_the_idle_page(json_t *screen, const void *with)
{
    (void)with;
    return strcmp(json_string_value(json_object_get(screen, "state")), "idle") == 0;
}

/* Back to an idle bench with an empty pan and no line chosen. */
static void home(struct errand *e)
{
    harness_weigh(e->h, "bench", 0);
    harness_wait_screen(e->h, "bench", on_the_idle_page, NULL);
    for (int tries = 0; tries < 6 && !at_home(e); tries++) {
        terminal_press(&e->t, "\033");
        (void)bench_seen(e->h, &e->t, "0 menu", bench_now_ms() + STANDS_MS);
    }
    bench_keys(e->h, &e->t, "/", "find a colour, an order");
    bench_keys(e->h, &e->t, "\033", "[Enter]    find a colour");
    bench_sees(e->h, &e->t, "0.00 g");
}

/* TI-207 ground on aim, finished: what the day's list offers. */
static void mix(struct harness *h)
{
    static const double in_cup_g[] = {0, 212, 273.5, 276.7};
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s, s:s, s:f}", "formula", "TI-207", "coat", "ground", "grams", 276.7));
    for (size_t i = 0; i < sizeof in_cup_g / sizeof *in_cup_g; i++) {
        harness_weigh(h, "bench", 31.2 + in_cup_g[i]);
        harness_act(h, "bench", "batch.accept", NULL);
    }
    while (strcmp(harness_text(h, "bench", "state"), "done") != 0)
        harness_act(h, "bench", "batch.accept", json_pack("{s:b}", "short", 1));
    harness_act(h, "bench", "batch.finish", json_pack("{s:i}", "label", 0));
    harness_weigh(h, "bench", 0);
}

/* ---- the errands, in an order in which each finds what it needs ---- */

static void sign_in(struct errand *e)
{
    key(e, ".", "sign in as Ines");
    key(e, "\r", ". Ines");
}

static void print_again(struct errand *e)
{
    key(e, "2", "mix 1 again");
    key(e, ".", "2    print the label again");
    key(e, "2", "[Enter]    print the label again");
    key(e, "\r", "The label went to the printer.");
}

static void weigh_back(struct errand *e)
{
    key(e, "2", "mix 1 again");
    key(e, ".", "5    the cup: weigh back");
    key(e, "5", "2    weigh back");
    key(e, "2", "put cup 1 on the scale");
    harness_weigh(e->h, "bench", 131.2);
    bench_sees(e->h, &e->t, "weigh back: 131.20 g with its cup");
    key(e, "\r", "100.00 g are left, ");
}

static void keep_card(struct errand *e)
{
    key(e, "1", "begin ground TI-207, order 4417");
    key(e, ".", "the order is done: close it");
    key(e, ".", "2    what this coat takes");
    key(e, ".", "does it match? press 1, 2 or 3");
    key(e, "1", "in which light? press 4 to 7");
    key(e, "4", "[Enter]    keep a spray-out card");
    key(e, "\r", "Card 1 is kept");
}

static void say_place(struct errand *e)
{
    key(e, "2", "mix 1 again");
    key(e, ".", "5    the cup: weigh back");
    key(e, "5", "3    place on the shelf");
    key(e, "3", "use by");
    key(e, "B", "B");
    key(e, "3", "stands: B3");
    key(e, "\r", "stands: B3");
}

static void touch_up(struct errand *e)
{
    key(e, "0", "4    shelf");
    key(e, "4", "B3  TI-207");
    key(e, ".", "put cup 1 on the scale");
    harness_weigh(e->h, "bench", 121.2);
    bench_sees(e->h, &e->t, "weigh back: 121.20 g with its cup");
    key(e, "\r", "90.00 g are left, ");
}

static void mix_again(struct errand *e)
{
    key(e, "2", "mix 1 again");
    key(e, "\r", "begin: 1 again");
    key(e, "\r", "put an empty cup on");
    harness_act(e->h, "bench", "batch.hold", NULL);
}

static void pour_on(struct errand *e)
{
    key(e, "\r", "code or name");
    key(e, "#", "code or name  #");
    key(e, "2", "batch 2");
    key(e, "\r", "[Enter]    resume a held batch");
    key(e, "\r", "put an empty cup on");
    harness_act(e->h, "bench", "batch.scrap", json_pack("{s:s}", "why", "dirt"));
}

static void throw_away(struct errand *e)
{
    harness_call(e->h, "batch.shelve",
                 json_pack("{s:s, s:s, s:s}", "batch", "1", "place", "B 3", "use_by", "2020-01-31"));
    key(e, "0", "4    shelf");
    key(e, "4", "B 3  TI-207");
    key(e, "1", "[Enter]    discard 90.00 g");
    key(e, "\r", "90.00 g of batch 1");
}

static void next_coat(struct errand *e)
{
    key(e, "1", "begin ground TI-207, order 4417");
    key(e, "\r", "put an empty cup on");
    harness_act(e->h, "bench", "batch.scrap", json_pack("{s:s}", "why", "dirt"));
}

static void first_pour(struct errand *e)
{
    key(e, "\r", "code or name");
    key(e, "2", "code or name  2");
    key(e, "0", "code or name  20");
    key(e, "7", "ground: how much?");
    key(e, "\r", "grams of colour");
    key(e, "2", "begin TI-207 ground, 2 g");
    key(e, "5", "begin TI-207 ground, 25 g");
    key(e, "0", "begin TI-207 ground, 250 g");
    key(e, "\r", "put an empty cup on");
    harness_weigh(e->h, "bench", 31.2);
    bench_sees(e->h, &e->t, "this is the cup, 31.20 g");
    key(e, "\r", "pour N10");
}

static const struct {
    const char *name;
    void (*tell)(struct errand *e);
} errands[] = {{"sign in", sign_in},
               {"print a label again", print_again},
               {"weigh a cup back", weigh_back},
               {"keep a spray-out card", keep_card},
               {"say where a cup stands", say_place},
               {"a touch-up from a cup of the shelf", touch_up},
               {"mix a batch of today again", mix_again},
               {"pour on in a held batch", pour_on},
               {"throw away what is past its date", throw_away},
               {"begin an order's next coat", next_coat},
               {"a colour by its code, to the first pour", first_pour}};

/* `| name | 10 keys | 10 keys | how |`: the third column; -1: the paper does not have it. */
static int written(const char *name)
{
    char line[1024], row[128];
    FILE *paper = fopen("docs/page.md", "r");
    int keys = -1;
    assert_non_null(paper);
    snprintf(row, sizeof row, "| %s | ", name);
    while (fgets(line, sizeof line, paper))
        if (strncmp(line, row, strlen(row)) == 0 && sscanf(line + strlen(row), "%*d key%*[s] | %d key", &keys) != 1)
            keys = -1;
    fclose(paper);
    return keys;
}

static void eleven_errands_take_the_keys_of_the_paper(void **state)
{
    struct errand e = {.h = *state};
    mix(e.h);
    harness_call(e.h, "people.put", json_pack("{s:s}", "painter", "Ines"));
    harness_call(e.h, "order.put",
                 json_pack("{s:s, s:[{s:s, s:s, s:s, s:i}]}", "order", "4417", "coats", "coat", "ground", "formula",
                           "TI-207", "variant", "standard", "grams", 40));
    terminal_open(&e.t, e.h->socket);
    bench_sees(e.h, &e.t, "order 4417");
    int faults = 0;
    for (size_t i = 0; i < sizeof errands / sizeof *errands; i++) {
        home(&e);
        e.keys = 0;
        errands[i].tell(&e);
        if (e.keys != written(errands[i].name)) {
            print_error("%s: %d keys, the paper says %d\n", errands[i].name, e.keys, written(errands[i].name));
            faults++;
        }
    }
    assert_int_equal(faults, 0);
    bench_leave(e.h, &e.t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(eleven_errands_take_the_keys_of_the_paper, begin, end),
    };
    return cmocka_run_group_tests_name("errands at the bench", tests, NULL, NULL);
}
