/* http_client.c - HTTP by hand, for tests. It knows no path. */
#include "tests/e2e/http_client.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

struct http_client *http_client_open(struct harness *h)
{
    struct http_client *c = calloc(1, sizeof *c);
    assert_non_null(c);
    const char *at = strstr(h->ready, " http=127.0.0.1:");
    assert_non_null(at);
    c->port = atoi(at + strlen(" http=127.0.0.1:"));
    struct sockaddr_in to = {.sin_family = AF_INET, .sin_port = htons((uint16_t)c->port)};
    to.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    c->fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_true(c->fd >= 0);
    assert_int_equal(connect(c->fd, (struct sockaddr *)&to, sizeof to), 0);
    return c;
}

void http_client_close(struct http_client *c)
{
    close(c->fd);
    free(c->body);
    free(c);
}

bool http_client_send(struct http_client *c, const void *bytes, size_t len)
{
    for (size_t at = 0; at < len;) {
        ssize_t n = send(c->fd, (const char *)bytes + at, len - at, MSG_NOSIGNAL);
        if (n <= 0)
            return false;
        at += (size_t)n;
    }
    return true;
}

/* More of what the daemon sends; false: its end. */
static bool more(struct http_client *c)
{
    struct pollfd p = {.fd = c->fd, .events = POLLIN};
    assert_int_equal(poll(&p, 1, 20000), 1);
    assert_true(c->len + 1 < sizeof c->inbox);
    ssize_t n = recv(c->fd, c->inbox + c->len, sizeof c->inbox - 1 - c->len, 0);
    if (n <= 0)
        return false;
    c->len += (size_t)n;
    c->inbox[c->len] = '\0';
    return true;
}

const char *http_client_header(struct http_client *c, const char *name, char *out, size_t size)
{
    size_t len = strlen(name);
    out[0] = '\0';
    for (const char *line = strchr(c->head, '\n'); line; line = strchr(line + 1, '\n'))
        if (strncasecmp(line + 1, name, len) == 0 && line[1 + len] == ':')
            snprintf(out, size, "%.*s", (int)strcspn(line + len + 3, "\r"), line + len + 3);
    return out;
}

int http_client_answer(struct http_client *c, bool with_body)
{
    char value[32], *end;
    memmove(c->inbox, c->inbox, c->len);
    while (!(end = memmem(c->inbox, c->len, "\r\n\r\n", 4)))
        if (!more(c))
            return c->status = 0;
    size_t head = (size_t)(end - c->inbox) + 4;
    assert_true(head < sizeof c->head);
    memcpy(c->head, c->inbox, head);
    c->head[head] = '\0';
    assert_int_equal(sscanf(c->head, "HTTP/1.1 %d", &c->status), 1);
    c->body_len =
        with_body ? (size_t)strtoul(http_client_header(c, "Content-Length", value, sizeof value), NULL, 10) : 0;
    while (c->len < head + c->body_len)
        if (!more(c))
            break;
    free(c->body);
    c->body = strndup(c->inbox + head, c->body_len);
    c->len -= head + c->body_len;
    memmove(c->inbox, c->inbox + head + c->body_len, c->len + 1);
    return c->status;
}

int http_client_ask(struct harness *h, const char *verb, const char *path, const char *headers, const char *body,
                    char **answer)
{
    struct http_client *c = http_client_open(h);
    char *text;
    int n = asprintf(&text, "%s %s HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n%sContent-Length: %zu\r\n\r\n%s", verb, path,
                     c->port, headers, strlen(body), body);
    assert_true(n > 0);
    http_client_send(c, text, (size_t)n);
    free(text);
    int status = http_client_answer(c, strcmp(verb, "HEAD") != 0);
    if (answer) {
        *answer = c->body;
        c->body = NULL;
    }
    http_client_close(c);
    return status;
}

/* Chunks are glued: their sizes stand on lines of their own and are dropped here, one read at a time. */
json_t *http_client_event(struct http_client *c, const char *name)
{
    char begin[64];
    snprintf(begin, sizeof begin, "event: %s\ndata: ", name);
    for (;;) {
        char *at = strstr(c->inbox, begin), *end = at ? strstr(at, "\n\n") : NULL;
        if (end) {
            char *data = at + strlen(begin), *out = malloc((size_t)(end - data) + 1), *to = out;
            assert_non_null(out);
            for (char *p = data; p < end; p++) {
                if (p[0] == '\r' && p[1] == '\n') /* the end of one chunk and the size of the next */
                    p = strstr(p + 2, "\r\n") + 1;
                else
                    *to++ = *p;
            }
            *to = '\0';
            json_t *json = json_loads(out, 0, NULL);
            free(out);
            c->len -= (size_t)(end + 2 - c->inbox);
            memmove(c->inbox, end + 2, c->len + 1);
            assert_non_null(json);
            return json;
        }
        if (!more(c))
            return NULL;
    }
}

void http_client_token(struct harness *h, char out[80])
{
    char *page;
    assert_int_equal(http_client_ask(h, "GET", "/", "", "", &page), 200);
    const char *at = strstr(page, "name=\"poise-token\" content=\"");
    assert_non_null(at);
    at += strlen("name=\"poise-token\" content=\"");
    snprintf(out, 80, "%.*s", (int)strcspn(at, "\""), at);
    free(page);
}
