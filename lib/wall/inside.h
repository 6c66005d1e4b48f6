/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a pci_wall, shared by the files of this floor.
 *
 * Finite volumes about nodes, second order in space. Nodes run from the outer face inward; a node
 * on a face between two materials belongs to both. Temperature lives at nodes. Cure lives at
 * points: each resin layer has a point at every node it touches, its two faces included, so that
 * "every point of the layer" includes the faces, and a face between two layers has two. */
#ifndef PCI_WALL_INSIDE_H
#define PCI_WALL_INSIDE_H

#include <stdbool.h>
#include <stddef.h>

#include "resin/rate.h"
#include "wall/layers.h"

enum { PCI_STAGES_MOST = 6 };

/* What a step changes in a layer beside its points. */
typedef struct pci_layer_book {
    size_t gelled; /* points that have reached a_gel */
    double last_gel_s;
    pci_layer_events events;
} pci_layer_book;

typedef struct pci_wall_layer {
    pc_resin resin;
    pci_rate rate;
    size_t first, count;        /* its points */
    double thickness_m, volume; /* volume per the wall's unit of area */
    double mu_set_Pa_s;
    double pour_s;              /* time poured */
    double contact_s;           /* until then its outer face is at the contact temperature */
    pci_layer_book now, before; /* after and before the last step */
} pci_wall_layer;

/* Per node. Areas and volumes are for the spec's unit: 1 m2 of slab, a cylinder's r, a sphere's
 * r^2. */
typedef struct pci_nodes {
    size_t count, room;
    double *x_m;                   /* depth from the outer face */
    double *C;                     /* heat capacity, J/K */
    double *G;                     /* conductance to the next node, W/K */
    double *T, *T_old, *F, *F_old; /* temperature and its rate, now and before the last step */
    double *stage[PCI_STAGES_MOST], *trial;
    double *diagonal, *inner, *outer; /* of the implicit step: see factor in step.c */
} pci_nodes;

/* Per reacting point. */
typedef struct pci_points {
    size_t count, room;
    size_t *node; /* of a layer side by side */
    double *volume;
    double *Q; /* heat of reaction of its volume, J */
    double *a, *a_old, *F, *F_old;
    double *stage[PCI_STAGES_MOST], *trial;
    double *slope_a, *slope_T, *share, *heat; /* of the implicit step */
} pci_points;

struct pci_wall {
    pci_wall_spec spec;
    double t_s, t_old_s, step_s; /* step_s: next one to try */
    double outer_radius_m, depth_m;
    double out_W_K, in_W_K; /* conductance of the faces */
    pci_nodes n;
    pci_points p;
    size_t layer_count;
    size_t layer_room;
    pci_wall_layer *layer;
    double demold_s;
    double lost_J, lost_old_J, lost_F, lost_stage[PCI_STAGES_MOST];
    double poured_J, released_0_J;
    double stop_K;          /* advancing ends above it; 0: never */
    double work, work_most; /* node-steps */
    bool rates_fresh;       /* F holds the rates at the present state */
};

/* grid.c */
pc_status pci_wall_grow_mold(pci_wall *wall);
pc_status pci_wall_grow_layer(pci_wall *wall, pci_wall_layer *layer, double thickness_m,
                              const pc_cup_state *state);
pc_status pci_wall_reserve(pci_wall *wall, size_t nodes, size_t points);
void pci_wall_release(pci_wall *wall);

/* step.c: one accepted step, not beyond end_s. */
pc_status pci_wall_step(pci_wall *wall, double end_s);
void pci_wall_rates(pci_wall *wall);
double pci_wall_air(const pci_wall *wall, double time_s);

/* events.c: look for events within the last accepted step. */
void pci_wall_note_events(pci_wall *wall);
double pci_layer_viscosity(const pci_wall *wall, const pci_wall_layer *layer, double theta);

#endif
