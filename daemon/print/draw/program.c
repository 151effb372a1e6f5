/* program.c - poise-label but for its process: options, the sink that never leaves half a file, errors. */
#include "print/draw/label.h"

#include "print/draw/fit.h"
#include "print/draw/label_request.h"
#include "text/utf8.h"
#include "text/version.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cairo-pdf.h>
#include <cairo-svg.h>

#define MOST_BYTES ((size_t)64 * 1024) /* as a line of the protocol */

enum { DONE = 0, USAGE = 64, BAD_DATA = 65, OUR_FAULT = 70, NO_IO = 74 };

/* In the language of whoever called, as complaints are. */
static void print_help(FILE *out)
{
    enum words_language language = words_language_of_environment();
    (void)fprintf(out, "poise-label OUT.pdf < LABEL.json\n%s\n%s\n  --help     %s\n  --version  %s\n%s\n",
                  words_of(language, "label_help.what"), words_of(language, "label_help.out"),
                  words_of(language, "label_help.this"), words_of(language, "label_help.version"),
                  words_of(language, "label_help.exit"));
}

/* Where errors go, and whose they are: `poise` draws by this program, and its errors begin with its own name. */
struct complaints {
    FILE *to;
    const char *name;
};

/* One line, in the language of whoever called: `poise-label: WHAT: WHY. HELP`. */
static int complain(const struct complaints *err, int code, const char *what, struct said why)
{
    char clean[256], text[SAID_TEXT_MAX], fix[SAID_TEXT_MAX];
    enum words_language language = words_language_of_environment();
    (void)fprintf(err->to, "%s: %s: %s. %s\n", err->name, utf8_clean(clean, sizeof clean, what),
                  said_text(&why, language, NULL, text, sizeof text),
                  said_part(&why, "help", language, NULL, fix, sizeof fix));
    return code;
}

/* Where the PDF goes. A plain file is written under another name first, so that a printer never finds half a
 * label; what exists and is no plain file (a pipe, /dev/null) must not be replaced, and is written as it is. */
struct sink {
    FILE *file;
    char *part; /* the name beside it, NULL: none */
    bool svg;   /* a picture for the page, by the name's end; else a PDF */
    int why;    /* errno of the first write that failed; cairo's own status does not always tell */
};

/* A device or a pipe is written as it is; a file is written beside its place and moved there when whole, so that nobody
 * prints half a label. */
static bool sink_open(struct sink *sink, const char *path, FILE *out)
{
    struct stat known;
    bool there = stat(path, &known) == 0;
    const char *end = strrchr(path, '.');
    *sink = (struct sink){.svg = end && strcmp(end, ".svg") == 0};
    if (strcmp(path, "-") == 0) {
        sink->file = out;
        return true;
    }
    if (there && !S_ISREG(known.st_mode)) {
        sink->file = fopen(path, "w");
        return sink->file != NULL;
    }
    if (asprintf(&sink->part, "%s.%ld.part", path, (long)getpid()) < 0) {
        sink->part = NULL;
        return false;
    }
    /* One that a killed program of our number left; another user's stays, and O_EXCL then refuses. */
    (void)unlink(sink->part);
    int fd =
        open(sink->part, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, there ? known.st_mode & 0666 : 0666);
    sink->file = fd < 0 ? NULL : fdopen(fd, "w");
    if (!sink->file && fd >= 0)
        (void)close(fd);
    return sink->file != NULL;
}

/* Keeps the first reason; those that follow come of it. */
static void sink_fail(struct sink *sink)
{
    if (sink->why == 0)
        sink->why = errno != 0 ? errno : EIO;
}

/* Ends it: whole under its name, or not there at all. Returns 0, or the errno of what went wrong. */
static int sink_close(struct sink *sink, const char *path, bool drawn, FILE *out)
{
    if (sink->file && fflush(sink->file) != 0)
        sink_fail(sink);
    if (sink->file && sink->part && fsync(fileno(sink->file)) != 0)
        sink_fail(sink);
    if (sink->file && sink->file != out && fclose(sink->file) != 0)
        sink_fail(sink);
    bool whole = drawn && sink->why == 0;
    if (sink->part && whole && rename(sink->part, path) != 0) {
        sink_fail(sink);
        whole = false;
    }
    if (sink->part && !whole)
        (void)unlink(sink->part);
    free(sink->part);
    return sink->why;
}

