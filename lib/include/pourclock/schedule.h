/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The timed pour-and-turn schedule of a piece. Times in seconds from the first mix. */
#ifndef POURCLOCK_SCHEDULE_H
#define POURCLOCK_SCHEDULE_H

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/piece.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

/* One pour. Plain figures are the nominal run on the printed clock; the early and late ones are the
 * 5 % and 95 % of the margin samples, NaN without margins. NaN where unknown or not applicable. */
typedef struct pc_layer {
    int number; /* from 1 in each part */
    int cups;   /* the batch is mixed in so many equal cups */
    int rounds; /* of a solid: mixed and poured, hands side by side, one after the other; else 1 */
    double depth_m, thickness_m, volume_m3;
    double poured_m3;  /* into the mold: volume_m3, or what a drained layer is swirled with */
    double fill_share; /* of a solid's volume once this pour is in; NaN of a hollow */
    double batch_kg, part_a_kg, part_b_kg; /* mixed in total, cup loss included */
    int method;                            /* a pc_coat_method; of a solid it says nothing */
    char resin[PC_NAME_SIZE];              /* of its own; "" where it is the piece's */
    double filler_kg;                      /* of the batch; 0: none */
    char filler[64];                       /* its name; "" where there is none */
    double cup_s;                          /* brushing out one cup; 0: not brushed */
    double least_pour_s; /* a pour takes no less, thick with filler or laid along an edge; else 0 */
    double mix_s, pour_s, pour_end_s; /* when mixing starts, pouring starts, pouring ends */
    double pour_by_s;                 /* when 0.8 of the pot life is over */
    double pot_life_s, cup_gel_s, cup_peak_K, cup_peak_s; /* from this batch's own mix, one cup */
    double fill_T_K, fill_conversion;
    double mu_set_Pa_s, set_s, first_gel_s, gel_s, stop_s, opens_s, closes_s;
    double closes_alone_s; /* bond, were nothing poured on the layer */
    double peak_K, peak_s;
    double turns_set_to_gel, unevenness, froude;
    double thin_m, mean_m, thick_m, lump_m3; /* wall map: 5 %, mean, 95 %; NaN where not run */
    double drain_s;                          /* drain method: when to pour out; NaN otherwise */
    double drain_mu_Pa_s;                    /* and how thick it is then */
    double surplus_kg;                       /* poured back */
    double drip_s;      /* from pouring out until the film has stopped running off, hole down */
    double back_good_s; /* how long what is poured back can go into another mold; 0: spent */
    double back_peak_K, back_peak_s;      /* and how hot it gets in its cup, how much later */
    double trim_kg;                       /* in sprue and vents, cut off; 0: none */
    double drains_least_m, drains_most_m; /* mean films draining can leave; NaN otherwise */
    bool locks;                           /* the turning's ratio leaves places never faced */
    char film_note[224]; /* why the film figures are not known; "" where they are */
    double pour_by_early_s, set_early_s, gel_early_s, gel_late_s, closes_early_s, peak_late_K;
    double peak_over_share; /* of the margins' samples that pass the limit of the peak */
} pc_layer;

typedef struct pc_part_plan {
    pc_part_kind kind;
    char name[96];
    double area_m2, wall_m, shell_volume_m3, filled_m3;
    double resin_kg; /* mixed, all layers */
    size_t layer_count;
    pc_layer **layer;
    char mold[96];      /* as its file names it; "": a mold of its own */
    int on_part;        /* the part poured before it in its mold, from 1; 0: none */
    double bond_by_s;   /* when that one's bond closes; NaN where there is none */
    unsigned waits_for; /* bit k: it is mixed once part k is out of its mold */
    double ready_s; /* at the mold before its first mix: wires, halves joined, mold turned over */
    double demold_s, demold_late_s; /* of this part; parts of one mold leave it together */
    char most_sensitive[64];        /* input that matters most for its times; "" without margins */
    bool cooled; /* each pour waits until the one before has cooled; else it follows its gel */
    bool feasible;
} pc_part_plan;

/* X(name, word in JSON) */
#define PC_STEP_TABLE(X)                                                                           \
    X(PC_STEP_SET, "set")                                                                          \
    X(PC_STEP_MIX, "mix")                                                                          \
    X(PC_STEP_POUR, "pour")                                                                        \
    X(PC_STEP_BRUSH, "brush")                                                                      \
    X(PC_STEP_TURN, "turn")                                                                        \
    X(PC_STEP_STOP, "stop")                                                                        \
    X(PC_STEP_WAIT, "wait")                                                                        \
    X(PC_STEP_DEMOLD, "demold")

