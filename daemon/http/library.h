/* library.h - libmicrohttpd, loaded when HTTP is first served.
 *
 * A shop without a page shall not pay for it: linked in, the library and its TLS would stand in memory in every poised
 * (4.5 MB) and take 3 ms of each start. So it is opened by name, and its functions are called through this table.
 * Owner   Whoever zeroes the table; http_library_close ends it.
 */
#pragma once

#include "fault.h"

#include <microhttpd.h>

struct http_library {
    void *handle; /* of dlopen; NULL: not loaded */
    struct MHD_Daemon *(*start)(unsigned flags, uint16_t port, MHD_AcceptPolicyCallback accept, void *accept_arg,
                                MHD_AccessHandlerCallback handler, void *handler_arg, ...);
    void (*stop)(struct MHD_Daemon *daemon);
    enum MHD_Result (*run)(struct MHD_Daemon *daemon);
    enum MHD_Result (*timeout)(struct MHD_Daemon *daemon, MHD_UNSIGNED_LONG_LONG *ms);
    const union MHD_DaemonInfo *(*daemon_info)(struct MHD_Daemon *daemon, enum MHD_DaemonInfoType type, ...);
    const union MHD_ConnectionInfo *(*connection_info)(struct MHD_Connection *c, enum MHD_ConnectionInfoType type, ...);
    int (*values)(struct MHD_Connection *c, enum MHD_ValueKind kind, MHD_KeyValueIteratorN each, void *arg);
    const char *(*value)(struct MHD_Connection *c, enum MHD_ValueKind kind, const char *key);
    struct MHD_Response *(*response)(size_t size, void *data, enum MHD_ResponseMemoryMode mode);
    struct MHD_Response *(*stream)(uint64_t size, size_t block, MHD_ContentReaderCallback read, void *arg,
                                   MHD_ContentReaderFreeCallback done);
    enum MHD_Result (*header)(struct MHD_Response *r, const char *name, const char *content);
    enum MHD_Result (*queue)(struct MHD_Connection *c, unsigned status, struct MHD_Response *r);
    void (*forget)(struct MHD_Response *r);
    void (*suspend)(struct MHD_Connection *c);
    void (*resume)(struct MHD_Connection *c);
};

/* Loads it. False: *fault is FAULT_INVALID with field `port` and what to install. */
bool http_library_open(struct http_library *l, struct fault *fault);
void http_library_close(struct http_library *l);
