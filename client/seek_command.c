/* seek_command.c - `poise seek PORT`: prints what the daemon tries as it tries it, then the section to paste. It
 * must not know how a family is found: the daemon listens, asks and decides, and says what it did in notes. A tie,
 * bytes that two families read alike, is the one thing that only a person can settle, by the scale's own display. */
#include "client/ask.h"
#include "client/commands.h"
#include "client/family_names.h"
#include "client/options.h"
#include "client/output.h"
#include "client/table.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sysexits.h>
#include <unistd.h>

/* Two passes: a scale that was switched on late is heard in the second. SILENCE_MS without a note is a daemon that is
 * lost. */
enum { ROUNDS = 2, SILENCE_MS = 30000, CAME_COLUMNS = 60 };

/* The first bytes that came, as far as a line of 80 columns holds them; no \xNN is cut. */
static void show_bytes(const struct ask *a, const char *came)
{
    char text[CAME_COLUMNS + 1];
    size_t n = strlen(came) < CAME_COLUMNS ? strlen(came) : CAME_COLUMNS;
    for (size_t back = 1; came[n] && back <= 3; back++) {
        if (came[n - back] == '\\') {
            n -= back;
            break;
        }
    }
    memcpy(text, came, n);
    text[n] = '\0';
    output_text(text, a->opt->style, stdout);
    putchar('\n');
}

/* A line when the daemon begins to listen or asks, indented below it what came. `speed` is missing where a port has
 * none (TCP, USB). */
static void show_try(const struct ask *a, const json_t *note)
{
    const char *question = member_text(note, "question");
    double speed = member_number(note, "speed"), bytes = member_number(note, "bytes");
    if (strcmp(member_text(note, "what"), "heard") == 0) {
        if (bytes > 0) {
            fputs("    ", stdout);
            output_say(a->opt->style, stdout, "seek.bytes count=%d", (int)bytes);
            fputc(' ', stdout);
            show_bytes(a, member_text(note, "came"));
        } else {
            fputs("    ", stdout);
            output_line(a->opt->style, "seek.nothing");
        }
        return;
    }
    struct output_style style = a->opt->style;
    output_say(style, stdout, "seek.round pass=%f", member_number(note, "pass"));
    if (speed > 0)
        printf(", %.0f baud", speed);
    struct figure time = figure_of(member_number(note, "ms") / 1000, 1, "s", style);
    if (*question)
        output_line(style, "seek.asked question=%s time=%s", question, time.text);
    else
        output_line(style, "seek.listening time=%s", time.text);
}

/* Other notes of the same connection are not ours to show. Each note is flushed: listening takes seconds, and a
 * person who pipes the output looks on as well. */
static void take_note(const struct ask *a, const json_t *message)
{
    const char *method = json_string_value(json_object_get(message, "method"));
    const json_t *note = json_object_get(message, "params");
    if (!method || strcmp(method, "scale") != 0)
        return;
    if (a->opt->json)
        output_json(note);
    else
        show_try(a, note);
    fflush(stdout);
}

/* Sends the call and shows what comes until its answer is there. SILENCE_MS counts from note to note, not in all:
 * listening at all speeds twice takes minutes, and each of them is told. */
static int seek(struct ask *a, json_t *params, json_t **result)
{
    json_int_t id;
    *result = NULL;
    enum socket_outcome outcome = socket_send(&a->socket, "scale.seek", params, &id);
    while (outcome == SOCKET_OK) {
        json_t *message = NULL;
        outcome = socket_receive(&a->socket, &message, SILENCE_MS);
        const json_t *its_id = json_object_get(message, "id");
        if (outcome == SOCKET_OK && json_is_integer(its_id) && json_integer_value(its_id) == id) {
            const json_t *error = json_object_get(message, "error");
            int code = error ? failure_error(a->opt->style, a->what, error) : 0;
            *result = json_incref(json_object_get(message, "result"));
            json_decref(message);
            return code;
        }
        take_note(a, message);
        json_decref(message);
    }
    return failure_say(a->opt->style, EX_UNAVAILABLE, a->what, "seek_lost");
}

/* The families that read the bytes alike, each with the weight that it reads. */
static void show_candidates(const struct ask *a, const json_t *result)
{
    const json_t *list = member_list(result, "candidates"), *tried = member_list(result, "tried"), *one;
    const char *came = member_text(json_array_get(tried, json_array_size(tried) - 1), "came");
    struct table t;
    size_t i;
    table_init(&t, "rll", a->opt->style);
    json_array_foreach(list, i, one)
    {
        char number[24], reads[64];
        const char *family = json_string_value(one) ? json_string_value(one) : "";
        snprintf(number, sizeof number, "%zu", i + 1);
        family_reads(family, came, reads, sizeof reads);
        table_row(&t, (const char *const[]){number, family,
                                            reads[0] ? reads : words_of(a->opt->style.language, "seek.no_weight")});
    }
    fputc('\n', stdout);
    output_line(a->opt->style, "seek.alike");
    table_print(&t, "  ", stdout);
    table_finish(&t);
}

