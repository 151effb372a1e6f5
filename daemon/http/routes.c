/* routes.c - which paths there are (contract section 2). */
#include "http/server.h"

const struct http_route http_routes[] = {
    {"/rpc", "POST", false, http_run_rpc},
    {"/events", "GET", false, http_run_events},
    {"/", "GET", true, http_run_page},
    {"/shop", "GET", false, http_run_page},
    {"/page/", "GET", true, http_run_file},
    {"/words/", "GET", true, http_run_words},
    {"/icons/", "GET", true, http_run_file},
    {"/manifest.webmanifest", "GET", true, http_run_file},
    {"/sw.js", "GET", true, http_run_file},
    {"/label/", "GET", false, http_run_label},
    {"/enter", "POST", true, http_run_enter},
    {"/healthz", "GET", true, http_run_health},
    {"/metrics", "GET", false, http_run_metrics},
    {0},
};
