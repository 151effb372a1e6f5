/* stories.h - the stories that are not in story.c, and what all of them do.
 *
 * Each story takes the machine as cmocka's state and leaves every station without a batch, live or muted, for the next.
 */
#pragma once

#include "tests/vm/painter.h"

#define CUP_G 31.2 /* the empty cup of all batches */

enum { NO_SCALE = -32002, STOP_MS = 20000 };

/* story_hid.c */
void reads_a_usb_scale_by_its_description(void **state);
void pours_through_a_pulled_usb_scale(void **state);
void says_who_may_not_use_a_usb_scale(void **state);

/* story_seek.c. Two searches take their time; they begin here and are looked at by stories further down. */
void begin_long_searches(struct machine *m);
void finds_out_what_a_port_speaks(void **state);
void leaves_alone_what_a_station_reads(void **state);
void finds_out_by_asking(void **state);
void reads_by_what_was_found_out(void **state);
void says_that_nothing_was_heard(void **state);

/* pour.c: a batch of TI-207, 100 g, on the station of a line. */
void begin_with_cup(struct machine *m, enum machine_line line);
/* Pours the open step until the scale shows what the station asks for, and accepts it. */
void pour_step(struct machine *m, enum machine_line line);
/* Pours what is left, and looks at the record. */
void finish(struct machine *m, enum machine_line line);
/* A batch whose first step is accepted and whose second is poured half. What was seen of the line before is forgotten.
 */
struct half_pour {
    double first_g, revision, shows_g, aim_g; /* the first step's; the second's display at the aim, and its aim */
};
struct half_pour pour_half(struct machine *m, enum machine_line line);
/* The line is back, and the painter poured on meanwhile to three quarters: all that was counted stands. */
void poured_on(struct machine *m, enum machine_line line, const struct half_pour *half);

/* story.c */
void assert_near(double want, double got, double within);
/* The guest's shell says this in answer to the command. */
void assert_says(struct machine *m, const char *command, const char *text);
