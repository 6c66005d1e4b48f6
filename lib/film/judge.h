/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Judging many programs, or many layers, on one sphere. */
#ifndef PCI_FILM_JUDGE_H
#define PCI_FILM_JUDGE_H

#include "film/cells.h"

/* Purpose:  the sphere that judging in that fineness lays its layers on, to be judged on by any
 *           number of threads at once.
 * Returned: *sphere, to be freed with pc_map_free; PC_OK, PC_E_MEMORY. */
pc_status pci_judge_sphere(int fineness, pc_map **sphere);

/* As pc_turn_judge, on such a sphere (NULL, or of another fineness: one is made). */
pc_status pci_turn_judge(const pc_map *sphere, const pc_turning *turning,
                         const pc_turn_layer *layer, const pc_turn_stop *stop, int fineness,
                         pc_turn_result *result, pc_errors *errors);

/* Of it the wall alone, without the numbers of the program. */
pc_status pci_turn_spread(const pc_map *sphere, const pc_turning *turning,
                          const pc_turn_layer *layer, int fineness, pc_spread *spread,
                          pc_errors *errors);

#endif