/* cairo goes on after a fault; the first one is kept for the message. */
static cairo_status_t write_to(void *closure, const unsigned char *data, unsigned int bytes)
{
    struct sink *sink = closure;
    if (fwrite(data, 1, bytes, sink->file) == bytes)
        return CAIRO_STATUS_SUCCESS;
    sink_fail(sink);
    return CAIRO_STATUS_WRITE_ERROR;
}

/* False: it could not be drawn, or (sink->why) not written; or *letter cannot be drawn, since a label with a hole in
 * its name would be taken for another colour. */
static bool draw(const struct label_request *request, struct sink *sink, char letter[8])
{
    char title[64];
    double width = request->width_mm * LABEL_POINTS_PER_MM, height = request->height_mm * LABEL_POINTS_PER_MM;
    cairo_surface_t *pdf = sink->svg ? cairo_svg_surface_create_for_stream(write_to, sink, width, height)
                                     : cairo_pdf_surface_create_for_stream(write_to, sink, width, height);
    (void)snprintf(title, sizeof title, "batch %s", request->batch);
    if (!sink->svg)
        cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_TITLE, title);
    bool drawn = !label_missing(pdf, request, letter) && label_draw(pdf, request);
    cairo_surface_finish(pdf);
    cairo_status_t status = cairo_surface_status(pdf);
    cairo_surface_destroy(pdf);
    return drawn && status == CAIRO_STATUS_SUCCESS;
}

/* A file that could not be written outweighs a letter that cannot be drawn: the first is fixed at the machine. */
static int draw_to(const struct label_request *request, const char *path, FILE *out, const struct complaints *err)
{
    struct sink sink;
    char letter[8] = "";
    bool drawn = false;
    if (sink_open(&sink, path, out))
        drawn = draw(request, &sink, letter);
    else
        sink_fail(&sink);
    int why = sink_close(&sink, path, drawn, out);
    if (why != 0)
        return complain(err, NO_IO, path, say("label_file why=%s", said_reason(why)));
    if (letter[0] != '\0')
        return complain(err, BAD_DATA, letter, say("label_letter"));
    if (!drawn)
        return complain(err, OUR_FAULT, "label", say("label_not_drawn"));
    return DONE;
}

/* -1 where there is a label to draw, into *path; else the exit code. */
static int options(int argc, char **argv, FILE *out, const struct complaints *err, const char **path)
{
    *path = NULL;
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "--version") == 0) {
            if (strcmp(argv[i], "--help") == 0)
                print_help(out);
            else
                (void)fputs("poise-label " POISE_VERSION "\n", out);
            return fflush(out) == 0 ? DONE : NO_IO;
        }
        if (argv[i][0] == '-' && argv[i][1] != '\0')
            return complain(err, USAGE, argv[i], say("label_option"));
        if (*path)
            return complain(err, USAGE, argv[i], say("label_one_file"));
        *path = argv[i];
    }
    if (!*path || (*path)[0] == '\0')
        return complain(err, USAGE, "OUT.pdf", say("label_no_file"));
    return -1;
}

/* One label a run: memory is let go at the end for leak checkers' sake, not for a next one. */
int label_program(int argc, char **argv, FILE *in, FILE *out, FILE *err)
{
    struct label_request request;
    struct label_fault fault;
    const char *path = NULL;
    bool for_poise = argc > 0 && strcmp(argv[0], "poise") == 0;
    const struct complaints complaints = {err, for_poise ? "poise" : "poise-label"}, *to = &complaints;
    int code = options(argc, argv, out, to, &path);
    if (code >= 0)
        return code;
    char *text = malloc(MOST_BYTES + 1);
    if (!text)
        return complain(to, OUR_FAULT, "poise-label", say("label_memory"));
    size_t bytes = fread(text, 1, MOST_BYTES + 1, in);
    bool read = ferror(in) == 0;
    bool fine = read && bytes <= MOST_BYTES && label_request_read(text, bytes, &request, &fault);
    free(text);
    if (!read)
        return complain(to, NO_IO, "standard input", say("label_input"));
    if (bytes > MOST_BYTES)
        return complain(to, BAD_DATA, "standard input", say("label_large"));
    if (!fine)
        return complain(to, BAD_DATA, fault.what, fault.why);
    code = draw_to(&request, path, out, to);
    fit_finish();
    label_request_finish(&request);
    return code;
}
