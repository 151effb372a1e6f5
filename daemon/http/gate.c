/* gate.c - hosts, origins, tokens. It must not know the library, nor any method. */
#include "http/gate.h"

#include <ctype.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COOKIE "poise="

/* RIGHT_READ: no role of a token. */
static enum right right_of(const char *name)
{
    for (enum right r = RIGHT_PAINT; r <= RIGHT_OWN; r++)
        if (strcmp(right_names[r], name) == 0)
            return r;
    return RIGHT_READ;
}

/* ---- hosts ---- */

/* port 0: none is written. What finds no room is left out, and so refused: better a name too few than one too many. */
static void add_host(struct http_gate *g, const char *name, size_t len, int port)
{
    if (g->hosts == GATE_HOSTS_MAX || len == 0 || len > sizeof g->host[0] - 8)
        return;
    char *host = g->host[g->hosts++];
    if (port > 0)
        snprintf(host, sizeof g->host[0], "%.*s:%d", (int)len, name, port);
    else
        snprintf(host, sizeof g->host[0], "%.*s", (int)len, name);
    for (char *p = host; *p; p++)
        *p = (char)tolower((unsigned char)*p);
}

/* A name that bears a port already (`bench.local:80`, `[::1]:8470`) is taken as it is. */
static bool has_port(const char *name, size_t len)
{
    const char *colon = memchr(name, ':', len);
    if (name[0] == '[')
        return memmem(name, len, "]:", 2) != NULL;
    return colon && !memchr(colon + 1, ':', len - (size_t)(colon + 1 - name));
}

/* Loopback's own names only where it is served there: behind 0.0.0.0 they would be someone else's machine. `hosts`
 * holds names with one space between them. */
static void add_hosts(struct http_gate *g, const struct gate_settings *s)
{
    bool usual = s->port == (s->tls ? 443 : 80); /* a browser then names no port */
    static const char *const here[] = {"127.0.0.1", "localhost", "[::1]"};
    for (size_t i = 0; s->loopback && i < 3; i++) {
        add_host(g, here[i], strlen(here[i]), s->port);
        if (usual)
            add_host(g, here[i], strlen(here[i]), 0);
    }
    for (const char *p = s->hosts; *p;) {
        size_t n = strcspn(p, " ");
        if (has_port(p, n) || usual)
            add_host(g, p, n, 0);
        if (!has_port(p, n))
            add_host(g, p, n, s->port);
        p += n + (p[n] == ' ');
    }
}

/* Names of hosts know no case (RFC 9110, 4.2.3). */
bool gate_host_fits(const struct http_gate *g, const char *host)
{
    for (size_t i = 0; host && i < g->hosts; i++)
        if (strcasecmp(g->host[i], host) == 0)
            return true;
    return false;
}

/* An Origin is scheme, host and port, as we serve them. */
bool gate_origin_fits(const struct http_gate *g, const char *origin)
{
    const char *scheme = g->tls ? "https://" : "http://";
    return strncmp(origin, scheme, strlen(scheme)) == 0 && gate_host_fits(g, origin + strlen(scheme));
}

/* ---- tokens ---- */

/* Alike for all lengths and contents, so that the time taken tells nothing of a token. */
static bool same(const char *a, const char *b)
{
    unsigned char ha[crypto_generichash_BYTES], hb[crypto_generichash_BYTES];
    crypto_generichash(ha, sizeof ha, (const unsigned char *)a, strlen(a), NULL, 0);
    crypto_generichash(hb, sizeof hb, (const unsigned char *)b, strlen(b), NULL, 0);
    return sodium_memcmp(ha, hb, sizeof ha) == 0;
}

/* A keyed hash: whoever reads a browser's cookie learns nothing of the token, and no list of sessions need be kept. A
 * token taken out of the file ends its cookies with the next start. */
static void make_cookie(struct gate_entry *e)
{
    static const unsigned char purpose[] = "poise cookie";
    unsigned char hash[32], key[crypto_generichash_KEYBYTES];
    crypto_generichash(key, sizeof key, (const unsigned char *)e->token, strlen(e->token), NULL, 0);
    crypto_generichash(hash, sizeof hash, purpose, sizeof purpose - 1, key, sizeof key);
    sodium_bin2hex(e->cookie, sizeof e->cookie, hash, sizeof hash);
}

