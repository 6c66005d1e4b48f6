/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Draws valid pieces and plans each together with relatives of it of which it is known how their
 * plans must compare: written in other units, with its keys and sections in another order, planned
 * on one processor, beside another plan, under another locale, from another hour; with twice the
 * area, in a colder shop, with a thicker wall, with two pairs of hands. What must hold of every
 * plan by itself (sums, order of times) is judged first.
 *
 *     related_pieces [RUNS [SEED [FIRST]]]    without arguments: the sample that make check replays
 *
 * Run number i of a seed is the same piece whichever run is the FIRST. Prints what breaks a rule
 * with both pieces, and at the end "N runs, N findings, seed N". */
#include <locale.h>
#include <math.h>
#include <pthread.h>
#include <sched.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "drawn_piece.h"
#include "pourclock.h"

enum { SAMPLE = 20, SAMPLE_SEED = 20261130 };

/* ---- findings ---- */

static long findings, run_number;
static const char *rule;
static drawn ours, theirs;

static void show(const char *whose, const drawn *d) {
    char line[128];
    printf("  %s:\n", whose);
    FILE *file = write_piece("related-shown.ini", d) ? fopen("related-shown.ini", "r") : NULL;
    while (file && fgets(line, sizeof line, file))
        printf("    %s", line);
    if (file)
        fclose(file);
}

static void found(const char *format, ...) __attribute__((format(printf, 1, 2)));
static void found(const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    printf("FINDING run %ld, %s: ", run_number, rule);
    vprintf(format, arguments);
    printf("\n");
    va_end(arguments);
    show("the piece", &ours);
    show("its relative", &theirs);
    findings++;
    fflush(stdout);
}

#define MUST(what, ...)                                                                            \
    do {                                                                                           \
        if (!(what)) {                                                                             \
            found(__VA_ARGS__);                                                                    \
            return;                                                                                \
        }                                                                                          \
    } while (0)

/* ---- plans ---- */

static pc_status plan(const drawn *d, pc_schedule **schedule, char *why, size_t why_size) {
    static pc_piece piece; /* large */
    pc_errors errors = PC_ERRORS_INIT;
    *schedule = NULL;
    if (!write_piece("related.ini", d))
        exit(99);
    pc_status status = pc_piece_read("related.ini", &piece, &errors);
    if (status == PC_OK)
        status = pc_schedule_make(&piece, schedule, &errors);
    snprintf(why, why_size, "%.240s", errors.count ? errors.item[0].text : "");
    pc_errors_free(&errors);
    pc_piece_free(&piece);
    return status;
}

/* X(member of pc_layer that is a number of the plan) */
#define FIGURES(X)                                                                                 \
    X(thickness_m)                                                                                 \
    X(volume_m3)                                                                                   \
    X(poured_m3)                                                                                   \
    X(batch_kg)                                                                                    \
    X(part_a_kg)                                                                                   \
    X(part_b_kg)                                                                                   \
    X(mix_s) X(pour_s) X(pour_end_s) X(pour_by_s) X(pot_life_s) X(cup_gel_s) X(cup_peak_K)         \
        X(fill_T_K) X(fill_conversion) X(set_s) X(first_gel_s) X(gel_s) X(stop_s) X(opens_s)       \
            X(closes_s) X(closes_alone_s) X(peak_K) X(turns_set_to_gel) X(unevenness) X(thin_m)    \
                X(mean_m) X(drain_s) X(surplus_kg) X(pour_by_early_s) X(set_early_s)               \
                    X(gel_early_s) X(gel_late_s) X(closes_early_s) X(peak_late_K)                  \
                        X(peak_over_share)

static const struct {
    const char *name;
    size_t at;
} figures[] = {
#define FIGURE(member) {#member, offsetof(pc_layer, member)},
    FIGURES(FIGURE)
#undef FIGURE
};

