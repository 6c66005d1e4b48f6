/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Numbers in the C locale's spelling, rounded correctly, whatever locale the program has set. */
#include "config.h"

#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#ifdef HAVE_XLOCALE_H
#include <xlocale.h>
#endif

#include "base/text.h"
#include "pourclock/quantity.h"

static const char *digits(const char *text) {
    while (pci_is_digit(*text))
        text++;
    return text;
}

/* End of [sign] digits [. digits] [e [sign] digits], or text itself. */
static const char *scan(const char *text) {
    const char *start = text + (*text == '+' || *text == '-');
    const char *end = digits(start);
    size_t count = (size_t)(end - start);
    if (*end == '.') {
        const char *fraction = digits(end + 1);
        count += (size_t)(fraction - end - 1);
        if (count > 0)
            end = fraction;
    }
    if (count == 0)
        return text;
    if (pci_lower(*end) == 'e') {
        const char *power = end + 1 + (end[1] == '+' || end[1] == '-');
        if (pci_is_digit(*power))
            end = digits(power);
    }
    return end;
}

/* "0x10" is a zero and a wrong unit to us; strtod would read a hexadecimal number. */
static int is_hexadecimal(const char *text) {
    text += *text == '+' || *text == '-';
    return text[0] == '0' && pci_lower(text[1]) == 'x';
}

double pc_number_parse(const char *text, const char **end) {
    const char *stop = text ? scan(text) : NULL;
    if (end)
        *end = stop;
    if (stop == text)
        return NAN;
    if (is_hexadecimal(text))
        return *text == '-' ? -0.0 : 0.0;
    /* The C library keeps the "C" locale ready: this allocates nothing. */
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    if (plain == (locale_t)0)
        return NAN;
    double value = strtod_l(text, NULL, plain);
    freelocale(plain);
    return value;
}

void pci_number_text(double value, char *buffer, size_t size) {
    for (int digit = 6; digit <= 17; digit++) {
        pci_format(buffer, size, "%.*g", digit, value);
        if (pc_number_parse(buffer, NULL) == value)
            break;
    }
}

int pci_vformat(char *buffer, size_t size, const char *format, va_list args) {
    locale_t plain = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    locale_t before = plain != (locale_t)0 ? uselocale(plain) : (locale_t)0;
    int length = vsnprintf(buffer, size, format, args);
    if (plain != (locale_t)0) {
        uselocale(before);
        freelocale(plain);
    }
    return length;
}

int pci_format(char *buffer, size_t size, const char *format, ...) {
    va_list args;
    va_start(args, format);
    int length = pci_vformat(buffer, size, format, args);
    va_end(args);
    return length;
}
