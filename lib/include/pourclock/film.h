/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The film on a turning wall: what a wall carries, when it is set, how even it comes out, how a
 * drained layer runs off, and which bubbles stay. Equations: pourclock-model(7), "Film". */
#ifndef POURCLOCK_FILM_H
#define POURCLOCK_FILM_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

/* Largest mean rimming film and critical load in units of H = sqrt(mu w Rc/(rho g)). The integral
 * of the film at the critical flux 2/3 is 4.442723531 (Moffatt, J. Mecanique 16 (1977) 651; Leslie,
 * Wilson & Duffy print 4.44272); the mean is that over 2 pi. */
#define PC_RIMMING_LOAD        4.442723531
#define PC_RIMMING_MEAN        0.7070814107
#define PC_RIMMING_MU          2.0001435 /* 1/PC_RIMMING_MEAN^2 */
#define PC_FROUDE_MOST         0.05  /* w^2 Rc/g: above it centrifugal force is felt (judgement) */
#define PC_TURNS_LEAST         6.0   /* turns of the slower axis between set and gel */
#define PC_BRETHERTON          0.842 /* rho g r^2/sigma below which a bubble stays in a bore */
#define PC_SURFACE_TENSION_N_M 0.035 /* N/m, default (judgement) */
#define PC_HAND_MOVE_RAD_S     1.0471975511965976 /* hands tilting a mold: 10 rpm (judgement) */
#define PC_HAND_HOLD_S         0.5 /* hold of each tilt in the default hand cycle (judgement) */
#define PC_POUR_OUT_MOST_PA_S                                                                      \
    5.0 /* thicker than this it does not run out of a mold (judgement)                             \
         */

/* ---- closed forms; each returns NaN for a NaN or an argument outside its range ---- */

/* Purpose:  viscosity at which a mean film is carried by a turning wall, Pa s ("set").
 * Given:    density_kg_m3 > 0; film_m > 0, mean thickness; speed_rad_s > 0 (both axes:
 *           pc_film_speed); radius_m > 0, of the wall. All finite.
 * Returned: 2.000 rho g h^2/(w Rc). Source: Moffatt 1977. */
PC_API double pc_film_mu_set(double density_kg_m3, double film_m, double speed_rad_s,
                             double radius_m);

/* Purpose:  thickest mean film a turning wall carries, m: 0.70708 sqrt(mu w Rc/(rho g)).
 * Given:    mu_Pa_s >= 0 (infinity gives infinity); the others as above. Source: Moffatt 1977. */
PC_API double pc_film_most(double mu_Pa_s, double speed_rad_s, double radius_m,
                           double density_kg_m3);

/* Purpose:  w^2 Rc/g; keep below PC_FROUDE_MOST. Given: speed (any sign), radius > 0. */
PC_API double pc_froude(double speed_rad_s, double radius_m);

/* Purpose:  mean film left on a wall of drop length L after draining, m:
 *           h = (2/3) sqrt(L/(rho g F)); pc_drain_edge is the film at distance L, 3/2 of it.
 * Given:    density > 0; drop_m > 0; fluidity_per_Pa > 0: F, the integral of dt/mu from the
 * pour-out on. Source: Jeffreys, Proc. Camb. Phil. Soc. 26 (1930) 204 (from memory). */
PC_API double pc_drain_film(double density_kg_m3, double drop_m, double fluidity_per_Pa);
PC_API double pc_drain_edge(double density_kg_m3, double drop_m, double fluidity_per_Pa);

/* Purpose:  the fluidity F that drains a wall to a mean film, 1/Pa; at constant viscosity the time
 *           is F mu. Given: density > 0, drop_m > 0, film_m > 0. */
PC_API double pc_drain_fluidity(double density_kg_m3, double drop_m, double film_m);
PC_API double pc_drain_time(double density_kg_m3, double mu_Pa_s, double drop_m, double film_m);

/* Purpose:  bore (diameter) of a recess below which a bubble stays in it, m.
 * Given:    density > 0; surface_tension_N_m > 0. Source: Bretherton, J. Fluid Mech. 10 (1961) 166.
 */
PC_API double pc_bubble_bore(double density_kg_m3, double surface_tension_N_m);

/* Purpose:  rise of a small bubble, m/s: (2/9) rho g r^2/mu with a rigid surface (Stokes), 3/2 of
 *           it where the surface slips (Hadamard-Rybczynski). Impurities make it rigid: plan on it.
 * Given:    density > 0; mu > 0; radius > 0. */
PC_API double pc_bubble_rise(double density_kg_m3, double mu_Pa_s, double radius_m, bool slips);

/* Purpose:  smallest bubble (radius) that leaves a film through its thickness while the resin's
 *           fluidity runs to F = integral of dt/mu, m. Rigid surface.
 * Given:    density > 0; film_m > 0; fluidity_per_Pa > 0. */
PC_API double pc_bubble_least(double density_kg_m3, double film_m, double fluidity_per_Pa);

/* ---- speeds of a way of turning ---- */

/* Purpose:  speed that carries the film, rad/s: sqrt(wo^2 + wi^2) of a machine; of hands (and of a
 *           drained mold being swirled) the mean speed over the tilt cycle.
 * Returned: >= 0; NaN when a speed is NaN. A turning without tilts uses the default hand cycle. */
PC_API double pc_film_speed(const pc_turning *turning);

/* Purpose:  speed of the slower axis, rad/s, >= 0: the smaller of the two that turn; a one-axis
 *           machine's axis; hands: one tilt cycle counts as a turn. 0 when nothing turns. */
PC_API double pc_turning_slower(const pc_turning *turning);

/* Purpose:  turns of the slower axis from t0_s to t1_s >= t0_s (reversals count on).
 * Returned: the number; NaN for a drained mold (no turns are needed), NaN times or t1_s < t0_s. */
PC_API double pc_turning_turns(const pc_turning *turning, double t0_s, double t1_s);

/* Purpose:  inner speed relative to the arm of a machine whose inner speed is stated against the
 *           floor (a drive shaft through the arm's axle): inner - outer. */
PC_API double pc_turning_inner_relative(double outer_rad_s, double inner_floor_rad_s);

/* Purpose:  the tilt cycle of a hand turning: its own tilts or the default one (all twelve quarter
 *           turns between neighbouring faces of a box, once each).
 * Given:    tilt: room for PC_TILTS_MOST. Returned: number of tilts; *period_s (may be NULL). */
PC_API size_t pc_turning_tilts(const pc_turning *turning, pc_tilt *tilt, double *period_s);

PC_END_DECLS

#endif
