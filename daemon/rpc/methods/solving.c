/* solving.c - see solving.h. It must not know where leftovers come from. */
#include "rpc/methods/solving.h"

#include "daemon.h"

/* What one program of a question may take, in seconds. A shelf of a dozen cups takes milliseconds. */
#define SECONDS 5
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

bool solving_open(struct lpsolve *l, struct inquiry *r)
{
    if (lpsolve_open(l, SECONDS))
        return true;
    return fault_said(&r->fault, FAULT_INTERNAL, NULL, "library", "solver_missing name=%s", lpsolve_name());
}

void solving_gave_up(struct inquiry *r)
{
    fault_said(&r->fault, FAULT_STATE, "leftovers", "slow", "solver_gave_up seconds=%d", SECONDS);
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
