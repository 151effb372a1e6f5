/* Commands against a daemon played by this test: a thread that answers line by line from a script, hangs up where the
 * script says so, and keeps what it was sent. */
#include "client/options.h"

#include <jansson.h>
#include <pthread.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <cmocka.h>

enum { LINES = 12 };

/* `@` stands for the id of the call; `hang up`: no answer, the connection ends. */
struct played {
    const char *answers[LINES];
    char *heard[LINES];
    size_t count;
    int listener;
    char dir[64], path[96];
    pthread_t thread;
};

static void answer(FILE *to, const char *text, json_int_t id)
{
    for (; *text; text++)
        if (*text == '@')
            fprintf(to, "%" JSON_INTEGER_FORMAT, id);
        else
            fputc(*text, to);
    fputc('\n', to);
    fflush(to);
}

/* One connection after another until the script is at its end. */
static void *play(void *arg)
{
    struct played *p = arg;
    while (p->count < LINES && p->answers[p->count]) {
        int fd = accept(p->listener, NULL, NULL);
        if (fd < 0)
            return NULL;
        FILE *from = fdopen(fd, "r"), *to = fdopen(dup(fd), "w");
        char line[8192];
        while (from && to && p->count < LINES && p->answers[p->count] && fgets(line, sizeof line, from)) {
            json_t *call = json_loads(line, 0, NULL);
            json_int_t id = json_integer_value(json_object_get(call, "id"));
            const char *text = p->answers[p->count];
            json_decref(call);
            p->heard[p->count++] = strdup(line);
            if (strcmp(text, "hang up") == 0)
                break;
            answer(to, text, id);
        }
        if (to)
            fclose(to);
        if (from)
            fclose(from);
    }
    return NULL;
}

static void play_begin(struct played *p)
{
    snprintf(p->dir, sizeof p->dir, "/tmp/poise-XXXXXX");
    assert_non_null(mkdtemp(p->dir));
    snprintf(p->path, sizeof p->path, "%s/sock", p->dir);
    struct sockaddr_un at = {.sun_family = AF_UNIX};
    snprintf(at.sun_path, sizeof at.sun_path, "%s", p->path);
    p->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(bind(p->listener, (struct sockaddr *)&at, sizeof at), 0);
    assert_int_equal(listen(p->listener, 4), 0);
    assert_int_equal(pthread_create(&p->thread, NULL, play, p), 0);
}

static void play_end(struct played *p)
{
    shutdown(p->listener, SHUT_RDWR); /* wakes a thread that waits for a connection */
    pthread_join(p->thread, NULL);
    close(p->listener);
    unlink(p->path);
    rmdir(p->dir);
    for (size_t i = 0; i < p->count; i++)
        free(p->heard[i]);
}

/* The member of a call that was heard, as JSON text; to be freed. */
static char *member(const struct played *p, size_t call, const char *name)
{
    json_t *v = call < p->count ? json_loads(p->heard[call], 0, NULL) : NULL;
    json_t *params = json_object_get(v, "params");
    json_t *one = json_object_get(params, name) ? json_object_get(params, name) : json_object_get(v, name);
    char *text = one ? json_dumps(one, JSON_ENCODE_ANY | JSON_COMPACT) : strdup("(none)");
    json_decref(v);
    return text;
}

static void expect(const struct played *p, size_t call, const char *name, const char *json)
{
    char *text = member(p, call, name);
    if (strcmp(text, json) != 0)
        fail_msg("call %zu: %s is %s, want %s", call, name, text, json);
    free(text);
}

struct heard {
    int code;
    char out[4096], err[1024];
};

static int redirect(int fd, FILE *to)
{
    int kept = dup(fd);
    assert_true(to && kept >= 0 && dup2(fileno(to), fd) >= 0);
    return kept;
}

static void take_back(int fd, int kept, FILE *from, char *text, size_t size)
{
    dup2(kept, fd);
    close(kept);
    rewind(from);
    text[fread(text, 1, size - 1, from)] = '\0';
    fclose(from);
}

