/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/molds.h"

#include <string.h>

#include "base/text.h"
#include "base/try.h"

bool pci_next_name(const char **list, char *name, size_t size) {
    const char *from = *list + strspn(*list, " \t,");
    size_t n = strcspn(from, ",");
    *list = from + n;
    while (n > 0 && (from[n - 1] == ' ' || from[n - 1] == '\t'))
        n--;
    if (n == 0)
        return false;
    if (n >= size)
        n = size - 1;
    memcpy(name, from, n);
    name[n] = '\0';
    return true;
}

static bool is_named(const pc_part *part, const char *name) {
    const char *space = strchr(part->name, ' ');
    bool bare = part->kind == PC_HOLLOW && space;
    return pci_same_word(part->name, name) || (bare && pci_same_word(space + 1, name));
}

size_t pci_parts_named(const pc_piece *piece, const char *name, size_t *part) {
    size_t count = 0;
    for (size_t i = 0; i < piece->part_count && i < PC_PARTS_MOST; i++)
        if (is_named(&piece->part[i], name) && count++ == 0)
            *part = i;
    return count;
}

static void deal_parts(const pc_piece *piece, pci_pour_order *molds) {
    for (size_t i = 0; i < piece->part_count; i++) {
        size_t m = molds->count;
        for (size_t k = 0; k < i && piece->part[i].mold[0]; k++)
            if (pci_same_word(piece->part[k].mold, piece->part[i].mold))
                m = molds->of_part[k];
        if (m == molds->count)
            molds->count++;
        molds->of_part[i] = m;
    }
}

static void note_after(const pc_piece *piece, pci_pour_order *molds) {
    for (size_t i = 0; i < piece->part_count; i++) {
        const char *list = piece->part[i].after;
        char name[sizeof piece->part[i].name];
        size_t other;
        while (pci_next_name(&list, name, sizeof name)) {
            if (pci_parts_named(piece, name, &other) == 0)
                continue;
            molds->after[i][other] = true;
            if (molds->of_part[i] != molds->of_part[other])
                molds->mold_after[molds->of_part[i]][molds->of_part[other]] = true;
        }
    }
}

/* Whether nothing that is not placed yet has to come before a part in its own mold. */
static bool part_is_next(const pci_pour_order *molds, size_t part, size_t parts,
                         const bool placed[]) {
    for (size_t k = 0; k < parts; k++)
        if (molds->after[part][k] && !placed[k] && molds->of_part[k] == molds->of_part[part])
            return false;
    return true;
}

/* One by one the first in the file that waits for no other. */
static pc_status order_parts(size_t parts, pci_pour_order *molds, size_t *circle) {
    bool placed[PC_PARTS_MOST] = {false};
    for (size_t n = 0; n < parts; n++) {
        size_t i = 0;
        while (i < parts && (placed[i] || !part_is_next(molds, i, parts, placed)))
            i++;
        if (i == parts) {
            for (*circle = 0; placed[*circle];)
                ++*circle;
            return PC_E_VALUE;
        }
        size_t m = molds->of_part[i];
        molds->part[m][molds->part_count[m]++] = i;
        placed[i] = true;
    }
    return PC_OK;
}

/* Molds that wait for each other. */
static pc_status check_molds(pci_pour_order *molds, size_t *circle) {
    bool done[PC_PARTS_MOST] = {false};
    for (size_t n = 0; n < molds->count; n++) {
        size_t m = 0;
        for (; m < molds->count; m++) {
            bool waits = done[m];
            for (size_t k = 0; k < molds->count; k++)
                waits = waits || (molds->mold_after[m][k] && !done[k]);
            if (!waits)
                break;
        }
        if (m == molds->count) {
            for (m = 0; done[m];)
                m++;
            *circle = molds->part[m][0];
            return PC_E_VALUE;
        }
        done[m] = true;
    }
    return PC_OK;
}

pc_status pci_molds_of(const pc_piece *piece, pci_pour_order *molds, size_t *circle) {
    memset(molds, 0, sizeof *molds);
    deal_parts(piece, molds);
    note_after(piece, molds);
    PCI_TRY(order_parts(piece->part_count, molds, circle));
    return check_molds(molds, circle);
}
