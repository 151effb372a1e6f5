/* member_rows.h - one row of a table of members, as the protocol's tables write it. Only method_params.c and results.c
 * include this.
 *
 * says is a phrase of English for the papers, NULL where the glossary (shape/about.c) says it for the name.
 */
#pragma once

#include "shape/shape.h"

/* A call takes it: it may be left out, or must be there. */
#define MAY(kind, member, says)                                                                                        \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .about = (says)                                                        \
    }
#define MUST(kind, member, says)                                                                                       \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .required = true, .about = (says)                                      \
    }
#define MUST_LIST(member, kind, shape, says)                                                                           \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .required = true, .entry = SHAPE_##kind, .of = (shape), .about = (says)  \
    }
/* The method itself refuses a call without it, since only it has the words for what is wrong. */
#define NEEDS(kind, member, says)                                                                                      \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .needed = true, .about = (says)                                        \
    }
#define NEEDS_LIST(member, kind, shape, says)                                                                          \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .needed = true, .entry = SHAPE_##kind, .of = (shape), .about = (says)    \
    }
/* All members of another table: as a put takes them, as a get gives them, and as an answer that may be another. */
#define TAKES_ALL_OF(shape)                                                                                            \
    {                                                                                                                  \
        .name = "", .type = SHAPE_OBJECT, .spread = true, .of = &(shape)                                               \
    }
#define GIVES_ALL_OF(shape)                                                                                            \
    {                                                                                                                  \
        .name = "", .type = SHAPE_OBJECT, .spread = true, .required = true, .of = &(shape)                             \
    }
#define PERHAPS_ALL_OF(shape)                                                                                          \
    {                                                                                                                  \
        .name = "", .type = SHAPE_OBJECT, .spread = true, .nullable = true, .of = &(shape)                             \
    }
#define PERHAPS_LIST(member, shape, says)                                                                              \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .entry = SHAPE_OBJECT, .of = (shape), .about = (says)                    \
    }
#define MAY_COUNT(member, range_of, says)                                                                              \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_COUNT, .range = (range_of), .about = (says)                                    \
    }
#define MAY_LIST(member, kind, shape, says)                                                                            \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .entry = SHAPE_##kind, .of = (shape), .about = (says)                    \
    }

/* An answer gives it: always, always but perhaps null, or now and then. */
#define GIVES(kind, member, says)                                                                                      \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .required = true, .about = (says)                                      \
    }
#define OR_NULL(kind, member, says)                                                                                    \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .required = true, .nullable = true, .about = (says)                    \
    }
#define PERHAPS(kind, member, says)                                                                                    \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .about = (says)                                                        \
    }
#define GIVES_ONE_OF(member, words, says)                                                                              \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_CHOICE, .required = true, .choices = (words), .about = (says)                  \
    }
#define ONE_OF_OR_NULL(member, words, says)                                                                            \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_CHOICE, .required = true, .nullable = true, .choices = (words),                \
        .about = (says)                                                                                                \
    }
#define GIVES_OBJECT(member, shape, says)                                                                              \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_OBJECT, .required = true, .of = (shape), .about = (says)                       \
    }
#define OBJECT_OR_NULL(member, shape, says)                                                                            \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_OBJECT, .required = true, .nullable = true, .of = (shape), .about = (says)     \
    }
#define GIVES_LIST(member, kind, shape, says)                                                                          \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .required = true, .entry = SHAPE_##kind, .of = (shape), .about = (says)  \
    }
#define END                                                                                                            \
    {                                                                                                                  \
        0                                                                                                              \
    }
/* A number each, or null where one is not known; null where none is. */
#define NUMBERS_OR_NULL(member, says)                                                                                  \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_LIST, .required = true, .nullable = true, .entry = SHAPE_NUMBER,               \
        .holes = true, .about = (says)                                                                                 \
    }
#define PERHAPS_OR_NULL(kind, member, says)                                                                            \
    {                                                                                                                  \
        .name = (member), .type = SHAPE_##kind, .nullable = true, .about = (says)                                      \
    }
