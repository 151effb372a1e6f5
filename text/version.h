/* version.h - the version of this software. What includes it is built anew when it changes, and nothing else is. */
#pragma once

#define POISE_VERSION "0.1.0"
