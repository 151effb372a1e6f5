/* The Unix socket: its place, lines in pieces, its limits, and clients that read slowly or not at all. */
#include "tests/unit/rpc/called.h"
#include "tests/unit/rpc/socket.h"

#include <sys/stat.h>

#define BIG (1 << 20)

static void run_big(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    char *text = malloc(BIG + 3);

    (void)d;
    (void)params;
    assert_non_null(text);
    memset(text, 'x', BIG + 2);
    text[0] = text[BIG + 1] = '"';
    text[BIG + 2] = '\0';
    rpc_answer_text(call, text);
    free(text);
}

const struct rpc_method rpc_methods[] = {
    CALLED,
    {.name = "big", .run = run_big},
    {0},
};

static int watcher(struct bench_socket *b)
{
    int fd = socket_client(b->path);

    socket_ask(b, fd, "watch", 0);
    socket_expect(b, fd, 0, "true");
    return fd;
}

static void the_socket_is_for_owner_and_group(void **state)
{
    struct bench_socket *b = *state;
    struct stat st;

    assert_int_equal(0, stat(b->path, &st));
    assert_true(S_ISSOCK(st.st_mode));
    assert_int_equal(0660, st.st_mode & 07777);
}

static void a_call_in_single_bytes_is_answered(void **state)
{
    static const char text[] = "{\"jsonrpc\":\"2.0\",\"id\":5,\"method\":\"echo\",\"params\":{\"n\":12.3}}\n";
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);

    for (size_t i = 0; i < sizeof text - 1; i++) {
        socket_write(b, fd, text + i, 1);
        socket_settle(b);
    }
    socket_expect(b, fd, 5, "12.3");
    close(fd);
}

static void only_a_stale_socket_gives_up_its_place(void **state)
{
    struct bench_socket *b = *state;
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    struct rpc_server *second;
    struct fault fault;
    char path[96], line[200];
    int fd, client;
    FILE *file;

    assert_null(rpc_listen(&b->loop, &b->daemon, b->path, &fault)); /* ours answers there */
    assert_int_equal(FAULT_NOT_PERMITTED, fault.kind);
    assert_string_equal("busy", fault.why);

    snprintf(path, sizeof path, "%s/second", b->dir);
    file = fopen(path, "w"); /* no socket: never removed */
    assert_non_null(file);
    fclose(file);
    assert_null(rpc_listen(&b->loop, &b->daemon, path, &fault));
    assert_int_equal(FAULT_STORE, fault.kind);
    assert_int_equal(0, unlink(path));

    snprintf(address.sun_path, sizeof address.sun_path, "%s", path);
    fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(0, bind(fd, (struct sockaddr *)&address, sizeof address));
    close(fd); /* as one that was killed leaves it */
    second = rpc_listen(&b->loop, &b->daemon, path, &fault);
    assert_non_null(second);
    client = socket_client(path);
    socket_ask(b, client, "echo", 3);
    socket_expect(b, client, 3, "3");
    rpc_close(second, NULL, NULL);
    assert_false(socket_line(b, client, line, sizeof line));
    assert_int_equal(-1, access(path, F_OK));
    close(client);
}

static void a_path_that_does_not_fit_is_refused_and_none_is_cut(void **state)
{
    struct bench_socket *b = *state;
    struct fault fault;
    char path[160];

    memset(path, 'x', sizeof path);
    path[120] = '\0';
    memcpy(path, b->path, strlen(b->path));
    assert_null(rpc_listen(&b->loop, &b->daemon, path, &fault));
    assert_int_equal(FAULT_INVALID, fault.kind);
    path[107] = '\0'; /* the longest that fits */
    {
        struct rpc_server *longest = rpc_listen(&b->loop, &b->daemon, path, &fault);

        assert_non_null(longest);
        assert_int_equal(0, access(path, F_OK));
        rpc_close(longest, NULL, NULL);
    }
    assert_null(rpc_listen(&b->loop, &b->daemon, "", &fault));
    snprintf(path, sizeof path, "%s/none/sock", b->dir);
    assert_null(rpc_listen(&b->loop, &b->daemon, path, &fault));
    assert_int_equal(FAULT_STORE, fault.kind);
}

static void a_line_too_long_ends_that_connection_alone(void **state)
{
    struct bench_socket *b = *state;
    int other = watcher(b), fd = socket_client(b->path);
    size_t len = (size_t)3 * RPC_LINE_MAX;
    char *text = malloc(len), line[400];

    assert_non_null(text);
    memset(text, '[', len);
    socket_ask(b, fd, "echo", 1);
    socket_write(b, fd, text, len);
    socket_expect(b, fd, 1, "1");
    assert_true(socket_line(b, fd, line, sizeof line));
    assert_non_null(strstr(line, "\"id\":null,\"error\":{\"code\":-32600"));
    assert_false(socket_line(b, fd, line, sizeof line));
    free(text);
    close(fd);
    socket_ask(b, other, "echo", 2);
    socket_expect(b, other, 2, "2");
    close(other);
}

