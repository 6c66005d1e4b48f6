/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The older way to put quantities in words, into a buffer: use pourclock/words.h. */
#ifndef PCI_BASE_SAY_H
#define PCI_BASE_SAY_H

#include "base/text.h"
#include "pourclock/words.h"

enum { PCI_WORD_SIZE = 32 };

static inline const char *pci_say_into(char word[PCI_WORD_SIZE], pc_words words) {
    pci_copy_text(word, PCI_WORD_SIZE, words.s);
    return word;
}

#define pci_say_temperature(units, value, word) pci_say_into(word, pc_say_degrees(units, value))
#define pci_say_thickness(units, value, word)   pci_say_into(word, pc_say_thickness(units, value))
#define pci_say_mass(value, word)               pci_say_into(word, pc_say_mass(value))
#define pci_say_duration(value, word)           pci_say_into(word, pc_say_duration(value))
#define pci_say_air_flow(units, value, word)    pci_say_into(word, pc_say_air_flow(units, value))
#define pci_say_rpm(value, word)                pci_say_into(word, pc_say_rpm(value))
#define pci_say_by(start, value, word)          pci_say_into(word, pc_say_by(start, value))
#define pci_say_from(start, value, word)        pci_say_into(word, pc_say_from(start, value))
#define pci_layer_word                          pc_layer_word

#endif
