/* poise_solve.c - the child of solver.c: programs come in on its standard input, a socket, and answers go back there.
 * It must not know what a program is for.
 *
 * It may hang, run out of memory or be killed at any time: whoever asked waits for so long and no longer. It ends by
 * itself when nobody is at the other end any more.
 */
#include "solver/lpsolve.h"
#include "solver/solver.h"

#include <sys/resource.h>
#include <unistd.h>

/* Of address space: a program of the largest size takes some 10 MB. Sanitizers take all that there is. */
#define MOST_BYTES ((rlim_t)512 * 1024 * 1024)
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
#define LIMITED false
#else
#define LIMITED true
#endif

static struct solver_asked asked; /* too large for a stack */

/* False: the other end has gone. */
static bool take(void *to, size_t size)
{
    char *at = to;
    ssize_t n = 1;
    while (size > 0 && (n = read(0, at, size)) > 0) {
        at += n;
        size -= (size_t)n;
    }
    return size == 0;
}

static bool give(const void *from, size_t size)
{
    const char *at = from;
    ssize_t n = 1;
    while (size > 0 && (n = write(0, at, size)) > 0) {
        at += n;
        size -= (size_t)n;
    }
    return size == 0;
}

/* A question of another version is not answered, nor one that names places which it does not have. */
static bool sensible(const struct solver_asked *a)
{
    const struct mix_program *p = &a->program;
    bool good = a->mark == SOLVER_MARK && a->seconds > 0 && a->seconds < 3600 && p->columns <= MIX_COLUMNS &&
                p->rows <= MIX_ROWS && p->entries <= MIX_ENTRIES && p->first[0] == 0;
    for (size_t r = 0; good && r < p->rows; r++)
        good = p->first[r] <= p->first[r + 1] && p->first[r + 1] <= p->entries && //
               p->first[r + 1] - p->first[r] <= p->columns;
    for (size_t e = 0; good && e < p->entries; e++)
        good = p->column[e] >= 0 && (size_t)p->column[e] < p->columns;
    return good;
}

int main(void)
{
    struct lpsolve library;
    const struct rlimit most = {MOST_BYTES, MOST_BYTES};
    if (LIMITED)
        setrlimit(RLIMIT_AS, &most);
    if (!lpsolve_open(&library, 1))
        return SOLVER_NO_LIBRARY;
    while (take(&asked, sizeof asked) && sensible(&asked)) {
        struct solver_answer answer = {.mark = SOLVER_MARK};
        library.seconds = (int)asked.seconds;
        alarm((unsigned)asked.seconds);
        answer.found = lpsolve_run(&library, &asked.program, answer.x);
        alarm(0);
        if (!give(&answer, sizeof answer))
            break;
    }
    lpsolve_close(&library);
    return 0;
}