static void malformed_lines_leave_the_connection_alive(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);
    char line[400];

    socket_write(b, fd, "rubbish\n\n{}\n", 12);
    for (int i = 0; i < 3; i++) {
        assert_true(socket_line(b, fd, line, sizeof line));
        assert_non_null(strstr(line, i < 2 ? "\"code\":-32700" : "\"code\":-32600"));
    }
    socket_ask(b, fd, "echo", 4);
    socket_expect(b, fd, 4, "4");
    close(fd);
}

static void a_client_that_sends_no_more_still_gets_its_answers(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);
    char line[100];

    socket_ask(b, fd, "later", 1);
    socket_ask(b, fd, "echo", 2);
    shutdown(fd, SHUT_WR);
    socket_expect(b, fd, 2, "2");
    assert_non_null(parked);
    rpc_answer(parked, json_true());
    socket_expect(b, fd, 1, "true");
    assert_false(socket_line(b, fd, line, sizeof line));
    close(fd);
}

static void a_call_outlives_its_client(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path);

    socket_ask(b, fd, "later", 1);
    socket_settle(b);
    assert_non_null(b->server->first);
    close(fd);
    rpc_conn_close(b->server->first);
    socket_settle(b);
    assert_null(b->server->first);
    rpc_answer(parked, json_true());
}

static void calls_sent_far_ahead_are_taken_as_answers_are_read(void **state)
{
    struct bench_socket *b = *state;
    int fd = socket_client(b->path), sent = 0;
    char text[128], want[32];

    for (;; sent++) { /* until not even the kernel takes more */
        int len = snprintf(text, sizeof text,
                           "{\"jsonrpc\":\"2.0\",\"id\":%d,\"method\":\"echo\",\"params\":{\"n\":%d}}\n", sent, sent);
        ssize_t n = send(fd, text, (size_t)len, MSG_NOSIGNAL);

        socket_settle(b);
        if (n < 0)
            break;
        assert_int_equal(len, n);
        assert_true(sent < 100000);
        assert_true(rpc_out_pending(b->server->first) <= RPC_OUT_EASY + 200);
    }
    assert_true(sent > 300);
    for (int i = 0; i < sent; i++) {
        snprintf(want, sizeof want, "%d", i);
        socket_expect(b, fd, i, want);
    }
    close(fd);
}

/* A note of about `size` bytes that carries a number. */
static void publish(struct bench_socket *b, enum hub_note note, int number, size_t size)
{
    char *fill = calloc(1, size + 1);

    assert_non_null(fill);
    memset(fill, '.', size);
    hub_publish(&b->daemon.hub, "bench", note, json_pack("{s:i,s:s}", "number", number, "fill", fill));
    free(fill);
}

static int number_of(const char *line, const char *method)
{
    json_t *note = json_loads(line, 0, NULL);
    int number = (int)json_integer_value(json_object_get(json_object_get(note, "params"), "number"));

    assert_string_equal(method, json_string_value(json_object_get(note, "method")));
    assert_null(json_object_get(note, "id"));
    json_decref(note);
    return number;
}

static void a_client_that_does_not_read_holds_one_weight_and_gets_the_newest(void **state)
{
    struct bench_socket *b = *state;
    int fd = watcher(b), reader = watcher(b), before = -1, count = 0;
    char line[400];

    for (int i = 0; i < 100000; i++) {
        publish(b, HUB_WEIGHT, i, 60);
        if (i % 1000 == 0) {
            socket_settle(b);
            assert_true(socket_line(b, reader, line, sizeof line));
        }
        assert_true(rpc_out_pending(b->server->first) <= 200);
        assert_true(rpc_out_pending(b->server->first->next) <= 200);
    }
    while (before < 99999) {
        int number;

        assert_true(socket_line(b, fd, line, sizeof line));
        number = number_of(line, "weight");
        assert_true(number > before);
        before = number;
        count++;
    }
    assert_true(count < 1000); /* what the kernel held, one on its way, and the newest */
    close(reader);
    close(fd);
}

