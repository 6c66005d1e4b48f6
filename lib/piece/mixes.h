/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Resins and fillers of parts and layers, and the layers of a part that are of their own kind. */
#ifndef PCI_PIECE_MIXES_H
#define PCI_PIECE_MIXES_H

#include "input/fields.h"
#include "pourclock/piece.h"

/* The coat of a layer by its number; NULL where nothing is stated of it. */
const pc_coat *pci_coat_of(const pc_part *part, int number);

/* The mix a layer is of; number 0: the part's. */
const pc_resin *pci_layer_resin(const pc_piece *piece, const pc_part *part, int number);

/* As pc_piece_peak_limit, of a part that need not be the piece's own. */
double pci_part_peak_limit(const pc_piece *piece, const pc_part *part);

/* The mixes of a piece one after the other: its own resin at 0, then those of parts and layers;
 * NULL past the last. */
const pc_resin *pci_mix_of(const pc_piece *piece, size_t index);

/* How a layer of a hollow part is laid; never PC_COAT_AS_PIECE. */
pc_coat_method pci_layer_method(const pc_piece *piece, const pc_part *part, int number);

/* Purpose:  read a resin and a filler of its own into the piece's mixes, not settled yet.
 * Given:    resin, filler: where each is stated, without a value where it is not; base: the mix it
 *           is based on where it states no resin, 0: the piece's.
 * Returned: *place in the mixes, from 1; 0: neither is stated; PC_OK or an error's status. */
pc_status pci_read_mix(pc_piece *piece, const pci_at *resin, const pci_at *filler, size_t base,
                       size_t *place);

/* Purpose:  put the mixes together once the piece's resin, filler and catalyst are known.
 * Given:    ini: the file they are from; NULL: none. */
pc_status pci_mixes_settle(pc_piece *piece, const pci_ini *ini, pc_errors *errors);

/* Purpose:  fewest and most layers of a hollow part with coats, and the thickness of one, m.
 * Given:    number from 1 to count, count from fewest to most; first_most_m: a first layer that
 *           nothing is stated of is no thicker. */
int pci_coats_least(const pc_part *part);
int pci_coats_most(const pc_part *part);
double pci_coat_thickness(const pc_part *part, int count, int number, double first_most_m);

/* Thickest film of a coat that does not run on an upright wall, m: yield stress over weight, or as
 * stated; NaN where neither is. */
double pci_coat_holds_m(const pc_coat *coat, double density_kg_m3);

#endif
