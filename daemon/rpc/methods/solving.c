/* solving.c - see solving.h. It must not know where leftovers come from. */
#include "rpc/methods/solving.h"

#include "daemon.h"

#include <errno.h>
#include <string.h>

/* What one program of a question may take, and all of them, in seconds. A shelf of a dozen cups takes milliseconds. */
#define SECONDS     5
#define ALL_SECONDS 10
/* Questions that may wait behind the one being solved. */
#define WAITING 8

bool solving_enter(struct daemon *d, struct fault *fault)
{
    if (d->solving >= WAITING)
        return fault_said(fault, FAULT_STATE, NULL, "busy", "solver_busy");
    d->solving++;
    return true;
}

void solving_leave(struct daemon *d)
{
    d->solving--;
}

/* The path is written once, before anything is served: a helper thread may read it. */
void solving_begin(struct solver *s, const struct inquiry *r)
{
    solver_begin(s, r->daemon->solver_program, SECONDS * 1000, ALL_SECONDS * 1000);
}

void solving_failed(struct inquiry *r, const struct solver *s)
{
    if (s->trouble == SOLVER_MISSING && s->error == 0)
        fault_said(&r->fault, FAULT_INTERNAL, NULL, "library", "solver_missing name=%s", "lp-solve");
    else if (s->error == ENOMEM)
        fault_said(&r->fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    else if (s->trouble != SOLVER_SLOW)
        fault_said(&r->fault, FAULT_INTERNAL, NULL, "solver", "solver_not_started why=%s", said_reason(s->error));
    else
        fault_said(&r->fault, FAULT_STATE, "leftovers", "slow", "solver_gave_up seconds=%d", ALL_SECONDS);
}

/* In the order of enum mix_unused. */
json_t *solving_why(const struct mix_workoff *w, size_t n, const char *const barred[])
{
    static const char *const words[] = {NULL, "foreign", "small", "too_rich", "line"};
    json_t *list = json_array();

    for (size_t j = 0; j < n; j++) {
        const char *word = w->why[j] == MIX_BARRED && barred && barred[j] ? barred[j] : words[w->why[j]];
        json_array_append_new(list, word ? json_string(word) : json_null());
    }
    return list;
}
