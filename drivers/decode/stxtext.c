#include "drivers/decode/stxtext.h"

#include <string.h>

bool stx_take_value(struct text *text, struct stx_value *out)
{
    out->digits[0] = '\0';
    out->negative = text_peek(text) == '-';
    struct text number = *text;
    if (text_take_number(&number, TEXT_SIGN_MAY, TEXT_POINT, out->digits)) {
        *text = number;
        return true;
    }
    if (!text_take_any(text, "+- "))
        return false;
    while (text_take_any(text, "- "))
        ;
    return true;
}

bool stx_take_kind(struct text *text, struct scale_reading *out)
{
    if (text_take_word(text, "G"))
        out->kind = SCALE_KIND_GROSS;
    else if (text_take_word(text, "N"))
        out->kind = SCALE_KIND_NET;
    else
        return false;
    return true;
}

bool stx_take_status(struct text *text, struct scale_reading *out)
{
    out->stability = SCALE_MOVING;
    if (text_take(text, " "))
        out->stability = SCALE_STABLE;
    else if (text_take_word(text, "O"))
        out->status = SCALE_OVER;
    else if (text_take_word(text, "U"))
        out->status = SCALE_UNDER;
    else if (text_take_word(text, "I") || text_take_word(text, "E"))
        out->status = SCALE_ERROR;
    else
        return text_take_word(text, "M");
    return true;
}

bool stx_settle(const struct stx_value *value, struct scale_reading *out)
{
    if (out->status == SCALE_OVER && value->negative)
        out->status = SCALE_UNDER;
    if (out->status != SCALE_OK)
        return true;
    memcpy(out->digits, value->digits, sizeof out->digits);
    return out->digits[0] != '\0';
}
