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
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_GAS_CONSTANT           8.314462618 /* J/(mol K) */
#define PC_GRAVITY                9.80665     /* m/s2 */
#define PC_NAME_SIZE              128
#define PC_DATA_MOST              24
#define PC_UNKNOWNS               7
#define PC_SHEET_K                (PC_ZERO_CELSIUS_K + 23.0) /* where sheets state their times */
#define PC_FILM_M                 1.5e-3 /* a film, where a sheet gives no thickness */
#define PC_CASTING_M              6e-3   /* a casting, where a sheet gives no thickness */
#define PC_CUP_LOSS_W_M2K         8.0    /* heat transfer coefficient of a cup to the air */
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

/* What a data sheet states of a resin; X(name, key of the resin file). */
#define PC_DATUM_TABLE(X)                                                                          \
    X(PC_DATUM_POT_LIFE, "pot_life")       /* s: a cup reaches a_pot */                            \
    X(PC_DATUM_GEL, "gel_time")            /* s: a cup reaches a_gel */                            \
    X(PC_DATUM_FILM_GEL, "film_gel")       /* s: every point of a film reaches a_gel */            \
    X(PC_DATUM_DEMOLD, "demold_time")      /* s: every point of a casting reaches a_demold */      \
    X(PC_DATUM_PEAK, "cup_peak")           /* K: the hottest a standing cup gets */                \
    X(PC_DATUM_PEAK_TIME, "cup_peak_time") /* s: when it does */

typedef enum pc_datum_kind {
#define PC_DATUM_ENUM_(name, key) name,
    PC_DATUM_TABLE(PC_DATUM_ENUM_)
#undef PC_DATUM_ENUM_
        PC_DATUM_COUNT
} pc_datum_kind;

/* One figure of a data sheet. Times run from the start of mixing. */
typedef struct pc_datum {
    pc_datum_kind kind;
    double value;       /* s or K; of a range "9-12 min" the geometric mean */
    double spread;      /* 1 sd: of the logarithm of a time, K of a temperature */
    double mass_kg;     /* of the cup */
    double T_K;         /* resin, mold and air */
    double thickness_m; /* of a film; NaN: a demold time without one */
    double catalyst;    /* level it holds for; NaN: the sheet's own (catalyst_at) */
    bool in_series;     /* one of gel_times */
    double model;       /* what the anchored resin gives; NaN before anchoring */
    double residual;    /* (model - stated)/spread; see model above */
} pc_datum;

/* What the data sheet says. */
typedef struct pc_data_sheet {
    size_t count;
    pc_datum datum[PC_DATA_MOST];
    bool constants_given; /* A1 and E1 stated in [cure]: nothing is anchored */
    /* stated in [cure] on their own: kept as they are */
    bool E1_given, heat_given, a_gel_given, a_pot_given, a_demold_given, demold_below_given;
} pc_data_sheet;

/* What the mix gives off; NaN where unknown. */
typedef struct pc_volatile {
    char name[64];
    double share, evaporated_share; /* of the mix, of the volatile */
    double limit_fraction;          /* exposure limit by volume */
    double limit_kg_m3;             /* exposure limit by mass */
    double molar_mass_kg_mol;
} pc_volatile;

/* How well the constants are known: the Cholesky factor of the covariance of the unknowns of
 * anchoring, in their own units and in the order of lib/resin/unknowns.h; lower triangle, zero for
 * what is fixed. known is false where the constants were stated in full: then nothing is known of
 * their error. */
typedef struct pc_resin_fit {
    bool known;
    int tests;      /* the user's own tests among the data */
    double film_sd; /* 1 sd of ln of the gel time of a film of PC_FILM_M at 23 C */
    double factor[PC_UNKNOWNS][PC_UNKNOWNS];
} pc_resin_fit;

/* Level of the catalyst of a polyester, as a share of the resin by mass; at is 0 for families
 * without one. Rates go with (level/at)^power. */
typedef struct pc_catalyst {
    double at, low, high, power;
    double level; /* the one the constants hold for now */
} pc_catalyst;

/* What a filler's dust does, beside being dust; X(name, word in files). */
#define PC_DUST_TABLE(X)                                                                           \
    X(PC_DUST_NUISANCE, "nuisance")       /* no worse than any dust */                             \
    X(PC_DUST_SILICA, "silica")           /* crystalline silica: silicosis, lung cancer */         \
    X(PC_DUST_METAL, "metal")             /* metal fume and dust; fine, it burns */                \
    X(PC_DUST_COMBUSTIBLE, "combustible") /* a cloud of it explodes: aluminum, magnesium, wood */  \
    X(PC_DUST_GLASS, "glass")             /* hollow glass: light, stays in the air, cuts */        \
    X(PC_DUST_FIBERS, "fibers")           /* glass or carbon fibers */

typedef enum pc_dust {
#define PC_DUST_ENUM_(name, word) name,
    PC_DUST_TABLE(PC_DUST_ENUM_)
#undef PC_DUST_ENUM_
        PC_DUST_COUNT
} pc_dust;

/* A powder that is stirred into a resin. */
typedef struct pc_filler {
    char name[64];
    double density_kg_m3; /* of its grains, not of the heap */
    double cp_J_kgK, k_W_mK;
    double phi_max; /* densest packing: share of the volume that grains can take */
    int dust;       /* a pc_dust */
    char note[160];
} pc_filler;

