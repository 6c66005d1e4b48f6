/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What parts of a mesh that overlap bound together. */
#ifndef PCI_SHAPE_UNION_H
#define PCI_SHAPE_UNION_H

#include "pourclock/mesh.h"

/* Purpose:  the shares of area and volume that count where a point in several parts counts once.
 * Given:    mesh, closed and facing outward.
 * Returned: *area_share, of the sum over all facets: what bounds the inside (winding number not 0);
 *           *volume_share, of the sum over the parts; both 1 where less than a thousandth of the
 *           surface is hidden. PC_OK, PC_E_MEMORY.
 * Notes:    from lines along the three axes, some 400 across the box, fewer where so many parts lie
 * in one another that they would be crossed millions of times: within about 0.2 %. */
pc_status pci_mesh_union(const pc_mesh *mesh, double *area_share, double *volume_share);

#endif
