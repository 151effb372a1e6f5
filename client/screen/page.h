/* page.h - from a model to a page: one page, one open line, one foot line.
 *
 * Pure: model, moment and size in, a grid out; no terminal, no clock. Start with page_draw; each state has a file
 * page_NAME.c, what they share is in paint.h. To add a page: its file, a row in page_draw, its foot line, its keys.
 * Sizes   80x24 is the measure; wide from 110x26; below 80 columns small figures and a ruler of 60; below 60x16 one
 *         line. Any size from 1x1 on is drawn, cut where it must be. */
#pragma once

#include "client/screen/grid.h"
#include "client/screen/model.h"

void page_draw(const struct model *m, struct moment now, int cols, int rows, struct grid *g);
