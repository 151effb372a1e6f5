/* HTTP as contract section 2 has it: who is let in, what is answered, and what a bench sends to its readers.
 *
 * Statuses by RFC 9110; smuggling by RFC 9112, section 11.2; server-sent events by WHATWG HTML, section 9.2.
 */
#include "tests/e2e/http_client.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <netinet/in.h>
#include <sys/socket.h>

#include <cmocka.h>

#define JSON_TYPE "Content-Type: application/json\r\n"
#define BEGIN                                                                                                          \
    "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"batch.begin\",\"params\":{\"station\":\"bench\",\"formula\":\"TI-"     \
    "207\","                                                                                                           \
    "\"coat\":\"ground\",\"grams\":250,\"request\":\"first\"}}"

static int begin(void **state)
{
    const struct harness_setup setup = {.options = {"--port-http", "0"}};
    return harness_begin(state, &setup);
}

static int begin_with_tokens(void **state)
{
    const struct harness_setup setup = {.options = {"--port-http", "0"}};
    int failed = harness_begin(state, &setup);
    struct harness *h = *state;
    char path[HARNESS_PATH + 16];
    harness_stop(h, SIGTERM);
    snprintf(path, sizeof path, "%s/tokens", h->dir);
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs("# who may do what\nown the-owner-s-own-token\npaint a-painter-s-token\n", file);
    fclose(file);
    snprintf(path, sizeof path, "%s/poised.ini", h->dir);
    file = fopen(path, "a");
    assert_non_null(file);
    fputs("[http]\ntoken_file = tokens\n", file);
    fclose(file);
    harness_start(h);
    return failed;
}

/* A key that lives as long as the test. */
static int begin_with_tls(void **state)
{
    const struct harness_setup setup = {.options = {"--port-http", "0"}};
    int failed = harness_begin(state, &setup);
    struct harness *h = *state;
    char path[HARNESS_PATH + 16], command[3 * HARNESS_PATH + 200];
    harness_stop(h, SIGTERM);
    snprintf(
        command, sizeof command,
        "openssl req -x509 -newkey rsa:2048 -nodes -days 2 -subj /CN=localhost -keyout %s/key.pem -out %s/cert.pem "
        "2>/dev/null && chmod 600 %s/key.pem",
        h->dir, h->dir, h->dir);
    assert_int_equal(system(command), 0);
    snprintf(path, sizeof path, "%s/poised.ini", h->dir);
    FILE *file = fopen(path, "a");
    assert_non_null(file);
    fputs("[http]\ncert = cert.pem\nkey = key.pem\n", file);
    fclose(file);
    harness_start(h);
    return failed;
}

static int end(void **state)
{
    return harness_end(state);
}

/* The kind of the first record that answers a ClientHello (RFC 5246 section 7.4.1.2) of TLS 1.`minor - 1`: 22 it goes
 * on, 21 an alert. One suite, TLS_RSA_WITH_AES_128_CBC_SHA, which every version from 1.0 to 1.2 has. */
static int answers_tls(struct harness *h, unsigned char minor)
{
    unsigned char hello[50] = {22, 3, 1, 0, 45, 1, 0, 0, 41, 3, minor}, kind = 0;
    const unsigned char rest[] = {0, 0, 2, 0, 0x2f, 1, 0}; /* no session, one suite, no compression */
    memset(hello + 11, 7, 32);
    memcpy(hello + 43, rest, sizeof rest);
    struct http_client *c = http_client_open(h);
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)c->port)};
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    http_client_close(c);
    int fd = socket(AF_INET, SOCK_STREAM, 0);
    assert_int_equal(connect(fd, (struct sockaddr *)&to, sizeof to), 0);
    assert_int_equal(write(fd, hello, sizeof hello), sizeof hello);
    ssize_t n = read(fd, &kind, 1);
    close(fd);
    return n == 1 ? kind : 0;
}

static void what_is_older_than_tls_1_2_is_refused(void **state)
{
    assert_int_equal(answers_tls(*state, 3), 22);
    assert_int_not_equal(answers_tls(*state, 2), 22);
    assert_int_not_equal(answers_tls(*state, 1), 22);
}

