/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A code square (QR code, ISO/IEC 18004) of a text, by libqrencode. */
#include "config.h"

#include "draw/sheet_pen.h"

#ifdef HAVE_QRENCODE
#include <qrencode.h>
#include <string.h>

#define MODULE_LEAST_PT 0.85 /* 0.3 mm, which a phone still reads */

enum { QUIET = 4 }; /* modules left white round it */

bool code_square_draw(cairo_t *cr, box where, const char *text) {
    QRcode *code =
        QRcode_encodeData((int)strlen(text), (const unsigned char *)text, 0, QR_ECLEVEL_L);
    if (!code)
        return false;
    double side = where.w / (code->width + 2 * QUIET);
    bool fits = side >= MODULE_LEAST_PT;
    pen_ink(cr, INK_BLACK);
    for (int row = 0; fits && row < code->width; row++)
        for (int column = 0; column < code->width; column++)
            if (code->data[row * code->width + column] & 1)
                cairo_rectangle(cr, where.x + side * (column + QUIET),
                                where.y + side * (row + QUIET), side, side);
    if (fits) {
        cairo_set_antialias(cr, CAIRO_ANTIALIAS_NONE);
        cairo_fill(cr);
        cairo_set_antialias(cr, CAIRO_ANTIALIAS_DEFAULT);
    }
    QRcode_free(code);
    return fits;
}
#else
bool code_square_draw(cairo_t *cr, box where, const char *text) {
    (void)cr;
    (void)where;
    (void)text;
    return false;
}
#endif
