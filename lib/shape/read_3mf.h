/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The model in a 3MF package: objects of meshes and components, and the items to build. */
#ifndef PCI_SHAPE_READ_3MF_H
#define PCI_SHAPE_READ_3MF_H

#include "shape/mesh_build.h"
#include "shape/package.h"

/* A mesh, or others put together. */
typedef struct pci_3mf_object {
    size_t part;             /* of the package, by its number in the model */
    uint32_t id;             /* in that part */
    bool support;            /* stands beside the piece: left out */
    size_t vertex, vertices; /* of the model's */
    size_t triangle, triangles;
    size_t component, components;
} pci_3mf_object;

/* An object put somewhere. */
typedef struct pci_3mf_use {
    size_t part;
    uint32_t id;
    double to[12]; /* four rows of three: x' = x to[0] + y to[3] + z to[6] + to[9] */
} pci_3mf_use;

typedef struct pci_3mf_model {
    char (*part)[256]; /* paths of the model's parts, the root first */
    size_t parts, part_room;
    pci_3mf_object *object;
    size_t objects, object_room;
    double
        *vertex; /* three numbers each, in the unit of the object's part turned into the root's */
    size_t vertices, vertex_room;
    uint32_t *triangle; /* three vertices each, counted in the object */
    size_t triangles, triangle_room;
    pci_3mf_use *component;
    size_t components, component_room;
    pci_3mf_use *item;
    size_t items, item_room;
    double unit_m; /* of the root */
} pci_3mf_model;

/* Purpose:  reads the model and all parts it names. name: for messages.
 * Returned: *model, to be freed by pci_3mf_model_free (also after an error); PC_OK or the error. */
pc_status pci_3mf_model_read(pci_package *package, const char *name, pc_errors *errors,
                             pci_3mf_model *model);
void pci_3mf_model_free(pci_3mf_model *model);

#endif
