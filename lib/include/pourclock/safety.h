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

#define PC_ATMOSPHERE_PA  101325.0
#define PC_MIXING_FACTOR  5.0    /* imperfect mixing of air, 1 to 10; 5 in the worked examples */
#define PC_BURN_K         333.15 /* 60 C: a few seconds of touch burn skin (practice) */
#define PC_SCORCH_K       373.15 /* 100 C: smokes, foams, softens cups (practice) */
#define PC_STYRENE_LOST_1 0.014  /* 40 CFR 63 subpart VVVV: kg per Mg, times percent ^ 2.275 */

/* ---- air; each returns NaN for a NaN or an argument outside its range ---- */

/* ---- exposure limits ---- */

/* One row of the table; NaN where there is none. By volume as a fraction, by mass kg/m3. */
typedef struct pc_exposure {
    const char *substance, *of; /* "styrene", "polyester" */
    double molar_mass_kg_mol;
    double niosh_fraction, niosh_kg_m3, niosh_ceiling_fraction, niosh_ceiling_kg_m3;
    double osha_fraction, osha_ceiling_fraction, idlh_fraction;
} pc_exposure;

/* Edition the table was taken from. */
PC_API const char *pc_exposure_edition(void);

/* The index-th row; NULL past the end. */
PC_API const pc_exposure *pc_exposure_at(size_t index);

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

/* Air a piece asks for. NaN where unknown or not applicable. Amounts of vapor are upper bounds,
 * air flows and times estimates. */
typedef struct pc_ventilation {
    pc_air_answer answer; /* dilution: the formula applies */
    char volatile_name[64];
    double vapor_kg;       /* given off by the whole piece */
    double rate_kg_s;      /* the worst batch, spread from its mix to its gel */
    double worst_s;        /* that stretch of time */
    double limit_fraction; /* the lower of the resin file's and the table's */
    double mixing;
    double air_m3_s;         /* dilution air at the worst batch */
    double still_fraction;   /* all of it in the stated room, no air moving */
    double reached_fraction; /* in the stated room with the stated ventilation, worst batch */
    double purge_s;          /* from reached_fraction to a tenth of the limit, stated ventilation */
    char why[256];           /* why the formula does not apply; "" where it does */
} pc_ventilation;

/* Purpose:  word of an answer; "" outside the table. */
PC_API const char *pc_air_answer_word(pc_air_answer answer);

/* Purpose:  the air a planned piece asks for.
 * Given:    piece, with shop.room_m3 and shop.ventilation_m3_s (0 or NaN: not stated); schedule.
 * Returned: *ventilation; PC_OK, PC_E_ARGUMENT. */
PC_API pc_status pc_ventilation_of(const pc_piece *piece, const pc_schedule *schedule,
                                   pc_ventilation *ventilation);

/* A batch left standing, worst of the schedule; and leftovers gathered in one pail. */
typedef struct pc_standing {
    double batch_kg, batch_peak_K, batch_peak_s;
    double leftover_kg, leftover_peak_K, leftover_peak_s;
    double adiabatic_K; /* no heat lost: upper bound of both */
} pc_standing;

/* Purpose:  how hot the hottest batch of a schedule gets when left in its cup.
 * Returned: *standing; PC_OK; PC_E_ARGUMENT; PC_E_NUMERIC. */
PC_API pc_status pc_standing_of(const pc_piece *piece, const pc_schedule *schedule,
                                pc_standing *standing);

/* ---- cautions ---- */

typedef struct pc_caution {
    char code[24]; /* "exotherm", "leftovers", "air", "respirator", "skin", "machine", ... */
    char text[600];
} pc_caution;

/* Start with pc_cautions_make, end with pc_cautions_free. */
typedef struct pc_cautions {
    size_t count;
    pc_caution *item;
} pc_cautions;

/* Purpose:  the cautions of this very piece, worked out from its batches, resin and turning.
 * Given:    piece; schedule, feasible or not; units to write them in.
 * Returned: *cautions, at least four, the last the deferral to data sheet, codes and practice;
 *           PC_OK, PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC. */
PC_API pc_status pc_cautions_make(const pc_piece *piece, const pc_schedule *schedule,
                                  pc_units units, pc_cautions *cautions);

/* Purpose:  free them; safe on a zeroed list and twice. */
PC_API void pc_cautions_free(pc_cautions *cautions);

/* The one sentence that every sheet ends with. */
PC_API const char *pc_deferral(void);

PC_END_DECLS

#endif
