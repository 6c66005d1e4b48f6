/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Strength of wires, sockets, shells and plates: closed forms. */
#ifndef PCI_SUPPLIES_STRENGTH_H
#define PCI_SUPPLIES_STRENGTH_H

#include "pourclock/joint.h"

/* Strength and modulus of a cured family, Pa: low typical values (practice); the maker's data sheet
 * comes first. NaN outside the table. */
double pci_resin_strength(pc_family family);
double pci_resin_modulus(pc_family family);

/* Purpose:  bending stress of a round cantilever, Pa: 32 F L/(pi d^3). Given: force_N >= 0; others
 *           > 0. Source: standard texts. */
double pci_wire_bending(double force_N, double length_m, double d_m);

/* Purpose:  axial stress of a round bar, Pa: 4 F/(pi d^2). */
double pci_wire_axial(double force_N, double d_m);

/* Purpose:  tip deflection of a round cantilever, m: F L^3/(3 E I), I = pi d^4/64. */
double pci_wire_deflection(double force_N, double length_m, double d_m, double E_Pa);

/* Purpose:  axial load that buckles a round column fixed at one end and free at the other, N:
 *           Euler's where it is slender, J. B. Johnson's parabola where it is stocky.
 * Source:   Shigley, Mechanical Engineering Design, ch. 4 (formulas from memory). */
double pci_wire_buckling(double length_m, double d_m, double E_Pa, double yield_Pa);

/* Purpose:  the next stock size at or above a diameter, m (metric or US); infinity above the list.
 */
double pci_wire_stock(double d_m, bool us);

/* Purpose:  pressure at the mouth of a socket, Pa: F (6 L + 4 s)/(d s^2), for a pin of free length
 *           L held over a depth s, bent by F at its end.
 * Source:   Roloff/Matek, Maschinenelemente: socket pin in bending (formula from memory). */
double pci_socket_pressure(double force_N, double length_m, double depth_m, double d_m);

/* Purpose:  deflection (m) and greatest stress (Pa) of a shallow spherical shell pressed over a
 *           patch of radius patch_m, far from its edge.
 * Given:    force_N >= 0; radius_m of the shell, wall_m, patch_m, E_Pa > 0; 0 <= poisson < 0.5.
 * Returned: *deflection_m, *stress_Pa (membrane and bending, each may be NULL); PC_OK,
 *           PC_E_ARGUMENT.
 * Notes:    linear: holds while the deflection is under about half the wall.
 * Source:   Reissner, J. Math. Phys. 25 (1946) 80 and 279, in Kelvin functions; Roark's Formulas,
 *           shallow spherical shell under a central load (table from memory). */
pc_status pci_shell_press(double force_N, double radius_m, double wall_m, double patch_m,
                          double E_Pa, double poisson, double *deflection_m, double *stress_Pa);

/* Purpose:  the same for a flat round area of radius_m held all round its edge.
 * Source:   Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells: clamped circular plate,
 *           load at its center; small patch by Westergaard's equivalent radius (from memory). */
pc_status pci_plate_press(double force_N, double radius_m, double wall_m, double patch_m,
                          double E_Pa, double poisson, double *deflection_m, double *stress_Pa);

/* Purpose:  least wall that keeps stress under strength/factor and deflection under a quarter of
 *           the wall.
 * Given:    flat: pci_plate_press, else pci_shell_press. Returned: *wall_m; PC_OK; PC_E_ARGUMENT;
 *           PC_E_UNREACHED: not with 50 mm. */
pc_status pci_wall_for_press(bool flat, double force_N, double radius_m, double patch_m,
                             double E_Pa, double poisson, double strength_Pa, double factor,
                             double *wall_m);

/* Purpose:  judge a joint under the body's weight and the handling load.
 * Given:    joint, its lengths 1e-6 to 1000 and handling_N 0 to 1e9; body_kg 1e-6 to 1e6;
 *           resin_strength_Pa >= 1; us: stock sizes.
 * Returned: *result; PC_OK; PC_E_VALUE with an error: wire thicker than the leg or leaving no
 *           resin round it, no stock wire that holds; PC_E_ARGUMENT.
 * Notes:    every pin is taken as a cantilever that carries its share alone: an upper bound. */
pc_status pci_joint_judge(const pc_joint *joint, double body_kg, double resin_strength_Pa, bool us,
                          pc_joint_result *result, pc_errors *errors);

#endif
