#include "print/draw/qr.h"

#include <stdio.h>

#include <qrencode.h>

bool qr_draw(cairo_t *cr, const char *batch, double x, double y)
{
    char text[64];
    int length = snprintf(text, sizeof text, "POISE:%s", batch);
    if (length < 0 || (size_t)length >= sizeof text)
        return false;
    QRcode *code = QRcode_encodeString(text, 1, QR_ECLEVEL_M, QR_MODE_8, 1);
    bool fits = code && code->width == QR_MODULES;
    /* All modules are one path: filled one by one, hairlines would show between them. */
    for (int i = 0; fits && i < QR_MODULES * QR_MODULES; i++) {
        int column = i % QR_MODULES;
        int row = i / QR_MODULES;
        if (code->data[i] & 1)
            cairo_rectangle(cr, x + column * QR_MODULE_MM, y + row * QR_MODULE_MM, QR_MODULE_MM, QR_MODULE_MM);
    }
    if (fits)
        cairo_fill(cr);
    QRcode_free(code);
    return fits;
}
