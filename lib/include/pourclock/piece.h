/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece file read: parts, mold, turning, shop. */
#ifndef POURCLOCK_PIECE_H
#define POURCLOCK_PIECE_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/film.h"
#include "pourclock/mold.h"
#include "pourclock/quantity.h"
#include "pourclock/resin.h"
#include "pourclock/shape.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_PARTS_MOST      16
#define PC_DAY_POINTS_MOST 512
#define PC_WALL_MOST_M     0.5
#define PC_LAYERS_MOST     12
#define PC_SHOP_SECTIONS   4 /* of a shop file */
#define PC_PINS_MOST       16

typedef enum pc_part_kind { PC_HOLLOW, PC_SOLID } pc_part_kind;

/* What a part is poured in: "layer" of a hollow one, "pour" of a solid. */
static inline const char *pc_layer_word(pc_part_kind kind) {
    return kind == PC_SOLID ? "pour" : "layer";
}

#define PC_BRUSH_CUP_KG 0.12 /* a cup to brush from, where not stated */
#define PC_COATS_MOST   6    /* layers of a part that are of their own kind */

/* How a layer is laid; X(name, word in files and JSON). */
#define PC_COAT_METHOD_TABLE(X)                                                                    \
    X(PC_COAT_TURN, "turn")                                                                        \
    X(PC_COAT_DRAIN, "drain")                                                                      \
    X(PC_COAT_BRUSH, "brush")

typedef enum pc_coat_method {
#define PC_COAT_ENUM_(name, word) name,
    PC_COAT_METHOD_TABLE(PC_COAT_ENUM_)
#undef PC_COAT_ENUM_
        PC_COAT_AS_PIECE /* by the piece's turning */
} pc_coat_method;

/* A layer of its own kind: [layer PART N]. */
typedef struct pc_coat {
    int number;         /* of the layer, from 1 */
    int method;         /* a pc_coat_method */
    double thickness_m; /* NaN: its share of what is left; of layer 1 see first_layer_m */
    size_t mix;         /* its place in the piece's mixes, from 1; 0: as the part */
    double cup_kg;      /* brushed out of cups no larger */
    double cup_s;       /* to brush out one cup; NaN: by its area */
    double yield_Pa;    /* yield stress of a thixotropic mix; NaN: not stated */
    double no_run_m;    /* thickest film that does not run on an upright wall; NaN: not stated */
    char resin[256], filler[192]; /* as stated; "" where not */
} pc_coat;

/* What a part of kind PC_SOLID is; X(name, word in JSON). */
#define PC_ROLE_TABLE(X)                                                                           \
    X(PC_ROLE_PLAIN, "solid")                                                                      \
    X(PC_ROLE_SEAM, "seam")                                                                        \
    X(PC_ROLE_RIM, "rim")

typedef enum pc_role {
#define PC_ROLE_ENUM_(name, word) name,
    PC_ROLE_TABLE(PC_ROLE_ENUM_)
#undef PC_ROLE_ENUM_
} pc_role;

typedef struct pc_part {
    pc_part_kind kind;
    char name[96];       /* "hollow body" or "plinth" */
    pc_shape shape;      /* owned; see pc_piece_free */
    char mesh_path[256]; /* "" when not from a mesh */
    char mesh_unit[8];
    double wall_m;        /* hollow */
    bool open;            /* hollow: a half or a bowl, open to the air: nothing is plugged */
    double pour_hole_m;   /* NaN where not stated */
    int layers_asked;     /* 0: as few as hold */
    double first_layer_m; /* NaN: at most 1.5 mm by rule */
    double volume_m3;     /* solid: as stated or from the shape */
    pc_form form;         /* solid: for the heat */
    double least_layer_m; /* least that covers, default 0.8 mm */
    char mold[96];        /* parts of one mold share its name; "": a mold of its own */
    char after[256];      /* parts it is poured after, with commas between; "": as in the file */
    /* how the area and volume were stated, NaN where they were not */
    double area_m2;
    double foil_kg, foil_m, foil_density_kg_m3; /* area by the mass of the foil that covers it */
    double water_fill_m3;                       /* water that fills the cavity */
    char shape_text[256];                       /* "" when not from a shape */
    char resin[256], filler[192];               /* of its own, as stated; "" where not */
    size_t mix;                                 /* its place in the piece's mixes; 0: the piece's */
    size_t coat_count;
    pc_coat coat[PC_COATS_MOST];
    double edge_m; /* open: length of the edge that meets the other half; NaN: not stated */
    int role;      /* a pc_role; the rest is of a seam or rim, NaN where not stated */
    char joins[256];                   /* the two halves, or the open form of a rim */
    double length_m, width_m, depth_m; /* depth: of a joint, or the thickness of a rim */
    int laid;                          /* 1: by hand, thickened; 0: poured */
    int sprues, vents; /* of a solid: filled with it and cut off; 0: none */
    double sprue_bore_m, sprue_length_m, vent_bore_m, vent_length_m; /* of each; 0: not stated */
    bool turn_over; /* solid: the mold is turned over before it is poured on the part below */
} pc_part;

