/* method_params.h - what each method takes and answers: the tables behind methods.c, rpc.discover and docs/protocol.md.
 */
#pragma once

#include "shape/shape.h"

/* method_params.c: a call is checked against these before its method runs. */
extern const struct shape params_none, params_text, params_thing, params_import, params_toner, params_formula_list,
    params_formula_get, params_formula_put, params_formula_check, params_product, params_product_put, params_remedies,
    params_ratio, params_reduce, params_weighable, params_premix, params_spread, params_voc, params_voc_stages,
    params_plan, params_watch, params_scales, params_seek, params_check, params_checks, params_begin, params_accept,
    params_act, params_remedy, params_retare, params_tint, params_resume, params_note, params_scrap, params_finish,
    params_batch, params_find, params_label;
/* results.c: told in the papers. */
extern const struct shape result_info, result_scales, result_screen, result_weight, result_scale, result_remedies,
    result_ratio, result_reduce, result_weighable, result_premix, result_spread, result_voc, result_voc_stages,
    result_plan, result_record, result_batches, result_label, result_checks, result_toners, result_formulas,
    result_products, result_cups, result_panels, result_thing, result_removed, result_formula_check, result_changed,
    result_seek, result_check, result_openrpc;
