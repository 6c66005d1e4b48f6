/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_bits.h"

#include <string.h>

void pci_bits_init(pci_bits *bits, int cells) {
    memset(bits, 0, sizeof *bits);
    bits->words = (cells + 63) / 64;
}

void pci_bits_fill(pci_bits *bits, int from, int length, bool on) {
    int until = from + length < 64 * bits->words ? from + length : 64 * bits->words;
    from = from < 0 ? 0 : from;
    for (int w = from / 64; w * 64 < until; w++) {
        uint64_t mask = pci_word_part(w, from, until);
        bits->word[w] = on ? bits->word[w] | mask : bits->word[w] & ~mask;
    }
}

int pci_bits_next(const pci_bits *bits, int from) {
    from = from < 0 ? 0 : from;
    for (int w = from / 64; w < bits->words; w++) {
        uint64_t word = bits->word[w];
        if (w == from / 64)
            word &= ~UINT64_C(0) << (from % 64);
        if (word)
            return w * 64 + pci_word_lowest(word);
    }
    return -1;
}

int pci_bits_next_run(const pci_bits *bits, int from, int length) {
    for (int cell = from; (cell = pci_bits_next(bits, cell)) >= 0; cell += 64) {
        uint64_t runs = pci_bits_run_word(bits, cell, length);
        if (runs)
            return cell + pci_word_lowest(runs);
    }
    return -1;
}

void pci_bits_copy(const pci_bits *bits, pci_bits *copy) {
    copy->words = bits->words;
    memcpy(copy->word, bits->word, (size_t)(bits->words + 1) * sizeof bits->word[0]);
}