/* A resin, a filler, or both, that a part or a layer has of its own. */
typedef struct pc_mix {
    pc_resin resin; /* with the filler in it */
    bool own_resin;
    size_t base; /* without a resin of its own: that of this mix, from 1; 0: the piece's */
    pc_filler filler;
    double filler_parts; /* 0: none of its own */
    char section[112];   /* that states it */
} pc_mix;
/* Wires that are set into the mold before a part is poured. */
typedef struct pc_pin {
    char name[96]; /* "left wire" */
    char part[96]; /* as the file names it */
    int count;
} pc_pin;

typedef struct pc_mold {
    double rubber_m, shell_m; /* 0: none */
    pc_mold_kind rubber_kind, shell_kind;
    bool has_shell;
    double limit_K; /* hottest the rubber may get; infinity where not stated */
} pc_mold;

typedef struct pc_day_point {
    double clock_s, T_K;
} pc_day_point;

typedef struct pc_shop {
    double air_K, resin_K, mold_K;
    bool resin_given, mold_given;
    size_t day_count; /* 0: air_K all day */
    pc_day_point day[PC_DAY_POINTS_MOST];
    double mix_time_s; /* of one cup; NaN: grows with it, pci_cup_mix_time */
    double pour_time_s;
    double least_layer_wait_s; /* from a layer's gel to the next pour */
    double hand_most_s;        /* longest a mold is turned by hand at a stretch */
    double mold_rest_s;    /* from oven (or wherever mold_K holds) to the first mix; default 0 */
    double largest_mix_kg; /* infinity where not stated */
    double cup_loss;       /* fraction of the batch mixed that stays in the cup */
    double catalyst;       /* level of a polyester's catalyst; NaN: the resin file's */
    double start_clock_s;
    int hands;                        /* people: 1 or more */
    double room_m3, ventilation_m3_s; /* NaN: not stated; of a room, 0 or NaN */
} pc_shop;

/* Spread of the inputs, as half-width of the 95 % interval (relative unless named). */
typedef struct pc_margins {
    bool on;
    double air_K, times, area, mix_pour_times, ratio;
    int samples;
} pc_margins;

typedef struct pc_piece {
    char name[PC_NAME_SIZE];
    char path[256];
    pc_units units;
    pc_resin resin; /* with the piece's filler in it */
    pc_filler filler;
    size_t mix_count;
    pc_mix *mix;         /* owned; see pc_piece_free */
    double filler_parts; /* of the piece's own filler, to 100 of resin by mass; 0: none */
    size_t part_count;
    pc_part part[PC_PARTS_MOST];
    size_t pin_count; /* of the pins that name their part */
    pc_pin pin[PC_PINS_MOST];
    pc_mold mold;
    pc_turning turning;
    pc_shop shop;
    pc_margins margins;
    uint32_t from_shop[PC_SHOP_SECTIONS]; /* keys in force from a shop file; pc_piece_from_shop */
} pc_piece;

/* Purpose:  read a piece file over the defaults of a shop: a file with the piece file's [mold],
 *           [turning] and [shop], and units in [piece].
 * Given:    shop: NULL for none; path: as pc_piece_read, NULL for the defaults alone (then the
 * piece has no part yet: see pc_piece_set and pc_piece_check). Returned: as pc_piece_read; the
 * errors of both files. */
