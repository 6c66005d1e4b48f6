/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Laying a layer on a wall map. */
#ifndef PCI_FILM_LAY_H
#define PCI_FILM_LAY_H

#include "film/cells.h"

/* Area of the wall the layer covers, m2: its volume over its film where both are stated. */
double pci_layer_area(const pc_map *map, const pc_turn_layer *layer);

/* As pci_map_layer_add; leaves the layer in map->film_m and adds nothing to the sums. *lump_m3 set.
 */
pc_status pci_lay(pc_map *map, const pc_turning *turning, const pc_turn_layer *layer,
                  const pc_turn_stop *stop, int fineness, double *lump_m3, pc_errors *errors);

#endif
