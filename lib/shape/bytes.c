/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words in text. */
#include <math.h>
#include <string.h>

#include "base/text.h"
#include "shape/mesh_build.h"

static const char *behind_line(const pci_scan *s) {
    return s->line_end < s->end ? s->line_end + 1 : s->end;
}

bool pci_scan_line(pci_scan *s) {
    const char *p = s->line_end ? behind_line(s) : s->p;
    while (p < s->end) {
        s->line++;
        const char *stop = memchr(p, '\n', (size_t)(s->end - p));
        s->line_end = stop ? stop : s->end;
        while (p < s->line_end && pci_is_space(*p))
            p++;
        s->p = p;
        if (p < s->line_end)
            return true;
        p = behind_line(s);
    }
    s->p = s->line_end = s->end;
    return false;
}

bool pci_scan_word(pci_scan *s, const char **word, size_t *length) {
    const char *p = s->p;
    while (p < s->line_end && pci_is_space(*p))
        p++;
    *word = p;
    while (p < s->line_end && !pci_is_space(*p))
        p++;
    s->p = p;
    *length = (size_t)(p - *word);
    return *length > 0;
}

bool pci_word_is(const char *word, size_t length, const char *lower) {
    for (size_t i = 0; i < length; i++)
        if (lower[i] == '\0' || pci_lower(word[i]) != lower[i])
            return false;
    return lower[length] == '\0';
}

bool pci_word_integer(const char *word, size_t length, int64_t *value) {
    size_t i = 0;
    bool minus = length > 0 && word[0] == '-';
    if (length > 0 && (word[0] == '-' || word[0] == '+'))
        i++;
    if (i == length || length - i > 18)
        return false;
    int64_t v = 0;
    for (; i < length; i++) {
        if (!pci_is_digit(word[i]))
            return false;
        v = 10 * v + (word[i] - '0');
    }
    *value = minus ? -v : v;
    return true;
}

/* Exact for up to 18 digits and a power of ten up to 22; within some 1e-16 beyond. */
static double scale_by_ten(double v, int64_t power) {
    static const double ten[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                 1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    if (power >= 0 && power <= 22)
        return v * ten[power];
    if (power < 0 && power >= -22)
        return v / ten[-power];
    if (power < -290) /* in two steps, or the power itself is 0 */
        return v * pow(10.0, (double)(power + 290)) * 1e-290;
    return v * pow(10.0, (double)power);
}

bool pci_word_number(const char *word, size_t length, double *value) {
    size_t i = 0;
    bool minus = length > 0 && word[0] == '-';
    if (length > 0 && (word[0] == '-' || word[0] == '+'))
        i++;
    uint64_t digits = 0;
    int64_t power = 0;
    int taken = 0, seen = 0;
    bool point = false;
    for (; i < length; i++) {
        if (word[i] == '.' && !point) {
            point = true;
            continue;
        }
        if (!pci_is_digit(word[i]))
            break;
        seen = 1;
        if (taken < 18) {
            digits = 10 * digits + (uint64_t)(word[i] - '0');
            taken += digits > 0;
            power -= point;
        } else {
            power += !point;
        }
    }
    if (!seen)
        return false;
    if (i < length && (word[i] == 'e' || word[i] == 'E')) {
        int64_t e;
        if (!pci_word_integer(word + i + 1, length - i - 1, &e))
            return false;
        e = e > 10000 ? 10000 : e < -10000 ? -10000 : e;
        power += e;
        i = length;
    }
    if (i != length)
        return false;
    double v = digits == 0 ? 0.0 : scale_by_ten((double)digits, power);
    *value = minus ? -v : v;
    return isfinite(v);
}

uint32_t pci_le32(const char *p) {
    const unsigned char *u = (const unsigned char *)p;
    return (uint32_t)u[0] | (uint32_t)u[1] << 8 | (uint32_t)u[2] << 16 | (uint32_t)u[3] << 24;
}

float pci_le_float(const char *p) {
    uint32_t bits = pci_le32(p);
    float f;
    memcpy(&f, &bits, sizeof f);
    return f;
}
