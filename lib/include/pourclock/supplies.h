/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to buy and mix for a piece: resin, mold rubber, shell, release, wire; kits, prices, what is
 * left over. Read from [supplies], [strength] and [pin NAME] of the piece file. */
#ifndef POURCLOCK_SUPPLIES_H
#define POURCLOCK_SUPPLIES_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/joint.h"
#include "pourclock/piece.h"
#include "pourclock/schedule.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_PRICES_MOST 64
#define PC_CHUNKS_SAFE 0.30 /* of a poured rubber mold that old chunks may take (practice) */
#define PC_KIT_NAME    64

typedef enum pc_rubber_way { PC_BLANKET, PC_POURED } pc_rubber_way;

/* What is ordered beside the piece itself. */
typedef struct pc_order {
    int castings;
    double loss;       /* resin spilled and left in pails, beside the cups' */
    pc_rubber_way way; /* brushed blanket, or poured into a box */
    double box_m3;     /* poured: inside of the box; NaN where not stated */
    double chunks;     /* poured: share of the rubber's room that old cured chunks take */
    double rubber_loss, rubber_kg_m3;
    double shell_kg_m3, shell_loss;
    int shell_halves;
    double flange_m;  /* width of the shell's flange along its seam */
    double release_m; /* wet film of release over the cavity, for each casting */
    double day_s;     /* working day, for castings a day */
    double thumb_N, thumb_radius_m, flat_m;     /* flat_m: widest flat place, diameter; NaN: none */
    double resin_strength_Pa, resin_modulus_Pa; /* NaN: the family's */
    double handling_N;
    size_t pin_count;
    pc_joint pin[PC_PINS_MOST];
} pc_order;

/* X(name, word in price lists) */
#define PC_SUPPLY_TABLE(X)                                                                         \
    X(PC_SUPPLY_RESIN, "resin")                                                                    \
    X(PC_SUPPLY_RUBBER, "rubber")                                                                  \
    X(PC_SUPPLY_SHELL, "shell")                                                                    \
    X(PC_SUPPLY_RELEASE, "release")                                                                \
    X(PC_SUPPLY_WIRE, "wire")

typedef enum pc_supply {
#define PC_SUPPLY_ENUM_(name, word) name,
    PC_SUPPLY_TABLE(PC_SUPPLY_ENUM_)
#undef PC_SUPPLY_ENUM_
        PC_SUPPLY_COUNT
} pc_supply;

/* A row of a price list: one kit. Amounts in kg (wire: m); part_b 0 where there is one part. */
typedef struct pc_kit {
    pc_supply item;
    char name[PC_KIT_NAME];
    double part_a, part_b, price;
    long line;
    char resin[PC_NAME_SIZE]; /* that it is a kit of, by name; "": the piece's */
} pc_kit;

typedef struct pc_prices {
    char file[256];
    size_t count;
    pc_kit kit[PC_PRICES_MOST];
} pc_prices;

#define PC_RESINS_MOST 8 /* of a piece; what there is more is bought with the last */
#define PC_NEEDS_MOST  (PC_SUPPLY_COUNT + PC_RESINS_MOST)

/* One thing to buy. Amounts in kg (wire: m); NaN where unknown. */
typedef struct pc_need {
    pc_supply item;
    double amount, volume_m3;
    double part_a, part_b;       /* resin */
    char name[PC_NAME_SIZE];     /* of a resin, where the piece has several; else "" */
    char fillers[128];           /* what is stirred into it, by name */
    double filler;               /* of the resin; 0: none */
    double part_a_m3, part_b_m3; /* where the densities are known */
    char kit[PC_KIT_NAME];       /* "" without a price list */
    long kits;
    char other_kit[PC_KIT_NAME]; /* a second kind bought beside it; "": none */
    long other_kits;
    double cost, left_a, left_b; /* left over of the kits */
    long castings_per_kit;       /* resin: how many one kit allows; 0: none whole */
} pc_need;

/* A mold of the piece, and what it is made of; by weight with its loss. */
typedef struct pc_mold_supply {
    char name[96];              /* "": it has none */
    char parts[PC_PARTS_MOST * 100]; /* cast in it, in the order of the file */
    double rubber_kg, shell_kg; /* of a blanket; 0 of a poured mold */
} pc_mold_supply;

typedef struct pc_supplies {
    size_t need_count;
    pc_need need[PC_NEEDS_MOST];
    /* these five add up to the resin's amount */
    double resin_in_pieces_kg, resin_in_cups_kg, resin_lost_kg;
    double resin_trimmed_kg;     /* sprues and vents, cut off */
    double resin_poured_back_kg; /* out of drained molds */
    double rubber_room_m3, chunks_m3, chunks_saved_kg;
    double shell_half_kg; /* of a part of the shell, all molds together */
    size_t mold_count;
    pc_mold_supply mold[PC_PARTS_MOST];
    double solid_kg, saved_kg; /* body cast solid, and what the hollow one saves; NaN */
    double cost;               /* of everything; NaN without prices */
    double casting_s;          /* one mold, first mix to the next one's */
    long castings_a_day;       /* one mold */
    double thumb_wall_m, thumb_sag_m, thumb_stress_Pa, thumb_factor;
    bool thumb_flat;
    double body_kg;
    size_t joint_count;
    pc_joint_result joint[PC_PINS_MOST];
    size_t note_count;
    char note[8][240];
} pc_supplies;

/* Word of an item, "resin"; "" outside the table. */
static inline const char *pc_supply_word(pc_supply item) {
    return pc_word(PC_WORDS_SUPPLY, (int)item);
}

/* Purpose:  read [supplies], [strength] and [pin NAME] of a piece file, if it has any.
 * Given:    path, as pc_piece_read; "" or "-": the defaults alone.
 * Returned: *order; PC_OK; else the first error's status, with every wrong line in errors. */
PC_API pc_status pc_order_read(const char *path, pc_order *order, pc_errors *errors);

/* Purpose:  read a price list: CSV with the columns item,name,part_a,part_b,price and, where the
 *           kits are of several resins, resin (empty: the piece's own). Amounts as
 *           masses (wire: lengths); part_b empty where there is one part; prices without currency.
 * Returned: *prices; PC_OK; PC_E_KEY (a column or an item unknown), PC_E_VALUE, PC_E_UNIT, ... */
PC_API pc_status pc_prices_read(const char *path, pc_prices *prices, pc_errors *errors);

/* Purpose:  work out the supplies of a planned piece.
 * Given:    prices: may be NULL. Of several kits of one item those cheapest in total are taken, of
 *           one kind or two.
 * Returned: *supplies; PC_OK; PC_E_VALUE with errors: an item without a price, a wire thicker than
 *           its leg, a box smaller than the model; PC_E_ARGUMENT. */
PC_API pc_status pc_supplies_make(const pc_piece *piece, const pc_schedule *schedule,
                                  const pc_order *order, const pc_prices *prices,
                                  pc_supplies *supplies, pc_errors *errors);

PC_END_DECLS

#endif
