/* shape.h - a thing as one table of members: an event, an item of the catalogue, a setting, a call, a screen.
 *
 * Checking, reading into a struct, writing from one, settings of an INI file, the OpenRPC document and the papers all
 * walk the same table, so that a member is added in one row. A table is const and looks like this:
 *
 *     static const struct shape_member cup_members[] = {
 *         {.name = "id", .type = SHAPE_ID, .required = true, SHAPE_AT(struct cup_kind, id), .about = "its name"},
 *         {.name = "ml", .type = SHAPE_NUMBER, .range = &shape_above_0, SHAPE_AT(struct cup_kind, ml)},
 *         {0},
 *     };
 *     const struct shape cup_shape = {"cup", cup_members, .about = "a kind of cup"};
 *
 * Units   stand in the member's name (`_g`, `_ml`, `_pct`); what is read and written is in that unit.
 * null    and a member left out are the same to a reader: the place in the struct stays as it was.
 * Owner   Tables live for ever. A struct's texts are copied into it; nothing is allocated but JSON.
 * Errors  A refusal fills *fault with the member's name: a wrong JSON type and a missing text are FAULT_PARAMS, a
 *         number that is missing or not sensible, a text that does not fit and an unknown choice FAULT_INVALID.
 */
#pragma once

#include "fault.h"

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What a member is in JSON, and what its place in a struct must be. */
enum shape_type {
    SHAPE_ANY,    /* any value; read by hand. No place */
    SHAPE_TEXT,   /* a text of one clean line (contract, section 3). char[] */
    SHAPE_LINES,  /* a text of any characters, such as a file. char[] */
    SHAPE_ID,     /* 1 to 40 of A-Z a-z 0-9 . _ - (id.h). char[] */
    SHAPE_NUMBER, /* a double; NaN is null */
    SHAPE_WEIGHT, /* a number of grams, kept exactly. int64_t, micrograms */
    SHAPE_COUNT,  /* a whole number. int, int64_t, size_t, unsigned: 4 or 8 bytes */
    SHAPE_FLAG,   /* true or false. bool */
    SHAPE_CHOICE, /* one of `choices`. An enum (4 bytes, the index), else char[] */
    SHAPE_TIME,   /* RFC 3339. int64_t milliseconds since the epoch (8 bytes), else char[] */
    SHAPE_DAY,    /* YYYY-MM-DD. char[] */
    SHAPE_SAID,   /* {"code","args"}, written with "text" too unless `bare`. struct said */
    SHAPE_OBJECT, /* of the shape `of`. That struct; `count` a bool that tells whether it is there */
    SHAPE_LIST    /* of `entry`, of the shape `of` where that is an object. An array; `count` a size_t */
};

/* Which numbers make sense; of a text its bytes, of a list its entries. */
struct shape_range {
    double least, most;
    bool above; /* least itself is out */
};
extern const struct shape_range shape_from_0;      /* 0 to 1e9 */
extern const struct shape_range shape_above_0;     /* > 0, at most 1e9 */
extern const struct shape_range shape_pct;         /* 0 to 100 */
extern const struct shape_range shape_pct_above_0; /* > 0 to 100 */
extern const struct shape_range shape_density;     /* > 0 to 25 g/mL: a figure above is in kg/m3 or g/L */

struct shape;

struct shape_member {
    const char *name; /* NULL ends a table */
    enum shape_type type;
    enum shape_type entry; /* of a list: what its entries are, with range, choices and fits as below */
    bool required;         /* to be given; nullable as well: null will do */
    bool nullable; /* written as null where it is not known: NaN, "", nothing said, an object that is not there */
    bool sparse;   /* not written at all then, nor where it is false, 0 or an empty list */
    bool bare;     /* of a said: code and args alone, as the journal keeps it */
    bool exact;    /* of a number: written with all its digits, since it is read back to reckon with */
    bool counted;  /* `count` is a place */
    bool needed;   /* papers tell it as required; the method refuses a call without it, in words of its own */
    bool holes;    /* of a list: an entry may be null */
    bool spread;   /* no member of that name: those of the object `of` stand here, and whoever takes them checks them */
    const struct shape_range *range;
    const char *const *choices;     /* ends with NULL; `""` is the name of a choice left out */
    bool (*fits)(const char *text); /* a text's own rule. NULL: none */
    const char *unfit;              /* how that is told: `not_a_port field=%s given=%s` */
    const struct shape *of;         /* of an object, or of a list's entries that are objects */
    /* Four bytes each: the loader writes to the page of every row at each start, so rows are small. */
    uint32_t entries_least, entries_most; /* of a list; most 0: no limit but its place */
    uint32_t offset, size;                /* the place in the struct; size 0: none, read and written by hand */
    uint32_t each;                        /* of a list: the bytes of one entry of its place */
    uint32_t count;                       /* of a list's size_t or an object's bool; sense only with `counted` */
    const char *about;                    /* for papers: one phrase of English, or a code of the folder words */
};

struct shape {
    const char *name; /* NULL: has none, and stands in a document where it is used */
    const struct shape_member *members;
    const char *about;
};

/* The place of a member, and of one with a count or a flag of its own beside it. */
#define SHAPE_AT(type, member) .offset = offsetof(type, member), .size = sizeof(((type *)0)->member)
#define SHAPE_LIST_AT(type, member, number)                                                                            \
    SHAPE_AT(type, member), .each = sizeof(((type *)0)->member[0]), .count = offsetof(type, number), .counted = true
#define SHAPE_OBJECT_AT(type, member, there) SHAPE_AT(type, member), .count = offsetof(type, there), .counted = true

/* Is it an object that has what the table asks, each of its type and sensible? Members that the table does not name are
 * ignored. False: *fault. */
bool shape_check(const struct shape *shape, const json_t *object, struct fault *fault);
/* The same, and each value into its place. *into must be filled with what "left out" means before. False: *fault, and
 * *into may be filled in part. */
bool shape_read(const struct shape *shape, const json_t *object, void *into, struct fault *fault);
/* One member's value, such as one setting. NULL or null: as left out. */
bool shape_read_member(const struct shape_member *member, const json_t *value, void *into, struct fault *fault);
/* A setting's text as the JSON value that its member takes: `12.5`, `yes`, `a, b`. NULL: *fault. A new reference. */
json_t *shape_of_text(const struct shape_member *member, const char *text, struct fault *fault);

/* The object of a struct: every member that has a place, in the table's order. NULL: no memory. A new reference. */
json_t *shape_write(const struct shape *shape, const void *from);

/* The row of that name, NULL: none. */
const struct shape_member *shape_find(const struct shape *shape, const char *name);
/* Unit of a member by the end of its name: `g`, `mL`, `%`; "" where it has none. */
const char *shape_unit(const char *name);
/* What the papers say of a member: its `about`, else what the glossary (shape_schema.c) says of its name; "" for
 * neither. */
const char *shape_about(const struct shape_member *member);
/* Whether papers tell it as required. `spread` is the row that it was spread by, NULL: it stands in its own table. Such
 * a row tells of all its members: required, that each is always there; nullable, that perhaps none is. */
bool shape_is_needed(const struct shape_member *member, const struct shape_member *spread);
/* JSON Schema of a shape. Shapes with a name that are used in it are added to *named once each, and referred to; named
 * NULL: they are written where they stand. A new reference. */
json_t *shape_schema(const struct shape *shape, json_t *named);
json_t *shape_member_schema(const struct shape_member *member, json_t *named);
