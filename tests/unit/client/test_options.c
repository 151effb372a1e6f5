/* The grammar: what a person types, the table of commands, and the members that options become. */
#include "client/commands.h"
#include "client/options.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

/* Splits at spaces and parses; what goes to stderr ends up in `err`. */
static int parse(struct poise_options *opt, const char *line, char *err, size_t size)
{
    static char words[512];
    static char name[] = "poise";
    static char *argv[64];
    int argc = 0;
    argv[argc++] = name;
    snprintf(words, sizeof words, "%s", line);
    for (char *w = strtok(words, " "); w; w = strtok(NULL, " "))
        argv[argc++] = w;
    fflush(stderr);
    FILE *heard = tmpfile();
    int kept = dup(STDERR_FILENO);
    assert_true(heard && kept >= 0 && dup2(fileno(heard), STDERR_FILENO) >= 0);
    int code = options_parse(opt, commands, argc, argv);
    fflush(stderr);
    dup2(kept, STDERR_FILENO);
    close(kept);
    rewind(heard);
    err[fread(err, 1, size - 1, heard)] = '\0';
    fclose(heard);
    return code;
}

static const struct {
    const char *line;
    const char *command; /* NULL: none */
    const char *words;   /* joined */
    const char *socket;
} good[] = {
    {"", NULL, "", "/run/poise/poised.sock"},
    {"status", "status", "", "/run/poise/poised.sock"},
    {"--json status", "status", "", "/run/poise/poised.sock"},
    {"status --json", "status", "", "/run/poise/poised.sock"},
    {"--socket /s status", "status", "", "/s"},
    {"status --socket=/s", "status", "", "/s"},
    {"--socket /a status --socket /b", "status", "", "/b"},
    {"--grams 250 begin TI-207", "begin", "TI-207", "/run/poise/poised.sock"},
    {"begin --grams 250 TI-207 --coat ground", "begin", "TI-207", "/run/poise/poised.sock"},
    {"note the van is darker", "note", "the van is darker", "/run/poise/poised.sock"},
    {"note -- --json is meant", "note", "--json is meant", "/run/poise/poised.sock"},
    {"-h status", "status", "", "/run/poise/poised.sock"}, /* the same as --help */
    {"status --language de", "status", "", "/run/poise/poised.sock"},
    {"note -5 degrees", "note", "-5 degrees", "/run/poise/poised.sock"},
    {"call batch.find -", "call", "batch.find -", "/run/poise/poised.sock"},
    {"why 1042", "why", "1042", "/run/poise/poised.sock"},
    {"why 1042 N10", "why", "1042 N10", "/run/poise/poised.sock"},
    {"find", "find", "", "/run/poise/poised.sock"},
    {"accept --sure", "accept", "", "/run/poise/poised.sock"},
    {"resume --help", "resume", "", "/run/poise/poised.sock"}, /* the word is not missed */
    {"resume --version", "resume", "", "/run/poise/poised.sock"},
};

static void words_and_options_in_any_order(void **state)
{
    (void)state;
    unsetenv("POISE_SOCKET");
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        struct poise_options opt;
        char err[512];
        int code = parse(&opt, good[i].line, err, sizeof err);
        char *words = options_sentence(&opt, 0);
        const char *name = opt.command ? opt.command->name : NULL;
        if (code != 0 || *err)
            fail_msg("poise %s: %d %s", good[i].line, code, err);
        if ((name != NULL) != (good[i].command != NULL) || (name && strcmp(name, good[i].command) != 0))
            fail_msg("poise %s: command %s", good[i].line, name ? name : "none");
        if (strcmp(words ? words : "", good[i].words) != 0 || strcmp(opt.socket, good[i].socket) != 0)
            fail_msg("poise %s: words \"%s\", socket %s", good[i].line, words ? words : "", opt.socket);
        free(words);
    }
}

