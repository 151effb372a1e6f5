/* csv.c - records of RFC 4180. It must not know what a field stands for. */
#include "text/csv.h"

#include <string.h>

/* RFC 4180 section 2, rules 5 to 7: a quote within is doubled. */
static bool write_field(FILE *to, const char *field)
{
    if (!field[strcspn(field, ",\"\r\n")])
        return fputs(field, to) >= 0;
    if (fputc('"', to) == EOF)
        return false;
    for (; *field; field++)
        if ((*field == '"' && fputc('"', to) == EOF) || fputc(*field, to) == EOF)
            return false;
    return fputc('"', to) != EOF;
}

bool csv_record(FILE *to, const char *const *fields, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if ((i > 0 && fputc(',', to) == EOF) || !write_field(to, fields[i] ? fields[i] : ""))
            return false;
    return fputs("\r\n", to) >= 0;
}
