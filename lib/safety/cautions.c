/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The cautions of a piece or a resin: those of its own first, then the short lines of every piece.
 */
#include <stdarg.h>
#include <stdlib.h>

#include "base/text.h"
#include "piece/mixes.h"
#include "safety/air_sums.h"
#include "safety/caution_list.h"

enum { CAUTIONS_MOST = 48 };

static pc_caution *next_item(pci_caution_list *w, const char *code) {
    if (w->list->count == CAUTIONS_MOST)
        return NULL;
    pc_caution *item = &w->list->item[w->list->count++];
    pci_copy_text(item->code, sizeof item->code, code);
    return item;
}

void pci_caution_add(pci_caution_list *w, const char *code, const char *format, ...) {
    pc_caution *item = next_item(w, code);
    if (!item)
        return;
    va_list args;
    va_start(args, format);
    pci_vformat(item->text, sizeof item->text, format, args);
    va_end(args);
}

void pci_caution_add_always(pci_caution_list *w, const char *code, const char *text) {
    pc_caution *item = next_item(w, code);
    if (!item)
        return;
    item->always = true;
    pci_copy_text(item->text, sizeof item->text, text);
}

static pc_status begin(pc_cautions *list) {
    list->item = calloc(CAUTIONS_MOST, sizeof *list->item);
    return list->item ? PC_OK : PC_E_MEMORY;
}

static void end(pci_caution_list *w) {
    pci_cautions_of_every_piece(w);
    pci_caution_add_always(w, "deferral", PC_DEFERRAL);
}

/* Whether a mix before it is of the same family, and whether of the same filler. */
static bool family_was_told(const pc_piece *piece, size_t index) {
    for (size_t i = 0; i < index; i++)
        if (pci_mix_of(piece, i)->family == pci_mix_of(piece, index)->family)
            return true;
    return false;
}

static bool filler_was_told(const pc_piece *piece, size_t index) {
    for (size_t i = 0; i < index; i++)
        if (pci_same_word(pci_mix_of(piece, i)->fill.of.name,
                          pci_mix_of(piece, index)->fill.of.name))
            return true;
    return false;
}

/* Other families that parts or layers are cast in bring their own dangers. */
static pc_status write_other_mixes(pci_caution_list *w) {
    const pc_resin *own = w->resin;
    pc_status status = PC_OK;
    for (size_t i = 1; status == PC_OK && pci_mix_of(w->piece, i); i++) {
        w->resin = pci_mix_of(w->piece, i);
        if (!family_was_told(w->piece, i)) {
            pc_ventilation *air = malloc(sizeof *air);
            status =
                air ? pci_ventilation_of_mix(w->piece, w->schedule, w->resin, air) : PC_E_MEMORY;
            if (status == PC_OK)
                pci_cautions_of_air(w, air);
            free(air);
            pci_cautions_of_breathing(w);
            pci_cautions_of_handling(w);
        }
        if (!filler_was_told(w->piece, i))
            pci_cautions_of_filler(w, w->resin);
    }
    w->resin = own;
    return status;
}

static pc_status write_piece(pci_caution_list *w, const pc_standing *standing,
                             const pc_ventilation *ventilation) {
    pc_status status = begin(w->list);
    if (status != PC_OK)
        return status;
    pci_cautions_of_wall(w, standing);
    pci_cautions_of_cups(w, standing);
    pci_cautions_of_air(w, ventilation);
    pci_cautions_of_breathing(w);
    pci_cautions_of_handling(w);
    pci_cautions_of_filler(w, w->resin);
    status = write_other_mixes(w);
    pci_cautions_of_turning(w);
    end(w);
    return status;
}

static pc_status of_piece(const pc_piece *piece, const pc_schedule *schedule, pc_units units,
                          pc_cautions *cautions) {
    if (!cautions)
        return PC_E_ARGUMENT;
    *cautions = (pc_cautions){0, NULL};
    if (!piece || !schedule || (unsigned)piece->resin.family >= PC_FAMILY_COUNT)
        return PC_E_ARGUMENT;
    pc_standing standing;
    pc_ventilation *ventilation = malloc(sizeof *ventilation);
    if (!ventilation)
        return PC_E_MEMORY;
    pci_caution_list w = {&piece->resin, piece, schedule, units, cautions};
    pc_status status = pc_standing_of(piece, schedule, &standing);
    if (status == PC_OK)
        status = pci_ventilation_of(piece, schedule, ventilation);
    if (status == PC_OK)
        status = write_piece(&w, &standing, ventilation);
    free(ventilation);
    return status;
}

static pc_status of_resin(const pc_resin *resin, pc_units units, pc_cautions *cautions) {
    if (!cautions)
        return PC_E_ARGUMENT;
    *cautions = (pc_cautions){0, NULL};
    if (resin && (unsigned)resin->family >= PC_FAMILY_COUNT)
        return PC_E_ARGUMENT;
    pci_caution_list w = {resin, NULL, NULL, units, cautions};
    pc_status status = begin(cautions);
    if (status == PC_OK && resin) {
        status = pci_cautions_of_any_cup(&w);
        pci_cautions_of_any_air(&w);
        pci_cautions_of_breathing(&w);
        pci_cautions_of_handling(&w);
        pci_cautions_of_filler(&w, resin);
    }
    if (status == PC_OK)
        end(&w);
    else
        pc_cautions_free(cautions);
    return status;
}

pc_status pc_cautions_list(pc_cautions_of what, const pc_piece *piece, const pc_schedule *schedule,
                           const pc_resin *resin, pc_units units, pc_cautions *cautions) {
    return what == PC_CAUTIONS_OF_PIECE ? of_piece(piece, schedule, units, cautions)
                                        : of_resin(resin, units, cautions);
}

void pc_cautions_free(pc_cautions *cautions) {
    if (!cautions)
        return;
    free(cautions->item);
    *cautions = (pc_cautions){0, NULL};
}