/* `ROLE TOKEN` a line; blank lines and those that begin with # say nothing. False: *fault. */
static bool take_line(struct http_gate *g, const char *path, char *line, int number, struct fault *fault)
{
    char role[8], token[130], more[2];
    line[strcspn(line, "\r\n")] = '\0';
    if (line[strspn(line, " \t")] == '\0' || line[0] == '#')
        return true;
    int words = sscanf(line, "%7s %129s %1s", role, token, more);
    if (words != 2 || right_of(role) == RIGHT_READ || strlen(token) > 128 || g->entries == GATE_TOKENS_MAX) {
        fault_said(fault, FAULT_INVALID, "token_file", "line", "http_token_line");
        fault_in_file(fault, path, number);
        return false;
    }
    struct gate_entry *e = &g->entry[g->entries++];
    e->right = right_of(role);
    memcpy(e->token, token, strlen(token) + 1);
    make_cookie(e);
    return true;
}

/* A file with a fault or with no token at all ends the start: it must not leave the door open. */
static bool read_tokens(struct http_gate *g, const char *path, struct fault *fault)
{
    FILE *file = fopen(path, "re");
    char *line = NULL;
    size_t room = 0;
    bool fine = file != NULL;
    if (!file)
        return fault_said(fault, FAULT_INVALID, "token_file", "unreadable", "http_token_file path=%s", path);
    for (int number = 1; fine && getline(&line, &room, file) >= 0; number++)
        fine = take_line(g, path, line, number, fault);
    free(line);
    (void)fclose(file);
    if (fine && g->entries == 0)
        return fault_said(fault, FAULT_INVALID, "token_file", "empty", "http_token_none path=%s", path);
    g->file = true;
    return fine;
}

/* 32 bytes of the kernel's random numbers at each start: a page loaded before it has to be loaded anew. */
bool gate_open(struct http_gate *g, const struct gate_settings *settings, struct fault *fault)
{
    unsigned char random[32];
    *g = (struct http_gate){.tls = settings->tls, .right = settings->right};
    if (sodium_init() < 0)
        return fault_said(fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    randombytes_buf(random, sizeof random);
    sodium_bin2hex(g->token, sizeof g->token, random, sizeof random);
    add_hosts(g, settings);
    return !settings->token_file[0] || read_tokens(g, settings->token_file, fault);
}

/* The value of our cookie within a Cookie header, which may hold others. */
static bool cookie_of(const char *header, char out[GATE_TOKEN_ROOM])
{
    for (const char *p = header; p && *p;) {
        p += strspn(p, "; ");
        size_t n = strcspn(p, ";"), name = strlen(COOKIE);
        if (n == name + GATE_TOKEN_ROOM - 1 && strncmp(p, COOKIE, name) == 0) {
            memcpy(out, p + name, GATE_TOKEN_ROOM - 1);
            out[GATE_TOKEN_ROOM - 1] = '\0';
            return true;
        }
        p += n;
    }
    return false;
}

/* All entries are looked at, so that the time tells nothing. The highest right counts where two tokens are one. */
struct http_asker gate_ask(const struct http_gate *g, const char *header, const char *cookie)
{
    char value[GATE_TOKEN_ROOM];
    struct http_asker asker = {
        .known = !g->file, .right = g->file ? RIGHT_READ : g->right, .token = header && same(header, g->token)};
    if (!g->file || !cookie_of(cookie, value))
        return asker;
    for (size_t i = 0; i < g->entries; i++)
        if (same(value, g->entry[i].cookie)) {
            asker.known = true;
            asker.right = g->entry[i].right > asker.right ? g->entry[i].right : asker.right;
        }
    return asker;
}

/* Likewise to the end; the last line of two that bear one token counts. */
const struct gate_entry *gate_enter(const struct http_gate *g, const char *token)
{
    const struct gate_entry *found = NULL;
    for (size_t i = 0; i < g->entries; i++)
        if (same(token, g->entry[i].token))
            found = &g->entry[i];
    return found;
}