static double figure_of(const pc_layer *layer, size_t i) {
    double value;
    memcpy(&value, (const char *)layer + figures[i].at, sizeof value);
    return value;
}

static bool same(double a, double b, double relative) {
    return (isnan(a) && isnan(b)) || a == b || fabs(a - b) <= relative * fmax(fabs(a), fabs(b));
}

static void parts_alike(const pc_part_plan *a, const pc_part_plan *b, double from_a, double from_b,
                        double relative) {
    MUST(a->layer_count == b->layer_count, "%s: %zu and %zu layers", a->name, a->layer_count,
         b->layer_count);
    MUST(a->feasible == b->feasible, "%s: feasible %d and %d", a->name, a->feasible, b->feasible);
    for (size_t i = 0; i < a->layer_count; i++)
        for (size_t k = 0; k < sizeof figures / sizeof *figures; k++) {
            double one = figure_of(a->layer[i], k), two = figure_of(b->layer[i], k);
            size_t n = strlen(figures[k].name);
            bool clock = n > 2 && strcmp(figures[k].name + n - 2, "_s") == 0 &&
                         strcmp(figures[k].name, "pot_life_s") != 0 &&
                         strcmp(figures[k].name, "cup_gel_s") != 0;
            MUST(same(clock ? one - from_a : one, clock ? two - from_b : two, relative),
                 "%s, layer %zu: %s is %.12g and %.12g", a->name, i + 1, figures[k].name, one, two);
        }
    MUST(same(a->demold_s - from_a, b->demold_s - from_b, relative), "%s: demold %.12g and %.12g",
         a->name, a->demold_s, b->demold_s);
    MUST(same(a->demold_late_s - from_a, b->demold_late_s - from_b, relative),
         "%s: late demold %.12g and %.12g", a->name, a->demold_late_s, b->demold_late_s);
}

static void plans_alike(const pc_schedule *a, const pc_schedule *b, double relative) {
    MUST(a->part_count == b->part_count, "%zu and %zu parts", a->part_count, b->part_count);
    MUST(a->feasible == b->feasible, "feasible %d and %d", a->feasible, b->feasible);
    MUST(a->warning_count == b->warning_count, "%zu and %zu warnings: %s", a->warning_count,
         b->warning_count,
         a->warning_count > b->warning_count ? a->warning[b->warning_count]->text
                                             : b->warning[a->warning_count]->text);
    MUST(a->step_count == b->step_count, "%zu and %zu steps", a->step_count, b->step_count);
    for (size_t p = 0; p < a->part_count; p++)
        parts_alike(a->part[p], b->part[p], 0, 0, relative);
}

/* ---- what holds of every plan ---- */

static bool rising(double a, double b) {
    return !(a > b * (1.0 + 1e-9) + 1e-6); /* true where one is not known */
}

static bool is_said(const pc_schedule *s, const char *code) {
    for (size_t i = 0; i < s->warning_count; i++)
        if (strcmp(s->warning[i]->code, code) == 0)
            return true;
    return false;
}