typedef enum pc_step_kind {
#define PC_STEP_ENUM_(name, word) name,
    PC_STEP_TABLE(PC_STEP_ENUM_)
#undef PC_STEP_ENUM_
} pc_step_kind;

typedef struct pc_step {
    double at_s;
    pc_step_kind kind;
    size_t part;
    int layer; /* number of the layer, 0: none */
    char text[256];
} pc_step;

typedef struct pc_warning {
    char code[32]; /* "pot-life", "peak", "bond-window", "turns", "thin", "mix-limit", ... */
    bool breaks;   /* a limit is not met: not feasible */
    char text[320];
    char remedy[320];
    size_t part; /* at the bench: the layer it is about */
    int layer;   /* its number; 0: not of a layer */
} pc_warning;

/* Made by pc_schedule_make and freed by pc_schedule_free with all it points to. It can grow: its
 * structures are the library's, behind pointers in lists of pointers; members are only added at
 * their ends, and nobody else declares one, asks for its size or copies it. */
typedef struct pc_schedule {
    char piece[PC_NAME_SIZE];
    char resin[PC_NAME_SIZE];
    bool feasible;
    bool margins_on;
    double start_clock_s;
    double air_K, resin_K, mold_K;
    size_t part_count;
    pc_part_plan **part;
    double resin_kg;
    double demold_s, demold_late_s; /* last part */
    size_t step_count;
    pc_step **step; /* by time */
    size_t warning_count;
    pc_warning **warning;
    char most_sensitive[64]; /* input that matters most; "" without margins */
    char do_not_pour[160];   /* why it is not to be poured though its limits are met; mostly "" */
} pc_schedule;

/* Purpose:  plan a piece.
 * Given:    piece, checked by pc_piece_check.
 * Returned: *schedule, to be freed; PC_OK: where no schedule meets the limits too: then feasible
 *           is false, the schedule is the closest one, and warnings say what fails and what would
 *           make it work; PC_E_ARGUMENT, PC_E_MEMORY, PC_E_NUMERIC: *schedule is NULL. */
PC_API pc_status pc_schedule_make(const pc_piece *piece, pc_schedule **schedule, pc_errors *errors);

/* Purpose:  free a schedule; NULL is allowed. */
PC_API void pc_schedule_free(pc_schedule *schedule);

/* What a layer goes through: in its cup from the mix to the end of its pour, then on the wall.
 * Everything is NaN before its mix. */
typedef struct pc_history_point {
    double time_s;
    double T_K, hottest_K; /* mean and hottest point of the layer */
    double a;              /* mean degree of cure */
    double mu_Pa_s;        /* viscosity of the mean; infinity once gelled */
} pc_history_point;

/* Purpose:  run the printed schedule of a part again and sample every layer, for graphs.
 * Given:    piece and the schedule made of it; part, below schedule->part_count; n times from the
 *           first mix, in rising order.
 * Returned: point[layer * n + i] for each of the part's layers; PC_OK, PC_E_ARGUMENT,
 *           PC_E_MEMORY, PC_E_NUMERIC. After an error the points are not to be used. */
PC_API pc_status pc_schedule_history(const pc_piece *piece, const pc_schedule *schedule,
                                     size_t part, size_t n, const double *time_s,
                                     pc_history_point *point);

/* Word of a step kind, "mix"; "" outside the table. */
static inline const char *pc_step_word(pc_step_kind kind) {
    return pc_word(PC_WORDS_STEP, (int)kind);
}

/* The same as it is said to who does it: what is not turned is tested, not stopped, and a drained
 * layer is swirled and poured out. */
static inline const char *pc_step_said(const pc_schedule *plan, const pc_step *step) {
    const pc_part_plan *part = step->part < plan->part_count ? plan->part[step->part] : NULL;
    if (!part || step->layer < 1 || (size_t)step->layer > part->layer_count)
        return pc_step_word(step->kind);
    const pc_layer *layer = part->layer[step->layer - 1];
    bool hollow = part->kind == PC_HOLLOW;
    if (step->kind == PC_STEP_STOP && !(hollow && layer->method == PC_COAT_TURN))
        return "test";
    if (step->kind == PC_STEP_TURN && hollow && layer->method == PC_COAT_DRAIN)
        return step->at_s > layer->pour_end_s + 0.5 ? "drain" : "swirl";
    return pc_step_word(step->kind);
}

/* Purpose:  latest the next layer may be poured on a layer for it to bond: the tightest of the
 *           plan's window, a late caster's and the margins'.
 * Returned: s from the first mix; NaN where none is known. */
