/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities in the words of steps and warnings, in the units the piece asks for. Each returns its
 * buffer, so that calls can stand in a printf argument list. */
#ifndef PCI_PLAN_WORDS_H
#define PCI_PLAN_WORDS_H

#include "pourclock/piece.h"

enum { PCI_WORD_SIZE = 32 };

/* Below this a data sheet's 23 C says little, and viscous resin traps more air (practice). */
#define PCI_COLD_RESIN_K     (PC_ZERO_CELSIUS_K + 16.0)
#define PCI_COLD_RESIN_WORDS "resin at %s is thick: it mixes badly, holds bubbles and cures slowly"

const char *pci_say_temperature(pc_units units, double T_K, char word[PCI_WORD_SIZE]);
const char *pci_say_thickness(pc_units units, double thickness_m, char word[PCI_WORD_SIZE]);
const char *pci_say_mass(double mass_kg, char word[PCI_WORD_SIZE]); /* grams: scales read them */
const char *pci_say_duration(double time_s, char word[PCI_WORD_SIZE]);
/* "layer" of a hollow part, "pour" of a solid, as the table heads them. */
const char *pci_layer_word(pc_part_kind kind);
const char *pci_say_rpm(double rate_rad_s, char word[PCI_WORD_SIZE]);
/* Clock of a time from the first mix, in whole seconds on the safe side: a deadline never later
 * than it is, a "not before" never earlier. */
const char *pci_say_by(const pc_shop *shop, double time_s, char word[PCI_WORD_SIZE]);
const char *pci_say_from(const pc_shop *shop, double time_s, char word[PCI_WORD_SIZE]);

#endif
