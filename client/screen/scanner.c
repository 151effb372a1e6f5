/* scanner.c - tells a reader's keys from a hand's. It must not know what a key asks for, nor what a code is. */
#include "client/screen/scanner.h"

#include "text/utf8.h"

#include <string.h>
#include <unistr.h>

/* An amount, however fast it was typed: a number pad's keys may come at once over a slow line. */
static bool is_figure(const struct scanner *r)
{
    bool figure = r->n <= 7;
    for (size_t i = 0; i < r->n && figure; i++)
        figure = (r->held[i].c >= '0' && r->held[i].c <= '9') || r->held[i].c == '.' || r->held[i].c == ',';
    return figure;
}

/* An Enter ends a code only where enough came before it, and fast enough; else it is the bench's own, and what was held
 * goes first, in the order in which it was pressed. */
bool scanner_is_over(const struct scanner *r, const struct press *press, int64_t now_ms)
{
    int64_t since_ms = now_ms - r->last_ms;
    if (r->n == 0)
        return false;
    if (!press)
        return since_ms >= SCANNER_HELD_MS;
    bool code = press->kind == PRESS_ENTER && r->n >= SCANNER_LEAST && !(r->in_field && is_figure(r));
    bool more = press->kind == PRESS_CHAR && r->n < SCANNER_ROOM;
    return since_ms >= SCANNER_FAST_MS || !(code || more);
}

/* No code begins with these: `/` opens find, and a space is the foot line's on some keyboards. */
static bool may_begin(char32_t c)
{
    return c > ' ' && c != '/' && c != 0x7F;
}

/* Called for every key, also where nothing is held: most keys are a hand's, alone and slow. */
enum scanner_says scanner_take(struct scanner *r, struct press press, int64_t now_ms, const char *field)
{
    if (press.kind == PRESS_ENTER && r->n > 0) /* scanner_is_over has let all others go */
        return SCANNER_SCANNED;
    if (press.kind != PRESS_CHAR || (r->n == 0 && !field && !may_begin(press.c)))
        return SCANNER_PASSES;
    if (r->n == 0) {
        r->in_field = field != NULL;
        utf8_copy(r->before, sizeof r->before, field ? field : "");
    }
    r->held[r->n++] = press;
    r->last_ms = now_ms;
    return r->in_field && field ? SCANNER_PASSES
                                : SCANNER_HOLDS; /* a field that goes under a code takes no more of it */
}

/* In a field nothing was held back, so nothing is to be played again. */
int scanner_let(struct scanner *r, struct press keys[SCANNER_ROOM])
{
    int n = (int)r->n;
    r->n = 0;
    if (r->in_field)
        return 0; /* they are written already */
    memcpy(keys, r->held, (size_t)n * sizeof *keys);
    return n;
}

/* In UTF-8, as the daemon takes it. A code that is longer than its room is cut: no code of ours is so long, and the
 * daemon then knows none such. */
void scanner_code(struct scanner *r, char code[SCANNER_ROOM])
{
    size_t len = 0;
    for (size_t i = 0; i < r->n; i++) {
        uint8_t encoded[4];
        int bytes = u8_uctomb(encoded, r->held[i].c, sizeof encoded);
        if (bytes < 1 || len + (size_t)bytes >= SCANNER_ROOM)
            continue;
        memcpy(code + len, encoded, (size_t)bytes);
        len += (size_t)bytes;
    }
    code[len] = '\0';
    r->n = 0;
}