/* `poise LINE --socket ...`, in this process. */
static struct heard run(const struct played *p, const char *line)
{
    static char words[512];
    char *argv[32] = {"poise", "--socket", (char *)(uintptr_t)p->path};
    int argc = 3;
    struct poise_options opt;
    struct heard h = {0};
    snprintf(words, sizeof words, "%s", line);
    for (char *w = strtok(words, " "); w; w = strtok(NULL, " "))
        argv[argc++] = w;
    FILE *out = tmpfile(), *err = tmpfile();
    fflush(stdout);
    fflush(stderr);
    int kept_out = redirect(STDOUT_FILENO, out), kept_err = redirect(STDERR_FILENO, err);
    h.code = options_parse(&opt, argc, argv);
    if (h.code == 0)
        h.code = opt.command->run(&opt);
    fflush(stdout);
    fflush(stderr);
    take_back(STDOUT_FILENO, kept_out, out, h.out, sizeof h.out);
    take_back(STDERR_FILENO, kept_err, err, h.err, sizeof h.err);
    return h;
}

static const char one_station[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"stations\":[\"bench\"]}}";
static const char screen_5[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"pour\","
                               "\"revision\":5}}";
static const char screen_6[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"station\":\"bench\",\"state\":\"done\","
                               "\"revision\":6}}";

static void an_act_names_station_revision_and_request(void **state)
{
    struct played p = {.answers = {one_station, screen_5, screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept --lot A17 --json");
    assert_int_equal(h.code, 0);
    assert_int_equal(p.count, 3);
    expect(&p, 2, "method", "\"batch.accept\"");
    expect(&p, 2, "station", "\"bench\"");
    expect(&p, 2, "revision", "5");
    expect(&p, 2, "lot", "\"A17\"");
    char *request = member(&p, 2, "request");
    assert_int_equal(strlen(request), 33 + 2);
    free(request);
    assert_string_equal(h.out, "{\"station\":\"bench\",\"state\":\"done\",\"revision\":6}\n");
    play_end(&p);
}

static void a_lost_answer_is_asked_for_once_more(void **state)
{
    struct played p = {.answers = {one_station, screen_5, "hang up", screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept --json");
    assert_int_equal(h.code, 0);
    assert_int_equal(p.count, 4);
    char *first = member(&p, 2, "request"), *second = member(&p, 3, "request");
    assert_string_equal(first, second);
    expect(&p, 3, "method", "\"batch.accept\"");
    expect(&p, 3, "revision", "5");
    free(first);
    free(second);
    play_end(&p);
}

static void lost_twice_is_69(void **state)
{
    struct played p = {.answers = {one_station, screen_5, "hang up", "hang up"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "accept");
    assert_int_equal(h.code, 69);
    assert_int_equal(p.count, 4); /* and not a fifth time */
    assert_non_null(strstr(h.err, "poise: accept: the daemon was lost before it answered"));
    play_end(&p);
}

static void a_refusal_is_its_exit_code_and_no_second_try(void **state)
{
    struct played p = {.answers = {one_station, screen_5,
                                   "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32003,\"message\":\"moved on\","
                                   "\"data\":{\"help\":\"Look again.\",\"revision\":6}}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "undo");
    assert_int_equal(h.code, 75);
    assert_string_equal(h.err, "poise: undo: moved on. Look again.\n");
    assert_string_equal(h.out, "");
    play_end(&p);
}

static void several_stations_must_be_told_apart(void **state)
{
    struct played p = {.answers = {"{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"stations\":[\"bench\",\"back\"]}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "status");
    assert_int_equal(h.code, 64);
    assert_non_null(strstr(h.err, "bench, back"));
    assert_non_null(strstr(h.err, "--station"));
    play_end(&p);
}

static void notes_and_other_answers_are_no_answer(void **state)
{
    static const char mixed[] = "{\"jsonrpc\":\"2.0\",\"method\":\"weight\",\"params\":{\"station\":\"bench\"}}\n"
                                "{\"jsonrpc\":\"2.0\",\"id\":999,\"result\":{\"stations\":[]}}\n"
                                "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"scales\":[{\"station\":\"x\"}]}}";
    struct played p = {.answers = {mixed}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "scales --json");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"station\":\"x\"}\n");
    play_end(&p);
}

static void what_is_no_json_is_no_daemon(void **state)
{
    struct played p = {.answers = {"HTTP/1.1 400 Bad Request"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "scales");
    assert_int_equal(h.code, 69);
    assert_non_null(strstr(h.err, "speaks no JSON-RPC"));
    play_end(&p);
}

static void a_code_may_be_a_product(void **state)
{
    static const char unknown[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32001,\"message\":\"no formula\"}}";
    static const char product[] = "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"id\":\"CLEAR-40\"}}";
    struct played p = {.answers = {unknown, product, one_station, screen_5, screen_6}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "begin CLEAR-40 --ml 400 --json");
    assert_int_equal(h.code, 0);
    expect(&p, 0, "method", "\"formula.get\"");
    expect(&p, 1, "method", "\"product.get\"");
    expect(&p, 4, "product", "\"CLEAR-40\"");
    expect(&p, 4, "formula", "(none)");
    expect(&p, 4, "ml", "400");
    play_end(&p);
}

static void a_code_that_is_neither_is_65(void **state)
{
    static const char unknown[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32001,\"message\":\"no formula X\"}}";
    struct played p = {.answers = {unknown, unknown}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "begin X --grams 100");
    assert_int_equal(h.code, 65);
    assert_string_equal(h.err, "poise: begin: no formula X.\n");
    play_end(&p);
}

static void lists_are_read_to_their_end(void **state)
{
    static const char page_1[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"formulas\":[{\"code\":\"A\"}],\"next\":\"A\"}}";
    static const char page_2[] =
        "{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"formulas\":[{\"code\":\"B\"}],\"next\":null}}";
    struct played p = {.answers = {page_1, page_2}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "formulas --json");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"code\":\"A\"}\n{\"code\":\"B\"}\n");
    expect(&p, 1, "after", "\"A\"");
    play_end(&p);
}

static void call_hands_through_result_and_error(void **state)
{
    struct played p = {
        .answers = {"{\"jsonrpc\":\"2.0\",\"id\":@,\"result\":{\"reducer_g\":26,\"reducer_ml\":29.545455}}",
                    "{\"jsonrpc\":\"2.0\",\"id\":@,\"error\":{\"code\":-32007,\"message\":\"full\"}}"}};
    (void)state;
    play_begin(&p);
    struct heard h = run(&p, "call mix.reduce {\"pct\":10}");
    assert_int_equal(h.code, 0);
    assert_string_equal(h.out, "{\"reducer_g\":26,\"reducer_ml\":29.545455}\n");
    expect(&p, 0, "pct", "10");
    h = run(&p, "call batch.accept");
    assert_int_equal(h.code, 74);
    assert_string_equal(h.out, "");
    assert_string_equal(h.err, "{\"code\":-32007,\"message\":\"full\"}\n");
    play_end(&p);
}

static void no_daemon_is_69_and_one_line(void **state)
{
    struct played p = {.path = "/nowhere/poised.sock"};
    (void)state;
    struct heard h = run(&p, "status");
    assert_int_equal(h.code, 69);
    assert_non_null(strstr(h.err, "poise: /nowhere/poised.sock: "));
    assert_ptr_equal(strchr(h.err, '\n'), h.err + strlen(h.err) - 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_act_names_station_revision_and_request),
        cmocka_unit_test(a_lost_answer_is_asked_for_once_more),
        cmocka_unit_test(lost_twice_is_69),
        cmocka_unit_test(a_refusal_is_its_exit_code_and_no_second_try),
        cmocka_unit_test(several_stations_must_be_told_apart),
        cmocka_unit_test(notes_and_other_answers_are_no_answer),
        cmocka_unit_test(what_is_no_json_is_no_daemon),
        cmocka_unit_test(a_code_may_be_a_product),
        cmocka_unit_test(a_code_that_is_neither_is_65),
        cmocka_unit_test(lists_are_read_to_their_end),
        cmocka_unit_test(call_hands_through_result_and_error),
        cmocka_unit_test(no_daemon_is_69_and_one_line),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
