/* page_files.c - the page's files as they were built in, and the one place where a page gets the token of this start.
 * It must not know what a page does.
 */
#include "http/page_files.h"
#include "http/server.h"

#include "daemon.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const types[][2] = {
    {".html", "text/html; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".json", "application/json"},
    {".svg", "image/svg+xml"},
    {".png", "image/png"},
    {".webmanifest", "application/manifest+json"},
};

/* nosniff makes a browser believe this word, so what is not listed is only ever downloaded. */
static const char *type_of(const char *name)
{
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && i < sizeof types / sizeof *types; i++)
        if (strcmp(dot, types[i][0]) == 0)
            return types[i][1];
    return "application/octet-stream";
}

/* folder "": the page's own, at the top. Names are compared whole with the table built in, so no path leads out of it.
 */
static const struct page_file *find(const char *folder, const char *name)
{
    size_t len = strlen(folder);
    for (const struct page_file *f = page_files; f->name; f++)
        if (strncmp(f->name, folder, len) == 0 && strcmp(f->name + len, name) == 0 && (len || !strchr(name, '/')))
            return f;
    return NULL;
}

/* f NULL: 404. The bytes are part of the program and are sent without a copy. */
static enum MHD_Result send_file(struct http_exchange *e, const struct page_file *f)
{
    if (!f)
        return http_say(e, MHD_HTTP_NOT_FOUND, "no such file");
    return http_reply(
        e, MHD_HTTP_OK,
        (struct http_body){
            .type = type_of(f->name), .data = f->begin, .len = (size_t)(f->end - f->begin), .fixed = true});
}

/* /manifest.webmanifest, /sw.js, /icons/NAME or /page/NAME: the first letter of the route tells them apart. A service
 * worker may only answer for what lies below its own path, so it is served at the top. */
enum MHD_Result http_run_file(struct http_exchange *e)
{
    if (e->route->path[1] == 'm' || e->route->path[1] == 's')
        return send_file(e, find("", e->route->path + 1));
    return send_file(e, find(e->route->path[1] == 'i' ? "icons/" : "", e->rest));
}

/* /words/en.json, /words/de.json, as the build makes them of the folder words. */
enum MHD_Result http_run_words(struct http_exchange *e)
{
    return send_file(e, find("words/", e->rest));
}

/* Puts `what` in place of the first `mark` in text; the caller frees it. NULL: no memory, or no mark. */
static char *filled(const char *text, size_t len, const char *mark, const char *what, size_t *whole)
{
    const char *at = memmem(text, len, mark, strlen(mark));
    char *out = NULL;
    if (!at)
        return NULL;
    int n = asprintf(&out, "%.*s%s%.*s", (int)(at - text), text, what, (int)(text + len - at - (int)strlen(mark)),
                     at + strlen(mark));
    *whole = n < 0 ? 0 : (size_t)n;
    return n < 0 ? NULL : out;
}

/* With a token file the page has to ask for a token first, and gets this start's by POST /enter. */
enum MHD_Result http_run_page(struct http_exchange *e)
{
    const struct http_server *s = e->server;
    const struct page_file *f = find("", "index.html");
    const char *language = words_language_names[s->daemon->config.language];
    size_t len = 0, whole = 0;
    char *with = f ? filled((const char *)f->begin, (size_t)(f->end - f->begin), "@TOKEN@",
                            s->gate.file ? "" : s->gate.token, &len)
                   : NULL;
    char *page = with ? filled(with, len, "@LANGUAGE@", language, &whole) : NULL;
    enum MHD_Result result = MHD_NO;
    if (page)
        result = http_reply(e, MHD_HTTP_OK, (struct http_body){.type = types[0][1], .data = page, .len = whole});
    free(page);
    free(with);
    return result;
}
