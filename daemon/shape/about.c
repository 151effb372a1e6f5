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
    {"basis", "by weight or by volume"},
    {"batch", "a batch's number, as a text: `1042`"},
    {"begun", "when it was begun"},
    {"cautions", "what to beware of, gravest first"},
    {"coat", "`sealer`, `ground`, `base`, `mid`, `clear` or `single`"},
    {"currency", "of every `cost`"},
    {"finish", "`solid`, `metallic` or `pearl`"},
    {"finished", "when it was ended; null: it is not"},
    {"formula", "a formula's code"},
    {"id", "its id"},
    {"order", "the order or job that the paint is for"},
    {"painter", "who pours"},
    {"passed", "whether the scale is right"},
    {"person", "who does it, where that is not the painter"},
    {"place", "where it stands: a shelf, a rack"},
    {"request", "1 to 64 printable ASCII characters, made by the client, never used twice"},
    {"revision", "the revision of the screen that the person saw"},
    {"said", "its words"},
    {"state", "what it is in now"},
    {"station", "a bench's name"},
    {"toner", "a toner's id"},
    {"use_by", "when its pot life or its shelf life ends"},
    {"variant", "a variant's name; left out: `standard`"},
    {"warnings", "what is doubtful"},
};

const char *shape_glossary(const char *name)
{
    for (size_t i = 0; i < sizeof glossary / sizeof *glossary; i++)
        if (strcmp(glossary[i].name, name) == 0)
            return glossary[i].about;
    return "";
}
