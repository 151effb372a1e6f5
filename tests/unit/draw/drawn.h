/* drawn.h - labels drawn by the program's own code into a folder of the test's, and what tools say about them.
 *
 * A test's group set-up is make_folder, its tear-down remove_folder. Whoever gets a text or a path frees it.
 * A tool that fails, fails the test.
 */
#ifndef TESTS_DRAW_DRAWN_H
#define TESTS_DRAW_DRAWN_H

#include "print/draw/label.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static char folder[] = "/tmp/poise-label-XXXXXX";

/* An ordinary cup on the larger label, an activated one on the smaller. */
static const char roomy[] =
    "{\"size_mm\":\"62x29\",\"copies\":1,\"batch\":\"1042\",\"code\":\"TI-207\",\"name\":\"Copperwing\",\"coat\":"
    "\"mid\","
    "\"variant\":\"standard\",\"made\":\"reduced 20 %\",\"order\":\"4417\",\"vehicle\":\"van 3\","
    "\"time\":\"25 Nov 2026 10:51\",\"painter\":\"Ines\",\"hazard_words\":[\"flammable\",\"harmful vapour\"],"
    "\"use_by\":null,\"deviations\":[],\"with\":[],\"lid\":false}";
static const char compact[] =
    "{\"size_mm\":\"50x25\",\"copies\":1,\"batch\":\"1043\",\"code\":\"TI-207\",\"name\":\"Copperwing\",\"coat\":"
    "\"clear\","
    "\"variant\":\"standard\",\"made\":\"4:1:1 vol\",\"order\":\"4417\",\"vehicle\":\"van 3\","
    "\"time\":\"25 Nov 2026 11:20\",\"painter\":\"Ines\",\"hazard_words\":[\"flammable\",\"harmful vapour\"],"
    "\"use_by\":\"16:40 today\",\"deviations\":[],\"with\":[],\"lid\":false}";

static inline char *in_folder(const char *name)
{
    char *path = NULL;
    if (asprintf(&path, "%s/%s", folder, name) < 0)
        fail_msg("no memory");
    return path;
}

/* Runs the program on this JSON; its error line goes to complaint (512 bytes). */
static inline int run(const char *json, char *path, char *complaint)
{
    char *argv[] = {(char *)"poise-label", path, NULL};
    char *text = NULL;
    size_t size = 0;
    FILE *in = fmemopen((void *)(uintptr_t)json, strlen(json), "r");
    FILE *err = open_memstream(&text, &size);
    if (!in || !err)
        fail_msg("no memory");
    int code = label_program(2, argv, in, stdout, err);
    (void)fclose(in);
    (void)fclose(err);
    (void)snprintf(complaint, 512, "%s", text);
    free(text);
    return code;
}

/* What a tool prints about a file: `before FILE after`. The caller frees it. */
static inline char *tool(const char *before, const char *path, const char *after)
{
    char command[512];
    char *text = NULL;
    size_t size = 0;
    (void)snprintf(command, sizeof command, "%s '%s' %s 2>/dev/null", before, path, after);
    FILE *pipe = popen(command, "r");
    FILE *out = open_memstream(&text, &size);
    if (!pipe || !out)
        fail_msg("cannot run %s", command);
    for (int c = fgetc(pipe); c != EOF; c = fgetc(pipe))
        (void)fputc(c, out);
    int code = pclose(pipe);
    (void)fclose(out);
    if (code != 0)
        fail_msg("%s: exit %d", command, code);
    return text;
}

static inline char *drawn(const char *json)
{
    char complaint[512];
    char *path = in_folder("label.pdf");
    int code = run(json, path, complaint);
    if (code != 0)
        fail_msg("exit %d: %s", code, complaint);
    return path;
}

static inline char *text_of(const char *json)
{
    char *path = drawn(json);
    char *text = tool("pdftotext -layout", path, "-");
    free(path);
    return text;
}

static inline void holds(const char *text, const char *wanted)
{
    if (!strstr(text, wanted))
        fail_msg("`%s` is not in:\n%s", wanted, text);
}

static inline void holds_not(const char *text, const char *unwanted)
{
    if (strstr(text, unwanted))
        fail_msg("`%s` is in:\n%s", unwanted, text);
}

/* A copy of a label's JSON with one text in it replaced. The caller frees it. */
static inline char *with(const char *json, const char *old, const char *new)
{
    const char *at = strstr(json, old);
    char *out = calloc(1, strlen(json) + strlen(new) + 1);
    if (!at || !out)
        fail_msg("no `%s` to replace", old);
    size_t before = (size_t)(at - json);
    memcpy(out, json, before);
    memcpy(out + before, new, strlen(new));
    memcpy(out + before + strlen(new), at + strlen(old), strlen(at + strlen(old)));
    return out;
}

static inline char *crowded(const char *json)
{
    char *a = with(json, "\"TI-207\"", "\"TI-207-AND-THE-LONGEST-CODE-THERE-CAN-BE\"");
    char *b = with(a, "Copperwing", "Großer übermorgenländischer Flügelschlag in Perlmutt und Kupfer, zweite Fassung");
    char *c = with(b, "\"van 3\"", "\"the lifeboat tractor that stands behind the second shed\"");
    char *d = with(c, "\"Ines\"", "\"Ines Josefina Wilhelmina of the western workshop\"");
    char *e =
        with(d, "\"deviations\":[]", "\"deviations\":[\"P31 +7.9 %\",\"B20 −2.1 %\",\"R17 +3.3 %\",\"K01 +9.1 %\"]");
    char *f = with(e, "\"with\":[]", "\"with\":[\"1031\",\"1007\",\"998\"]");
    char *g =
        with(f, "\"harmful vapour\"", "\"harmful vapour\",\"may cause an allergic skin reaction\",\"toxic to fish\"");
    free(a);
    free(b);
    free(c);
    free(d);
    free(e);
    free(f);
    return g;
}

static inline int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static inline int remove_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"label.pdf", "label.png"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char *path = in_folder(names[i]);
        (void)unlink(path);
        free(path);
    }
    return rmdir(folder);
}

#endif
