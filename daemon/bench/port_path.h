/* port_path.h - which ports scale.seek may open: a wrong path must not start a watchdog or write to a disk. */
#pragma once

#include "fault.h"

#include <stddef.h>

/* The port as a station would name it; a plain path to a pseudo-terminal becomes `pty:PATH`. False: *fault. */
bool port_path(const char *text, char *out, size_t size, struct fault *fault);
/* The same device, by whatever name. */
bool port_path_same(const char *a, const char *b);
