/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Sums of vapor and air in a room; limits of exposure. Those that return a number return NaN for a
 * NaN or an argument outside its range. */
#ifndef PCI_SAFETY_AIR_SUMS_H
#define PCI_SAFETY_AIR_SUMS_H

#include "pourclock/piece.h"
#include "pourclock/safety.h"

/* Purpose:  volume of vapor a mass becomes, m3 (or m3/s of kg/s), at one atmosphere.
 * Given:    mass_kg >= 0; molar_mass_kg_mol > 0; T_K > 0. Source: ideal gas. */
double pci_vapor_volume(double mass_kg, double molar_mass_kg_mol, double T_K);

/* Purpose:  a limit by mass, kg/m3, as a fraction by volume at T_K and one atmosphere. */
double pci_limit_fraction(double limit_kg_m3, double molar_mass_kg_mol, double T_K);

/* Purpose:  fresh air that keeps a vapor at a limit in the steady state, m3/s: K G/C.
 * Given:    vapor_m3_s >= 0: G; limit_fraction in (0, 1): C; mixing >= 1: K.
 * Notes:    not for sensitizers or where people stand at the source: then local exhaust.
 * Source:   Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer, ch. 20. */
double pci_dilution_air(double vapor_m3_s, double limit_fraction, double mixing);

/* Purpose:  time for a room to be purged from one concentration to another, s: (V/Q') ln(c0/c1).
 * Given:    from >= to > 0; room_m3 > 0; air_m3_s > 0; mixing >= 1. */
double pci_purge_time(double from, double to, double room_m3, double air_m3_s, double mixing);

/* Purpose:  highest concentration of several batches in one room, and when: the exact solution of
 *           V dC/dt = G(t) - (Q/mixing) C, clean at the start, G in steps.
 * Given:    count batches, from_s < to_s, vapor_kg >= 0; m3_per_kg > 0: volume a kg of vapor takes
 *           (pci_vapor_volume of 1 kg); room_m3 > 0; air_m3_s >= 0; mixing >= 1.
 * Returned: *highest by volume, not above 1 (0 without a batch); *at_s, NaN without a batch; PC_OK,
 *           PC_E_ARGUMENT, PC_E_MEMORY. Either may be NULL.
 * Source:   the mass balance of a well-mixed room; closed form between the steps. */
pc_status pci_room_highest(const pc_air_batch *batch, size_t count, double m3_per_kg,
                           double room_m3, double air_m3_s, double mixing, double *highest,
                           double *at_s);

/* Purpose:  the most vapor given off in a second by all batches together, kg/s, and from when.
 * Given:    as pci_room_highest. Returned: *rate_kg_s; *at_s, NaN without a batch; PC_OK,
 *           PC_E_ARGUMENT, PC_E_MEMORY. Either may be NULL. */
pc_status pci_air_rate(const pc_air_batch *batch, size_t count, double *rate_kg_s, double *at_s);

/* Purpose:  styrene (organic hazardous air pollutant) lost by open molding, kg per kg of resin.
 * Given:    share of the resin, 0 to 1. Returned: 0.014 (100 share)^2.275 / 1000; never more than
 *           the share.
 * Notes:    averaged emission factors: an estimate. A mold that is plugged gives off less, one that
 *           is open or drained is what the rule is for.
 * Source:   40 CFR 63 subpart VVVV, Table 3, nonatomized resin (66 FR 44232, 2001). */
double pci_styrene_lost(double share);

/* Whether resin at that temperature can burst its mold or burn: above PC_SCORCH_K, or near the
 * boiling point of its monomer. */
bool pci_severe_heat(const pc_resin *resin, double T_K);

/* Whether styrene is in it: a polyester, or what is given off is called so. False for NULL. */
bool pci_has_styrene(const pc_resin *resin);
/* Whether it is in any mix of a piece. */
bool pci_piece_has_styrene(const pc_piece *piece);

/* A row by name; NULL where there is none. */
const pc_exposure *pci_exposure_find(const char *substance);

/* As pci_ventilation_of, of what one mix of the piece gives off: all batches that give off the
 * same.
 */
pc_status pci_ventilation_of_mix(const pc_piece *piece, const pc_schedule *schedule,
                                 const pc_resin *mix, pc_ventilation *out);

/* The index-th row; NULL past the end. */
const pc_exposure *pci_exposure_at(size_t index);

/* Purpose:  rows of the substances of a resin: what it gives off by name; where it names none of
 * the table ("diisocyanate"), those of its family; and what it is hardened and cleaned with.
 * Returned: their number, at most `most` of them in row[]; 0 for NULL. */
size_t pci_exposure_of(const pc_resin *resin, const pc_exposure **row, size_t most);

/* Purpose:  a row in words, with its source and date: "styrene: NIOSH 50 ppm, ...".
 * Returned: length of the whole text, as snprintf; 0 for NULL. */
size_t pci_exposure_text(const pc_exposure *row, char *buffer, size_t size);

/* Purpose:  word of an answer; "" outside the table. */
const char *pci_air_answer_word(pc_air_answer answer);

/* Purpose:  the air of the piece's own resin: all batches of all parts together.
 * Given:    as pc_ventilation_of_vapor. Returned: *ventilation; PC_OK, PC_E_ARGUMENT,
 *           PC_E_MEMORY. */
pc_status pci_ventilation_of(const pc_piece *piece, const pc_schedule *schedule,
                             pc_ventilation *ventilation);

#endif
