/* premix_kept.h - a finished premix as a toner of the bank: what commit.c writes with the finish.
 *
 * Owner  premix_kept's texts are malloc'd and stand in *k until premix_kept_free. Thread: the loop's.
 */
#pragma once

#include "daemon.h"
#include "station/batch.h"

/* The item and the tin that a finish brings; body NULL: nothing is kept. */
struct premix_kept {
    char *body, *text;      /* owned: the toner's JSON, and the words that find it */
    struct store_item item; /* points to them */
    struct store_move tin;  /* all of it, of a lot named as the batch */
    struct store_stir stir; /* it has just been stirred */
};

/* Whether no toner bears that id, in whatever case. False: *f, `used`. */
bool premix_id_free(struct daemon *d, const char *id, struct fault *f);
/* The premix b as the toner that e (its finish) names; day and time are e's, and the caller's to keep. False: no
 * memory. */
bool premix_kept(const struct batch *b, const struct event *e, const char *day, const char *time,
                 struct premix_kept *k);
void premix_kept_free(struct premix_kept *k);
