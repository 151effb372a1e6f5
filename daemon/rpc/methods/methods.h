/* methods.h - every method's function and the members it takes, for the table in rpc/methods.c.
 *
 * A function gets params that were checked against its members; it answers the call exactly once, now or later.
 */
#pragma once

#include "rpc/rpc.h"

#define RPC_METHOD(noun_verb)                                                                                          \
    void method_##noun_verb(struct daemon *d, struct rpc_call *call, const json_t *params);                            \
    extern const struct rpc_member members_##noun_verb[]

RPC_METHOD(daemon_info);
RPC_METHOD(toner_list);
RPC_METHOD(toner_get);
RPC_METHOD(toner_put);
RPC_METHOD(toner_remove);
RPC_METHOD(formula_list);
RPC_METHOD(formula_get);
RPC_METHOD(formula_put);
RPC_METHOD(formula_check);
RPC_METHOD(product_list);
RPC_METHOD(product_get);
RPC_METHOD(product_put);
RPC_METHOD(cup_list);
RPC_METHOD(cup_put);
RPC_METHOD(panel_list);
RPC_METHOD(panel_put);
RPC_METHOD(catalogue_import);
RPC_METHOD(mix_remedies);
RPC_METHOD(mix_ratio);
RPC_METHOD(mix_reduce);
RPC_METHOD(mix_weighable);
RPC_METHOD(mix_letdown);
RPC_METHOD(mix_spread);
RPC_METHOD(mix_voc);
RPC_METHOD(mix_voc_stages);
RPC_METHOD(watch);
RPC_METHOD(scale_list);
RPC_METHOD(scale_check);
RPC_METHOD(scale_seek);
RPC_METHOD(report_checks);
RPC_METHOD(mix_plan);
RPC_METHOD(batch_begin);
RPC_METHOD(batch_accept);
RPC_METHOD(batch_undo);
RPC_METHOD(batch_remedy);
RPC_METHOD(batch_retare);
RPC_METHOD(batch_tint);
RPC_METHOD(batch_hold);
RPC_METHOD(batch_resume);
RPC_METHOD(batch_note);
RPC_METHOD(batch_finish);
RPC_METHOD(batch_scrap);
RPC_METHOD(batch_get);
RPC_METHOD(batch_find);
RPC_METHOD(batch_label);