static const struct {
    const char *line;
    const char *says; /* must stand in the one line on stderr */
} bad[] = {
    {"--bogus", "--bogus"},
    {"status --bogus", "--bogus"},
    {"status --bogus=1", "--bogus"},
    {"-x", "-x"},
    {"status -x", "-x"},
    {"frobnicate", "frobnicate"},
    {"accept --grams 5", "accept does not take it"},
    {"--grams 5 accept", "accept does not take it"},
    {"status --json=yes", "no value"},
    {"begin TI-207 --grams", "value G is missing"},
    {"repeat", "BATCH"},
    {"resume", "BATCH"},
    {"scrap", "WHY"},
    {"undo now", "\"now\""},
    {"repeat 7 --as mixed", "poured|corrected"},
    {"remedy grew", "grow|dip"},
    {"begn TI-207", "Did you mean begin?"},
    {"acept", "Did you mean accept?"},
    {"status --folow", "Did you mean --follow?"},
    {"begin TI --gram 5", "Did you mean --grams?"},
    {"--language de frobnicate", "kein solcher Befehl"},
    {"status --bogus --language=de", "keine solche Option"},
    {"why 1 2 3", "\"3\""},
    {"accept --short --less", "--short and --less do not go together"},
    {"checks --csv --json", "--json and --csv do not go together"},
    {"status --follow --page", "--follow and --page do not go together"},
    {"resume --language de", "MISCHUNG"},
    {"label --language=de 7 --out", "ihr Wert DATEI fehlt"},
    {"begin TI --edges --outsides", "--edges and --outsides do not go together"},
    {"begin TI --pour-order fast", "formula|bed"},
    {"note \xff", "UTF-8"},
    {"note --painter \xff", "UTF-8"},
};

static void misuse_is_64_and_one_line(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct poise_options opt;
        char err[512];
        int code = parse(&opt, bad[i].line, err, sizeof err);
        char *end = strchr(err, '\n');
        if (code != 64 || !strstr(err, bad[i].says) || strncmp(err, "poise: ", 7) != 0 || !end || end[1] != '\0')
            fail_msg("poise %s: %d \"%s\", want 64 and %s", bad[i].line, code, err, bad[i].says);
    }
}

/* As in the configuration, and as for poise-sim. */
static void a_language_that_is_not_there_is_78(void **state)
{
    struct poise_options opt;
    char err[512];
    (void)state;
    assert_int_equal(parse(&opt, "status --language fr", err, sizeof err), 78);
    assert_non_null(strstr(err, "en|de"));
    assert_int_equal(parse(&opt, "bench --language=english", err, sizeof err), 78);
}

static void environment_names_the_socket(void **state)
{
    struct poise_options opt;
    char err[512];
    (void)state;
    setenv("POISE_SOCKET", "/from/env", 1);
    assert_int_equal(parse(&opt, "status", err, sizeof err), 0);
    assert_string_equal(opt.socket, "/from/env");
    assert_int_equal(parse(&opt, "status --socket /given", err, sizeof err), 0);
    assert_string_equal(opt.socket, "/given");
    setenv("POISE_SOCKET", "", 1);
    assert_int_equal(parse(&opt, "status", err, sizeof err), 0);
    assert_string_equal(opt.socket, "/run/poise/poised.sock");
    unsetenv("POISE_SOCKET");
}

static const struct {
    const char *words;
    size_t least, most;
} shapes[] = {
    {"", 0, 0},
    {"CODE", 1, 1},
    {"BATCH [FIELD]", 1, 2},
    {"[TEXT...]", 0, SIZE_MAX},
    {"WHY...", 1, SIZE_MAX},
    {"grow|dip|leave", 1, 1},
    {"METHOD [JSON|-]", 1, 2},
};

static void words_are_counted_from_the_table(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        size_t most, least = command_words(shapes[i].words, &most);
        if (least != shapes[i].least || most != shapes[i].most)
            fail_msg("\"%s\": %zu to %zu", shapes[i].words, least, most);
    }
}

static void the_table_is_whole(void **state)
{
    const struct poise_options opt = {.commands = commands};
    (void)state;
    for (const struct command *c = commands; c->name; c++) {
        assert_non_null(c->run);
        assert_true(c->group < GROUP_COUNT);
        assert_ptr_equal(command_named(&opt, c->name), c); /* no name twice */
    }
    for (int i = 0; i < OPTION_COUNT; i++)
        if (!option_rows[i].name)
            fail_msg("option %d has no row", i);
}

