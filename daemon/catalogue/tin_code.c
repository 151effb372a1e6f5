/* tin_code.c - one code of a tin. It must not know toners, nor any other code. */
#include "catalogue/tin_code.h"

#include <string.h>
#include <strings.h>

#define OF_CUPS "POISE:" /* a cup's label; contract, section 1 */

bool code_fits(const char *code)
{
    size_t n = strlen(code);
    const char *star = strchr(code, '*');
    if (n == 0 || code[0] == ' ' || code[n - 1] == ' ' || code[0] == '*')
        return false;
    return (!star || star[1] == '\0') && strncasecmp(code, OF_CUPS, strlen(OF_CUPS)) != 0;
}

size_t code_stem(const char *code)
{
    return strcspn(code, "*");
}

bool code_is(const char *code, const char *scan, size_t *lot_at)
{
    size_t n = code_stem(code);
    *lot_at = n;
    return code[0] && strncmp(code, scan, n) == 0 && (code[n] == '*' || scan[n] == '\0');
}
