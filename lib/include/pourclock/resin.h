/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A resin: rate law, viscosity, the mixing cup, and the anchoring of its constants to the times a
 * data sheet states. SI throughout; temperatures in kelvin; degree of cure a from 0 to 1. */
#ifndef POURCLOCK_RESIN_H
#define POURCLOCK_RESIN_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/quantity.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

#define PC_GAS_CONSTANT           8.314462618 /* J/(mol K) */
#define PC_GRAVITY                9.80665     /* m/s2 */
#define PC_NAME_SIZE              128
#define PC_GEL_TIMES_MOST         16
#define PC_CUP_LOSS_W_M2K         8.0 /* heat transfer coefficient of a cup to the air */
#define PC_CURE_TEMPERATURE_MIN_K 200.0
#define PC_CURE_TEMPERATURE_MAX_K 700.0

/* X(name, word in files) */
#define PC_FAMILY_TABLE(X)                                                                         \
    X(PC_URETHANE, "urethane")                                                                     \
    X(PC_EPOXY, "epoxy")                                                                           \
    X(PC_POLYESTER, "polyester")

typedef enum pc_family {
#define PC_FAMILY_ENUM_(name, word) name,
    PC_FAMILY_TABLE(PC_FAMILY_ENUM_)
#undef PC_FAMILY_ENUM_
        PC_FAMILY_COUNT
} pc_family;

/* Cure: da/dt = (k1 + k2 a^m)(1 - a)^n, ki = Ai exp(-Ei/(R T)). */
typedef struct pc_cure {
    double A1_per_s, E1_J_mol;
    double A2_per_s, E2_J_mol; /* A2 = 0: nth order */
    double m, n;
    double heat_J_kg; /* heat of reaction of the mix */
    double cp_J_kgK, k_W_mK;
    double a_gel, a_pot, a_bond, a_demold; /* conversions, not shares of a_gel */
} pc_cure;

/* Viscosity: mu = mu_ref exp[(E_mu/R)(1/T - 1/T_ref)] (a_gel/(a_gel - a))^(c + d a). */
typedef struct pc_flow {
    double mu_ref_Pa_s, T_ref_K, E_mu_J_mol, c, d;
    double a_gel; /* the same as the cure's */
} pc_flow;

/* A gel time a data sheet (or the user's own test) states. */
typedef struct pc_gel_time {
    double time_s, mass_kg, T_K;
} pc_gel_time;

/* What the data sheet says; NaN where it is silent. */
typedef struct pc_data_sheet {
    double pot_life_s, pot_life_mass_kg, pot_life_T_K;
    size_t gel_count;
    pc_gel_time gel[PC_GEL_TIMES_MOST];
    double demold_s, demold_T_K, demold_thickness_m;
    bool constants_given; /* A1 and E1 stated in [cure]: no anchoring of the rate */
    bool a_pot_given, a_demold_given;
} pc_data_sheet;

/* What the mix gives off; NaN where unknown. */
typedef struct pc_volatile {
    char name[64];
    double share, evaporated_share; /* of the mix, of the volatile */
    double limit_fraction;          /* exposure limit by volume */
    double limit_kg_m3;             /* exposure limit by mass */
    double molar_mass_kg_mol;
} pc_volatile;

/* Standard errors and correlations of a fit; all zero where the constants come from a data sheet.
 * ln s is the logarithm of the scale on A1 and A2 together, E the shift of E1 and E2 together,
 * about T_ref_K: there the shift of E leaves the rate as it is. The errors are widened for few
 * tests: 1.96 of them are half the 95 % interval. */
typedef struct pc_resin_fit {
    bool fitted;
    double ln_s_error, E_error_J_mol, correlation;
    double T_ref_K;
} pc_resin_fit;

typedef struct pc_resin {
    char name[PC_NAME_SIZE];
    char path[256];
    pc_family family;
    double density_kg_m3;
    double share_a, share_b; /* of the mix by mass; add up to 1 */
    double density_a_kg_m3, density_b_kg_m3;
    double peak_limit_K;        /* NaN where the resin file states none */
    double peak_warn_K;         /* the family's: hotter is warned of, and avoided where it can be */
    double least_temperature_K; /* below it the resin is not worked: it does not cure through */
    double demold_below_K;
    pc_cure cure;
    pc_flow flow;
    pc_data_sheet sheet;
    pc_volatile gives_off;
    pc_resin_fit fit;
} pc_resin;

/* State of a cup. */
typedef struct pc_cup_state {
    double T_K, a;
} pc_cup_state;