static void strangers_are_turned_away(void **state)
{
    struct harness *h = *state;
    struct http_client *c = http_client_open(h);
    char value[128];
    http_client_send(c, "GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n", 39);
    assert_int_equal(http_client_answer(c, true), 421);
    http_client_close(c);
    assert_int_equal(http_client_ask(h, "GET", "/", "Origin: http://evil.example\r\n", "", NULL), 403);
    assert_int_equal(http_client_ask(h, "GET", "/", "Origin: null\r\n", "", NULL), 403);
    assert_int_equal(http_client_ask(h, "GET", "/", "Host: evil.example\r\n", "", NULL), 400); /* two of them */
    assert_int_equal(http_client_ask(h, "POST", "/rpc", JSON_TYPE "Transfer-Encoding: chunked\r\n", "0\r\n\r\n", NULL),
                     400);
    c = http_client_open(h);
    char text[128];
    int n = snprintf(text, sizeof text, "GET / HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n", c->port);
    http_client_send(c, text, (size_t)n);
    assert_int_equal(http_client_answer(c, true), 200);
    assert_non_null(
        strstr(http_client_header(c, "Content-Security-Policy", value, sizeof value), "default-src 'self'"));
    assert_string_equal(http_client_header(c, "X-Content-Type-Options", value, sizeof value), "nosniff");
    assert_string_equal(http_client_header(c, "Cache-Control", value, sizeof value), "no-store");
    assert_string_equal(http_client_header(c, "Access-Control-Allow-Origin", value, sizeof value), "");
    http_client_close(c);
}

/* RFC 9112, 5.1, 5.2 and 11.2: what one program takes for a length or a coding and another does not. */
static void a_head_that_programs_read_differently_is_refused(void **state)
{
    static const char *const foul[] = {
        "Transfer-Encoding : chunked\r\n",
        "Transfer-Encoding:\r\n chunked\r\n",
        "Content-Length\t: 5\r\n",
        "Content-Length: 2\r\n",
        "Bad Name: x\r\n",
        "Host : evil.example\r\n",
    };
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof foul / sizeof *foul; i++)
        assert_int_equal(http_client_ask(h, "POST", "/rpc", foul[i], "{}", NULL), 400);
    struct http_client *c = http_client_open(h); /* no length at all, and a coding of which nobody knows the end */
    char text[160];
    int n = snprintf(text, sizeof text,
                     "POST /rpc HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n" JSON_TYPE "Transfer-Encoding: xchunked\r\n\r\n",
                     c->port);
    http_client_send(c, text, (size_t)n);
    assert_int_equal(http_client_answer(c, true), 400);
    http_client_close(c);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", JSON_TYPE "X-Other: with a\ttab\r\n", "{}", NULL), 200);
}

static void paths_and_verbs(void **state)
{
    struct harness *h = *state;
    char *text;
    assert_int_equal(http_client_ask(h, "GET", "/no/such", "", "", NULL), 404);
    assert_int_equal(http_client_ask(h, "GET", "/page/../poised.ini", "", "", NULL), 404);
    assert_int_equal(http_client_ask(h, "GET", "/rpc", "", "", NULL), 405);
    assert_int_equal(http_client_ask(h, "POST", "/", JSON_TYPE, "{}", NULL), 405);
    assert_int_equal(http_client_ask(h, "HEAD", "/", "", "", NULL), 200);
    assert_int_equal(http_client_ask(h, "HEAD", "/events", "", "", NULL), 200);
    assert_int_equal(http_client_ask(h, "GET", "/events?station=nobody", "", "", NULL), 404);
    assert_int_equal(http_client_ask(h, "GET", "/healthz", "", "", &text), 200);
    assert_string_equal(text, "ok\n");
    free(text);
    assert_int_equal(http_client_ask(h, "GET", "/metrics", "", "", &text), 200);
    assert_non_null(strstr(text, "poise_scale_live{station=\"bench\"} "));
    free(text);
    assert_int_equal(http_client_ask(h, "GET", "/words/de.json", "", "", &text), 200);
    json_t *words = json_loads(text, 0, NULL);
    assert_non_null(json_string_value(json_object_get(words, "cue.pour")));
    json_decref(words);
    free(text);
}

/* RFC 3986, 2.1 and 2.2: an escape is read once, and one of a separator is no separator; a NUL ends no name. */
static void a_disguised_path_is_no_file(void **state)
{
    static const char *const paths[] = {
        "/page/app.js%00.css",
        "/page/app.js%00",
        "/%00",
        "/shop%00x",
        "/page%2fapp.js",
        "/page%2Fapp.js",
        "/page/%2e%2e/page/app.js",
        "/page/../shop",
        "/page/..%5capp.js",
        "/page/%2561pp.js",
        "/page/app.js%2500",
        "//page/app.js",
        "/page//app.js",
        "/page/app.js/",
        "/words/en.json%00.js",
        "/icons/../app.js",
        "/healthz%00",
        "/page/app.js%",
        "/page/%zzapp.js",
        "http://evil.example/",
    };
    struct harness *h = *state;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++)
        if (http_client_ask(h, "GET", paths[i], "", "", NULL) != 404)
            fail_msg("%s is answered", paths[i]);
    assert_int_equal(http_client_ask(h, "GET", "/page/%61pp.js", "", "", NULL), 200);
    assert_int_equal(http_client_ask(h, "HEAD", "/events?station=%62ench", "", "", NULL), 200);
    assert_int_equal(http_client_ask(h, "GET", "/events?station=bench%00", "", "", NULL), 404);
}

