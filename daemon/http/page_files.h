/* page_files.h - the page's own files, built into poised: client/page/ and the words.
 *
 * Made by the Makefile (build/page/table.c and files.S); const, sorted by nothing: there are few.
 */
#pragma once

struct page_file {
    const char *name; /* `bench.js`, `icons/poise.svg`, `words/en.json` */
    const unsigned char *begin, *end;
};
extern const struct page_file page_files[]; /* ends with a NULL name */
