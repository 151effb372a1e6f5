/* print.h - a label drawn by its own program and handed to the shop's print command, without stopping the loop.
 *
 * Both are children with a time limit; what they say on stderr becomes the reason. Nothing here touches a batch.
 * Thread  The loop's. Owner: print_label copies all it is given.
 */
#pragma once

#include <stdbool.h>
#include <uv.h>

/* What is under way, so that it can be ended. Begin with a zeroed one; it must outlive the loop. */
struct print_jobs {
    struct print_job *first;
    bool stopping;
    void (*ended)(void *arg); /* NULL: nobody waits for it */
    void *arg;
};

/* Labels under way get two more seconds, as does what is still begun; ended is called once none is left, at once where
 * there is none. */
void print_stop(struct print_jobs *jobs, void (*ended)(void *arg), void *arg);

/* why: "" when it went well, else one line for a painter. */
typedef void print_done(void *arg, bool ok, const char *why);

/* label_program reads json on stdin and writes a PDF; command (words for /bin/sh, as `lp -d labels`) gets the PDF's
 * path as its last word. done is called once: at once where there is no memory or no room for the file, else later. */
void print_label(struct print_jobs *jobs, uv_loop_t *loop, const char *label_program, const char *command,
                 const char *json, print_done *done, void *arg);

/* path: the PDF, which is removed when this returns; NULL: why it could not be drawn. */
typedef void print_drawn(void *arg, const char *path, const char *why);

/* Draws a label as a PDF, or as a picture (SVG), and hands over the file. drawn is called once, as done is. */
void print_draw(struct print_jobs *jobs, uv_loop_t *loop, const char *label_program, const char *json, bool picture,
                print_drawn *drawn, void *arg);
