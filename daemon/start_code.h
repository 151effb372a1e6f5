/* start_code.h - what of the program and its libraries only a start runs.
 *
 * A start parses, checks and links; of that a fifth of all resident memory stays, and is never looked at again.
 */
#pragma once

/* Lets go of all that is run and never written, of the program and of every library: what is still needed comes back
 * by itself, 64 kB at a touch, out of the system's cache. Once, when all is served. A debugger's breakpoints that were
 * set before go with it: set them after `ready`. */
void start_code_let_go(void);
