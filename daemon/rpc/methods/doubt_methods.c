/* doubt_methods.c - mix.de00 and mix.uncertainty: how far a colour is off, and how sure its composition is. They must
 * not know where the figures come from.
 */
#include "mix/de00.h"
#include "mix/uncertainty.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>
#include <stddef.h>

/* L*, a*, b* in that order; a* and b* may be below 0. Beyond 1,000 nothing is a colour. */
static bool lab(const json_t *params, const char *name, struct mix_lab *out, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double list[MIX_MAX];
    size_t n;

    if (!numbers_read(params, name, list, &n, fault))
        return false;
    mix_refuse(&no, n == 0 ? MIX_FAULT_MISSING : n != 3 ? MIX_FAULT_LENGTHS : MIX_FAULT_NONE, name, 0);
    for (size_t i = 0; i < n && n == 3; i++)
        mix_refuse(&no,
                   !isfinite(list[i])        ? MIX_FAULT_NOT_FINITE
                   : i == 0 && list[i] < 0   ? MIX_FAULT_NEGATIVE
                   : !(fabs(list[i]) <= 1e3) ? MIX_FAULT_TOO_LARGE
                                             : MIX_FAULT_NONE,
                   name, i);
    if (!numbers_good(&no, fault))
        return false;
    *out = (struct mix_lab){list[0], list[1], list[2]};
    return true;
}

/* About 1 is where a trained eye begins to see a difference. */
void method_mix_de00(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_lab one, other;
    struct fault fault = {0};

    (void)d;
    numbers_answer(call,
                   lab(params, "lab", &one, &fault) && lab(params, "other", &other, &fault)
                       ? json_pack("{s:o}", "de00", number_json(mix_de00(one, other)))
                       : NULL,
                   &fault);
}

static const struct number_asked weighing_numbers[] = {
    {"d_g", offsetof(struct mix_weighing, d_g), 0, mix_check_not_below_0},
    {"repeatability_g", offsetof(struct mix_weighing, repeatability_g), 0, mix_check_not_below_0},
    {"drop_g", offsetof(struct mix_weighing, drop_g), 0, mix_check_not_below_0},
    {"drift_g", offsetof(struct mix_weighing, drift_g), 0, mix_check_not_below_0},
    {0},
};

/* Source: JCGM 100, as mix/uncertainty.h says it. */
void method_mix_uncertainty(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double grams[MIX_MAX], u_g[MIX_MAX], share_u_pct[MIX_MAX];
    struct mix_weighing w;
    struct fault fault = {0};
    size_t n;

    (void)d;
    if (!numbers_read(params, "grams", grams, &n, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_parts(&no, "grams", grams, n);
    if (!numbers_fill(params, weighing_numbers, &w, &no, &fault) || !numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_uncertainty(grams, NULL, n, &w, u_g, share_u_pct);
    rpc_answer(call, json_pack("{s:o,s:o}", "u_g", numbers_list(u_g, n), "share_u_pct", numbers_list(share_u_pct, n)));
}
