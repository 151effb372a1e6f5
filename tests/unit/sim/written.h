/* written.h - a file of its own for each test program that reads what a person wrote. */
#pragma once

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
/* cmocka wants the four above first */
#include <cmocka.h>

static char path[64]; /* from the group's setup to its teardown */

static inline int make_path(void **state)
{
    (void)state;
    strcpy(path, "/tmp/poise-written-XXXXXX");
    int fd = mkstemp(path);
    return fd < 0 ? -1 : close(fd);
}

static inline int remove_path(void **state)
{
    (void)state;
    return unlink(path);
}

static inline void write_text(const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    fputs(text, file);
    fclose(file);
}
