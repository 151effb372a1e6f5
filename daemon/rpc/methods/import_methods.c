/* import_methods.c - catalogue.import: files of toners, formulas, products, cups and panels, read and taken into the
 * store. */
#include "catalogue/files.h"
#include "daemon.h"
#include "rpc/methods/inquiry.h"
#include "rpc/methods/methods.h"
#include "rpc/methods/put.h"
#include "rpc/rpc.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* The most files of a call, and bytes of one file: a catalogue of 50,000 sections is some 6 MB. Beyond it is a slip. */
#define FILES_MOST 256
#define FILE_MOST  (8 << 20)

/* One import: read and checked on a helper thread, since 50,000 sections take a second or more; then written in pieces.
 */
struct reading {
    struct inquiry inquiry;
    const char *paths[FILES_MOST], *person, *client; /* borrowed of the params and the call */
    size_t count, changed;
    struct file_fault file; /* `why` empty: no file is at fault */
    struct files_taking *write;
};

/* What waits for the write. */
struct import {
    struct store *store;   /* it outlives us, the daemon's own pointer does not while it ends */
    struct rpc_call *call; /* answered when all is on disk */
    size_t changed;        /* things that were new or other; the answer */
    char *request;         /* owned; NULL: none, and a repeat would read the files again */
};

/* A folder or a plain file of a sensible size: reading anything else (a pipe, a device) might never end, and everything
 * waits meanwhile. False: *fault. */
static bool is_readable(const char *path, struct fault *fault)
{
    struct stat st;

    if (stat(path, &st) < 0)
        return fault_said(fault, FAULT_INVALID, "files", NULL, "import_unreadable path=%s why=%s", path,
                          said_reason(errno));
    if (S_ISDIR(st.st_mode) || (S_ISREG(st.st_mode) && st.st_size <= FILE_MOST))
        return true;
    return fault_said(fault, FAULT_INVALID, "files", NULL, "import_not_plain path=%s", path);
}

/* The paths, borrowed from params. Relative ones would be relative to the daemon, which nobody means. False: *fault. */
static bool paths_asked(const json_t *params, const char *paths[FILES_MOST], size_t *count, struct fault *fault)
{
    const json_t *files = json_object_get(params, "files"), *file;
    size_t i;

    *count = json_array_size(files);
    if (*count < 1 || *count > FILES_MOST)
        return fault_said(fault, FAULT_INVALID, "files", NULL, "import_count count=%zu most=%d", *count, FILES_MOST);
    json_array_foreach(files, i, file)
    {
        paths[i] = json_string_value(file);
        if (!paths[i])
            return fault_said(fault, FAULT_PARAMS, "files", "type", "member_not_text field=%s", "files");
        if (paths[i][0] != '/')
            return fault_said(fault, FAULT_INVALID, "files", NULL, "import_relative path=%s", paths[i]);
        if (!is_readable(paths[i], fault))
            return false;
    }
    return true;
}

/* A fault in a file names the place, FILE:LINE, and the setting; the rest of the files is not taken either. */
static void file_refused(struct rpc_call *call, const struct file_fault *in)
{
    const char *field = in->field[0] ? in->field : "files";
    struct fault fault = {0};

    fault_from(&fault, FAULT_INVALID, field, in->why, &in->said, NULL);
    fault_in_file(&fault, in->file, in->line);
    rpc_fail(call, &fault);
}

/* The import is on disk, and its answer as well where a request asked for that. */
static void finish(struct import *import)
{
    rpc_answer(import->call, json_pack("{s:I}", "changed", (json_int_t)import->changed));
    free(import->request);
    free(import);
}

/* Whether it could be kept or not: what was imported is on disk, and reading the same files again changes nothing. */
static void on_kept(void *arg, const struct store_outcome *outcome)
{
    (void)outcome;
    finish(arg);
}

/* The first answer, for the same request again. The import itself is written in pieces that have no room for it. */
static void keep_answer(struct import *import)
{
    char answer[48];
    struct store_write write = {.request = import->request, .method = rpc_method_name(import->call), .answer = answer};

    snprintf(answer, sizeof answer, "{\"changed\":%zu}", import->changed);
    store_submit(import->store, &write, on_kept, import);
}

/* A repeated request was answered before anything was read, so what comes back here is a full or failed disk. */
static void on_imported(void *arg, const struct store_outcome *outcome)
{
    struct import *import = arg;

    if (outcome->result == STORE_DONE && import->request) {
        keep_answer(import);
    } else if (outcome->result == STORE_DONE) {
        finish(import);
    } else {
        rpc_not_written(import->call, outcome);
        free(import->request);
        free(import);
    }
}

/* NULL: no memory. The request is copied, since params go when the inquiry ends. */
static struct import *new_import(const struct reading *r)
{
    const char *request = json_string_value(json_object_get(r->inquiry.params, "request"));
    struct import *import = calloc(1, sizeof *import);

    if (!import)
        return NULL;
    *import = (struct import){.store = r->inquiry.task.store, .call = r->inquiry.call, .changed = r->changed};
    if (!request || (import->request = strdup(request)))
        return import;
    free(import);
    return NULL;
}

/* On a helper thread. A toner that could not be looked up is no toner missing: the files are not at fault then. */
static void read_files(struct inquiry *q, struct store *view)
{
    struct reading *r = (struct reading *)q;
    struct file_items items;
    uint64_t unread = store_unread(view);

    if (!files_read(r->paths, r->count, files_known_by_store, view, &items, &r->file)) {
        if (!catalogue_was_read(view, unread, &q->fault))
            r->file.why[0] = '\0';
        return;
    }
    r->write = files_taking_new(view, &items, r->person, r->client, &r->changed, &q->fault);
}

/* On the loop, which only hands the write on. */
static void write_them(struct inquiry *q)
{
    struct reading *r = (struct reading *)q;
    struct import *import = r->write ? new_import(r) : NULL;

    if (import) {
        files_taking_write(r->write, q->task.store, on_imported, import);
        return;
    }
    if (r->write)
        fault_said(&q->fault, FAULT_INTERNAL, NULL, NULL, "no_memory");
    files_taking_drop(r->write);
    if (r->file.why[0])
        file_refused(q->call, &r->file);
    else
        rpc_fail(q->call, &q->fault);
}

/* Every file is read and checked before the first thing is written: a file with an error changes nothing. */
void method_catalogue_import(struct daemon *d, struct rpc_call *call, const json_t *params)
{
    struct reading *r;
    struct fault fault = {0};

    if (rpc_answered_before(call) || !(r = inquiry_new(d, call, params, sizeof *r)))
        return;
    if (!paths_asked(params, r->paths, &r->count, &fault)) {
        inquiry_refuse(&r->inquiry, &fault);
        return;
    }
    r->person = json_string_value(json_object_get(params, "person"));
    r->client = rpc_client(call);
    r->inquiry.finish = write_them;
    inquiry_start(&r->inquiry, STORE_SLOW, read_files);
}
