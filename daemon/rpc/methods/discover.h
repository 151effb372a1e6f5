/* discover.h - the OpenRPC document, for rpc.discover and for who writes the papers. */
#pragma once

#include <jansson.h>

/* A new reference. */
json_t *discover_document(void);
