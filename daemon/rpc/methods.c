/* methods.c - the table of methods. A row: name, does it write, its function, the members it takes. */
#include "rpc/methods/methods.h"

const struct rpc_method rpc_methods[] = {
    {"mix.remedies", false, method_mix_remedies, members_mix_remedies},
    {"mix.ratio", false, method_mix_ratio, members_mix_ratio},
    {"mix.reduce", false, method_mix_reduce, members_mix_reduce},
    {"mix.weighable", false, method_mix_weighable, members_mix_weighable},
    {"mix.letdown", false, method_mix_letdown, members_mix_letdown},
    {"mix.spread", false, method_mix_spread, members_mix_spread},
    {"mix.voc", false, method_mix_voc, members_mix_voc},
    {"mix.voc_stages", false, method_mix_voc_stages, members_mix_voc_stages},
    {NULL, false, NULL, NULL},
};
