#include "print/draw/program.h"

#include "print/draw/label.h"
#include "print/draw/request.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cairo-pdf.h>

#define MOST_BYTES (64 * 1024) /* as a line of the protocol */

enum { DONE = 0, USAGE = 64, BAD_DATA = 65, OUR_FAULT = 70, NO_IO = 74 };

static const char help[] = "poise-label OUT.pdf < LABEL.json\n"
                           "Draws the label of a batch from one JSON object. OUT.pdf `-` is standard output.\n"
                           "  --help     this\n"
                           "  --version  the version\n"
                           "Exit codes: 0, 64 usage, 65 bad data, 70 our bug, 74 cannot read or write.\n";

static int complain(FILE *err, int code, const char *what, const char *why, const char *mend)
{
    (void)fprintf(err, "poise-label: %s: %s. %s\n", what, why, mend);
    return code;
}

/* Where the PDF goes. A plain file is written under another name first, so that a printer never finds half a
 * label; what exists and is no plain file (a pipe, /dev/null) must not be replaced, and is written as it is. */
struct sink {
    FILE *file;
    char *part; /* the name beside it, NULL where there is none */
};

static bool sink_open(struct sink *sink, const char *path, FILE *out)
{
    struct stat known;
    *sink = (struct sink){0};
    if (strcmp(path, "-") == 0) {
        sink->file = out;
        return true;
    }
    if (stat(path, &known) == 0 && !S_ISREG(known.st_mode)) {
        sink->file = fopen(path, "w");
        return sink->file != NULL;
    }
    if (asprintf(&sink->part, "%s.%ld.part", path, (long)getpid()) < 0) {
        sink->part = NULL;
        return false;
    }
    int fd = open(sink->part, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0666);
    sink->file = fd < 0 ? NULL : fdopen(fd, "w");
    if (!sink->file && fd >= 0)
        (void)close(fd);
    return sink->file != NULL;
}

/* Ends it: whole under its name, or not there at all. errno tells why not. */
static bool sink_close(struct sink *sink, const char *path, bool whole, FILE *out)
{
    bool fine = whole;
    if (sink->file && fflush(sink->file) != 0)
        fine = false;
    if (sink->file && sink->part && fine && fsync(fileno(sink->file)) != 0)
        fine = false;
    if (sink->file && sink->file != out && fclose(sink->file) != 0)
        fine = false;
    if (sink->part && fine && rename(sink->part, path) != 0)
        fine = false;
    if (sink->part && !fine) {
        int why = errno;
        (void)unlink(sink->part);
        errno = why;
    }
    free(sink->part);
    *sink = (struct sink){0};
    return fine;
}

static cairo_status_t write_to(void *closure, const unsigned char *data, unsigned int bytes)
{
    return fwrite(data, 1, bytes, closure) == bytes ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

/* DONE, OUR_FAULT or NO_IO. A letter that cannot be drawn is told, and stands as a box: a label with a box in
 * its name is better than a cup without one. */
static int draw(const struct label_request *request, FILE *file, FILE *err)
{
    char title[64];
    char letter[5];
    cairo_surface_t *pdf = cairo_pdf_surface_create_for_stream(write_to, file, request->width_mm * LABEL_POINTS_PER_MM,
                                                               request->height_mm * LABEL_POINTS_PER_MM);
    (void)snprintf(title, sizeof title, "batch %s", request->batch);
    cairo_pdf_surface_set_metadata(pdf, CAIRO_PDF_METADATA_TITLE, title);
    if (label_missing(pdf, request, letter))
        (void)fprintf(err, "poise-label: %s: no font here has it. Install one that does, fonts-noto-cjk say.\n",
                      letter);
    bool drawn = label_draw(pdf, request);
    cairo_surface_finish(pdf);
    cairo_status_t status = cairo_surface_status(pdf);
    cairo_surface_destroy(pdf);
    if (status == CAIRO_STATUS_WRITE_ERROR)
        return NO_IO;
    return drawn && status == CAIRO_STATUS_SUCCESS ? DONE : OUR_FAULT;
}

static int draw_to(const struct label_request *request, const char *path, FILE *out, FILE *err)
{
    struct sink sink;
    bool opened = sink_open(&sink, path, out);
    errno = opened ? 0 : errno;
    int code = opened ? draw(request, sink.file, err) : NO_IO;
    bool whole = sink_close(&sink, path, code == DONE, out);
    if (code == OUR_FAULT)
        return complain(err, OUR_FAULT, "label", "it could not be drawn", "Please report this with its JSON.");
    if (!whole)
        return complain(err, NO_IO, path, errno ? strerror(errno) : "it could not be written",
                        "Give a file in a folder that can be written.");
    return DONE;
}

static int usage(FILE *err, const char *what, const char *why)
{
    return complain(err, USAGE, what, why, "Try `poise-label --help`.");
}

/* -1 where there is a label to draw, into *path; else the exit code. */
static int options(int argc, char **argv, FILE *out, FILE *err, const char **path)
{
    *path = NULL;
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--help") == 0 || strcmp(argv[i], "--version") == 0) {
            (void)fputs(strcmp(argv[i], "--help") == 0 ? help : "poise-label " POISE_VERSION "\n", out);
            return fflush(out) == 0 ? DONE : NO_IO;
        }
        if (argv[i][0] == '-' && argv[i][1] != '\0')
            return usage(err, argv[i], "not an option");
        if (*path)
            return usage(err, argv[i], "one file too many");
        *path = argv[i];
    }
    if (!*path || (*path)[0] == '\0')
        return usage(err, "OUT.pdf", "not given");
    return -1;
}

int label_program(int argc, char **argv, FILE *in, FILE *out, FILE *err)
{
    struct label_request request;
    struct label_fault fault;
    const char *path = NULL;
    int code = options(argc, argv, out, err, &path);
    if (code >= 0)
        return code;
    char *text = malloc(MOST_BYTES + 1);
    if (!text)
        return complain(err, OUR_FAULT, "memory", "there is none", "Close something and try again.");
    size_t bytes = fread(text, 1, MOST_BYTES + 1, in);
    bool read = ferror(in) == 0;
    bool fine = read && bytes <= MOST_BYTES && label_request_read(text, bytes, &request, &fault);
    free(text);
    if (!read)
        return complain(err, NO_IO, "standard input", "it cannot be read", "Give one JSON object.");
    if (bytes > MOST_BYTES)
        return complain(err, BAD_DATA, "standard input", "more than 64 KiB", "Give one JSON object.");
    if (!fine)
        return complain(err, BAD_DATA, fault.what, fault.why, fault.help);
    code = draw_to(&request, path, out, err);
    label_request_finish(&request);
    return code;
}