static void a_body_is_json_and_of_bounded_size(void **state)
{
    struct harness *h = *state;
    size_t size = 65537;
    char *large = malloc(size + 1);
    assert_non_null(large);
    memset(large, ' ', size);
    large[size] = '\0';
    assert_int_equal(http_client_ask(h, "POST", "/rpc", "Content-Type: text/plain\r\n", "{}", NULL), 415);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", "", "{}", NULL), 415);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", JSON_TYPE, large, NULL), 413);
    assert_int_equal(
        http_client_ask(h, "POST", "/rpc", JSON_TYPE, "{\"jsonrpc\":\"2.0\",\"method\":\"daemon.info\"}", NULL), 204);
    free(large);
}

static void only_a_token_may_change_something(void **state)
{
    struct harness *h = *state;
    char token[80], header[160], *text;
    assert_int_equal(http_client_ask(h, "POST", "/rpc", JSON_TYPE, BEGIN, &text), 403);
    assert_non_null(strstr(text, "-32006"));
    free(text);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", JSON_TYPE "X-Poise-Token: 00\r\n", BEGIN, NULL), 403);
    http_client_token(h, token);
    snprintf(header, sizeof header, JSON_TYPE "X-Poise-Token: %s\r\n", token);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", header, BEGIN, &text), 200);
    assert_non_null(strstr(text, "\"state\":\"cup\""));
    free(text);
    assert_int_equal(http_client_ask(h, "GET", "/label/1.pdf?size=62x29", "", "", &text), 200);
    assert_memory_equal(text, "%PDF", 4);
    free(text);
    assert_int_equal(http_client_ask(h, "GET", "/label/99.pdf", "", "", NULL), 404);
    static const char *const no_size[] = {"0x0", "-62x29", "62x29x1", "62", "999x29", "62X29"};
    for (size_t i = 0; i < sizeof no_size / sizeof *no_size; i++) {
        char path[64];
        snprintf(path, sizeof path, "/label/1.pdf?size=%s", no_size[i]);
        assert_int_equal(http_client_ask(h, "GET", path, "", "", NULL), 404);
    }
}

/* It was never answered, since the drawing had failed before the request began to wait for it. */
static void a_label_without_room_for_its_file_is_refused(void **state)
{
    struct harness *h = *state;
    char token[80], header[200], *text;
    assert_int_equal(harness_stop(h, SIGTERM), 0);
    setenv("TMPDIR", "/no/such/folder", 1);
    harness_start(h);
    unsetenv("TMPDIR");
    http_client_token(h, token);
    snprintf(header, sizeof header, JSON_TYPE "X-Poise-Token: %s\r\n", token);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", header, BEGIN, NULL), 200);
    assert_int_equal(http_client_ask(h, "GET", "/label/1.pdf", "", "", &text), 500);
    assert_non_null(strstr(text, "no room for the label's file"));
    free(text);
}

static void a_reader_gets_the_screen_and_then_each_weight(void **state)
{
    struct harness *h = *state;
    struct http_client *c = http_client_open(h);
    char text[160];
    int n = snprintf(text, sizeof text, "GET /events?station=bench HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n", c->port);
    http_client_send(c, text, (size_t)n);
    json_t *screen = http_client_event(c, "screen");
    assert_string_equal(json_string_value(json_object_get(screen, "state")), "idle");
    json_decref(screen);
    harness_weigh(h, "bench", 12.3);
    for (bool seen = false; !seen;) {
        json_t *weight = http_client_event(c, "weight");
        assert_non_null(weight);
        seen = json_number_value(json_object_get(weight, "weight_g")) == 12.3;
        json_decref(weight);
    }
    harness_act(h, "bench", "batch.begin",
                json_pack("{s:s,s:s,s:i}", "formula", "TI-207", "coat", "ground", "grams", 250));
    for (bool seen = false; !seen;) {
        json_t *next = http_client_event(c, "screen");
        assert_non_null(next);
        seen = strcmp(json_string_value(json_object_get(next, "state")), "cup") == 0;
        json_decref(next);
    }
    assert_int_equal(harness_stop(h, SIGTERM), 0); /* with a reader on the line */
    json_t *none = http_client_event(c, "screen");
    json_decref(none);
    http_client_close(c);
}

