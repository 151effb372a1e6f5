#include "bench/declared.h"

#include "drivers/decode/families.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static bool path_of(const char *folder, const char *name, char *out, size_t size)
{
    int n = snprintf(out, size, "%s/profiles/%s.ini", folder, name);
    return folder[0] && n > 0 && (size_t)n < size && access(out, F_OK) == 0;
}

struct scale_profile *declared_family(const struct config *c, const struct config_station *s, struct file_fault *fault)
{
    char path[512];
    struct profile_fault wrong;
    *fault = (struct file_fault){.line = 0};
    if (strcmp(s->profile, "auto") == 0 || strncmp(s->port, "hid:", 4) == 0 || scale_family_find(s->profile))
        return NULL;
    if (!path_of(c->data, s->profile, path, sizeof path) && !path_of(c->folder, s->profile, path, sizeof path)) {
        fault->line = s->profile_line;
        snprintf(fault->file, sizeof fault->file, "%s", c->path);
        snprintf(fault->field, sizeof fault->field, "profile");
        snprintf(fault->why, sizeof fault->why, "no such family: %.48s", s->profile);
        snprintf(fault->help, sizeof fault->help,
                 "Name one that `poise decode --help` lists, or auto; or describe it in profiles/%.48s.ini, in the "
                 "folder of data or beside this file.",
                 s->profile);
        return NULL;
    }
    struct scale_profile *declared = malloc(sizeof *declared);
    if (declared && profile_load(path, s->profile, declared, &wrong))
        return declared;
    snprintf(fault->file, sizeof fault->file, "%s", path);
    if (declared) {
        fault->line = wrong.line;
        snprintf(fault->field, sizeof fault->field, "%s", wrong.field);
        snprintf(fault->why, sizeof fault->why, "%s", wrong.why);
        snprintf(fault->help, sizeof fault->help, "%s", wrong.help);
    } else {
        snprintf(fault->why, sizeof fault->why, "out of memory");
        snprintf(fault->help, sizeof fault->help, "Free some memory.");
    }
    free(declared);
    return NULL;
}
