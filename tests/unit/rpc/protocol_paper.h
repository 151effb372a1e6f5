/* protocol_paper.h - writes what docs/protocol.md tells of the tables: errors, methods, notes, shapes.
 *
 * The paper is written by hand but for what stands between `<!-- made: NAME -->` and `<!-- end -->`; that is made
 * here of the same tables that the daemon checks calls with.
 */
#pragma once

#include "rpc/methods/methods.h"
#include "rpc/rpc.h"

#include <stdio.h>
#include <string.h>

enum { PAPER_SHAPES = 96 };

/* Shapes with a name that were met, each to be told once, in the order they were met. */
static const struct shape *met[PAPER_SHAPES];
static size_t met_count;

static void meet(const struct shape *shape)
{
    if (!shape || !shape->name)
        return;
    for (size_t i = 0; i < met_count; i++)
        if (met[i] == shape)
            return;
    if (met_count < PAPER_SHAPES)
        met[met_count++] = shape;
}

static const char *type_word(enum shape_type type)
{
    switch (type) {
    case SHAPE_NUMBER:
    case SHAPE_WEIGHT:
        return "number";
    case SHAPE_COUNT:
        return "whole number";
    case SHAPE_FLAG:
        return "true or false";
    case SHAPE_TIME:
        return "time";
    case SHAPE_DAY:
        return "date";
    case SHAPE_SAID:
        return "[said](#saids-and-words)";
    case SHAPE_OBJECT:
        return "object";
    case SHAPE_LIST:
        return "list";
    case SHAPE_ANY:
        return "value";
    default:
        return "text";
    }
}

static void write_type(FILE *to, const struct shape_member *m)
{
    if (m->of)
        fprintf(to, m->type == SHAPE_LIST ? "list of [%s](#%s)" : "[%s](#%s)", m->of->name, m->of->name);
    else if (m->type == SHAPE_LIST && m->entry != SHAPE_ANY)
        fprintf(to, "list of %ss%s", type_word(m->entry), m->holes ? " and nulls" : "");
    else
        fputs(type_word(m->type), to);
    if (m->nullable)
        fputs(" or null", to);
    meet(m->of);
}

static void write_sentence(FILE *to, const struct shape_member *m)
{
    const char *about = shape_about(m), *unit = shape_unit(m->name);
    fputs(about, to);
    if (m->choices) {
        fputs(about[0] ? ": " : "", to);
        for (size_t i = 0; m->choices[i]; i++)
            fprintf(to, "%s`%s`", i ? ", " : "", m->choices[i]);
    }
    if (m->range)
        fprintf(to, "%s%g to %g", about[0] ? "; " : "", m->range->least, m->range->most);
    if (unit[0])
        fprintf(to, "%s%s", about[0] || m->choices ? "; " : "", unit);
}

/* What is spread stands among the others. */
static void write_rows(FILE *to, const struct shape *shape, bool takes, const struct shape_member *spread)
{
    for (const struct shape_member *m = shape->members; m->name; m++) {
        bool needed = shape_is_needed(m, spread);
        if (m->spread) {
            write_rows(to, m->of, takes, m);
            continue;
        }
        fprintf(to, "| `%s`%s | ", m->name, takes && needed ? " (needed)" : !takes && !needed ? " (not always)" : "");
        write_type(to, m);
        fputs(" | ", to);
        write_sentence(to, m);
        fputs(" |\n", to);
    }
}

static void write_members(FILE *to, const struct shape *shape, bool takes)
{
    fputs(takes ? "| takes | is | |\n| --- | --- | --- |\n" : "| member | is | |\n| --- | --- | --- |\n", to);
    write_rows(to, shape, takes, NULL);
    fputc('\n', to);
}

static void write_methods(FILE *to)
{
    for (const struct rpc_method *m = rpc_methods; m->name; m++) {
        fprintf(to, "### %s\n\n%s", m->name, m->about);
        if (m->needs > RIGHT_READ)
            fprintf(to, " Changes something: needs the role `%s`.", right_names[m->needs]);
        fputs("\n\n", to);
        if (m->params->members->name)
            write_members(to, m->params, true);
        if (m->result->name) {
            fprintf(to, "Answers [%s](#%s).", m->result->name, m->result->name);
            meet(m->result);
        } else if (m->result->members->name) {
            fputs("Answers\n\n", to);
            write_members(to, m->result, false);
        } else {
            fprintf(to, "Answers %s.", m->result->about);
        }
        if (m->errors)
            fprintf(to, "%sErrors of its own: %s.", m->result->name || !m->result->members->name ? " " : "", m->errors);
        fputs("\n\n", to);
    }
}

static void write_notes(FILE *to)
{
    meet(&result_screen);
    fputs("### weight\n\n", to);
    write_members(to, &result_weight, false);
    fputs("`screen` holds a [screen](#screen), `scale` a [scale](#scale).\n\n", to);
    meet(&result_scale);
}

static void write_shapes(FILE *to)
{
    for (size_t i = 0; i < met_count; i++) { /* it grows while it is told */
        fprintf(to, "### %s\n\n%s%s", met[i]->name, met[i]->about ? met[i]->about : "", met[i]->about ? ".\n\n" : "");
        write_members(to, met[i], false);
    }
}

/* Copies the paper with what is made written anew. */
static void write_paper(FILE *from, FILE *to)
{
    char line[4096], name[32];
    bool made = false;
    met_count = 0;
    while (fgets(line, sizeof line, from)) {
        if (strcmp(line, "<!-- end -->\n") == 0)
            made = false;
        if (!made)
            fputs(line, to);
        if (sscanf(line, "<!-- made: %31[a-z] -->", name) != 1)
            continue;
        made = true;
        fputc('\n', to);
        if (strcmp(name, "methods") == 0)
            write_methods(to);
        else if (strcmp(name, "notes") == 0)
            write_notes(to);
        else if (strcmp(name, "shapes") == 0)
            write_shapes(to);
    }
}