PC_API pc_status pc_piece_read_in_shop(const char *shop, const char *path, pc_piece *piece,
                                       pc_errors *errors);

/* Purpose:  read a piece file, with the resin and meshes it names.
 * Given:    path, or "-" for standard input.
 * Returned: *piece, to be freed by pc_piece_free (also after an error); PC_OK; otherwise the first
 *           error's status with every wrong line in errors. */
static inline pc_status pc_piece_read(const char *path, pc_piece *piece, pc_errors *errors) {
    return pc_piece_read_in_shop(NULL, path, piece, errors);
}

/* Purpose:  a piece with every default and no part: metric, silicone 10 mm, plaster 10 mm, machine
 *           turning at 12 and 3 rpm, shop 23 C, mix as long as the cup asks for, pour 30 s, cup
 *           loss 3 %, start 09:00, one person, margins on. Cannot fail. */
static inline void pc_piece_defaults(pc_piece *piece) {
    (void)pc_piece_read_in_shop(NULL, NULL, piece, NULL);
}

/* Purpose:  name the keys that a shop file set and neither the piece file nor pc_piece_set did.
 * Returned: such as "[mold] rubber, shell; [shop] temperature" in buffer, cut where too long; ""
 *           where there are none. */
PC_API void pc_piece_from_shop(const pc_piece *piece, char *buffer, size_t size);

/* Purpose:  override one key as if it stood in the file: for options on the command line.
 * Given:    section: "piece", "hollow", "solid", "mold", "turning", "shop" or "margins"; "hollow"
 *           and "solid" are the first part of that kind, made where there is none; key and value as
 *           in the file; a key that states the area puts out of force the others that do.
 * Returned: PC_OK; else the status with an error whose file is "command line". */
PC_API pc_status pc_piece_set(pc_piece *piece, const char *section, const char *key,
                              const char *value, pc_errors *errors);

/* A key a piece file may have, and what it may hold; texts are constant. */
typedef struct pc_piece_key {
    const char *section, *key;
    const char *range;        /* "" where no number is expected */
    const char *const *words; /* the words it may be, NULL-ended; NULL: not a word */
} pc_piece_key;

/* Purpose:  go through the keys of piece files, in the order of their sections.
 * Given:    index from 0. Returned: *key and true; false past the last (and for NULL). */
PC_API bool pc_piece_key_at(size_t index, pc_piece_key *key);

/* Purpose:  judge a piece as a whole (a part at least, a wall under half the piece, ...).
 * Returned: PC_OK, or the first error's status with all of them in errors. pc_piece_read calls it;
 *           callers of pc_piece_set call it once at the end. */
PC_API pc_status pc_piece_check(const pc_piece *piece, pc_errors *errors);

/* Purpose:  the mix that a layer is of: the layer's own, else the part's, else the piece's.
 * Given:    part: its place; layer: its number, 0: the part's own.
 * Returned: NULL for NULL; the piece's resin for a part that does not exist. */
PC_API const pc_resin *pc_piece_resin(const pc_piece *piece, size_t part, int layer);

/* Word of a role, "seam"; "" outside the table. */
static inline const char *pc_role_word(int role) {
    return pc_word(PC_WORDS_ROLE, role);
}

/* Purpose:  hottest a part may get, K: the lowest of the limits that its resins and the mold state.
 *           The wall is one: what its most tender mix bears is the limit of all.
 * Given:    part: its place.
 * Returned: infinity where none is stated, for a part that does not exist, and for NULL. */
PC_API double pc_piece_peak_limit(const pc_piece *piece, size_t part);

/* Purpose:  free what a piece's parts hold and take them out; safe twice and on NULL. */
PC_API void pc_piece_free(pc_piece *piece);

#define PC_MIX_LEAST_S  60.0 /* of a cup up to PC_MIX_SMALL_KG (practice) */
#define PC_MIX_SMALL_KG 0.5

/* Purpose:  air of the shop at a time of day, K: air_K, or the day's table, linear between its
 *           points and round midnight.
 * Given:    clock_s, s after midnight, any finite number: it wraps. Returned: NaN for NULL, NaN. */
PC_API double pc_shop_air(const pc_shop *shop, double clock_s);

PC_END_DECLS

#endif
