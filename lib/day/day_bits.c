/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "day/day_bits.h"

#include <string.h>

void pci_bits_init(pci_bits *bits, int cells) {
    memset(bits, 0, sizeof *bits);
    bits->words = (cells + 63) / 64;
}

void pci_bits_set(pci_bits *bits, int cell, bool on) {
    uint64_t mask = UINT64_C(1) << (cell % 64);
    if (on)
        bits->word[cell / 64] |= mask;
    else
        bits->word[cell / 64] &= ~mask;
}

void pci_bits_fill(pci_bits *bits, int from, int length, bool on) {
    int until = from + length < 64 * bits->words ? from + length : 64 * bits->words;
    from = from < 0 ? 0 : from;
    for (int w = from / 64; w * 64 < until; w++) {
        uint64_t mask = pci_word_part(w, from, until);
        bits->word[w] = on ? bits->word[w] | mask : bits->word[w] & ~mask;
    }
}

int pci_bits_count(const pci_bits *bits) {
    int count = 0;
    for (int w = 0; w < bits->words; w++)
        for (uint64_t word = bits->word[w]; word; word &= word - 1)
            count++;
    return count;
}

static int next(const pci_bits *bits, int from, uint64_t flip) {
    from = from < 0 ? 0 : from;
    int w = from / 64;
    if (w >= bits->words)
        return -1;
    uint64_t word = (bits->word[w] ^ flip) & ~UINT64_C(0) << (from % 64);
    while (word == 0) {
        if (++w == bits->words)
            return -1;
        word = bits->word[w] ^ flip;
    }
    return w * 64 + pci_word_lowest(word);
}

int pci_bits_next(const pci_bits *bits, int from) {
    return next(bits, from, 0);
}

/* A word of the set moved down by k cells, k >= 0. */
static uint64_t moved_down(const pci_bits *bits, int w, int words, int rest) {
    uint64_t low = bits->word[w + words] >> rest;
    return rest ? low | bits->word[w + words + 1] << (64 - rest) : low;
}

static uint64_t moved_up(const pci_bits *bits, int w, int words, int rest) {
    uint64_t high = bits->word[w - words] << rest;
    return rest && w > words ? high | bits->word[w - words - 1] >> (64 - rest) : high;
}

void pci_bits_and_shifted(pci_bits *into, const pci_bits *of, int k) {
    int far = (k < 0 ? -k : k) / 64, rest = (k < 0 ? -k : k) % 64;
    int all = into->words, words = far < all ? far : all;
    if (k >= 0) {
        for (int w = 0; w < all - words; w++)
            into->word[w] &= moved_down(of, w, words, rest);
        for (int w = all - words; w < all; w++)
            into->word[w] = 0;
        return;
    }
    for (int w = 0; w < words; w++)
        into->word[w] = 0;
    for (int w = words; w < all; w++)
        into->word[w] &= moved_up(of, w, words, rest);
}

void pci_bits_or_shifted(pci_bits *into, const pci_bits *of, int k) {
    int all = into->words, words = k / 64 < all ? k / 64 : all;
    for (int w = 0; w < all - words; w++)
        into->word[w] |= moved_down(of, w, words, k % 64);
}

void pci_bits_run(const pci_bits *bits, int length, pci_bits *run) {
    *run = *bits;
    for (int have = 1; have < length;) {
        int step = have < length - have ? have : length - have;
        pci_bits copy = *run;
        pci_bits_and_shifted(run, &copy, step);
        have += step;
    }
}

void pci_bits_spread(const pci_bits *bits, int length, pci_bits *spread) {
    *spread = *bits;
    for (int have = 1; have < length;) {
        int step = have < length - have ? have : length - have;
        pci_bits from = *spread;
        for (int w = bits->words - 1; w >= step / 64; w--)
            spread->word[w] |= moved_up(&from, w, step / 64, step % 64);
        have += step;
    }
}
