/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities in the words of steps and warnings, in the units the piece asks for. Each returns its
 * buffer, so that calls can stand in a printf argument list. */
#ifndef PCI_BASE_SAY_H
#define PCI_BASE_SAY_H

#include "pourclock/quantity.h"

enum { PCI_WORD_SIZE = 32 };

const char *pci_say_temperature(pc_units units, double T_K, char word[PCI_WORD_SIZE]);
const char *pci_say_thickness(pc_units units, double thickness_m, char word[PCI_WORD_SIZE]);
const char *pci_say_mass(double mass_kg, char word[PCI_WORD_SIZE]); /* grams: scales read them */
const char *pci_say_duration(double time_s, char word[PCI_WORD_SIZE]);
const char *pci_say_air_flow(pc_units units, double flow_m3_s, char word[PCI_WORD_SIZE]);
const char *pci_say_room(pc_units units, double volume_m3, char word[PCI_WORD_SIZE]);
const char *pci_say_rpm(double rate_rad_s, char word[PCI_WORD_SIZE]);
/* Clock of a time from the first mix, in whole seconds on the safe side: a deadline never later
 * than it is, a "not before" never earlier. */
const char *pci_say_by(double start_clock_s, double time_s, char word[PCI_WORD_SIZE]);
const char *pci_say_from(double start_clock_s, double time_s, char word[PCI_WORD_SIZE]);

#endif
