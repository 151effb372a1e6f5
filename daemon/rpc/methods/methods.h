/* methods.h - every method's function, and the shapes of what it takes and answers: for the table in rpc/methods.c,
 * rpc.discover and docs/protocol.md.
 *
 * A function gets params that were checked against its shape; it answers the call exactly once, now or later.
 */
#pragma once

#include "rpc/rpc.h"
#include "shape/shape.h"

typedef void rpc_run(struct daemon *d, struct rpc_call *call, const json_t *params);

rpc_run method_daemon_info, method_discover, method_catalogue_import, method_store_backup, method_store_verify,
    method_store_mend;
rpc_run method_toner_list, method_toner_get, method_toner_put, method_toner_remove;
rpc_run method_formula_list, method_formula_get, method_formula_put, method_formula_keep, method_formula_check;
rpc_run method_product_list, method_product_get, method_product_put;
rpc_run method_cup_list, method_cup_put, method_panel_list, method_panel_put;
rpc_run method_mix_plan, method_mix_remedies, method_mix_ratio, method_mix_reduce, method_mix_weighable,
    method_mix_workoff, method_mix_rescue, method_mix_de00, method_mix_uncertainty, method_mix_premix,
    method_mix_spread, method_mix_voc, method_mix_voc_stages;
rpc_run method_watch, method_scale_list, method_scale_check, method_scale_seek, method_report_checks;
rpc_run method_batch_begin, method_batch_accept, method_batch_undo, method_batch_remedy, method_batch_retare,
    method_batch_tint, method_batch_hold, method_batch_wait, method_batch_resume, method_batch_note,
    method_batch_finish, method_batch_scrap;
rpc_run method_batch_weigh_back, method_batch_shelve, method_batch_discard, method_shelf_list;
rpc_run method_settings_list, method_settings_put;
rpc_run method_order_list, method_order_get, method_order_put;
rpc_run method_card_list, method_card_match, method_card_put;
rpc_run method_stock_list, method_stock_receive, method_stock_count, method_stock_stir;
rpc_run method_learn_start, method_learn_hand, method_learn_end;
rpc_run method_people_list, method_people_put, method_people_sign_in, method_people_sign_out;
rpc_run method_toner_substitute;
rpc_run method_scan, method_batch_tin;
rpc_run method_batch_get, method_batch_find, method_batch_label;
/* batch.get of a batch of a practice that is still there. False: it is none, and nothing was answered. */
bool learn_record(struct daemon *d, struct rpc_call *call, const char *batch);

/* The station that params name; NULL: no station of that name, and the call was refused. */
struct bench *method_bench(struct daemon *d, struct rpc_call *call, const json_t *params);
/* label_methods.c: prints so many labels of a batch that was just finished; the bench is told how that went. */
void label_print_finished(struct daemon *d, struct bench *b, const char *batch, int labels);

/* again.c: answers a request that a station has done before, by its journal. Takes the call. */
void method_again(struct daemon *d, struct rpc_call *call, const char *request);

/* method_params.c: a call is checked against these before its method runs. */
extern const struct shape params_none, params_backup, params_mend, params_remedies, params_ratio, params_reduce,
    params_weighable, params_premix, params_workoff, params_rescue, params_de00, params_uncertainty, params_spread,
    params_voc, params_voc_stages, params_plan, params_watch, params_learn_start, params_learn_hand, params_scales,
    params_seek, params_check, params_checks, params_begin, params_accept, params_act, params_remedy, params_retare,
    params_tint, params_resume, params_note, params_scrap, params_finish, params_batch, params_find, params_label;
/* results.c: told in the papers. */
extern const struct shape result_info, result_shelf, result_scales, result_screen, result_weight, result_scale,
    result_remedies, result_ratio, result_reduce, result_weighable, result_premix, result_workoff, result_rescue,
    result_de00, result_uncertainty, result_spread, result_voc, result_voc_stages, result_plan, result_record,
    result_batch_row, result_batches, result_label, result_checks, result_copied, result_verified, result_mended,
    result_seek, result_check, result_openrpc;
/* catalogue_shapes.c: both, of the shop's catalogue. */
extern const struct shape params_list, params_import, params_toner, params_toner_put, params_substitute,
    params_formula_list, params_formula_get, params_formula_put, params_formula_keep, params_formula_check,
    params_product, params_product_put, params_cup_put, params_panel_put;
extern const struct shape result_toner, result_toners, result_removed, result_substitutes, result_formula,
    result_formulas, result_formula_check, result_product, result_products, result_cup, result_cups, result_panel,
    result_panels, result_changed;
/* day_shapes.c: the same of the shop's day. */
extern const struct shape params_weigh_back, params_shelve, params_discard, params_shelf, params_order_put,
    params_order, params_orders, params_card_put, params_cards, params_card_match, params_person_put, params_stock,
    params_receive, params_count, params_stir, params_sign_in, params_sign_out, params_scan, params_tin;
extern const struct shape result_weigh_back, result_shelve, result_discard, result_order, result_orders, result_card,
    result_cards, result_person, result_stock_row, result_stock, result_stir, result_people, result_scan,
    result_learn_start, result_learn_hand, result_learn_end;
/* The most bytes of a code that was scanned. */
enum { CODE_MOST = 127 };
/* settings_methods.c */
extern const struct shape params_setting, result_setting, result_settings;
/* substitute_methods.c */
