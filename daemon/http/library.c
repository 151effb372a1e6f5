/* library.c - finds the functions of libmicrohttpd by their names. It must not know what they are used for. */
#include "http/library.h"

#include <dlfcn.h>
#include <stddef.h>
#include <string.h>

/* The name of Debian 12's version 0.9.75; another of the same number keeps its functions. */
#define NAME "libmicrohttpd.so.12"

/* Each function and the pointer of struct http_library that it goes into, as an offset. */
static const struct {
    const char *name;
    size_t at;
} table[] = {
    {"MHD_start_daemon", offsetof(struct http_library, start)},
    {"MHD_stop_daemon", offsetof(struct http_library, stop)},
    {"MHD_run", offsetof(struct http_library, run)},
    {"MHD_get_timeout", offsetof(struct http_library, timeout)},
    {"MHD_get_daemon_info", offsetof(struct http_library, daemon_info)},
    {"MHD_get_connection_info", offsetof(struct http_library, connection_info)},
    {"MHD_get_connection_values_n", offsetof(struct http_library, values)},
    {"MHD_lookup_connection_value", offsetof(struct http_library, value)},
    {"MHD_create_response_from_buffer", offsetof(struct http_library, response)},
    {"MHD_create_response_from_callback", offsetof(struct http_library, stream)},
    {"MHD_add_response_header", offsetof(struct http_library, header)},
    {"MHD_queue_response", offsetof(struct http_library, queue)},
    {"MHD_destroy_response", offsetof(struct http_library, forget)},
    {"MHD_suspend_connection", offsetof(struct http_library, suspend)},
    {"MHD_resume_connection", offsetof(struct http_library, resume)},
};

/* All of them or none: a library without one of them is another version than ours. */
bool http_library_open(struct http_library *l, struct fault *fault)
{
    l->handle = dlopen(NAME, RTLD_NOW | RTLD_LOCAL);
    if (!l->handle)
        return fault_said(fault, FAULT_INVALID, "port", "library", "http_no_library name=%s", NAME);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        void *function = dlsym(l->handle, table[i].name);
        if (!function) {
            http_library_close(l);
            return fault_said(fault, FAULT_INVALID, "port", "library", "http_no_library name=%s", NAME);
        }
        memcpy((char *)l + table[i].at, &function, sizeof function); /* C has no cast from data to function */
    }
    return true;
}

/* Only after the last connection has gone: what ends it calls back into the library. */
void http_library_close(struct http_library *l)
{
    if (l->handle)
        dlclose(l->handle);
    *l = (struct http_library){0};
}