/* More of them than there are connections: the longest idle one gives way and hears it, whoever asks is answered. */
static void heads_that_never_end_keep_nobody_out(void **state)
{
    enum { SLOW = 300 };
    struct harness *h = *state;
    struct http_client *slow[SLOW];
    for (size_t i = 0; i < SLOW; i++) {
        slow[i] = http_client_open(h);
        http_client_send(slow[i], "GET / HTTP/1.1\r\nHost: ", 22);
    }
    assert_int_equal(http_client_ask(h, "GET", "/healthz", "", "", NULL), 200);
    assert_int_equal(http_client_answer(slow[0], true), 503);
    assert_int_equal(http_client_ask(h, "GET", "/", "", "", NULL), 200);
    for (size_t i = 0; i < SLOW; i++)
        http_client_close(slow[i]);
}

/* Readers that never read are never idle: they have a share, and the rest is for whoever asks. */
static void readers_of_events_leave_room_for_others(void **state)
{
    enum { READERS = 192 }; /* three quarters of the connections */
    struct harness *h = *state;
    struct http_client *reader[READERS];
    char text[160];
    for (size_t i = 0; i < READERS; i++) {
        reader[i] = http_client_open(h);
        int n = snprintf(text, sizeof text, "GET /events HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n\r\n", reader[i]->port);
        http_client_send(reader[i], text, (size_t)n);
        json_decref(http_client_event(reader[i], "screen"));
    }
    assert_int_equal(http_client_ask(h, "GET", "/events", "", "", NULL), 503);
    assert_int_equal(http_client_ask(h, "GET", "/healthz", "", "", NULL), 200);
    for (size_t i = 0; i < READERS; i++)
        http_client_close(reader[i]);
}

static void with_a_token_file_a_token_is_entered_first(void **state)
{
    struct harness *h = *state;
    char *text, header[512], token[80], cookie[160];
    assert_int_equal(http_client_ask(h, "GET", "/", "", "", &text), 200);
    assert_non_null(strstr(text, "name=\"poise-token\" content=\"\""));
    free(text);
    assert_int_equal(http_client_ask(h, "GET", "/events?station=bench", "", "", NULL), 403);
    assert_int_equal(http_client_ask(h, "GET", "/no/such", "", "", NULL), 403);
    assert_int_equal(http_client_ask(h, "POST", "/enter", JSON_TYPE, "{\"token\":\"guess\"}", NULL), 403);
    struct http_client *c = http_client_open(h);
    int n = snprintf(header, sizeof header,
                     "POST /enter HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n" JSON_TYPE "Content-Length: 34\r\n\r\n"
                     "{\"token\":\"the-owner-s-own-token\"} ",
                     c->port);
    http_client_send(c, header, (size_t)n);
    assert_int_equal(http_client_answer(c, true), 200);
    http_client_header(c, "Set-Cookie", cookie, sizeof cookie);
    assert_non_null(strstr(cookie, "HttpOnly; SameSite=Strict"));
    json_t *answer = json_loads(c->body, 0, NULL);
    snprintf(token, sizeof token, "%s", json_string_value(json_object_get(answer, "token")));
    json_decref(answer);
    http_client_close(c);
    cookie[strcspn(cookie, ";")] = '\0';
    snprintf(header, sizeof header, JSON_TYPE "Cookie: a=b; %s\r\nX-Poise-Token: %s\r\n", cookie, token);
    assert_int_equal(http_client_ask(h, "POST", "/rpc", header, BEGIN, NULL), 200);
    snprintf(header, sizeof header, JSON_TYPE "X-Poise-Token: %s\r\n", token); /* no cookie */
    assert_int_equal(http_client_ask(h, "POST", "/rpc", header, BEGIN, NULL), 403);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(strangers_are_turned_away, begin, end),
        cmocka_unit_test_setup_teardown(a_head_that_programs_read_differently_is_refused, begin, end),
        cmocka_unit_test_setup_teardown(paths_and_verbs, begin, end),
        cmocka_unit_test_setup_teardown(a_disguised_path_is_no_file, begin, end),
        cmocka_unit_test_setup_teardown(a_body_is_json_and_of_bounded_size, begin, end),
        cmocka_unit_test_setup_teardown(only_a_token_may_change_something, begin, end),
        cmocka_unit_test_setup_teardown(a_label_without_room_for_its_file_is_refused, begin, end),
        cmocka_unit_test_setup_teardown(a_reader_gets_the_screen_and_then_each_weight, begin, end),
        cmocka_unit_test_setup_teardown(heads_that_never_end_keep_nobody_out, begin, end),
        cmocka_unit_test_setup_teardown(readers_of_events_leave_room_for_others, begin, end),
        cmocka_unit_test_setup_teardown(what_is_older_than_tls_1_2_is_refused, begin_with_tls, end),
        cmocka_unit_test_setup_teardown(with_a_token_file_a_token_is_entered_first, begin_with_tokens, end),
    };
    return cmocka_run_group_tests_name("http", tests, NULL, NULL);
}
