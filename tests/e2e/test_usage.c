/* The three programs used wrongly, and what they say of themselves: exit codes of section 6 of the contract, one line.
 */
#include "tests/e2e/typed.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

enum { GOOD = 0, NOTHING = 1, USAGE = 64, DATA = 65, NOINPUT = 66, UNAVAILABLE = 69, IO = 74, LATER = 75, CONFIG = 78 };

/* Words apart by spaces. A code of 0 speaks on stdout alone, another one in one line on stderr alone. */
static const struct {
    int code;
    const char *line, *says;
} uses[] = {
    {GOOD, "poised --version", "poised 0.1.0\n"},
    {GOOD, "poised --help", "--state"},
    {GOOD, "poised --check --help", "--check"},
    {USAGE, "poised --bogus", "--bogus"},
    {USAGE, "poised -x", "-x"},
    {USAGE, "poised word", "word"},
    {USAGE, "poised --state", "--state"},
    {USAGE, "poised --port-http 65536", "65536"},
    {USAGE, "poised --port-http -1", "-1"},
    {USAGE, "poised --port-http many", "many"},
    {USAGE, "poised --version=1", "--version"},
    {GOOD, "poise --version", "poise 0.1.0\n"},
    {GOOD, "poise --help", "usage: poise"},
    {GOOD, "poise accept --help", "--lot"},
    {GOOD, "poise plan --version", "poise 0.1.0\n"},
    {USAGE, "poise --bogus", "--bogus"},
    {USAGE, "poise accept --bogus", "--bogus"},
    {USAGE, "poise nosuch", "nosuch"},
    {USAGE, "poise plan", "CODE"},
    {USAGE, "poise plan TI-207 --grams", "--grams"},
    {USAGE, "poise plan TI-207 --grams many", "many"},
    {USAGE, "poise call", "METHOD"},
    {GOOD, "poise -h", "usage: poise"},
    {GOOD, "poise accept --help --language de", "Aufruf: poise accept"},
    {CONFIG, "poise status --language fr", "en|de"},
    {USAGE, "poise --language de show", "ein Wort fehlt"},
    {USAGE, "poise --language de plan", "CODE angeben"},
    {USAGE, "poise begin --order 4417", "--coat-n"},
    {USAGE, "poise acept", "Did you mean accept?"},
    {USAGE, "poise plan TI-207", "no amount"},
    {USAGE, "poise plan TI-207 --grams 5 --ml 5", "two amounts"},
    {USAGE, "poise label 1 --size huge", "huge"},
    {USAGE, "poise find --from yesterday", "yesterday"},
    {NOTHING, "poise find nothing-like-it", "no batch like that"},
    {NOTHING, "poise toners nothing-like-it --language de", "nichts gefunden"},
    {NOTHING, "poise formulas nothing-like-it --json", "nothing found"},
    {NOTHING, "poise orders nothing-like-it --json", "nothing found"},
    {NOTHING, "poise shelf --language de", "noch ist nichts"},
    {NOTHING, "poise shelf --due --csv", "nothing like that"},
    {NOTHING, "poise people", "nothing is listed yet"},
    {USAGE, "poise shelf --csv --json", "csv"},
    {USAGE, "poise stock recieve N10 5", "recieve"},
    {USAGE, "poise stock receive N10", "takes a toner and grams"},
    {USAGE, "poise stock receive N10 much", "much"},
    {USAGE, "poise stock stir", "stir"},
    {USAGE, "poise leftover 1", "--gross"},
    {USAGE, "poise card 1 maybe", "match|near|no"},
    {USAGE, "poise order 4417 TI-207=much", "much"},
    {USAGE, "poise order 4417 =5", "no coat"},
    {USAGE, "poise order 4417 --by tomorrow", "tomorrow"},
    {USAGE, "poise tin", "CODE"},
    {USAGE, "poise scn X", "Did you mean scan?"},
    {DATA, "poise scan 4012345", "4012345"},
    {DATA, "poise tin 4012345", "4012345"},
    {DATA, "poise stock receive QQQ9 5", "QQQ9"},
    {DATA, "poise discard 77", "77"},
    {DATA, "poise order 77", "poise orders"},
    {DATA, "poise sign-in Nobody", "poise people"},
    {GOOD, "poise card --help --language de", "Musterblech"},
    {USAGE, "poise bench", "terminal"},
    {USAGE, "poise remedy", ""},
    {USAGE, "poise --socket", "--socket"},
    {DATA, "poise plan TI-999 --grams 100", "TI-999"},
    {DATA, "poise plan TI-207 --grams -5", "plan"},
    {DATA, "poise show 999", "999"},
    {DATA, "poise accept --station nowhere", "nowhere"},
    {DATA, "poise accept", "accept"},
    {DATA, "poise call mix.plan {", "JSON"},
    {NOINPUT, "poise import /nowhere/colours.ini", "/nowhere/colours.ini"},
    {UNAVAILABLE, "poise status --socket /nowhere/sock", "/nowhere/sock"},
    {UNAVAILABLE, "poise call daemon.info --socket /dev/null", "/dev/null"},
    {GOOD, "poise-sim --version", "poise-sim 0.1.0\n"},
    {GOOD, "poise-sim --help", "--tcp"},
    {USAGE, "poise-sim", "--link"},
    {USAGE, "poise-sim --bogus", "--bogus"},
    {USAGE, "poise-sim word", "word"},
    {USAGE, "poise-sim --tcp 0", "--hand"},
    {USAGE, "poise-sim --tcp 65536 --hand manual", "65536"},
    {USAGE, "poise-sim --tcp 0 --link /tmp/x --hand manual", "--link"},
    {USAGE, "poise-sim --tcp 0 --hand auto", "auto"},
    {USAGE, "poise-sim --tcp 0 --family nosuch --hand manual", "nosuch"},
    {USAGE, "poise-sim --tcp 0 --rate 0 --hand manual", "--rate"},
    {USAGE, "poise-sim --tcp 0 --d 0.3 --hand manual", "--d"},
    {NOINPUT, "poise-sim --tcp 0 --scenario /nowhere", "/nowhere"},
    {NOINPUT, "poise-sim --tcp 0 --replay /nowhere", "/nowhere"},
    {IO, "poise-sim --link /nowhere/scale --hand manual", "/nowhere/scale"},
};

