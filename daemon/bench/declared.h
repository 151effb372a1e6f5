/* declared.h - the families that a shop declares in files of its own (drivers/profiles/README.md).
 *
 * `profile = NAME` of a station is a built-in family, else the section [profile NAME] of NAME.ini in the folder
 * `profiles` of the catalogue's folder (`data`), else in the folder `profiles` beside the configuration.
 * Thread  Reads files: for start and --check only.
 */
#pragma once

#include "config.h"
#include "drivers/decode/profile.h"

/* NULL with an empty fault->why: built in, or to be found out. Else the family, malloc'd for the caller to free after
 * its port is closed; or NULL and *fault: file, line and mend. */
struct scale_profile *declared_family(const struct config *c, const struct config_station *s, struct file_fault *fault);
