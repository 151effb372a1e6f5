/* near.c - the distance of two names, in letters. It must not know what is named. */
#include "text/near.h"

#include <ctype.h>
#include <string.h>

/* Letters to change, add or drop to make b of a (Levenshtein 1966), a row of the table at a time. Both are shorter than
 * NEAR_NAME. */
static size_t distance(const char *a, const char *b)
{
    size_t row[NEAR_NAME], n = strlen(b);
    for (size_t j = 0; j <= n; j++)
        row[j] = j;
    for (size_t i = 0; a[i]; i++) {
        size_t corner = row[0]; /* of the row above, one to the left */
        row[0] = i + 1;
        for (size_t j = 1; j <= n; j++) {
            size_t changed = corner + (tolower((unsigned char)a[i]) != tolower((unsigned char)b[j - 1]));
            size_t least = row[j] < row[j - 1] ? row[j] : row[j - 1];
            corner = row[j];
            row[j] = changed < least + 1 ? changed : least + 1;
        }
    }
    return row[n];
}

/* One letter wrong in a word of up to three, two in a longer one, and one more for each three letters from nine on:
 * what is farther is another word. */
struct near near_to(const char *typed)
{
    size_t len = strlen(typed), wrong = len <= 3 ? 1 : len < 9 ? 2 : len / 3;
    return (struct near){.typed = typed, .far = len < NEAR_NAME ? wrong + 1 : 0};
}

void near_take(struct near *near, const char *name)
{
    size_t steps = strlen(name) < NEAR_NAME && near->far > 0 ? distance(near->typed, name) : near->far;
    if (steps >= near->far)
        return;
    near->far = steps;
    memcpy(near->best, name, strlen(name) + 1);
}
