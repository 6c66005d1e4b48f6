/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A part planned with a given number of layers, and how far it is from its limits. */
#ifndef PCI_PLAN_PART_H
#define PCI_PLAN_PART_H

#include "plan/run.h"

/* X(name, code in warnings) */
#define PCI_LIMIT_TABLE(X)                                                                         \
    X(PCI_LIMIT_NONE, "none")                                                                      \
    X(PCI_LIMIT_PEAK, "peak")                                                                      \
    X(PCI_LIMIT_POT_LIFE, "pot-life")                                                              \
    X(PCI_LIMIT_MIX, "mix-limit")                                                                  \
    X(PCI_LIMIT_THIN, "thin")                                                                      \
    X(PCI_LIMIT_FIRST, "first-layer")                                                              \
    X(PCI_LIMIT_TURNS, "turns")                                                                    \
    X(PCI_LIMIT_DRAIN, "drain")                                                                    \
    X(PCI_LIMIT_CURE, "cure")

typedef enum pci_limit_kind {
#define PCI_LIMIT_ENUM_(name, code) name,
    PCI_LIMIT_TABLE(PCI_LIMIT_ENUM_)
#undef PCI_LIMIT_ENUM_
} pci_limit_kind;

/* A limit that does not hold. excess is by how much, as a ratio above 1 whatever the kind, so that
 * the worst of several can be reported. */
typedef struct pci_limit {
    pci_limit_kind kind;
    int layer; /* number */
    double is, may_be, excess;
} pci_limit;

enum { PCI_LIMITS_MOST = 64 };

typedef struct pci_limits {
    size_t count;
    pci_limit item[PCI_LIMITS_MOST];
    double worst; /* largest excess; 1 when all hold */
} pci_limits;

const char *pci_limit_code(pci_limit_kind kind);

/* A plan with its own room for as many layers as there can be. Not to be copied: the plan points
 * into it. */
typedef struct pci_part_room {
    pc_part_plan plan;
    pc_layer *at[PC_LAYERS_MOST];
    pc_layer layer[PC_LAYERS_MOST];
} pci_part_room;

/* Purpose:  the plan in a room, which may hold anything. Returned: a plan of no layer. */
pc_part_plan *pci_part_in(pci_part_room *room);

/* Purpose:  copy a plan and its layers into a plan of another room. */
void pci_part_copy(const pc_part_plan *from, pc_part_plan *to);

/* limits.c: note a limit that does not hold; judge what the batch alone decides (mixing, pouring,
 * thickness); judge a whole plan. */
void pci_limit_broken(pci_limits *limits, pci_limit_kind kind, int layer, double is, double may_be,
                      double excess);
void pci_judge_batch(const pci_case *c, const pc_layer *layer, int count, pci_limits *limits);
bool pci_too_thin(const pci_case *c, const pc_layer *layer);

/* Whether the wall map of a layer decides how thin it is: then its thin 5 % does, not the mean. */
bool pci_film_decides(const pc_piece *piece, const pc_layer *layer);

/* Whether draining can leave the layer as thick as it is to be; true of one that is not drained. */
bool pci_drains(const pc_layer *layer);
void pci_judge(const pci_case *c, const pc_part_plan *plan, pci_limits *limits);

/* The same of the first layers of a plan that is being made: what it misses at least. */
void pci_judge_so_far(const pci_case *c, const pc_part_plan *plan, size_t layers,
                      pci_limits *limits);

/* Fewer kinds of limit, or as many by less. */
int pci_kinds_broken(const pci_limits *limits);
bool pci_misses_by_less(const pci_limits *a, const pci_limits *b);

/* Purpose:  plan a part with count layers from its first mix at start_s.
 * Given:    c: the nominal case; margins: with the piece's margin samples (when they are on).
 * Returned: *plan and *limits; PC_OK also when limits do not hold; else PC_E_ARGUMENT, PC_E_MEMORY,
 *           PC_E_NUMERIC; in a quick case PC_E_LIMIT at the first limit that does not hold, and
 *           for a peak that is hopeless (run.h): then limits has one item, of the peak or of none
 *           in particular. */
pc_status pci_part_plan(const pci_case *c, int count, bool split, double start_s, bool margins,
                        pc_part_plan *plan, pci_limits *limits);

/* The wall just after a layer was poured whose film is still to be followed (NULL: there is none),
 * and how fast the layer thickened at its set. */
typedef struct pci_poured {
    pci_wall *wall;
    double set_ln_mu_per_s;
} pci_poured;

/* A plan that is being made: layer by layer, then its end, and film by film last, which take the
 * longest. The run points into itself: keep it where it is. */
typedef struct pci_planning {
    pci_run run;
    struct pci_samples *samples;
    pc_part_plan *plan;
    double start_s, mix_s;
    size_t planned, filmed; /* layers */
    pci_poured poured[PC_LAYERS_MOST];
    bool finished, done; /* all but films; all */
    pci_limits limits;   /* what it misses; until it is done, what it misses at least */
} pci_planning;

/* Purpose:  the same in steps: begin, then step by step until it is done.
 * Given:    as pci_part_plan; plan stays where it is until the end.
 * Returned: as pci_part_plan. To be ended with pci_planning_end, also after an error. */
pc_status pci_planning_begin(const pci_case *c, int count, bool split, double start_s, bool margins,
                             pc_part_plan *plan, pci_planning *p);
pc_status pci_planning_step(pci_planning *p);
void pci_planning_end(pci_planning *p);

/* Whether a layer of a run has been hotter so far than it may be. */
bool pci_ran_hot(const pci_run *run);

/* Purpose:  the same plan begun by_s later: every time of it moves. Of a shop whose air stays as it
 *           is, that is what planning it then would give. */
void pci_part_shift(pc_part_plan *plan, double by_s);

/* Purpose:  the least number of layers that meets every limit, each poured at the gel of the one
 *           below or, where heat forbids that, on a cooled one; where none does, the one that
 * misses by least. A hollow wall without a stated limit is kept below the family's peak to warn of
 * where some number of layers is. Given:    as pci_part_plan; of a quick case only whether there is
 * a way is asked: *plan has its number of layers and nothing else. Returned: as pci_part_plan,
 * never PC_E_LIMIT. */
pc_status pci_part_split(const pci_case *c, double start_s, bool margins, pc_part_plan *plan,
                         pci_limits *limits);

#endif
