/* methods.h - every method's function and the members it takes, for the table in rpc/methods.c.
 *
 * A function gets params that were checked against its members; it answers the call exactly once, now or later.
 */
#pragma once

#include "rpc/rpc.h"

#define RPC_METHOD(noun_verb)                                                                                          \
    void method_##noun_verb(struct daemon *d, struct rpc_call *call, const json_t *params);                            \
    extern const struct rpc_member members_##noun_verb[]

RPC_METHOD(mix_remedies);
RPC_METHOD(mix_ratio);
RPC_METHOD(mix_reduce);
RPC_METHOD(mix_weighable);
RPC_METHOD(mix_letdown);
RPC_METHOD(mix_spread);
RPC_METHOD(mix_voc);
RPC_METHOD(mix_voc_stages);
