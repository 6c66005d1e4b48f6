/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One part on its mold, poured layer after layer: the cup and the wall put together. The nominal
 * plan is one run; each margin sample is another, on the same clock. */
#ifndef PCI_PLAN_RUN_H
#define PCI_PLAN_RUN_H

#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "wall/layers.h"

#define PCI_COOLED_K 5.0 /* over the shop: a layer has cooled (judgment) */

/* Longest a part may take from its first mix to demolding. */
#define PCI_LONGEST_S (14.0 * PC_DAY_S)

/* What a run takes for true. */
typedef struct pci_case {
    const pc_piece *piece;
    const pc_part *part;
    pc_resin resin; /* the part's */
    size_t mix_count;
    int mixed_layer[PC_COATS_MOST]; /* numbers of the layers of another mix */
    pc_resin mix[PC_COATS_MOST];    /* and the mix */
    double air_shift_K;             /* added to the shop's air */
    double resin_K, mold_K;
    double mold_stood_s;              /* in its mold for others before this part's first mix */
    bool resin_follows, mold_follows; /* the shop's air through the day: no own temperature */
    double thickness_factor;       /* layers come out so much thicker than planned (area error) */
    double refine, tolerance;      /* of the wall; 0: the default */
    double hopeless_excess;        /* a peak that misses its limit by more ends it; 0: none does */
    const struct pci_limits *beat; /* a plan that will miss by no less is given up; NULL: none is */
    const struct pc_map *sphere;   /* that films are judged on; NULL: one is made for each */
    double *work;     /* node-steps its plans took are added (wall/bound.h); may be NULL */
    bool film;        /* with the wall map of each layer, for the final plan */
    bool cooled;      /* each pour waits until the layer before has cooled */
    bool prefer_cool; /* the family's peak to warn of is a limit where none is stated */
    bool quick;       /* only whether the limits hold is asked: stop at the first that does not */
    bool limits_only; /* only limits, pot life, peaks and times are asked for: what no limit hangs
                       * on (the cup's gel, a film that decides nothing, locks) is left out */
} pci_case;

typedef struct pci_run {
    pci_case c;
    pci_wall *wall;
    pci_wall *before;  /* a slug is in: the wall it was poured on; else NULL */
    double hopeless_K; /* a peak above it is hopeless; 0: not known yet */
} pci_run;

/* Purpose:  the case as the piece file states it. */
void pci_case_nominal(const pc_piece *piece, const pc_part *part, pci_case *c);

/* The mix that a layer is of, as the case takes it; number from 1. */
const pc_resin *pci_case_mix(const pci_case *c, int number);
/* Purpose:  the same of a part of a schedule: its mold has stood since the first part in it was
 * mixed. Given:    part, below the part counts of both. */
void pci_case_scheduled(const pc_piece *piece, const pc_schedule *schedule, size_t part,
                        pci_case *c);

/* Purpose:  hottest a layer may get, K: as resin file and mold state it; where neither does and the
 *           case prefers a cool wall, the family's peak to warn of; else infinity. */
double pci_case_peak_limit(const pci_case *c);

/* Purpose:  start a run with the mold standing since the shop's mold_rest_s, and what it has
 *           stood for other parts, before start_s. The run
 *           points into c's piece: keep the run where it is.
 * Given:    count of layers: a solid of one pour gives its heat off all round, one of several
 *           fills from the bottom up and gives it off downward.
 * Returned: *run, to be ended with pci_run_end (also after an error); PC_OK; as pci_wall_new. */
pc_status pci_run_begin(pci_run *run, const pci_case *c, size_t count, double start_s);
void pci_run_end(pci_run *run);

/* Purpose:  air of the shop at a time from the first mix, K. */
double pci_case_air(const pci_case *c, double time_s);

/* Purpose:  resin at a time from the first mix, K: its own temperature, or with the shop's day
 *           where the file gives it none (a batch mixed at noon is no longer at the morning's). */
double pci_case_resin(const pci_case *c, double time_s);

/* Purpose:  pour a layer and leave the wall at the end of its pour, or where it is when that is
 *           later (an earlier layer's gel may have run past it). Of a drained one the slug is in.
 * Given:    layer: number, thickness, batch, cups and mix_s; end_s: when all of it is in.
 * Returned: *fill: what it enters with; *pot_life_s: its cup's, NaN where it has none (either may
 *           be NULL); PC_OK; as pci_cup_at, pci_wall_advance and pci_wall_pour. */
pc_status pci_run_pour(pci_run *run, const pc_layer *layer, double end_s, pc_cup_state *fill,
                       double *pot_life_s);

/* Purpose:  go on to a time; a drained layer is poured out on the way, at its drain_s.
 * Given:    layer: the last one poured. Returned: PC_OK; as pci_wall_advance. */
pc_status pci_run_advance(pci_run *run, const pc_layer *layer, double time_s);

/* Purpose:  pour a slug out: what stays is a film of the layer's thickness, as far cured and as
 * warm as the slug was in the mean. Nothing where no slug is in. Given:    time_s: not before the
 * run's. Returned: PC_OK; as pci_wall_advance and pci_wall_pour. */
pc_status pci_run_pour_out(pci_run *run, const pc_layer *layer, double time_s);

/* Purpose:  go on to the gel of a layer that is in; a slug is poured out at the layer's drain_s, or
 *           at once where that is not known.
 * Returned: *events of it so far; PC_OK; PC_E_UNREACHED: not within PCI_LONGEST_S of its mix; as
 *           pci_wall_until_gel. */
pc_status pci_run_gel(pci_run *run, const pc_layer *layer, pci_layer_events *events);

/* Purpose:  an independent copy, to be ended with pci_run_end (also after an error).
 * Returned: *copy; PC_OK, PC_E_MEMORY. */
pc_status pci_run_copy(const pci_run *run, pci_run *copy);

/* Purpose:  when the last layer has cooled: no point of it more than PCI_COOLED_K over the shop.
 * Given:    from_s, latest_s: where to look. The run stays where it is.
 * Returned: *cool_s, latest_s where it has not by then; PC_OK; as pci_wall_advance. */
pc_status pci_run_cool(const pci_run *run, const pc_layer *layer, double from_s, double latest_s,
                       double *cool_s);

/* Purpose:  when the bond of the last layer would close if nothing were poured on it: what a caster
 *           who is late needs. The run stays where it is.
 * Returned: *closes_s, NaN: not within PCI_LONGEST_S of its mix; PC_OK; as pci_wall_until_bond. */
pc_status pci_run_bond_alone(const pci_run *run, const pc_layer *layer, double *closes_s);

/* Purpose:  go on until the part can be demolded and its last bond has closed.
 * Given:    latest_s: the time to give up at, if the wall is not there already.
 * Returned: *demold_s, NaN: not by latest_s; events[] of every layer (room PC_LAYERS_MOST); PC_OK;
 *           as pci_wall_until_demold. */
pc_status pci_run_finish(pci_run *run, double latest_s, double *demold_s,
                         pci_layer_events events[]);

/* Purpose:  viscosity at which a layer of a part is set; NaN where it is not turned. */
double pci_mu_set(const pci_case *c, int number, double thickness_m);

#endif