static void layer_sound(const pc_schedule *s, const pc_part_plan *part, size_t i) {
    const pc_layer *l = part->layer[i];
    MUST(l->batch_kg > 0 && l->thickness_m > 0 && l->volume_m3 > 0, "layer %zu: nothing", i + 1);
    MUST(same(l->part_a_kg + l->part_b_kg, l->batch_kg, 1e-9), "A and B are not the batch");
    MUST(rising(l->mix_s, l->pour_s) && rising(l->pour_s, l->pour_end_s), "mixed after its pour");
    MUST(rising(l->set_s, l->gel_s) && rising(l->first_gel_s, l->gel_s), "gel before it is set");
    MUST(rising(l->gel_s, l->stop_s), "stop %g before the gel %g", l->stop_s, l->gel_s);
    MUST(rising(l->pour_by_early_s, l->pour_by_s) && rising(l->set_early_s, l->set_s) &&
             rising(l->gel_early_s, l->gel_s) && rising(l->gel_s, l->gel_late_s) &&
             rising(l->closes_early_s, l->closes_s) && rising(l->peak_K, l->peak_late_K),
         "%s, layer %zu: early, nominal and late are not in order", part->name, i + 1);
    MUST(!part->feasible || rising(l->pour_end_s, pc_pour_deadline(part, i)) ||
             is_said(s, "pot-tight") || is_said(s, "bond-window"),
         "%s, layer %zu: all in at %g, by %g, and nothing is said", part->name, i + 1,
         l->pour_end_s, pc_pour_deadline(part, i));
    MUST(s->margins_on == !isnan(l->gel_late_s), "margins are on and there are none");
    MUST(rising(l->gel_s, part->demold_s), "out of the mold before it has gelled");
    if (i == 0)
        return;
    MUST(rising(part->layer[i - 1]->gel_s, l->pour_s), "%s, layer %zu: on one not gelled",
         part->name, i + 1);
    MUST(rising(l->pour_end_s, pc_bond_deadline(part->layer[i - 1])) || is_said(s, "bond-window"),
         "%s, layer %zu: in at %g, bonds until %g, and nothing is said", part->name, i + 1,
         l->pour_end_s, pc_bond_deadline(part->layer[i - 1]));
}

static void part_sound(const pc_schedule *s, const pc_part_plan *part) {
    double thickness = 0, volume = 0, batch = 0;
    for (size_t i = 0; i < part->layer_count; i++) {
        thickness += part->layer[i]->thickness_m;
        volume += part->layer[i]->volume_m3;
        batch += part->layer[i]->batch_kg;
        layer_sound(s, part, i);
    }
    MUST(part->kind != PC_HOLLOW || same(thickness, part->wall_m, 1e-9),
         "layers are %.12g together, the wall %.12g", thickness, part->wall_m);
    MUST(same(volume, part->shell_volume_m3, 1e-9), "layers fill %.12g together, the part %.12g",
         volume, part->shell_volume_m3);
    MUST(same(batch, part->resin_kg, 1e-9), "batches %.12g together, the part %.12g", batch,
         part->resin_kg);
    MUST(rising(part->demold_s, part->demold_late_s), "demold %g, late %g", part->demold_s,
         part->demold_late_s);
}

static void plan_sound(const pc_schedule *s) {
    double resin = 0, demold = 0;
    bool breaks = false, parts_hold = true;
    for (size_t p = 0; p < s->part_count; p++) {
        part_sound(s, s->part[p]);
        resin += s->part[p]->resin_kg;
        demold = fmax(demold, s->part[p]->demold_s);
        parts_hold = parts_hold && s->part[p]->feasible;
    }
    MUST(same(resin, s->resin_kg, 1e-9), "parts take %.12g, the piece %.12g", resin, s->resin_kg);
    MUST(same(demold, s->demold_s, 1e-12), "parts are out at %g, the piece at %g", demold,
         s->demold_s);
    for (size_t i = 0; i < s->warning_count; i++) {
        breaks = breaks || s->warning[i]->breaks;
        MUST(!s->warning[i]->breaks || s->warning[i]->text[0], "a limit is missed without a word");
    }
    MUST(s->feasible == !breaks, "feasible %d, and a limit that breaks: %d", s->feasible, breaks);
    MUST(!s->feasible || parts_hold, "feasible with a part that is not");
    for (size_t i = 0; i < s->step_count; i++) {
        MUST(isfinite(s->step[i]->at_s), "step %zu is at no time", i);
        MUST(i == 0 || s->step[i]->at_s >= s->step[i - 1]->at_s, "step %zu before the one before",
             i);
    }
}

/* ---- relatives ---- */

/* d is changed; returned: how the two plans must compare. */
typedef void (*comparison)(const pc_schedule *ours_, const pc_schedule *other);

