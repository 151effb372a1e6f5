/* about.h - the glossary of the papers: what a member of that name means wherever it stands. */
#pragma once

/* One phrase of English; "" for a name that means different things. Lives for ever. */
const char *shape_glossary(const char *name);
