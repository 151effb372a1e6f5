/* textfile.c - reads a file of unknown size whole. It knows nothing of what is in it. */
#include "drivers/sim/textfile.h"
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Hours of a fast scale in hex. */
static const size_t LARGEST = 64u << 20;

/* Grows *text as the file goes on. Returns 0 or an exit code. */
static int read_all(FILE *file, char **text, size_t *len)
{
    size_t room = 0, got;
    do {
        if (*len + 4096 > room) {
            room = room ? room * 2 : 16384;
            char *more = realloc(*text, room + 1);
            if (!more)
                return 70;
            *text = more;
        }
        got = fread(*text + *len, 1, room - *len, file);
        *len += got;
        if (*len > LARGEST)
            return 65;
    } while (got);
    (*text)[*len] = 0;
    if (ferror(file))
        return 66;
    return strlen(*text) == *len ? 0 : 65;
}

/* On a fault nothing is left allocated. */
int textfile_read(const char *path, char **text, char *why, size_t room)
{
    *text = NULL;
    size_t len = 0;
    FILE *file = fopen(path, "re");
    int code = file ? read_all(file, text, &len) : 66;
    if (code == 66)
        snprintf(why, room, "%s: %s. Check the path", path, strerror(errno));
    else if (code)
        snprintf(why, room, "%s: %s", path,
                 code == 70 ? "no memory. Try again" : "it is no text, or larger than 64 MiB. Give a text file");
    if (file)
        fclose(file);
    if (code) {
        free(*text);
        *text = NULL;
    }
    return code;
}

char *textfile_trim(char *line)
{
    line += strspn(line, " \t");
    for (size_t end = strlen(line); end && strchr(" \t\r", line[end - 1]); end--)
        line[end - 1] = 0;
    return line;
}
