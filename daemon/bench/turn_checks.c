/* turn_checks.c - what every turn is asked before it is decided: its request, and the revision that its caller saw. It
 * must not know what the turn is for.
 */
#include "bench/bench_parts.h"

#include "rpc/rpc.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

/* A request id is 1 to 64 printable ASCII characters: it stands in the journal for ever and in a log line. */
bool bench_read_request(const json_t *params, char out[65], struct fault *f)
{
    const char *text = NULL;
    if (!rpc_get_text(params, "request", &text, f))
        return false;
    size_t n = text ? strlen(text) : 0;
    bool sound = n >= 1 && n <= 64;
    for (size_t i = 0; sound && i < n; i++)
        sound = isprint((unsigned char)text[i]) && (unsigned char)text[i] < 128;
    if (!sound)
        return fault_said(f, FAULT_PARAMS, "request", text ? "form" : "missing", "request_form");
    memcpy(out, text, n + 1);
    return true;
}

/* A call that saw an older screen is refused, so that a double tap skips no step. A begin or a resume may leave the
 * revision out: an idle station shows nothing that could be stale. */
bool bench_revision_holds(const struct bench *b, struct fault *f)
{
    const struct bench_turn *t = &b->turn[0];
    double revision = NAN;
    if (!rpc_get_number(t->params, "revision", &revision, f))
        return false;
    if (isnan(revision)) {
        if (t->kind != TURN_COMMAND)
            return true;
        return fault_said(f, FAULT_PARAMS, "revision", "missing", "revision_missing");
    }
    if (revision == (double)b->revision)
        return true;
    fault_said(f, FAULT_STALE_REVISION, "revision", "stale", "already_moved_on revision=%lld", (long long)b->revision);
    f->revision = b->revision;
    return false;
}
