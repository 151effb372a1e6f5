/* about.c - the glossary of the papers, so that a row says only what is its own.
 *
 * It must not know which thing has a member: a name that means two things is told in the rows.
 */
#include "shape/about.h"

#include <stddef.h>
#include <string.h>

static const struct {
    const char *name, *about;
} glossary[] = {
    {"batch", "a batch's number, as a text: `1042`"},
    {"coat", "sealer, ground, base, mid, clear or single"},
    {"formula", "a formula's code"},
    {"order", "the order or job that the paint is for"},
    {"painter", "who pours"},
    {"person", "who does it, where that is not the painter"},
    {"request", "1 to 64 printable ASCII characters, made by the client, never used twice"},
    {"revision", "the count of acts of the station that the client has seen"},
    {"station", "a bench's name"},
    {"toner", "a toner's id"},
    {"variant", "a variant's name; left out: `standard`"},
};

const char *shape_glossary(const char *name)
{
    for (size_t i = 0; i < sizeof glossary / sizeof *glossary; i++)
        if (strcmp(glossary[i].name, name) == 0)
            return glossary[i].about;
    return "";
}