static inline double pc_bond_deadline(const pc_layer *layer) {
    return layer ? fmin(fmin(layer->closes_s, layer->closes_alone_s), layer->closes_early_s)
                 : (double)NAN;
}

/* Purpose:  by when all of a layer has to be in: the earliest of 0.8 of its pot life, the same in
 *           the worst 5 % of the margins' cases, and the bond window of the layer below. A window
 *           that has closed before the layer is poured binds nothing: that layer is scuffed first.
 * Given:    plan; layer: index from 0.
 *           Of the first layer, the one below is the last of the part before it in its mold.
 * Returned: s from the first mix; NaN where none is known, for NULL, and outside the plan. */
PC_API double pc_pour_deadline(const pc_part_plan *plan, size_t layer);

/* When a cup of a layer, from 1, is mixed, s from the first mix: cups of a brushed coat, of a joint
 * or of a solid one by one, or so many side by side as there are hands; those of a turned layer go
 * in together. NaN of a cup that there is not. */
static inline double pc_cup_mix(const pc_layer *layer, int cup) {
    int rounds = layer->rounds > 1 ? layer->rounds : 1;
    if (cup == 1)
        return layer->mix_s;
    if (cup < 1 || cup > layer->cups)
        return (double)NAN;
    int at_once = (layer->cups - 1) / rounds + 1;
    return layer->mix_s + (cup - 1) / at_once * (layer->pour_end_s - layer->mix_s) / rounds;
}

/* By when that cup has to be in, counted from its own mix: of the last cup, pc_pour_deadline. */
static inline double pc_cup_deadline(const pc_part_plan *plan, size_t layer, int cup) {
    const pc_layer *of = plan->layer[layer];
    double earlier_s = pc_cup_mix(of, of->cups > 1 ? of->cups : 1) - pc_cup_mix(of, cup);
    double by_s = fmin(of->pour_by_s, of->pour_by_early_s) - earlier_s; /* fmin skips NaN */
    return fmin(by_s, pc_pour_deadline(plan, layer));
}

/* The whole second, from the first mix, at which a step is printed: what must not be done too late
 * is cut, what must not be done too early goes up, as in the words of the steps. */
static inline double pc_step_second(const pc_step *step) {
    switch (step->kind) {
    case PC_STEP_STOP:
    case PC_STEP_DEMOLD:
    case PC_STEP_WAIT:
        return ceil(step->at_s - 1e-6);
    case PC_STEP_TURN:
        return floor(step->at_s + 1e-6);
    case PC_STEP_SET:
    case PC_STEP_MIX:
    case PC_STEP_POUR:
    case PC_STEP_BRUSH:
        break;
    }
    return step->at_s;
}

/* Whether a turned layer hangs on the wall from its pour: turning alone spreads nothing of it, and
 * the wall map, which is of turning alone, says nothing of how thick it lies. */
static inline bool pc_layer_hangs(const pc_layer *layer) {
    return isfinite(layer->thin_m) && isfinite(layer->thick_m) && layer->set_s <= layer->pour_end_s;
}

/* Whether what a layer, an index from 0, is laid on is out of reach: in a mold that is closed, and
 * was when the layer below was poured; a mold is closed only after its brushed coats. */
static inline bool pc_layer_is_shut(const pc_piece *piece, const pc_schedule *plan, size_t part,
                                    size_t layer) {
    const pc_part *of = &piece->part[part];
    pc_layer *const *list = plan->part[part]->layer;
    return layer > 0 && of->kind == PC_HOLLOW && !of->open &&
           list[layer]->method != PC_COAT_BRUSH && list[layer - 1]->method != PC_COAT_BRUSH;
}

/* What to do where a layer, an index from 0, is in only after the bond of what it is poured on has
 * closed (practice): begins small, without a full stop. Every output says it in these words. */
static inline const char *pc_missed_bond(const pc_piece *piece, const pc_schedule *plan,
                                         size_t part, size_t layer) {
    if (layer == 0 && piece->part[part].turn_over)
        return "turn the mold over and pour as soon as what stands in the sprue, or is left in the "
               "cup, is firm; in a clamped mold nothing is scuffed";
    if (!pc_layer_is_shut(piece, plan, part, layer))
        return "scuff it all over once it is hard (120 grit, dust mask), wipe it clean as the "
               "resin's maker says, then pour";
    if (plan->part[part]->cooled || piece->shop.least_layer_wait_s > 0.0) /* it waits on purpose */
        return "scuff where it can be reached";
    return "do not wait for this clock, pour once the film at the hole no longer moves under a "
           "gloved finger; scuff where it can be reached";
}

PC_END_DECLS

#endif
