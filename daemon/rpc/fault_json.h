/* fault_json.h - a fault as the error object of an answer: {"code","message","data":{"field","why","help",...}}. */
#pragma once

#include "fault.h"

#include <jansson.h>

/* Never fails but for memory (NULL). Parts that a fault leaves empty are left out; help is always there. */
json_t *rpc_fault_json(const struct fault *fault);
