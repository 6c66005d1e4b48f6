/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Area and volume of a binary STL in one pass. */
#ifndef PCI_SHAPE_SURVEY_H
#define PCI_SHAPE_SURVEY_H

#include "pourclock/mesh.h"

/* Purpose:  area and volume in the file's unit (unit_m: to judge how far apart corners are), as for
 * pc_mesh_survey. Given:    data for which pci_is_stl_binary holds. */
pc_status pci_survey_stl(const char *data, size_t size, double unit_m, const char *name,
                         double *area, double *volume, bool *doubled, pc_errors *errors);

#endif
