/* folder.h - a folder of a test's own to write files into; gone at the end. */
#pragma once

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

struct folder {
    char dir[64];
};

static inline void folder_clear(const struct folder *f)
{
    DIR *dir = opendir(f->dir);
    assert_non_null(dir);
    for (const struct dirent *e = readdir(dir); e; e = readdir(dir)) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s", f->dir, e->d_name);
        if (e->d_name[0] != '.')
            unlink(path);
    }
    closedir(dir);
}

static inline void folder_write(const struct folder *f, const char *name, const char *text)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", f->dir, name);
    FILE *out = fopen(path, "w");
    assert_non_null(out);
    fputs(text, out);
    assert_int_equal(fclose(out), 0);
}

static inline void folder_make(struct folder *f)
{
    strcpy(f->dir, "/tmp/poise-files-XXXXXX");
    assert_non_null(mkdtemp(f->dir));
}

static inline void folder_remove(const struct folder *f)
{
    folder_clear(f);
    rmdir(f->dir);
}