static void weights_of_two_stations_do_not_displace_each_other(void **state)
{
    struct bench_socket *b = *state;
    int fd = watcher(b), last_bench = -1, last_other = -1;
    char line[400];

    b->server->first->caller.watch(&b->server->first->caller, "other");
    assert_true(hub_watched(&b->daemon.hub, "other"));
    assert_false(hub_watched(&b->daemon.hub, "third"));
    for (int i = 0; i < 1000; i++) {
        publish(b, HUB_WEIGHT, i, 60);
        hub_publish(&b->daemon.hub, "other", HUB_WEIGHT, json_pack("{s:i,s:b}", "number", i, "other", 1));
        hub_publish(&b->daemon.hub, "third", HUB_WEIGHT, json_pack("{s:i}", "number", i));
    }
    while (last_bench < 999 || last_other < 999) {
        assert_true(socket_line(b, fd, line, sizeof line));
        if (strstr(line, "other"))
            last_other = number_of(line, "weight");
        else
            last_bench = number_of(line, "weight");
    }
    close(fd);
}

static void screens_come_each_in_order_or_the_connection_ends(void **state)
{
    struct bench_socket *b = *state;
    int fd = watcher(b), reader = watcher(b), published = 0, got = 0;
    char line[4000];

    while (b->server->first && b->server->first->next) { /* until the one that does not read is dropped */
        size_t first = rpc_out_pending(b->server->first), second = rpc_out_pending(b->server->first->next);

        assert_true(first + second <= RPC_OUT_MAX + 3000);
        publish(b, HUB_SCREEN, published++, 2000);
        assert_true(socket_line(b, reader, line, sizeof line));
        assert_int_equal(published - 1, number_of(line, "screen"));
        assert_true(published < 200);
    }
    assert_true(published > 30); /* 64 KiB waited for it first */
    while (socket_line(b, fd, line, sizeof line))
        if (line[0] == '{' && line[strlen(line) - 1] == '}')
            assert_int_equal(got++, number_of(line, "screen"));
    assert_true(got > 0 && got < published);
    close(fd);
    close(reader);
}

static void a_screen_waits_behind_a_large_answer(void **state)
{
    struct bench_socket *b = *state;
    int fd = watcher(b);
    char *line = malloc(BIG + 200), small[400];

    assert_non_null(line);
    socket_ask(b, fd, "big", 1);
    socket_settle(b);
    for (int i = 0; i < 20; i++)
        publish(b, HUB_SCREEN, i, 200);
    publish(b, HUB_WEIGHT, 77, 10);
    socket_ask(b, fd, "big", 2); /* not begun before the first is taken */
    socket_settle(b);
    assert_true(rpc_out_pending(b->server->first) < BIG + 20000);
    assert_true(socket_line(b, fd, line, BIG + 200));
    assert_true(strlen(line) > BIG);
    for (int i = 0; i < 20; i++) {
        assert_true(socket_line(b, fd, small, sizeof small));
        assert_int_equal(i, number_of(small, "screen"));
    }
    assert_true(socket_line(b, fd, small, sizeof small));
    assert_int_equal(77, number_of(small, "weight"));
    assert_true(socket_line(b, fd, line, BIG + 200));
    assert_non_null(strstr(line, "\"id\":2,"));
    free(line);
    close(fd);
}

static void a_large_answer_that_nobody_takes_is_given_up(void **state)
{
    struct bench_socket *b = *state;
    int fd = watcher(b);
    uint64_t began = uv_now(&b->loop);

    socket_ask(b, fd, "big", 1);
    while (rpc_out_pending(b->server->first) < BIG / 2)
        socket_step(b, -1, 0, began);
    uv_timer_set_repeat(&b->server->first->timer, 1); /* its five seconds, shortened */
    uv_timer_again(&b->server->first->timer);
    while (b->server->first)
        socket_step(b, -1, 0, began);
    close(fd);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(the_socket_is_for_owner_and_group, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(a_call_in_single_bytes_is_answered, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(only_a_stale_socket_gives_up_its_place, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(a_path_that_does_not_fit_is_refused_and_none_is_cut, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(a_line_too_long_ends_that_connection_alone, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(malformed_lines_leave_the_connection_alive, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(a_client_that_sends_no_more_still_gets_its_answers, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(a_call_outlives_its_client, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(calls_sent_far_ahead_are_taken_as_answers_are_read, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(a_client_that_does_not_read_holds_one_weight_and_gets_the_newest, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(weights_of_two_stations_do_not_displace_each_other, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(screens_come_each_in_order_or_the_connection_ends, socket_setup,
                                        socket_teardown),
        cmocka_unit_test_setup_teardown(a_screen_waits_behind_a_large_answer, socket_setup, socket_teardown),
        cmocka_unit_test_setup_teardown(a_large_answer_that_nobody_takes_is_given_up, socket_setup, socket_teardown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
