/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The inside of a wall map: cells of a sphere or a mesh, level of a pool, running down. */
#ifndef PCI_FILM_CELLS_H
#define PCI_FILM_CELLS_H

#include "pourclock/film.h"

#define PCI_LEVELS 256

/* What is left of a film that runs down a still sphere, as a ratio of what was there, at most 1. */
#define PCI_SAG_ANGLES    33
#define PCI_SAG_RUNS      57
#define PCI_SAG_RUN_LEAST 1e-5 /* below it nothing runs */
struct pci_sag {
    bool ready;
    double left[PCI_SAG_RUNS][PCI_SAG_ANGLES];
};

/* Two cells next to each other and how far apart, over the radius. */
struct pci_pair {
    size_t i, j;
    double distance, weight;
};

/* The cells of a sphere by patches of neighbors, once more and in single precision, to tell at a
 * glance which may change sides of a plane: those of a patch whose middle is further from it than
 * its reach do not. The last patch is filled up with cells that are none. */
#define PCI_PATCH_CELLS 16
struct pci_patches {
    size_t count;
    float *x, *y, *z;                              /* cell by cell */
    size_t *cell;                                  /* which cell of the map that is */
    float *middle_x, *middle_y, *middle_z, *reach; /* patch by patch */
};

/* Places are from the middle of turning and over the equal-area radius. */
struct pc_map {
    size_t count;
    bool sphere;
    double radius_m, area_m2, volume_m3;
    double laid_m3; /* resin on the wall so far */
    double *x, *y, *z;
    double *nx, *ny, *nz; /* outward; of a sphere the same arrays as x, y, z */
    double *share;        /* of the area */
    double *reach;        /* square root of the distance from the middle over the radius */
    double *film_m, *sum_m;
    struct pci_patches *patches; /* of a sphere; else NULL */
    size_t *facet;
    double lump_m3; /* of all layers */
    size_t pair_count;
    struct pci_pair *pair;     /* found when first needed */
    const struct pc_map *twin; /* whose places and pairs these are; NULL: its own */
    struct pci_sag *sag;       /* made ready when first needed; NULL: not asked for */
};

/* n places evenly over the unit sphere. */
void pci_lattice(size_t n, double *x, double *y, double *z);

/* A bare sphere of that radius with the cells of another, which must outlive it: places, neighbors
 * and the table of running down are the other's. Several threads may do so at once where
 * pci_map_make_ready has gone before. PC_E_MEMORY. */
pc_status pci_map_twin(const pc_map *of, double radius_m, pc_map **twin);
pc_status pci_map_make_ready(pc_map *map);

/* Purpose: the patches of n places on the unit sphere, from the top down. PC_OK or PC_E_MEMORY; to
 * be freed either way. */
pc_status pci_patches_make(size_t n, const double *x, const double *y, const double *z,
                           struct pci_patches **patches);
void pci_patches_free(struct pci_patches *patches);

/* Room for n cells, all zero; PC_E_MEMORY. */
pc_status pci_map_new(size_t n, bool sphere, pc_map **map);

/* Depth coordinate (along down, over the radius) of the surface of a pool that fills a fraction of
 * the cavity. depth[count]: that of each cell. */
double pci_pool_level(const pc_map *map, const double *depth, const double down[3],
                      double fraction);

/* Spread of film[count] over the shares of a map; PC_E_MEMORY. Volume, lump and bare share are the
 * caller's. */
pc_status pci_spread(const pc_map *map, const double *film, pc_spread *spread);

/* Find map->pair if that is not done yet; PC_OK or PC_E_MEMORY. */
pc_status pci_map_pairs(pc_map *map);

/* Level map->film_m by surface tension: strength is sigma h^3 F/(3 R^4). PC_OK or PC_E_MEMORY. */
pc_status pci_level(pc_map *map, double strength);

/* Let map->film_m run out where h^2 falls more steeply than slope_m2 over the radius: slope_m2 is
 * mu w R/(rho g). PC_OK or PC_E_MEMORY. */
pc_status pci_even(pc_map *map, double slope_m2);

/* theta: angle from the top, 0..pi; run: rho g h^2 F/R >= 0. The table is made first where it is
 * not ready. */
double pci_sag(struct pci_sag *sag, double theta, double run);
void pci_sag_make(struct pci_sag *sag);

#endif