/* A tie: the person at the terminal chooses by number. NULL: nobody there, or no such number. Without a terminal
 * nobody is asked, and the tie is told as a fault with the names. */
static const char *choose(const struct ask *a, const json_t *result)
{
    char line[32], *end;
    if (a->opt->json)
        return NULL;
    show_candidates(a, result);
    if (!isatty(STDIN_FILENO))
        return NULL;
    output_say(a->opt->style, stdout, "seek.which");
    fputc(' ', stdout);
    fflush(stdout);
    if (!fgets(line, sizeof line, stdin))
        return NULL;
    unsigned long number = strtoul(line, &end, 10);
    return number >= 1 && end != line ? json_string_value(json_array_get(member_list(result, "candidates"), number - 1))
                                      : NULL;
}

/* A port that is named by its file here is given as a whole path: the daemon stands in another folder. `ask` false
 * means that not one byte is sent to the scale. */
static json_t *params_for(const struct poise_options *opt, double speed)
{
    const char *port = opt->word[0];
    char *whole = strchr(port, ':') || port[0] == '/' ? NULL : realpath(port, NULL);
    json_t *params = json_pack("{s:s, s:b, s:i}", "port", whole ? whole : port, "ask", opt->text[OPTION_ASK] != NULL,
                               "passes", ROUNDS);
    if (opt->text[OPTION_SPEED])
        json_object_set_new(params, "speed", json_real(speed));
    free(whole);
    return params;
}

/* The section to paste, line by line: the cleaner would take its line ends for control characters. The daemon's comment
 * on d is English; here it stands in the person's language. */
static void print_section(const struct ask *a, const char *section)
{
    fputc('\n', stdout);
    while (*section) {
        size_t len = strcspn(section, "\n");
        char line[512];
        snprintf(line, sizeof line, "%.*s", (int)len, section);
        char *comment = strncmp(line, "d_g", 3) == 0 ? strstr(line, " ; ") : NULL;
        if (comment)
            *comment = '\0';
        output_text(line, a->opt->style, stdout);
        if (comment)
            output_say(a->opt->style, stdout, "seek.section_d");
        fputc('\n', stdout);
        section += len + (section[len] == '\n');
    }
}

/* A tie with a person at the terminal is sought once more with the family chosen, at the speed where it was heard,
 * so that the section has been proved. 65 is a tie that nobody settled, 75 nothing found: try again. */
static int say_end(struct ask *a, const json_t *params, json_t **result)
{
    const char *chosen = NULL;
    bool tie = json_array_size(member_list(*result, "candidates")) > 1;
    if (tie && (chosen = choose(a, *result))) {
        json_t *again = json_deep_copy(params), *tried = json_object_get(*result, "tried");
        const json_t *last = json_array_get(tried, json_array_size(tried) - 1);
        json_object_set_new(again, "profile", json_string(chosen));
        if (member_number(last, "speed") > 0)
            json_object_set(again, "speed", json_object_get(last, "speed"));
        json_decref(*result);
        int code = seek(a, again, result);
        if (code)
            return code;
    }
    if (a->opt->json)
        output_json(*result);
    if (json_is_true(json_object_get(*result, "found"))) {
        if (!a->opt->json) {
            fputc('\n', stdout);
            output_line(a->opt->style, "seek.found family=%s", member_text(*result, "family"));
            print_section(a, member_text(*result, "section"));
        }
        return 0;
    }
    struct wording why = wording_said(a->opt->style, json_object_get(*result, "said"), member_text(*result, "why"));
    return failure_say(a->opt->style, tie ? EX_DATAERR : EX_TEMPFAIL, a->what, "seek_failed text=%s", why.text);
}

/* A copy of the params goes with the first search: a tie sends them again with the family. */
int command_seek(struct poise_options *opt)
{
    struct ask a;
    json_t *result = NULL;
    double speed = 0;
    int code =
        opt->text[OPTION_SPEED] ? number_read_above_0(opt->style, "--speed", opt->text[OPTION_SPEED], &speed) : 0;
    if (code)
        return code;
    json_t *params = params_for(opt, speed);
    code = ask_open(&a, opt);
    if (code == 0 && !opt->json)
        ask_style(&a); /* before the search: it fills the connection with its notes */
    if (code == 0)
        code = seek(&a, json_deep_copy(params), &result);
    if (code == 0)
        code = say_end(&a, params, &result);
    json_decref(params);
    json_decref(result);
    ask_close(&a);
    return code;
}
