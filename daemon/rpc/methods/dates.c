#include "rpc/methods/dates.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

bool date_is(const char *text)
{
    if (strlen(text) != 10)
        return false;
    for (int i = 0; i < 10; i++)
        if (i == 4 || i == 7 ? text[i] != '-' : !isdigit((unsigned char)text[i]))
            return false;
    int month = atoi(text + 5), day = atoi(text + 8);
    return month >= 1 && month <= 12 && day >= 1 && day <= 31;
}