static void exactly(const pc_schedule *a, const pc_schedule *b) {
    plans_alike(a, b, 0.0);
}

/* Another rounding of the inputs: the solvers' tolerance decides. */
static void nearly(const pc_schedule *a, const pc_schedule *b) {
    plans_alike(a, b, 1e-7);
}

static comparison in_units(drawn *d) {
    d->us = !d->us;
    return nearly;
}

static comparison by_foil(drawn *d) {
    d->foil = true;
    return nearly;
}

static comparison in_order(drawn *d) {
    d->shuffle = draw() | 1;
    return exactly;
}

static comparison by_table(drawn *d) {
    d->table = true;
    return exactly;
}

static comparison at_hour(drawn *d) {
    d->start_s = 60.0 * (double)pick(720);
    return exactly;
}

/* Layer by layer the same work; where it is not known when to drain one, its slug is left out. */
static bool comparable(const pc_part_plan *a, const pc_part_plan *b) {
    bool alike = a->layer_count == b->layer_count && a->cooled == b->cooled;
    for (size_t i = 0; alike && i < a->layer_count; i++)
        alike = same(a->layer[i]->thickness_m, b->layer[i]->thickness_m, 1e-6) &&
                a->layer[i]->cups == b->layer[i]->cups &&
                a->layer[i]->rounds == b->layer[i]->rounds &&
                isnan(a->layer[i]->drain_s) == isnan(b->layer[i]->drain_s);
    return alike;
}

static const double COOL_K = 273.15 + 40.0;

/* The other shop is colder. */
static void later(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_part_plan *x = a->part[p], *y = b->part[p];
        if (!comparable(x, y))
            continue;
        bool hot = false;
        for (size_t i = 0; i < x->layer_count; i++) {
            const pc_layer *w = x->layer[i], *c = y->layer[i];
            MUST(rising(w->pot_life_s, c->pot_life_s) && rising(w->cup_gel_s, c->cup_gel_s),
                 "%s, layer %zu: pot life %g, colder %g", x->name, i + 1, w->pot_life_s,
                 c->pot_life_s);
            MUST(rising(w->gel_s - w->mix_s, c->gel_s - c->mix_s),
                 "%s, layer %zu: gels %g s after its mix, colder %g", x->name, i + 1,
                 w->gel_s - w->mix_s, c->gel_s - c->mix_s);
            /* what gels in its cups has less heat left for the wall */
            MUST(!x->feasible || rising(c->peak_K, w->peak_K), "%s, layer %zu: peak %g, colder %g",
                 x->name, i + 1, w->peak_K, c->peak_K);
            MUST(rising(c->cup_peak_K, w->cup_peak_K), "%s: cup's peak %g, colder %g", x->name,
                 w->cup_peak_K, c->cup_peak_K);
            double warm_s = w->mix_s, cold_s = c->mix_s;
            MUST(rising(w->gel_late_s - warm_s, c->gel_late_s - cold_s),
                 "%s, layer %zu: late gel %g, colder %g", x->name, i + 1, w->gel_late_s - warm_s,
                 c->gel_late_s - cold_s);
            MUST(rising(w->opens_s - warm_s, c->opens_s - cold_s) &&
                     rising(w->closes_alone_s - warm_s, c->closes_alone_s - cold_s),
                 "%s, layer %zu: bond from %g until %g, colder from %g until %g", x->name, i + 1,
                 w->opens_s - warm_s, w->closes_alone_s - warm_s, c->opens_s - cold_s,
                 c->closes_alone_s - cold_s);
            hot = hot || w->peak_K > COOL_K;
        }
        /* What has to cool before it leaves the mold takes longer from hotter. */
        double from_s = x->layer[0]->mix_s, cold_from_s = y->layer[0]->mix_s;
        MUST(hot || rising(x->demold_s - from_s, y->demold_s - cold_from_s),
             "%s: demold after %g s, colder %g", x->name, x->demold_s - from_s,
             y->demold_s - cold_from_s);
    }
}

