/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A list of cautions as it is written: what it is about, and the parts that write it. */
#ifndef PCI_SAFETY_CAUTION_LIST_H
#define PCI_SAFETY_CAUTION_LIST_H

#include "pourclock/safety.h"

/* piece and schedule are NULL where no piece is planned; resin is NULL where none is at hand. */
typedef struct pci_caution_list {
    const pc_resin *resin;
    const pc_piece *piece;
    const pc_schedule *schedule;
    pc_units units;
    pc_cautions *list;
} pci_caution_list;

/* Adds one of this piece; printf-style. */
void pci_caution_add(pci_caution_list *w, const char *code, const char *format, ...)
    PC_PRINTF(3, 4);

/* Adds one that is the same for every piece. */
void pci_caution_add_always(pci_caution_list *w, const char *code, const char *text);

/* cautions_heat.c: cup, leftovers, surplus, wall; of a piece, or of a resin alone. */
void pci_cautions_of_wall(pci_caution_list *w, const pc_standing *standing);
void pci_cautions_of_cups(pci_caution_list *w, const pc_standing *standing);
pc_status pci_cautions_of_any_cup(pci_caution_list *w);

/* cautions_air.c: ventilation, respirator, limits of exposure. */
void pci_cautions_of_air(pci_caution_list *w, const pc_ventilation *ventilation);
void pci_cautions_of_any_air(pci_caution_list *w);
void pci_cautions_of_breathing(pci_caution_list *w);

/* cautions_filler.c: dust of the filler in a mix; nothing without one. */
void pci_cautions_of_filler(pci_caution_list *w, const pc_resin *mix);

/* cautions_handling.c: skin, peroxide and fire, warming; plug and machine of a piece; the short
 * lines of every piece. */
void pci_cautions_of_handling(pci_caution_list *w);
void pci_cautions_of_turning(pci_caution_list *w);
void pci_cautions_of_every_piece(pci_caution_list *w);

#endif
