/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Building a mesh: what the readers of the formats share. */
#ifndef PCI_SHAPE_MESH_BUILD_H
#define PCI_SHAPE_MESH_BUILD_H

#include "pourclock/mesh.h"

/* 4 GiB; a quarter of what can be addressed at all where that is less. */
#define PCI_MESH_BYTES_MOST  ((size_t)(SIZE_MAX > UINT32_MAX ? (uint64_t)4 << 30 : SIZE_MAX / 4))
#define PCI_MESH_FACETS_MOST ((size_t)1 << 31)

/* A mesh being read: corners in the file's unit, equal ones joined as they come. */
typedef struct pci_builder {
    double *vertex;
    size_t vertices, vertex_room;
    uint32_t *facet;
    size_t facets, facet_room;
    uint32_t *slot; /* open hash table of vertex numbers + 1 */
    size_t slots;   /* a power of two, or 0 */
    size_t degenerate, trailing_bytes, doubled;
    double unit_m; /* that the file states; 0: none */
    const char *format;
    const char *name; /* for messages */
    pc_errors *errors;
} pci_builder;

void pci_builder_free(pci_builder *b);

/* The number of a corner, new or known. PC_OK, PC_E_MEMORY, PC_E_SIZE. Coordinates are finite. */
pc_status pci_builder_vertex(pci_builder *b, const double xyz[3], uint32_t *number);

/* Adds a facet; one with two equal corners is counted as degenerate and left out. */
pc_status pci_builder_facet(pci_builder *b, uint32_t i, uint32_t j, uint32_t k);

/* Adds a polygon of n >= 3 corners, cut into triangles. line: for messages.
 * PC_OK, PC_E_MEMORY, PC_E_SIZE, PC_E_VALUE (above 1000 corners and not convex). */
pc_status pci_builder_polygon(pci_builder *b, const uint32_t *corner, size_t n, long line);

/* Leaves out facets of the same three corners in the same order as an earlier one. */
pc_status pci_builder_drop_doubles(pci_builder *b);

/* Joins corners that lie within `within` of an earlier one. */
pc_status pci_builder_weld(pci_builder *b, double within);

pc_status pci_read_stl_binary(pci_builder *b, const char *data, size_t size);
pc_status pci_read_stl_text(pci_builder *b, const char *data, size_t size);
pc_status pci_read_obj(pci_builder *b, const char *data, size_t size);
pc_status pci_read_ply(pci_builder *b, const char *data, size_t size);
pc_status pci_read_3mf(pci_builder *b, const char *data, size_t size);

/* Number of facets a binary STL of that size says it has and holds; false when it is none. */
bool pci_is_stl_binary(const char *data, size_t size);

/* Reading text: words of one line after the other. */
typedef struct pci_scan {
    const char *p, *end; /* what is left */
    const char *line_end;
    long line;
} pci_scan;

/* Moves to the next line that is not blank; false at the end. Call first. */
bool pci_scan_line(pci_scan *s);
/* The next word of the line; false where there is none. */
bool pci_scan_word(pci_scan *s, const char **word, size_t *length);
/* Whether a word is `lower`, whatever its case. */
bool pci_word_is(const char *word, size_t length, const char *lower);
/* A finite number that fills the word; false otherwise. "." is the decimal point. */
bool pci_word_number(const char *word, size_t length, double *value);
bool pci_word_integer(const char *word, size_t length, int64_t *value);

/* Four bytes, least first. */
uint32_t pci_le32(const char *p);
float pci_le_float(const char *p);

/* Refuses a mesh with a corner more than 1000 km from the origin, or more than 1 km across. */
pc_status pci_mesh_check_far(double far_m, double across_m, const char *name, pc_errors *errors);

/* Purpose:  topology and measures of a mesh; turns facets round where neighbors disagree and
 *           components that face inward. Fills mesh->report except degenerate corners dropped,
 *           trailing bytes and the weld, which are the reader's.
 * Returned: PC_OK, PC_E_MEMORY. */
pc_status pci_mesh_judge(pc_mesh *mesh);

#endif