static comparison colder(drawn *d) {
    double by = between(0.5, 6.0);
    d->air_C -= by;
    d->resin_C -= by;
    d->mold_C -= by;
    return later;
}

/* The other has twice the area. */
static void twice(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_part_plan *x = a->part[p], *y = b->part[p];
        double times = x->kind == PC_HOLLOW ? 2.0 : 1.0;
        MUST(same(y->shell_volume_m3, times * x->shell_volume_m3, 1e-9),
             "%s: shell %.12g, of twice the area %.12g", x->name, x->shell_volume_m3,
             y->shell_volume_m3);
        bool alike = x->layer_count == y->layer_count;
        for (size_t i = 0; alike && i < x->layer_count; i++)
            alike = same(x->layer[i]->poured_m3, y->layer[i]->poured_m3 / times, 1e-3);
        if (!alike)
            continue;
        MUST(same(y->resin_kg, times * x->resin_kg, 1e-9), "%s: %.12g kg, of twice the area %.12g",
             x->name, x->resin_kg, y->resin_kg);
        for (size_t i = 0; i < x->layer_count; i++) {
            const pc_layer *one = x->layer[i], *two = y->layer[i];
            MUST(two->cups >= one->cups, "%d cups, of twice the area %d", one->cups, two->cups);
            /* of resin colder than the shop the smaller cup warms sooner */
            if (two->cups == one->cups && !(ours.resin_C < ours.air_C))
                MUST(!(two->pot_life_s > one->pot_life_s * (1 + 1e-9)) &&
                         !(two->cup_peak_K < one->cup_peak_K - 1e-6),
                     "pot life %g, of a larger cup %g", one->pot_life_s, two->pot_life_s);
        }
    }
}

static comparison doubled(drawn *d) {
    d->area_m2 *= 2.0;
    return twice;
}

static void more(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count; p++)
        if (a->part[p]->kind == PC_HOLLOW)
            MUST(b->part[p]->shell_volume_m3 > a->part[p]->shell_volume_m3 &&
                     (a->part[p]->layer_count != b->part[p]->layer_count ||
                      b->part[p]->resin_kg > a->part[p]->resin_kg ||
                      !isnan(a->part[p]->layer[0]->drain_s)),
                 "%g kg, of a thicker wall %g", a->part[p]->resin_kg, b->part[p]->resin_kg);
}

static comparison thicker(drawn *d) {
    d->wall_m *= between(1.05, 1.5);
    return more;
}

/* The other is mixed and poured by two: where one can do it in time, two can. */
static void no_worse(const pc_schedule *a, const pc_schedule *b) {
    MUST(!a->feasible || b->feasible, "feasible with one pair of hands, not with two");
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_part_plan *x = a->part[p], *y = b->part[p];
        if (!comparable(x, y))
            continue;
        for (size_t i = 0; i < x->layer_count; i++) {
            const pc_layer *one = x->layer[i], *two = y->layer[i];
            MUST(rising(two->pour_end_s - two->mix_s, one->pour_end_s - one->mix_s),
                 "layer %zu: in %g s after its mix, by two %g", i + 1, one->pour_end_s - one->mix_s,
                 two->pour_end_s - two->mix_s);
        }
    }
}

static comparison by_two(drawn *d) {
    d->hands = 2;
    return no_worse;
}

/* The other's mold is warmer. */
static void sooner(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_layer *x = a->part[p]->layer[0], *y = b->part[p]->layer[0];
        if (!comparable(a->part[p], b->part[p]))
            continue;
        MUST(same(x->pot_life_s, y->pot_life_s, 0), "pot life %g, with a warm mold %g",
             x->pot_life_s, y->pot_life_s);
        MUST(rising(y->gel_s - y->mix_s, x->gel_s - x->mix_s), "gels %g after its mix, warmer %g",
             x->gel_s - x->mix_s, y->gel_s - y->mix_s);
        MUST(rising(y->gel_late_s - y->mix_s, x->gel_late_s - x->mix_s),
             "gels at latest %g after its mix, warmer %g", x->gel_late_s - x->mix_s,
             y->gel_late_s - y->mix_s);
    }
}