/* The filler in a resin; parts is 0 where there is none. plain_: the resin without it. */
typedef struct pc_fill {
    pc_filler of;
    double parts;               /* by mass to 100 of A and B together */
    double share, volume_share; /* of the mix, by mass and by volume */
    double plain_density_kg_m3, plain_cp_J_kgK, plain_k_W_mK, plain_heat_J_kg, plain_mu_Pa_s;
    double plain_a, plain_b, plain_volatile;
} pc_fill;

/* With a filler in it density, shares, heat, cp, k, viscosity and what it gives off are those of
 * the mix; the figures of the data sheet are those of the resin without it. */
typedef struct pc_resin {
    char name[PC_NAME_SIZE];
    char path[256];
    pc_family family;
    double density_kg_m3;
    double share_a, share_b; /* of the mix by mass; with the filler's they add up to 1 */
    double density_a_kg_m3, density_b_kg_m3; /* NaN where not stated */
    bool by_volume;             /* its sheet has the ratio so; both densities are known */
    double peak_limit_K;        /* NaN where the resin file states none */
    double peak_warn_K;         /* the family's: hotter is warned of, and avoided where it can be */
    double least_temperature_K; /* below it the resin is not worked: it does not cure through */
    double demold_below_K;
    pc_catalyst catalyst;
    pc_cure cure;
    pc_flow flow;
    pc_data_sheet sheet;
    char tests_path[256]; /* the user's own tests that joined the fit; "" where none are named */
    pc_volatile gives_off;
    pc_resin_fit fit;
    pc_fill fill;
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
static inline const char *pc_family_word(pc_family family) {
    return pc_word(PC_WORDS_FAMILY, (int)family);
}
static inline int pc_family_from_word(const char *word) {
    for (int family = 0; word && family < PC_FAMILY_COUNT; family++) {
        const char *known = pc_word(PC_WORDS_FAMILY, family);
        size_t i = 0;
        while (known[i] && (known[i] == word[i] || known[i] - 'a' + 'A' == word[i]))
            i++;
        if (!known[i] && !word[i])
            return family;
    }
    return -1;
}

/* Purpose:  set a resin to its family's defaults, with nothing from a data sheet.
 * Given:    family. Returned: *resin; PC_OK or PC_E_ARGUMENT.
 * Notes:    density 1100 kg/m3, viscosity 0.5 Pa s at 23 C, ratio 1:1, no peak limit, demold below
 *           60 C, a rate that no resin has before it is anchored. Sources: lib/resin/families.c. */
PC_API pc_status pc_resin_defaults(pc_family family, pc_resin *resin);

/* Purpose:  set a family's constants by the figures of resin->sheet: weighted least squares with
 *           the family's priors (lib/resin/families.c). No honest sheet is refused; figures that do
 *           not agree show in their residuals.
 * Given:    resin with family defaults and data sheet filled in.
 * Returned: resin->cure, resin->fit and each datum's model and residual set; demold_below_K raised
 *           where the sheet's own time at its own thickness asks for it; PC_OK; PC_E_KEY (no time
 * to anchor to) or PC_E_VALUE with an error; PC_E_ARGUMENT, PC_E_MEMORY; left as it was after an
 * error. Notes:    film gel within 1 % of a converged fit of the same model. Source:
 * pourclock-model(7), "Anchoring". */
PC_API pc_status pc_resin_anchor(pc_resin *resin, pc_errors *errors);

/* Purpose:  key of a datum, as in the resin file: "pot_life", "gel_times". */
static inline const char *pc_datum_word(const pc_datum *datum) {
    return !datum ? "" : datum->in_series ? "gel_times" : pc_word(PC_WORDS_DATUM, (int)datum->kind);
}

/* Purpose:  whether the figures of an anchored resin's data sheet agree.
 * Returned: the largest residual, in standard deviations (above 1: a remark; above 2: a warning);
 *           text: a sentence that names the figures that disagree most, "" where there are none. */
PC_API double pc_resin_disagreement(const pc_resin *resin, char *text, size_t size);

/* What a film does: times from the start of mixing, NaN where they never come; low and high one
 * standard deviation of the logarithm away, NaN where not known. */
typedef struct pc_film_times {
    double gel_s, gel_low_s, gel_high_s;
    double demold_s, demold_low_s, demold_high_s;
} pc_film_times;

/* A row of a resin's table: what its cup and a film of it do where all is at one temperature. */
typedef struct pc_resin_row {
    double T_K, mass_kg, film_m;
    pc_cup_events cup;
    pc_film_times film;
} pc_resin_row;

/* Purpose:  fill a row of a resin's table.
 * Given:    resin; T_K: resin, air and mold, 233 to 423; mass_kg > 0, below 1e6, mixed; film_m: on
 *           the reference mold (8 mm silicone in 10 mm plaster), poured at half the pot life; 0:
 * the cup alone. Returned: *row, its film NaN where not asked for; PC_OK, PC_E_ARGUMENT,
 * PC_E_NUMERIC, PC_E_MEMORY. */
PC_API pc_status pc_resin_times(const pc_resin *resin, double T_K, double mass_kg, double film_m,
                                pc_resin_row *row);

/* Purpose:  take a resin to another level of its catalyst: rates and the ratio of A to B.
 * Given:    level, share of the resin by mass, such as 0.015.
 * Returned: *resin; PC_OK; PC_E_VALUE with an error outside the resin's range; PC_E_ARGUMENT for a
 *           resin without a catalyst. */
PC_API pc_status pc_resin_set_catalyst(pc_resin *resin, double level, pc_errors *errors);

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
