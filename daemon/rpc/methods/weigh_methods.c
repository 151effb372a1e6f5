/* weigh_methods.c - mix.weighable and mix.letdown: what a scale can weigh, and what to do about what it cannot.
 *
 * Reads and checks members only; the arithmetic is mix/weighable.h and mix/letdown.h.
 */
#include "mix/letdown.h"
#include "mix/weighable.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>

#define HALF_DROP_G 0.03 /* common practice, no source */

struct scale_asked {
    double d_g, error_pct, half_drop_g;
};

static bool scale_asked(const json_t *params, struct scale_asked *a, struct mix_refusal *no, struct fault *fault)
{
    *a = (struct scale_asked){NAN, NAN, HALF_DROP_G};
    if (!rpc_get_number(params, "d_g", &a->d_g, fault) || !rpc_get_number(params, "error_pct", &a->error_pct, fault) ||
        !rpc_get_number(params, "half_drop_g", &a->half_drop_g, fault))
        return false;
    mix_check_above_0(no, "d_g", a->d_g);
    mix_check_pct_above_0(no, "error_pct", a->error_pct);
    mix_check_not_below_0(no, "half_drop_g", a->half_drop_g);
    return true;
}

void method_mix_weighable(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double parts[MIX_MAX], smallest_g = NAN;
    size_t n, index = 0;
    struct scale_asked a;
    struct fault fault;

    (void)d;
    if (!numbers_read(params, "parts", parts, MIX_MAX, &n, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_parts(&no, "parts", parts, n);
    if (!scale_asked(params, &a, &no, &fault) || !numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_weighable(parts, n, a.d_g, a.half_drop_g, a.error_pct, &smallest_g, &index);
    rpc_answer(call, json_pack("{s:o,s:I}", "smallest_g", number_json(smallest_g), "component", (json_int_t)index));
}

void method_mix_letdown(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;
    double grams = NAN, most_g = NAN;
    struct mix_letdown out;
    struct scale_asked a;
    struct fault fault;

    (void)d;
    if (!rpc_get_number(params, "grams", &grams, &fault) || !rpc_get_number(params, "diluent_g_max", &most_g, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_above_0(&no, "grams", grams);
    if (!scale_asked(params, &a, &no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    mix_check_not_below_0(&no, "diluent_g_max", most_g);
    if (!numbers_good(&no, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    if (!mix_letdown(grams, a.d_g, a.half_drop_g, a.error_pct, most_g, &out)) {
        fault_said(&fault, FAULT_INVALID, "diluent_g_max", "diluent", "letdown_diluent most_g=%f", most_g);
        rpc_fail(call, &fault);
        return;
    }
    rpc_answer(call, json_pack("{s:o,s:o,s:o}", "toner_g", number_json(out.toner_g), "diluent_g",
                               number_json(out.diluent_g), "take_g", number_json(out.take_g)));
}