static comparison with_warm_mold(drawn *d) {
    d->mold_C = (isnan(d->mold_C) ? d->air_C : d->mold_C) + between(1.0, 8.0);
    return sooner;
}

/* The other has no margins: what the first layer does hangs on nothing that was waited for. */
static void first_layer_alike(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count && p < 1; p++) {
        const pc_layer *x = a->part[p]->layer[0], *y = b->part[p]->layer[0];
        if (!comparable(a->part[p], b->part[p]))
            continue;
        MUST(same(x->pot_life_s, y->pot_life_s, 0) && same(x->gel_s, y->gel_s, 0) &&
                 same(x->set_s, y->set_s, 0),
             "gels at %.12g, without margins at %.12g", x->gel_s, y->gel_s);
        MUST(rising(b->part[p]->demold_s, a->part[p]->demold_s),
             "demold %.12g, without margins %.12g", a->part[p]->demold_s, b->part[p]->demold_s);
    }
}

static comparison without_margins(drawn *d) {
    d->samples = 0;
    return first_layer_alike;
}

/* Of two parts each is planned by itself. */
static void other_way_round(const pc_schedule *a, const pc_schedule *b) {
    MUST(a->part_count == b->part_count, "%zu and %zu parts", a->part_count, b->part_count);
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_part_plan *x = a->part[p], *y = b->part[a->part_count - 1 - p];
        MUST(x->layer_count == y->layer_count, "%s: %zu layers, and %zu", x->name, x->layer_count,
             y->layer_count);
        parts_alike(x, y, x->layer[0]->mix_s, y->layer[0]->mix_s, 1e-3);
    }
}

static comparison turned_round(drawn *d) {
    d->solid_first = !d->solid_first;
    return other_way_round;
}

/* ---- the same piece, planned in other surroundings ---- */

static comparison on_one_processor(drawn *d) {
    (void)d;
    cpu_set_t one;
    CPU_ZERO(&one);
    for (size_t i = 0; i < CPU_SETSIZE; i++) {
        cpu_set_t all;
        if (sched_getaffinity(0, sizeof all, &all) == 0 && CPU_ISSET(i, &all)) {
            CPU_SET(i, &one);
            sched_setaffinity(0, sizeof one, &one);
            break;
        }
    }
    return exactly;
}

static comparison in_locale(drawn *d) {
    (void)d;
    const char *name = getenv("POURCLOCK_COMMA_LOCALE");
    setlocale(LC_ALL, name ? name : "C.UTF-8");
    return exactly;
}

/* Plans an order of its own over and over until told to end. */
static atomic_bool beside_ends;
static void *plan_beside(void *unused) {
    static pc_piece piece;
    pc_piece_defaults(&piece);
    pc_piece_set(&piece, "hollow", "area", "90 cm2", NULL);
    pc_piece_set(&piece, "hollow", "wall", "3 mm", NULL);
    pc_piece_set(&piece, "piece", "resin", "slow-urethane", NULL);
    pc_piece_set(&piece, "margins", "on", "no", NULL);
    while (!beside_ends) {
        pc_schedule *s = NULL;
        if (pc_schedule_make(&piece, &s, NULL) != PC_OK)
            break;
        pc_schedule_free(s);
    }
    pc_piece_free(&piece);
    return unused;
}

static pthread_t beside;
static bool beside_runs;
static comparison beside_another(drawn *d) {
    (void)d;
    beside_ends = false;
    beside_runs = pthread_create(&beside, NULL, plan_beside, NULL) == 0;
    return exactly;
}

