/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Closed forms of films, bubbles and turning, and the viscosity of a layer over time. */
#ifndef PCI_FILM_FILM_SUMS_H
#define PCI_FILM_FILM_SUMS_H

#include "pourclock/film.h"

/* Purpose:  viscosity at which a mean film is carried by a turning wall, Pa s ("set").
 * Given:    density_kg_m3 > 0; film_m > 0, mean thickness; speed_rad_s > 0 (both axes:
 *           pci_film_speed); radius_m > 0, of the wall. All finite.
 * Returned: 2.000 rho g h^2/(w Rc). Source: Moffatt 1977. */
double pci_film_mu_set(double density_kg_m3, double film_m, double speed_rad_s, double radius_m);

/* Purpose:  w^2 Rc/g; keep below PC_FROUDE_MOST. Given: speed (any sign), radius > 0. */
double pci_froude(double speed_rad_s, double radius_m);

/* Purpose:  mean film left on a wall of drop length L after draining, m:
 *           h = (2/3) sqrt(L/(rho g F)), 2/3 of the film at distance L.
 * Given:    density > 0; drop_m > 0; fluidity_per_Pa > 0: F, the integral of dt/mu from the
 *           pour-out on.
 * Source:   Jeffreys, Proc. Camb. Phil. Soc. 26 (1930) 204 (from memory). */
double pci_drain_film(double density_kg_m3, double drop_m, double fluidity_per_Pa);

/* Purpose:  how long a liquid takes to run over a lip in a stream of a width and a thickness, s:
 *           3 mu V/(rho g b d^3), a falling film (Nusselt 1916; from memory).
 * Given:    all > 0; mu_Pa_s may be infinite. */
double pci_lip_time(double density_kg_m3, double mu_Pa_s, double volume_m3, double width_m,
                    double stream_m);

/* Purpose:  how long a liquid takes to run through an upright round bore by its own weight, s:
 *           128 mu V/(pi rho g d^4), laminar (Hagen-Poiseuille; standard texts).
 * Given:    all > 0; mu_Pa_s may be infinite. */
double pci_bore_time(double density_kg_m3, double mu_Pa_s, double volume_m3, double bore_m);

/* Purpose:  speed of the slower axis, rad/s, >= 0: the smaller of the two that turn; the outer
 *           one of a one-axis machine; hands: one tilt cycle counts as a turn. 0 when nothing turns
 *           the mold over, as where the inner axis alone turns. */
double pci_turning_slower(const pc_turning *turning);

/* Purpose:  turns of the slower axis from t0_s to t1_s >= t0_s (reversals count on).
 * Returned: the number; NaN for a drained mold (no turns are needed), NaN times or t1_s < t0_s. */
double pci_turning_turns(const pc_turning *turning, double t0_s, double t1_s);

/* Purpose:  inner speed relative to the arm of a machine whose inner speed is stated against the
 *           floor (a drive shaft through the arm's axle): inner - outer. */
double pci_turning_inner_relative(double outer_rad_s, double inner_floor_rad_s);

/* Purpose:  judge a history. Returned: PC_OK or PC_E_ARGUMENT. The functions below return NaN for a
 *           history that does not pass. */
pc_status pci_mu_history_check(const pc_mu_history *history);

/* Purpose:  viscosity at a time, Pa s: the first value before the history, infinity from gel on. */
double pci_mu_checked_at(const pc_mu_history *history, double time_s);

/* Purpose:  first time the viscosity reaches mu_Pa_s > 0, s: its start where it is above already,
 *           gel_s at the latest. With pci_film_mu_set that is the layer's set. */
double pci_mu_reach(const pc_mu_history *history, double mu_Pa_s);

/* Purpose:  fluidity, the integral of dt/mu from t0_s to t1_s (t0_s <= t1_s), 1/Pa; times outside
 *           the history add nothing. */
double pci_mu_fluidity(const pc_mu_history *history, double t0_s, double t1_s);

/* Purpose:  half angle of the cap a pool makes at the bottom of a sphere, rad.
 * Given:    volume_m3 >= 0; radius_m > 0.
 * Returned: 0..pi; NaN for a pool larger than the sphere. */
double pci_pool_angle(double volume_m3, double radius_m);

/* Purpose:  mean film left when poured out at out_s, m; infinity from gel on; NaN for bad input. */
double pci_drain_film_at(const pc_turn_layer *layer, double drop_m, double out_s);

/* Purpose:  speed that carries the film, rad/s: sqrt(wo^2 + wi^2) of a machine; of hands (and of a
 *           drained mold being swirled) the mean speed over the tilt cycle.
 * Returned: >= 0; NaN when a speed is NaN. A turning without tilts uses the default hand cycle. */
double pci_film_speed(const pc_turning *turning);

/* Purpose:  when to pour out for a wanted film.
 * Given:    layer (film_m wanted; volume_m3: resin on the wall at that film); drop_m > 0, length of
 *           the drop; poured_m3: resin poured in; history as for turning.
 * Returned: *result; PC_OK; PC_E_UNREACHED with an error where it cannot be had: poured out at once
 *           it still leaves more (least_m), or by the minute wanted it no longer runs out or has
 *           gelled (most_m); PC_E_VALUE (less poured in than stays on the wall); PC_E_ARGUMENT.
 */
pc_status pci_drain_when(const pc_turn_layer *layer, double drop_m, double poured_m3,
                         pc_drain_result *result, pc_errors *errors);

/* Purpose:  the tilt cycle of a hand turning: its own tilts or the default one (all twelve quarter
 *           turns between neighboring faces of a box, once each).
 * Given:    tilt: room for PC_TILTS_MOST. Returned: number of tilts; *period_s (may be NULL). */
size_t pci_turning_tilts(const pc_turning *turning, pc_tilt *tilt, double *period_s);

#endif
