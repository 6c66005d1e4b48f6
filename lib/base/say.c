/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/say.h"

#include <math.h>
#include <stdio.h>

#include "base/pi.h"
#include "base/text.h"

#define FT3 0.028316846592 /* m3, exact */

const char *pci_say_temperature(pc_units units, double T_K, char word[PCI_WORD_SIZE]) {
    double T_C = T_K - PC_ZERO_CELSIUS_K;
    if (units == PC_US)
        pci_format(word, PCI_WORD_SIZE, "%.0f F", 1.8 * T_C + 32.0);
    else
        pci_format(word, PCI_WORD_SIZE, "%.0f C", T_C);
    return word;
}

const char *pci_say_thickness(pc_units units, double thickness_m, char word[PCI_WORD_SIZE]) {
    if (units == PC_US)
        pci_format(word, PCI_WORD_SIZE, "%.3f in", thickness_m / 0.0254);
    else
        pci_format(word, PCI_WORD_SIZE, "%.1f mm", 1e3 * thickness_m);
    return word;
}

const char *pci_say_mass(double mass_kg, char word[PCI_WORD_SIZE]) {
    double mass_g = 1e3 * mass_kg;
    pci_format(word, PCI_WORD_SIZE, mass_g < 99.95 ? "%.1f g" : "%.0f g", mass_g);
    return word;
}

const char *pci_say_duration(double time_s, char word[PCI_WORD_SIZE]) {
    if (!isfinite(time_s))
        pci_format(word, PCI_WORD_SIZE, "never");
    else if (time_s < 99.5)
        pci_format(word, PCI_WORD_SIZE, "%.0f s", time_s);
    else if (time_s < 99.5 * 60.0)
        pci_format(word, PCI_WORD_SIZE, "%.1f min", time_s / 60.0);
    else
        pci_format(word, PCI_WORD_SIZE, "%.1f h", time_s / 3600.0);
    return word;
}

const char *pci_say_air_flow(pc_units units, double flow_m3_s, char word[PCI_WORD_SIZE]) {
    if (units == PC_US)
        pci_format(word, PCI_WORD_SIZE, "%.0f cfm", flow_m3_s * 60.0 / FT3);
    else
        pci_format(word, PCI_WORD_SIZE, "%.0f m3/h", flow_m3_s * 3600.0);
    return word;
}

const char *pci_say_room(pc_units units, double volume_m3, char word[PCI_WORD_SIZE]) {
    if (units == PC_US)
        pci_format(word, PCI_WORD_SIZE, "%.0f ft3", volume_m3 / FT3);
    else
        pci_format(word, PCI_WORD_SIZE, "%.0f m3", volume_m3);
    return word;
}

const char *pci_say_rpm(double rate_rad_s, char word[PCI_WORD_SIZE]) {
    pci_format(word, PCI_WORD_SIZE, "%.3g rpm", fabs(rate_rad_s) * 30.0 / PCI_PI);
    return word;
}

static const double DAY_S = 86400.0;

static const char *say_clock(double start_clock_s, double time_s, char word[PCI_WORD_SIZE]) {
    char clock[16];
    double clock_s = start_clock_s + time_s;
    if (!isfinite(clock_s)) {
        pci_format(word, PCI_WORD_SIZE, "--:--:--");
        return word;
    }
    pc_clock_text(clock_s, true, clock, sizeof clock);
    /* "until 01:34:29" of a later day would read as gone by. */
    if (clock_s >= DAY_S)
        pci_format(word, PCI_WORD_SIZE, "+%.0fd %s", floor(clock_s / DAY_S), clock);
    else
        pci_format(word, PCI_WORD_SIZE, "%s", clock);
    return word;
}

const char *pci_say_by(double start_clock_s, double time_s, char word[PCI_WORD_SIZE]) {
    return say_clock(start_clock_s, floor(time_s + 1e-6), word);
}

const char *pci_say_from(double start_clock_s, double time_s, char word[PCI_WORD_SIZE]) {
    return say_clock(start_clock_s, ceil(time_s - 1e-6), word);
}

void pc_clock_text(double clock_s, bool seconds, char *buffer, size_t size) {
    if (buffer == NULL || size == 0)
        return;
    /* NaN, infinity and times no schedule reaches have no clock. */
    if (!(fabs(clock_s) < 1e9)) {
        snprintf(buffer, size, "%s", seconds ? "--:--:--" : "--:--");
        return;
    }
    double unit_s = seconds ? 1.0 : 60.0;
    double whole_s = round(clock_s / unit_s) * unit_s;
    long day_s = (long)(whole_s - 86400.0 * floor(whole_s / 86400.0));
    int hour = (int)(day_s / 3600), minute = (int)(day_s / 60 % 60), second = (int)(day_s % 60);
    if (seconds)
        snprintf(buffer, size, "%02d:%02d:%02d", hour, minute, second);
    else
        snprintf(buffer, size, "%02d:%02d", hour, minute);
}