static void as_before(const cpu_set_t *processors) {
    if (beside_runs) {
        beside_ends = true;
        pthread_join(beside, NULL);
        beside_runs = false;
    }
    sched_setaffinity(0, sizeof *processors, processors);
    setlocale(LC_ALL, "C");
}

static const struct {
    const char *name;
    comparison (*relative)(drawn *d);
    bool two_parts, margins, warm, hollow; /* only of pieces that have it */
} relatives[] = {
    {"in other units", in_units, .two_parts = false},
    {"keys in another order", in_order, .two_parts = false},
    {"area by foil", by_foil, .hollow = true},
    {"a day's table of one temperature", by_table, .two_parts = false},
    {"from another hour", at_hour, .two_parts = false},
    {"in a colder shop", colder, .warm = true},
    {"in a colder shop", colder, .warm = true},
    {"twice the area", doubled, .hollow = true},
    {"a thicker wall", thicker, .hollow = true},
    {"by two", by_two, .two_parts = false},
    {"with a warmer mold", with_warm_mold, .two_parts = false},
    {"without margins", without_margins, .margins = true},
    {"parts in another order", turned_round, .two_parts = true},
    {"on one processor", on_one_processor, .two_parts = false},
    {"under another locale", in_locale, .two_parts = false},
    {"beside another plan", beside_another, .two_parts = false},
};

static bool applies(size_t k) {
    return (!relatives[k].two_parts || (ours.solid && ours.hollow)) &&
           (!relatives[k].margins || ours.samples > 0) && (!relatives[k].hollow || ours.hollow) &&
           (!relatives[k].warm || (ours.air_C > 18 && !(ours.resin_C < 18) && !(ours.mold_C < 18)));
}

/* One piece and one relative. *refused: the piece is none. */
static bool one_run(const cpu_set_t *processors) {
    static pc_schedule *own, *other;
    char why[256], why_other[256];
    rule = "by itself";
    ours = theirs = any_piece();
    size_t k;
    do
        k = pick(sizeof relatives / sizeof *relatives);
    while (!applies(k));
    pc_status status = plan(&ours, &own, why, sizeof why);
    if (status == PC_OK)
        plan_sound(own);
    if (status == PC_E_NUMERIC || status == PC_E_ARGUMENT)
        found("%s: %s", pc_status_text(status), why);
    rule = relatives[k].name;
    comparison compare = relatives[k].relative(&theirs);
    pc_status status_other = plan(&theirs, &other, why_other, sizeof why_other);
    as_before(processors);
    if (status == PC_OK && status_other == PC_OK)
        compare(own, other);
    bool same_piece = compare == exactly || compare == nearly;
    if (same_piece && status != status_other)
        found("%s (%s) and %s (%s)", pc_status_text(status), why, pc_status_text(status_other),
              why_other);
    pc_schedule_free(own);
    pc_schedule_free(other);
    return status == PC_OK;
}

int main(int argc, char **argv) {
    long runs = argc > 1 ? atol(argv[1]) : SAMPLE, first = argc > 3 ? atol(argv[3]) : 0;
    unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : SAMPLE_SEED;
    char folder[] = "/tmp/pourclock-related-XXXXXX";
    long planned = 0;
    cpu_set_t processors;
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    if (!mkdtemp(folder) || chdir(folder) != 0 ||
        sched_getaffinity(0, sizeof processors, &processors) != 0)
        return 99;
    for (run_number = first; run_number < first + runs; run_number++) {
        draw_from((uint64_t)seed * 1000003u + (uint64_t)run_number);
        planned += one_run(&processors);
    }
    unlink("related.ini");
    unlink("related-shown.ini");
    unlink("related-day.csv");
    rmdir(folder);
    printf("%ld runs, %ld findings, seed %lu (planned: %ld)\n", runs, findings, seed, planned);
    /* A sample of which little is planned searches nothing. */
    return findings == 0 && planned * 10 >= runs * 9 ? EXIT_SUCCESS : EXIT_FAILURE;
}
