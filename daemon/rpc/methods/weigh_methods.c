/* weigh_methods.c - mix.weighable and mix.premix: what a scale can weigh, and what to do about what it cannot.
 *
 * Reads and checks members only; the arithmetic is mix/weighable.h.
 */
#include "mix/weighable.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/numbers.h"

#include <math.h>

/* What is meant where a call leaves it out. Common practice, no source. */
#define HALF_DROP_G   0.03
#define ERROR_PCT     5
#define DILUENT_G_MAX 200 /* a premix beyond that is a batch of its own */

/* The scale, and what a dose may err by on it. */
struct scale_asked {
    double d_g, error_pct, half_drop_g;
};

/* False: a member of the wrong type, *fault. Values that make no sense go into *no. */
static bool scale_asked(const json_t *params, struct scale_asked *a, struct mix_refusal *no, struct fault *fault)
{
    *a = (struct scale_asked){NAN, ERROR_PCT, HALF_DROP_G};
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

/* What a premix is asked for. */
struct premix_asked {
    double grams[MIX_MAX]; /* of each small toner in the batch */
    size_t n;
    struct scale_asked scale;
    double diluent_g_max;
};

static bool premix_asked(const json_t *params, struct premix_asked *a, struct fault *fault)
{
    struct mix_refusal no = MIX_REFUSAL_NONE;

    a->diluent_g_max = DILUENT_G_MAX;
    if (!numbers_read(params, "grams", a->grams, MIX_MAX, &a->n, fault))
        return false;
    mix_check_parts(&no, "grams", a->grams, a->n);
    /* A share of 0 has a place in a formula, but a premix doses every toner that it names. */
    for (size_t i = 0; i < a->n; i++)
        mix_check_above_0(&no, "grams", a->grams[i]);
    if (!scale_asked(params, &a->scale, &no, fault) ||
        !rpc_get_number(params, "diluent_g_max", &a->diluent_g_max, fault))
        return false;
    mix_check_not_below_0(&no, "diluent_g_max", a->diluent_g_max);
    return numbers_good(&no, fault);
}

void method_mix_premix(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct premix_asked a;
    struct mix_premix out;
    struct fault fault;

    (void)d;
    if (!premix_asked(params, &a, &fault)) {
        rpc_fail(call, &fault);
        return;
    }
    /* All else was refused above: what is left to go wrong is the limit. */
    if (!mix_premix(a.grams, a.n, a.scale.d_g, a.scale.half_drop_g, a.scale.error_pct, a.diluent_g_max, &out)) {
        fault_said(&fault, FAULT_INVALID, "diluent_g_max", "diluent", "premix_diluent most_g=%f", a.diluent_g_max);
        rpc_fail(call, &fault);
        return;
    }
    rpc_answer(call, json_pack("{s:o,s:o,s:o,s:o,s:o}", "toner_g", numbers_list(out.toner_g, a.n), "diluent_g",
                               number_json(out.diluent_g), "take_g", number_json(out.take_g), "total_g",
                               number_json(out.total_g), "dose_error_pct", numbers_list(out.dose_error_pct, a.n)));
}
