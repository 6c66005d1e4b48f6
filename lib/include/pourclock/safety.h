/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What can hurt: dilution air, exposure limits, the cup that runs hot, and the cautions of a batch.
 * Every figure is an upper bound or an estimate and says so. None replaces the maker's safety data
 * sheet, local codes, or licensed practice in industrial hygiene. */
#ifndef POURCLOCK_SAFETY_H
#define POURCLOCK_SAFETY_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "pourclock/status.h"

PC_BEGIN_DECLS

#define PC_ATMOSPHERE_PA   101325.0
#define PC_MIXING_FACTOR   5.0    /* imperfect mixing of air, 1 to 10; 5 in the worked examples */
#define PC_BURN_K          333.15 /* 60 C: a few seconds of touch burn skin (practice) */
#define PC_SCORCH_K        373.15 /* 100 C: smokes, foams, softens cups (practice) */
#define PC_STYRENE_BOILS_K 418.15 /* 145 C, NIOSH Pocket Guide: 293 F */
#define PC_STYRENE_FLASH_K 304.15 /* 31 C, NIOSH Pocket Guide: 88 F */
#define PC_STYRENE_WARM_K  303.15 /* 30 C: nothing with styrene in it is warmed above (practice) */
#define PC_STYRENE_LOST_1                                                                          \
    0.014 /* 40 CFR 63 subpart VVVV, Table 3: kg per Mg, times percent ^ 2.275 */
#define PC_HEAVY_KG         10.0 /* from here a mold is secured before it is turned (practice) */
#define PC_STIRRED_MOST_KG  5.0  /* what one person stirs by hand (practice) */
#define PC_AIR_BATCHES_MOST (PC_PARTS_MOST * PC_LAYERS_MOST)

/* A batch as the air sees it: vapor given off at a steady rate from its mix to its gel. */
typedef struct pc_air_batch {
    size_t part; /* of the schedule; of a day, the casting */
    int layer;
    double from_s, to_s, vapor_kg;
} pc_air_batch;

/* ---- exposure limits ---- */

/* One row of the table; NaN where the source gives none. By volume as a fraction, by mass kg/m3. */
typedef struct pc_exposure {
    const char *substance, *of; /* "styrene", "polyester" */
    const char *source, *date;
    double molar_mass_kg_mol;
    double niosh_fraction, niosh_kg_m3; /* averaged over a working day */
    double niosh_short_fraction;        /* over 15 minutes */
    double niosh_ceiling_fraction, niosh_ceiling_kg_m3;
    double osha_fraction, osha_ceiling_fraction;
    double osha_peak_fraction; /* 5 minutes in any 3 hours */
    double idlh_fraction, idlh_kg_m3;
    bool skin;       /* taken up through the skin */
    bool carcinogen; /* a potential occupational carcinogen: no recommended limit is safe */
} pc_exposure;

/* ---- a piece's air and heat ---- */

/* X(name, word in JSON) */
#define PC_AIR_TABLE(X)                                                                            \
    X(PC_AIR_DILUTION, "dilution")                                                                 \
    X(PC_AIR_LOCAL_EXHAUST, "local-exhaust")                                                       \
    X(PC_AIR_UNKNOWN, "unknown")

typedef enum pc_air_answer {
#define PC_AIR_ENUM_(name, word) name,
    PC_AIR_TABLE(PC_AIR_ENUM_)
#undef PC_AIR_ENUM_
} pc_air_answer;

/* Air a piece asks for. NaN where unknown or not applicable. */
typedef struct pc_ventilation {
    pc_air_answer answer; /* dilution: the formula applies */
    char volatile_name[64];
    size_t batch_count;
    pc_air_batch batch[PC_AIR_BATCHES_MOST]; /* estimates: they add up to vapor_kg */
    double vapor_kg;                         /* estimate, given off by the whole piece */
    double vapor_most_kg;                    /* all that could be: no more is in it */
    double rate_kg_s;                        /* the most at once, all batches together */
    double rate_from_s;                      /* from when */
    double limit_fraction;                   /* the lower of the resin file's and the table's */
    double molar_mass_kg_mol, air_K;
    double mixing;
    double air_m3_s;         /* estimate: fresh air that keeps rate_kg_s below the limit for ever */
    double still_fraction;   /* all there is in the stated room, no air moving: upper bound */
    double highest_fraction; /* estimate, in the stated room with the stated ventilation */
    double highest_at_s;
    double purge_s; /* from highest_fraction to a tenth of the limit, stated ventilation */
    bool open;      /* a mold is drained: it stands open */
    char why[256];  /* why the formula does not apply; "" where it does */
} pc_ventilation;

