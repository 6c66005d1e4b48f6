/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Meshes from memory, their facets, and the shape a mesh is. */
#ifndef PCI_SHAPE_MESH_SHAPE_H
#define PCI_SHAPE_MESH_SHAPE_H

#include "pourclock/mesh.h"
#include "pourclock/shape.h"

/* Purpose:  the same for a file in memory. name: for messages, and its ending for the format. */
pc_status pci_mesh_parse(const void *data, size_t size, const char *name, const char *unit,
                         pc_mesh *mesh, pc_errors *errors);

/* Whether a mesh file of that name states its unit itself (3MF). */
bool pci_names_unit(const char *path);

/* Purpose:  centroid, outward normal and area of a facet; any of them may be NULL.
 * Returned: PC_OK; PC_E_ARGUMENT: no such facet. The normal of a facet without area is 0. */
pc_status pci_mesh_facet(const pc_mesh *mesh, size_t index, double centroid_m[3], double normal[3],
                         double *area_m2);

/* Purpose:  the shape of a mesh, with its shell table up to wall_most_m.
 * Returned: as pci_shape_from_mesh. */
pc_status pci_shape_of_mesh(const pc_mesh *mesh, double wall_most_m, pc_shape *shape);

/* Purpose:  a part from a mesh file (STL, OBJ, PLY), with its shell table up to wall_most_m.
 * Given:    path; unit: length unit of its numbers ("mm", "in", ...); wall_most_m > 0; rim: the
 * only opening of an open mesh is its rim. Returned: *shape (an open mesh has closed false, volume
 * NaN and no table); PC_OK or an error. */
pc_status pci_shape_from_mesh(const char *path, const char *unit, double wall_most_m, bool rim,
                              pc_shape *shape, pc_errors *errors);

#endif
