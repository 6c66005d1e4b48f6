/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Between re-planning and the pace of the resin: one run of what is left. */
#ifndef PCI_BENCH_REPLAN_H
#define PCI_BENCH_REPLAN_H

#include "plan/run.h"
#include "pourclock/bench.h"

/* A layer in the order its batch is planned to be mixed, over all parts. */
typedef struct pci_turn {
    size_t part, layer;
} pci_turn;

/* Fills order (room PC_PARTS_MOST * PC_LAYERS_MOST); returns how many. */
size_t pci_mix_order(const pc_schedule *plan, pci_turn *order);

/* Purpose:  the nominal gel of one layer, with a resin of another pace, from what happened.
 * Given:    ln_s; part, layer: indices; the layer's mix and pour are known.
 * Returned: *gel_s; PC_OK, PC_E_UNREACHED, PC_E_MEMORY, PC_E_NUMERIC, PC_E_ARGUMENT. */
pc_status pci_gel_at_pace(const pc_piece *piece, const pc_schedule *plan, const pc_actual *actual,
                          double ln_s, size_t part, size_t layer, double *gel_s);

/* The nominal case of a part of a plan with a resin that cures exp(ln_s) times as fast. */
void pci_case_at_pace(const pc_piece *piece, const pc_schedule *plan, size_t part, double ln_s,
                      pci_case *c);

/* Purpose:  the piece with its shop on the clock that the plan's start_clock_s says: another start
 * is another hour of the shop's day. Returned: a shallow copy, its shapes the piece's own, to be
 * freed by free(); NULL where memory is out. */
pc_piece *pci_piece_on_clock(const pc_piece *piece, const pc_schedule *plan);

/* Standard error of ln s before anything was seen. */
double pci_prior_error(const pc_piece *piece);

#endif
