/* codes.h - the codes of tins: what a scanner reads, which toner bears it, and that no two toners bear the same.
 *
 * A code may end in `*`: what the scanner reads in its place is the lot. Two codes meet where one scan could mean both,
 * so `4012*` meets `4012`, `40123` and `401*`. One toner may have codes that meet; of those the longest holds.
 * Case counts, since a scanner reads what was printed.
 * Thread  whichever owns the view of the store; look-ups walk all toners, so they belong off the loop.
 */
#pragma once

#include "catalogue/catalogue.h"
#include "catalogue/files.h"

/* The toner whose code was scanned, with the lot ("" for none); where no code is, the one whose id it is. False: no
 * such toner, or the store could not be read (catalogue_was_read). */
bool codes_toner(struct store *view, const char *scan, struct toner *out, char lot[CODE_MAX]);

/* Adds a fault for each code of these items that meets one of another. False: there was one. */
bool codes_apart(const struct file_items *items, struct file_faults *faults);
/* Whether no code of these things, `count` of them that are all to be written, meets one of another toner that the
 * store has. False: *fault, with its place in a file where it has one. */
bool codes_free(struct store *view, const struct file_item *things, size_t count, struct fault *fault);
