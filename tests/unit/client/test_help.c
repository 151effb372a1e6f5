/* What the tables of commands and options become: help, bash completion, manual page. */
#include "client/commands.h"
#include "client/options.h"

#include "text/utf8.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static struct output_style in(enum words_language language)
{
    return (struct output_style){.utf8 = true, .language = language, .number.point = '.'};
}

enum page { PAGE_OVERVIEW, PAGE_COMPLETION, PAGE_MAN };

static void print_page(enum page page)
{
    struct poise_options opt = {.commands = commands};
    if (page == PAGE_OVERVIEW)
        help_overview(commands, in(WORDS_EN));
    else if (page == PAGE_COMPLETION)
        assert_int_equal(command_completion(&opt), 0);
    else
        assert_int_equal(command_man(&opt), 0);
}

/* The page as text, to be freed; also left in a file, for the caller to remove. */
static char *page_text(enum page page, char *path)
{
    int fd = mkstemp(path), kept = dup(STDOUT_FILENO);
    assert_true(fd >= 0 && kept >= 0);
    fflush(stdout);
    dup2(fd, STDOUT_FILENO);
    print_page(page);
    fflush(stdout);
    dup2(kept, STDOUT_FILENO);
    close(kept);
    off_t size = lseek(fd, 0, SEEK_END);
    char *text = calloc((size_t)size + 1, 1);
    assert_non_null(text);
    assert_int_equal(pread(fd, text, (size_t)size, 0), size);
    close(fd);
    return text;
}

static void each_page_knows_every_command(void **state)
{
    (void)state;
    for (int page = PAGE_OVERVIEW; page <= PAGE_MAN; page++) {
        char path[] = "/tmp/poise-page-XXXXXX";
        char *text = page_text((enum page)page, path);
        unlink(path);
        for (const struct command *c = commands; c->name; c++)
            if (!strstr(text, c->name))
                fail_msg("page %d: no %s", page, c->name);
        free(text);
    }
}

static void help_of_a_command_names_its_options(void **state)
{
    (void)state;
    for (const struct command *c = commands; c->name; c++) {
        char path[] = "/tmp/poise-page-XXXXXX";
        int fd = mkstemp(path), kept = dup(STDOUT_FILENO);
        char text[8192] = "";
        fflush(stdout);
        dup2(fd, STDOUT_FILENO);
        help_command(c, in(WORDS_EN));
        fflush(stdout);
        dup2(kept, STDOUT_FILENO);
        close(kept);
        assert_true(pread(fd, text, sizeof text - 1, 0) > 0);
        close(fd);
        unlink(path);
        for (int i = 0; i < OPTION_COUNT; i++) {
            char name[64];
            bool takes = command_takes(c, (enum option_id)i) || option_is_everywhere(c, (enum option_id)i);
            snprintf(name, sizeof name, "  --%s ", option_rows[i].name);
            if ((strstr(text, name) != NULL) != takes)
                fail_msg("%s: %s %s", c->name, name, takes ? "is missing" : "is there");
        }
    }
}

/* A terminal of 80 columns breaks no line of it. */
static void keeps_within_80_columns(enum words_language language)
{
    char path[] = "/tmp/poise-page-XXXXXX", line[8192];
    FILE *page = fdopen(mkstemp(path), "w+");
    int kept = dup(STDOUT_FILENO);
    assert_non_null(page);
    fflush(stdout);
    dup2(fileno(page), STDOUT_FILENO);
    help_overview(commands, in(language));
    for (const struct command *c = commands; c->name; c++)
        help_command(c, in(language));
    fflush(stdout);
    dup2(kept, STDOUT_FILENO);
    close(kept);
    rewind(page);
    while (fgets(line, sizeof line, page))
        if (utf8_columns(line) > 81 || strcspn(line, "\n") != strlen(line) - 1) /* the line end is one */
            fail_msg("%s", line);
    fclose(page);
    unlink(path);
}

static void help_keeps_within_80_columns(void **state)
{
    (void)state;
    keeps_within_80_columns(WORDS_EN);
    keeps_within_80_columns(WORDS_DE);
}