/* What happens to a batch left standing in its cup; NaN where it never does. */
typedef struct pc_cup_events {
    double pot_life_s; /* a = a_pot */
    double gel_s;      /* a = a_gel */
    double peak_K, peak_s;
} pc_cup_events;

/* Purpose:  word of a family in files, "urethane"; "" outside the table. And back: -1 if unknown.
 */
PC_API const char *pc_family_word(pc_family family);
PC_API int pc_family_from_word(const char *word);

/* Purpose:  set a resin to its family's defaults, with nothing from a data sheet.
 * Given:    family. Returned: *resin; PC_OK or PC_E_ARGUMENT.
 * Notes:    density 1100 kg/m3, viscosity 0.5 Pa s at 23 C, ratio 1:1, no peak limit, demold
 *           below 45 C. Sources of the constants: lib/resin/families.c. */
PC_API pc_status pc_resin_defaults(pc_family family, pc_resin *resin);

/* Purpose:  run a batch standing in its cup.
 * Given:    resin; mass_kg > 0, below 1e6; T0_K: resin when mixing starts, and air_K, both from
 *           PC_CURE_TEMPERATURE_MIN_K to _MAX_K.
 * Returned: *events, times from the start of mixing; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC,
 *           PC_E_MEMORY.
 * Notes:    runs until the peak is past and a_gel is reached, at most 30 days: what has not
 *           happened by then is NaN (the peak is then the highest temperature seen). */
PC_API pc_status pc_cup_run(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                            pc_cup_events *events);

/* Purpose:  state of a batch in its cup at a time after the start of mixing.
 * Given:    as pc_cup_run; time_s from 0 to 30 days.
 * Returned: *state; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC, PC_E_MEMORY. */
PC_API pc_status pc_cup_at(const pc_resin *resin, double mass_kg, double T0_K, double air_K,
                           double time_s, pc_cup_state *state);

/* Purpose:  scale a family's constants to the times of resin->sheet.
 * Given:    resin with family defaults and data sheet filled in.
 * Returned: resin->cure set; PC_OK; PC_E_KEY (no time to anchor to) or PC_E_VALUE with an error
 *           naming the keys in conflict; PC_E_ARGUMENT, PC_E_MEMORY; left as it was after an error.
 *           Steps 1 to 4 in pourclock-model(7), "Anchoring". */
PC_API pc_status pc_resin_anchor(pc_resin *resin, pc_errors *errors);

/* Purpose:  write a resin as a file that is read again: its constants in [cure], so
 *           that nothing is anchored afresh, and [fit] where they were fitted. Whole or not at all.
 * Given:    path; resin with a name of one line.
 * Returned: PC_OK, PC_E_FILE, PC_E_MEMORY, PC_E_ARGUMENT, with an error. */
PC_API pc_status pc_resin_write(const char *path, const pc_resin *resin, pc_errors *errors);

/* Purpose:  find a resin by the name on the shelf, or by path (a name with a '/' or '.').
 * Given:    name; beside: path of the file that names it, so that relative paths start there, or
 *           NULL. The shelf: POURCLOCK_SHELF, then $XDG_DATA_HOME/pourclock/resins (default
 *           ~/.local/share), then the installed one, and last the resins built into the library.
 * Returned: *resin; PC_E_FILE with an error that lists the resins on the shelf when there is none
 *           of that name; else the first error's status, with every wrong line in errors. */
PC_API pc_status pc_resin_find(const char *name, const char *beside, pc_resin *resin,
                               pc_errors *errors);

/* Purpose:  how long a film of a resin lies on the reference mold (8 mm silicone under 10 mm
 *           plaster, mold and air at T_K), poured from its cup at half the pot life.
 * Given:    mass_kg of the batch, T_K: as pc_cup_run; film_m, 1 um to 0.5 m.
 * Returned: from the start of mixing: *gel_s, gelled through; *demold_s, cured through and cooled;
 *           NaN where not within 30 days. PC_OK; as pc_cup_run. */
PC_API pc_status pc_resin_film(const pc_resin *resin, double mass_kg, double T_K, double film_m,
                               double *gel_s, double *demold_s);

/* A resin on the shelf: its name and the folder its file is in, cut where too long; "" for one that
 * is built into the library. */
typedef struct pc_shelf_resin {
    char name[64];
    char folder[1024];
    bool built_in;
} pc_shelf_resin;

/* Purpose:  list the resins on the shelf by name, each as pc_resin_find would read it.
 * Given:    room for `most` in resin[]; NULL and 0 only to count.
 * Returned: the number on the shelf, at most 256; resin[] as far as it has room. */
PC_API size_t pc_shelf_list(size_t most, pc_shelf_resin *resin);

PC_END_DECLS

#endif
