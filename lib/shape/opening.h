/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The part of a cavity that balls of one radius reach, and how far beyond them the rest lies. */
#ifndef PCI_SHAPE_OPENING_H
#define PCI_SHAPE_OPENING_H

#include "shape/band.h"

/* Purpose:  how far each cell of a band lies beyond the nearest ball of that radius which fits
 *           inside.
 * Given:    radius in cells, at least 1.5 below band->deepest.
 * Returned: beyond[], one a cell of every block, in cells: negative within a ball; -INFINITY
 *           where a ball of its own covers the cell and where the band has no depth; INFINITY where
 * no ball can be reached. PC_OK, PC_E_MEMORY. Notes:    a cell's own ball touches the surface at
 * the cell's foot; it fits where its center is as deep as the radius. Cells without one take over
 * their neighbors' balls, whose centers lie up to half a cell beside the best. */
pc_status pci_band_open(pci_band *band, double radius, float *beyond);

#endif
