/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cells of a day, and sets of them, a bit each; cells outside the day are in no set. */
#ifndef PCI_DAY_DAY_BITS_H
#define PCI_DAY_DAY_BITS_H

#include <stdbool.h>
#include <stdint.h>

enum {
    PCI_DAY_CELLS = 1440, /* minutes */
    PCI_CELLS_MOST = 45 * PCI_DAY_CELLS,
    PCI_WORDS = (PCI_CELLS_MOST + 63) / 64 + 1, /* the last one stays 0, for shifts to read */
};

typedef struct pci_bits {
    int words; /* in use; those above are 0 */
    uint64_t word[PCI_WORDS];
} pci_bits;

static inline int pci_min(int a, int b) {
    return a < b ? a : b;
}

static inline int pci_max(int a, int b) {
    return a > b ? a : b;
}

static inline bool pci_bits_get(const pci_bits *bits, int cell) {
    return cell >= 0 && cell < PCI_CELLS_MOST && (bits->word[cell / 64] >> (cell % 64) & 1);
}

/* Lowest bit set of a word that is not 0. */
static inline int pci_word_lowest(uint64_t word) {
#if defined(__GNUC__)
    return __builtin_ctzll(word);
#else
    int bit = 0;
    while (!(word >> bit & 1))
        bit++;
    return bit;
#endif
}

/* The bits of word w that stand for cells from one on, up to another; some are in it. */
static inline uint64_t pci_word_part(int w, int from, int until) {
    uint64_t part = ~UINT64_C(0);
    if (from > w * 64)
        part <<= from - w * 64;
    if (until < w * 64 + 64)
        part &= ~UINT64_C(0) >> (w * 64 + 64 - until);
    return part;
}

/* The 64 cells from one on, a bit each. */
static inline uint64_t pci_bits_word(const pci_bits *bits, int cell) {
    if (cell <= -64 || cell >= 64 * bits->words)
        return 0;
    if (cell < 0)
        return bits->word[0] << -cell;
    int w = cell / 64, rest = cell % 64;
    return rest ? bits->word[w] >> rest | bits->word[w + 1] << (64 - rest) : bits->word[w];
}

/* Of those, the ones at which so many set cells begin in a row. */
static inline uint64_t pci_bits_run_word(const pci_bits *bits, int cell, int length) {
    uint64_t run = ~UINT64_C(0), low;
    for (;; length -= 64, cell += 64) {
        low = pci_bits_word(bits, cell);
        uint64_t high = length > 1 ? pci_bits_word(bits, cell + 64) : 0;
        int most = pci_min(length, 64);
        for (int have = 1, step; low && have < most; have += step) {
            step = pci_min(have, most - have);
            low &= low >> step | high << (64 - step);
            high &= high >> step;
        }
        run &= low;
        if (length <= 64 || !run)
            return run;
    }
}

/* An empty set for so many cells. */
void pci_bits_init(pci_bits *bits, int cells);
/* Sets or clears `length` cells from one on, those within the set's room. */
void pci_bits_fill(pci_bits *bits, int from, int length, bool on);
/* First set cell at or after `from`; -1: none. */
int pci_bits_next(const pci_bits *bits, int from);
/* First cell at or after `from` at which a number of set cells begin in a row; -1: none. */
int pci_bits_next_run(const pci_bits *bits, int from, int length);
/* The same set, in less time than all of its room takes. */
void pci_bits_copy(const pci_bits *bits, pci_bits *copy);

#endif
