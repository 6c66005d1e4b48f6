/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Judging many programs, or many layers, on one sphere. */
#ifndef PCI_FILM_JUDGE_H
#define PCI_FILM_JUDGE_H

#include "film/cells.h"
#include "pourclock/film.h"

/* Purpose:  the sphere that judging in that fineness lays its layers on, to be judged on by any
 *           number of threads at once.
 * Returned: *sphere, to be freed with pc_map_free; PC_OK, PC_E_MEMORY. */
pc_status pci_judge_sphere(int fineness, pc_map **sphere);

/* Purpose:  judge a layer on a sphere of the layer's own area: fast enough to plan with.
 * Given:    sphere: as above (NULL, or of another fineness: one is made); turning (a drained mold:
 * PC_E_ARGUMENT, see pci_drain_when); layer; stop: may be NULL; fineness. Returned: *result; as
 * pci_map_layer_add. Notes:    from_s is set less one gap (passes before it are painted over); to_s
 * is when a standstill until gel thins the top of the wall by 2 % at most. */
pc_status pci_turn_judge(const pc_map *sphere, const pc_turning *turning,
                         const pc_turn_layer *layer, const pc_turn_stop *stop, int fineness,
                         pc_turn_result *result, pc_errors *errors);

/* Of it the wall alone, without the numbers of the program. */
pc_status pci_turn_spread(const pc_map *sphere, const pc_turning *turning,
                          const pc_turn_layer *layer, int fineness, pc_spread *spread,
                          pc_errors *errors);

/* Purpose:  effect of standstills of the lengths set in item[].for_s > 0.
 * Given:    sphere: as for pci_turn_judge.
 * Returned: the rest of item[]; as pci_turn_judge. */
pc_status pci_turn_interrupt(const pc_map *sphere, const pc_turning *turning,
                             const pc_turn_layer *layer, int fineness, size_t count,
                             pc_turn_interruption *item);

/* Purpose:  the best program a machine can run for a layer.
 * Given:    sphere: as for pci_turn_judge; turning: machine; range slowest..fastest of both axes
 * (NaN: 1 and 30 rpm) and gear ratios (none: continuous). Returned: *best: turning with its speeds
 * set; *result: its judgment; PC_OK; PC_E_VALUE with an error when nothing within the range serves
 * (too fast for the radius, empty range); otherwise as pci_turn_judge. Notes:    the thickest thin
 * 5 % wins, in steps of 0.5 % of the film; then the slower machine. */
pc_status pci_turn_search(const pc_map *sphere, const pc_turning *turning,
                          const pc_turn_layer *layer, int fineness, pc_turning *best,
                          pc_turn_result *result, pc_errors *errors);

/* Purpose:  a sphere's wall in n cells of equal area.
 * Given:    radius_m from 1e-6 to 1000; n from PC_MAP_CELLS_LEAST to PC_MAP_CELLS_MOST.
 * Returned: *map; PC_OK, PC_E_ARGUMENT, PC_E_MEMORY.
 * Source:   Fibonacci lattice. */
pc_status pci_map_sphere(double radius_m, size_t n, pc_map **map);

/* Purpose:  a closed wall of triangles.
 * Given:    facet_count triangles; corner[3 * facet_count][3] in m, outward by the right hand;
 *           cells: large triangles are halved until there are about so many cells (0: not at all).
 * Returned: *map, its middle of turning at the area's centroid; PC_OK, PC_E_ARGUMENT, PC_E_VALUE
 *           (open, inside out, no area), PC_E_SIZE, PC_E_MEMORY. */
pc_status pci_map_facets(size_t facet_count, const double (*corner)[3], size_t cells, pc_map **map);

/* Purpose:  turn a layer and add it to the map.
 * Given:    turning (a machine or hands); layer (radius_m is not used: the map's is); stop: may be
 *           NULL; fineness as for pci_turning_coverage.
 * Returned: *spread of this layer (may be NULL); PC_OK; PC_E_VALUE with an error (pool larger than
 *           what is left of the cavity, a turning that does not move); PC_E_ARGUMENT (with an error
 *           where the resin has gelled at its pour); PC_E_SIZE (more than 4 million steps of
 *           turning); PC_E_MEMORY. After an error the map is as it was.
 * Notes:    a place that comes out of the pool keeps the film the wall carries there and then,
 *           0.70708 sqrt(mu U/(rho g)) with U the wall's own speed; one that goes under gives its
 *           film back. When the film carried is as thick as the pool is deep, the pool is laid
 *           where it stands. Holds of a hand cycle and standstills let the film run down as on a
 *           still sphere; once laid, steps steeper than turning gravity bears run out (h^2 falling
 *           by more than mu w/(rho g) a meter). Both derived in lib/film/. The pool has one level
 *           and does not lag behind gravity. Volume is conserved to rounding. */
pc_status pci_map_layer_add(pc_map *map, const pc_turning *turning, const pc_turn_layer *layer,
                            const pc_turn_stop *stop, int fineness, pc_spread *spread,
                            pc_errors *errors);

/* Purpose:  spread of all layers together. Returned: PC_OK, PC_E_ARGUMENT, PC_E_MEMORY. */
pc_status pci_map_spread(const pc_map *map, pc_spread *spread);

#endif