/* Purpose:  the air that a vapor of a planned piece asks for: all batches that give it off
 * together. Given:    piece, with shop.room_m3 and shop.ventilation_m3_s (NaN: not stated;
 * ventilation 0: no air moves); schedule; index, from 0, of the vapors with different names that
 * parts and layers of resins of their own give off. Returned: *mix: one of the resins that give it
 * off, NULL past the last (then *ventilation is as it was); *ventilation; PC_OK, PC_E_ARGUMENT,
 * PC_E_MEMORY. */
PC_API pc_status pc_ventilation_of_vapor(const pc_piece *piece, const pc_schedule *schedule,
                                         size_t index, const pc_resin **mix,
                                         pc_ventilation *ventilation);

/* What gets hot: a batch left standing, the hottest of the schedule; leftovers gathered in one
 * pail; the surplus poured back of a drained mold; the wall. 0 kg and NaN where there is none. */
typedef struct pc_standing {
    double batch_kg, batch_peak_K, batch_peak_s;
    double leftover_kg, leftover_peak_K, leftover_peak_s;
    double surplus_kg, surplus_peak_K, surplus_peak_s; /* the largest of one layer, in one pail */
    double adiabatic_K;    /* no heat lost at all: upper bound of the three above */
    double wall_peak_K;    /* hottest point of the plan, its margins' worst 5 % included */
    double wall_planned_K; /* the same of the plan as it is, without margins */
    double wall_most_K;    /* in the same cases, no heat lost at all, a hot wall under a later layer
                            * counted */
} pc_standing;

/* Purpose:  how hot what is mixed gets.
 * Returned: *standing; PC_OK; PC_E_ARGUMENT; PC_E_NUMERIC. */
PC_API pc_status pc_standing_of(const pc_piece *piece, const pc_schedule *schedule,
                                pc_standing *standing);

/* ---- cautions ---- */

typedef struct pc_caution {
    char code[24]; /* "exotherm", "leftovers", "ventilation", "respirator", "machine", ... */
    bool always;   /* the same for every piece: one of the short lines that come last */
    char text[800];
} pc_caution;

/* Start with pc_cautions_make or pc_cautions_of_resin, end with pc_cautions_free. */
typedef struct pc_cautions {
    size_t count;
    pc_caution *item;
} pc_cautions;

typedef enum pc_cautions_of { PC_CAUTIONS_OF_PIECE, PC_CAUTIONS_OF_RESIN } pc_cautions_of;

/* The two below in one: of a planned piece, or of a resin. */
PC_API pc_status pc_cautions_list(pc_cautions_of what, const pc_piece *piece,
                                  const pc_schedule *schedule, const pc_resin *resin,
                                  pc_units units, pc_cautions *cautions);

/* Purpose:  the cautions of this very piece, calculated from its batches, resin and turning.
 * Given:    piece; schedule, feasible or not; units to write them in.
 * Returned: *cautions: those of the piece first, most important first, then those of every piece
 *           (always), the last the deferral to data sheet, codes and practice; PC_OK,
 *           PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC. */
static inline pc_status pc_cautions_make(const pc_piece *piece, const pc_schedule *schedule,
                                         pc_units units, pc_cautions *cautions) {
    return pc_cautions_list(PC_CAUTIONS_OF_PIECE, piece, schedule, NULL, units, cautions);
}

/* Purpose:  the cautions of a resin where no piece is planned: a table of its times, a cup test.
 * Given:    resin; NULL: of no resin in particular, those of every piece alone.
 * Returned: as pc_cautions_make. */
static inline pc_status pc_cautions_of_resin(const pc_resin *resin, pc_units units,
                                             pc_cautions *cautions) {
    return pc_cautions_list(PC_CAUTIONS_OF_RESIN, NULL, NULL, resin, units, cautions);
}

/* Purpose:  free them; safe on a zeroed list and twice. */
PC_API void pc_cautions_free(pc_cautions *cautions);

/* The one sentence that every sheet ends with. */
#define PC_DEFERRAL                                                                                \
    "Figures are estimates, upper bounds only where called so, and not a hazard assessment: "      \
    "follow the maker's safety data sheet and local codes; licensed practice decides."

PC_END_DECLS

#endif