/* Each command and option has words of its own in both languages, and each help an example that names it. */
static void every_command_and_option_has_words(void **state)
{
    (void)state;
    for (int l = 0; l < WORDS_LANGUAGES; l++) {
        for (const struct command *c = commands; c->name; c++)
            if (strcmp(command_help(c, (enum words_language)l), c->name) == 0 ||
                !strstr(command_example(c, (enum words_language)l), c->name))
                fail_msg("%s: no words, or no example", c->name);
        for (int i = 0; i < OPTION_COUNT; i++)
            if (strcmp(option_help(NULL, (enum option_id)i, (enum words_language)l), option_rows[i].name) == 0)
                fail_msg("--%s: no words", option_rows[i].name);
    }
}

/* No placeholder of a shape is left in English where German has a word for it. Choices are typed, so they stay. */
static void placeholders_speak_the_language(void **state)
{
    static const struct {
        const char *shape, *german;
    } rows[] = {
        {"BATCH [FIELD]", "MISCHUNG [FELD]"},
        {"NAME[:COATS[:SHARE]]", "NAME[:G\xC3\x84NGE[:ANTEIL]]"},
        {"grow|dip|leave", "grow|dip|leave"},
        {"8N1", "8N1"},
        {"WxH", "BxH"},
        {"METHOD [JSON|-]", "METHODE [JSON|-]"},
    };
    char out[PLACEHOLDERS];
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        placeholders(rows[i].shape, WORDS_DE, out, sizeof out);
        assert_string_equal(out, rows[i].german);
        placeholders(rows[i].shape, WORDS_EN, out, sizeof out);
        assert_string_equal(out, rows[i].shape);
    }
}

static void the_manual_is_roff(void **state)
{
    char path[] = "/tmp/poise-page-XXXXXX";
    char *text = page_text(PAGE_MAN, path);
    (void)state;
    unlink(path);
    assert_int_equal(strncmp(text, ".TH POISE 1 ", 12), 0);
    assert_non_null(strstr(text, "\n.SH EXIT STATUS\n"));
    assert_non_null(strstr(text, "\\-\\-variant"));
    assert_null(strstr(text, "--")); /* a dash that is meant as one is written \- */
    free(text);
}

static const struct {
    const char *words; /* as bash has them; the last one is being written */
    const char *offers;
} completions[] = {
    {"poise re", "remedy retare resume repeat restore record"},
    {"poise --station bench unf", ""},
    {"poise --station bench und", "undo"},
    {"poise remedy \"\"", "grow dip leave rescue again"},
    {"poise accept --l", "--less --lot --language"},
    {"poise accept --so", "--socket"},
    {"poise status --f", "--follow"},
    {"poise repeat 1042 --as \"\"", "poured corrected"},
    {"poise status --language \"\"", "en de"},
    {"poise decode --profile sics", "sics sics-b"},
    {"poise decode --profile aut", "auto"},
    {"poise seek /dev/nul", "/dev/null"},
    {"poise seek --a", "--ask"},
};

static void completion_offers_what_the_table_holds(void **state)
{
    char path[] = "/tmp/poise-page-XXXXXX";
    char *text = page_text(PAGE_COMPLETION, path);
    (void)state;
    free(text);
    for (size_t i = 0; i < sizeof completions / sizeof *completions; i++) {
        char script[512], offers[512] = "";
        snprintf(script, sizeof script,
                 "bash -c '. %s; COMP_WORDS=(%s); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _poise; echo "
                 "\"${COMPREPLY[*]}\"'",
                 path, completions[i].words);
        FILE *bash = popen(script, "r"); /* NOLINT(cert-env33-c): bash is what is tested, the words are ours */
        assert_non_null(bash);
        offers[fread(offers, 1, sizeof offers - 1, bash)] = '\0';
        assert_int_equal(pclose(bash), 0);
        offers[strcspn(offers, "\n")] = '\0';
        if (strcmp(offers, completions[i].offers) != 0)
            fail_msg("%s: offers \"%s\"", completions[i].words, offers);
    }
    unlink(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_page_knows_every_command),          cmocka_unit_test(help_of_a_command_names_its_options),
        cmocka_unit_test(help_keeps_within_80_columns),           cmocka_unit_test(every_command_and_option_has_words),
        cmocka_unit_test(placeholders_speak_the_language),        cmocka_unit_test(the_manual_is_roff),
        cmocka_unit_test(completion_offers_what_the_table_holds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