static const struct {
    const char *line;
    const char *json; /* NULL: refused with 64 */
} members[] = {
    {"begin TI --grams 250", "{\"grams\":250}"},
    {"begin TI --grams 250,5", "{\"grams\":250.5}"},
    {"begin TI --ml 400 --reduce 0", "{\"ml\":400,\"reduce_pct\":0}"},
    {"begin TI --order 4417 --painter Ines", "{\"order\":\"4417\",\"painter\":\"Ines\"}"},
    {"begin TI --panel door:2 --panel hood", "{\"panels\":[{\"name\":\"door\",\"coats\":2},{\"name\":\"hood\"}]}"},
    {"begin TI --panel door:2:50", "{\"panels\":[{\"name\":\"door\",\"coats\":2,\"share_pct\":50}]}"},
    {"find --from 2026-11-01 --limit 5", "{\"from\":\"2026-11-01\",\"limit\":5}"},
    {"plan TI --panel door:1:100:edges --panel hood:edges",
     "{\"panels\":[{\"name\":\"door\",\"coats\":1,\"share_pct\":100,\"edges\":true},"
     "{\"name\":\"hood\",\"edges\":true}]}"},
    {"begin --order 4417 --coat-n 2 --outsides", "{\"order\":\"4417\",\"coat_n\":2,\"edges\":false}"},
    {"plan CL --temperature 27,5 --speed slow --hardener H-2 --reducer T-3",
     "{\"hardener\":\"H-2\",\"reducer\":\"T-3\",\"speed\":\"slow\",\"temperature_c\":27.5}"},
    {"plan TI --film 15 --transfer 60 --loss 20 --mids 3 --control-coat --edges",
     "{\"film_um\":15,\"transfer_pct\":60,\"loss_ml\":20,\"mids\":3,\"control_coat\":true,\"edges\":true}"},
    {"begin TI --pour-order bed", "{\"pour_order\":\"bed\"}"},
    {"begin TI --have 1031:80", "{\"have\":[{\"batch\":\"1031\",\"grams\":80}]}"},
    {"begin TI --have #1031:80 --have POISE:7:1.5",
     "{\"have\":[{\"batch\":\"#1031\",\"grams\":80},{\"batch\":\"POISE:7\",\"grams\":1.5}]}"},
    {"begin TI --have N10:12", "{\"have\":[{\"toner\":\"N10\",\"grams\":12}]}"},
    {"begin TI --parts A,B,C", "{\"parts\":[\"A\",\"B\",\"C\"]}"},
    {"accept --short --lot A17", "{\"short\":true,\"lot\":\"A17\"}"},
    {"accept --less", "{\"short\":\"less\"}"},
    {"accept --tared", "{\"tared\":true}"},
    {"retare --uncounted 9 --lost 0.5", "{\"uncounted_g\":9,\"lost_g\":0.5}"},
    {"begin TI --grams 12x", NULL},
    {"begin TI --ml ten", NULL},
    {"begin TI --have 1031", NULL},
    {"begin TI --have :80", NULL},
    {"begin TI --have 1031:x", NULL},
    {"begin TI --panel door:x", NULL},
    {"begin TI --panel :2", NULL},
    {"begin TI --panel door:2:101", NULL},
    {"begin TI --panel door:2:50:1", NULL},
    {"begin TI --panel door:edges:2", NULL},
    {"find --from 2026-02-30", NULL},
    {"find --to yesterday", NULL},
};

static void options_become_members(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof members / sizeof *members; i++) {
        struct poise_options opt;
        char err[512];
        assert_int_equal(parse(&opt, members[i].line, err, sizeof err), 0);
        json_t *params = NULL;
        int null = open("/dev/null", O_WRONLY | O_CLOEXEC), kept = dup(STDERR_FILENO);
        dup2(null, STDERR_FILENO);
        int code = params_of(&opt, &params);
        fflush(stderr);
        dup2(kept, STDERR_FILENO);
        close(kept);
        close(null);
        json_t *want = members[i].json ? json_loads(members[i].json, 0, NULL) : NULL;
        if (code != (want ? 0 : 64) || (want && !json_equal(params, want)) || (!want && params))
            fail_msg("poise %s: %d", members[i].line, code);
        json_decref(want);
        json_decref(params);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_and_options_in_any_order),
        cmocka_unit_test(misuse_is_64_and_one_line),
        cmocka_unit_test(a_language_that_is_not_there_is_78),
        cmocka_unit_test(environment_names_the_socket),
        cmocka_unit_test(words_are_counted_from_the_table),
        cmocka_unit_test(the_table_is_whole),
        cmocka_unit_test(options_become_members),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