static bool one_line_of(const char *text, const char *program)
{
    size_t n = strlen(program);
    const char *end = strchr(text, '\n');
    return strncmp(text, program, n) == 0 && text[n] == ':' && end && !end[1];
}

static void each_use_has_its_code(void **state)
{
    for (size_t i = 0; i < sizeof uses / sizeof *uses; i++) {
        int code = typed_run(*state, uses[i].line);
        char program[16] = "";
        snprintf(program, sizeof program, "%.*s", (int)strcspn(uses[i].line, " "), uses[i].line);
        bool spoke = uses[i].code == GOOD
                         ? !*typed.err && strstr(typed.out, uses[i].says)
                         : !*typed.out && strstr(typed.err, uses[i].says) && one_line_of(typed.err, program);
        if (code != uses[i].code || !spoke)
            fail_msg("%s: %d, want %d and \"%s\"\n%s%s", uses[i].line, code, uses[i].code, uses[i].says, typed.out,
                     typed.err);
    }
}

/* `poise call` gives the error as its JSON object on stderr, with the code of section 3. */
static const struct {
    int code, error;
    const char *line;
} calls[] = {
    {USAGE, -32601, "poise call no.such"},
    {DATA, -32602, "poise call batch.get {\"batch\":5}"},
    {DATA, -32001, "poise call toner.get {\"toner\":\"Z9\"}"},
    {DATA, -32004, "poise call batch.undo {\"station\":\"bench\",\"request\":\"u\",\"revision\":0}"},
    {DATA, -32005, "poise call mix.plan {\"formula\":\"TI-207\",\"grams\":0}"},
    {DATA, -32602, "poise call mix.plan []"},
};

static void each_error_has_its_code(void **state)
{
    for (size_t i = 0; i < sizeof calls / sizeof *calls; i++) {
        int code = typed_run(*state, calls[i].line);
        json_t *error = json_loads(typed.err, 0, NULL);
        json_int_t is = json_integer_value(json_object_get(error, "code"));
        json_decref(error);
        if (code != calls[i].code || is != calls[i].error || *typed.out)
            fail_msg("%s: %d, want %d and %d\n%s%s", calls[i].line, code, calls[i].code, calls[i].error, typed.out,
                     typed.err);
    }
}

/* What may go well a moment later is 75: a scale that is silent, a revision that has moved on. */
static void not_now_is_75(void **state)
{
    struct harness *h = *state;
    harness_wait_scale(h, "bench", "live");
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    fake_scale_mute(harness_scale(h, "bench"));
    harness_wait_scale(h, "bench", "stale");
    assert_int_equal(typed_run(h, "poise accept"), LATER);
    assert_true(one_line_of(typed.err, "poise"));
    int code =
        typed_run(h, "poise call batch.note {\"station\":\"bench\",\"request\":\"n\",\"revision\":0,\"text\":\"x\"}");
    assert_int_equal(code, LATER);
    assert_non_null(strstr(typed.err, "\"revision\""));
    harness_act(h, "bench", "batch.scrap", json_pack("{s:s}", "why", "only a try"));
}

/* The socket's file is there and nobody listens: the daemon is not reached. */
static void a_dead_daemon_is_69(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGKILL), -SIGKILL);
    assert_int_equal(typed_run(h, "poise status"), UNAVAILABLE);
    assert_true(one_line_of(typed.err, "poise") && strstr(typed.err, h->socket));
    harness_start(h);
    assert_int_equal(typed_run(h, "poise status"), GOOD);
}

static void signals_end_it_with_0(void **state)
{
    struct harness *h = *state;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    harness_start(h);
    assert_int_equal(harness_stop(h, SIGINT), 0);
    assert_int_not_equal(access(h->socket, F_OK), 0);
    harness_start(h);
}

static int begin(void **state)
{
    return harness_begin(state, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_use_has_its_code), cmocka_unit_test(each_error_has_its_code),
        cmocka_unit_test(not_now_is_75),         cmocka_unit_test(a_dead_daemon_is_69),
        cmocka_unit_test(signals_end_it_with_0),
    };
    return cmocka_run_group_tests(tests, begin, harness_end);
}
