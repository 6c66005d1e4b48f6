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
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "pourclock.h"

enum { SAMPLE = 24, SAMPLE_SEED = 20261130, LINES_MOST = 16 };

static uint64_t state;

/* splitmix64 (Steele, Lea, Flood 2014), from memory. */
static uint64_t draw(void) {
    uint64_t z = state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return z ^ z >> 31;
}

static size_t pick(size_t below) {
    return (size_t)(draw() % below);
}

static double between(double low, double high) {
    return low + (high - low) * (double)(draw() >> 11) / 9007199254740992.0;
}

static double between_log(double low, double high) {
    return exp(between(log(low), log(high)));
}

/* ---- a piece and how it is written ---- */

typedef struct drawn {
    const char *resin, *method, *form, *shell_kind, *rubber_kind;
    double area_m2, wall_m;
    int layers; /* 0: not asked for */
    bool solid, hollow;
    double solid_m3, solid_m2;
    double rubber_m, shell_m;
    double outer_rpm, inner_rpm;
    double air_C, resin_C, mold_C; /* NaN: not stated */
    double mix_s, pour_s, largest_kg, cup_loss, start_s;
    int hands, samples; /* samples 0: no margins */
    double limit_C;
    /* how it is written */
    bool us, foil, table, solid_first;
    uint64_t shuffle; /* 0: as drawn */
} drawn;

static const char *const resins[] = {"fast-urethane", "slow-urethane", "casting-epoxy",
                                     "polyester"};

static drawn any_piece(void) {
    drawn d = {.form = pick(2) ? "slab" : "cylinder",
               .resin = resins[pick(4)],
               .method = pick(4)   ? "machine"
                         : pick(2) ? "hand"
                                   : "drain",
               .shell_kind = pick(2) ? "plaster" : "resin",
               .rubber_kind = pick(2) ? "silicone" : "urethane",
               .area_m2 = between_log(0.005, 2.0),
               .wall_m = between_log(0.0015, 0.009),
               .layers = pick(2) ? (int)pick(5) : 0,
               .hollow = true,
               .solid = pick(4) == 0,
               .solid_m3 = between_log(1e-5, 1e-3),
               .rubber_m = between_log(0.003, 0.03),
               .shell_m = pick(4) ? between_log(0.003, 0.03) : 0.0,
               .outer_rpm = between_log(2.0, 20.0),
               .air_C = between(12.0, 32.0),
               .resin_C = pick(3) ? NAN : between(15.0, 30.0),
               .mold_C = pick(3) ? NAN : between(15.0, 40.0),
               .mix_s = between(30.0, 180.0),
               .pour_s = between(10.0, 120.0),
               .largest_kg = pick(2) ? NAN : between_log(0.1, 5.0),
               .cup_loss = between(0.0, 0.1),
               .start_s = 60.0 * (double)pick(720),
               .hands = 1 + (int)pick(2),
               .limit_C = pick(2) ? NAN : between(60.0, 150.0),
               .samples = pick(3) == 0 ? 16 : 0};
    d.solid_m2 = pick(2) ? NAN : 6.0 * pow(d.solid_m3, 2.0 / 3.0) * between(1.0, 2.0);
    d.inner_rpm = d.outer_rpm * between(0.15, 0.9);
    if (d.solid && pick(3) == 0)
        d.hollow = false;
    return d;
}

typedef struct section {
    const char *name;
    size_t count;
    char line[LINES_MOST][96];
} section;

static void put(section *s, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void put(section *s, const char *format, ...) {
    va_list arguments;
    va_start(arguments, format);
    if (s->count < LINES_MOST)
        vsnprintf(s->line[s->count++], sizeof s->line[0], format, arguments);
    va_end(arguments);
}

static void put_length(section *s, const char *key, double m, bool us) {
    put(s, us ? "%s = %.17g in" : "%s = %.17g mm", key, us ? m / 0.0254 : m * 1e3);
}

static void put_temperature(section *s, const char *key, double C, bool us) {
    put(s, us ? "%s = %.17g F" : "%s = %.17g C", key, us ? C * 1.8 + 32.0 : C);
}

static void write_parts(const drawn *d, section *hollow, section *solid) {
    if (d->foil) {
        put(hollow, "foil_mass = %.17g g", d->area_m2 * 20e-6 * 2700.0 * 1e3);
        put(hollow, "foil_thickness = 0.02 mm");
        put(hollow, "foil_metal = aluminum");
    } else {
        put(hollow, d->us ? "area = %.17g sq in" : "area = %.17g cm2",
            d->us ? d->area_m2 / (0.0254 * 0.0254) : d->area_m2 * 1e4);
    }
    put_length(hollow, "wall", d->wall_m, d->us);
    if (d->layers > 0)
        put(hollow, "layers = %d", d->layers);
    put(solid, d->us ? "volume = %.17g in3" : "volume = %.17g cm3",
        d->us ? d->solid_m3 / (0.0254 * 0.0254 * 0.0254) : d->solid_m3 * 1e6);
    if (!isnan(d->solid_m2))
        put(solid, "area = %.17g cm2", d->solid_m2 * 1e4);
    put(solid, "form = %s", d->form);
}

static void write_shop(const drawn *d, section *s) {
    if (d->table)
        put(s, "temperatures = related-day.csv");
    else
        put_temperature(s, "temperature", d->air_C, d->us);
    if (!isnan(d->resin_C))
        put_temperature(s, "resin_temperature", d->resin_C, d->us);
    if (!isnan(d->mold_C))
        put_temperature(s, "mold_temperature", d->mold_C, d->us);
    put(s, d->us ? "mix_time = %.17g min" : "mix_time = %.17g s", d->mix_s / (d->us ? 60 : 1));
    put(s, "pour_time = %.17g s", d->pour_s);
    if (!isnan(d->largest_kg))
        put(s, d->us ? "largest_mix = %.17g lb" : "largest_mix = %.17g g",
            d->us ? d->largest_kg / 0.45359237 : d->largest_kg * 1e3);
    put(s, "cup_loss = %.17g %%", d->cup_loss * 100.0);
    put(s, "hands = %d", d->hands);
    put(s, "start = %02d:%02d", (int)(d->start_s / 3600.0), (int)(d->start_s / 60.0) % 60);
}

static size_t write_sections(const drawn *d, section *s) {
    size_t n = 0;
    s[n].name = "piece";
    put(&s[n], "name = Otter %d", d->layers);
    put(&s[n++], "resin = %s", d->resin);
    section hollow = {.name = "hollow body"}, solid = {.name = "solid plinth"};
    write_parts(d, &hollow, &solid);
    if (d->solid && d->solid_first)
        s[n++] = solid;
    if (d->hollow)
        s[n++] = hollow;
    if (d->solid && !d->solid_first)
        s[n++] = solid;
    s[n].name = "mold";
    put_length(&s[n], "rubber", d->rubber_m, d->us);
    put(&s[n], "rubber_kind = %s", d->rubber_kind);
    if (d->shell_m > 0)
        put_length(&s[n], "shell", d->shell_m, d->us);
    put(&s[n], "shell_kind = %s", d->shell_m > 0 ? d->shell_kind : "none");
    if (!isnan(d->limit_C))
        put_temperature(&s[n], "limit", d->limit_C, d->us);
    s[++n].name = "turning";
    put(&s[n], "method = %s", d->method);
    put(&s[n], "outer = %.17g rpm", d->outer_rpm);
    put(&s[n], "inner = %.17g rpm", d->inner_rpm);
    s[++n].name = "shop";
    write_shop(d, &s[n]);
    s[++n].name = "margins";
    put(&s[n], "on = %s", d->samples > 0 ? "yes" : "no");
    if (d->samples > 0)
        put(&s[n], "samples = %d", d->samples);
    return n + 1;
}

static void shuffle_lines(section *s) {
    for (size_t i = s->count; i > 1; i--) {
        char kept[sizeof s->line[0]];
        size_t j = pick(i);
        memcpy(kept, s->line[i - 1], sizeof kept);
        memmove(s->line[i - 1], s->line[j], sizeof kept);
        memcpy(s->line[j], kept, sizeof kept);
    }
}

/* Sections in another order; the parts keep theirs, which is the order they are poured in. */
static void shuffle_sections(section *s, size_t n) {
    for (size_t i = 0; i < n; i++)
        shuffle_lines(&s[i]);
    for (size_t i = n; i > 1; i--) {
        section kept = s[i - 1];
        size_t j = pick(i);
        bool parts = strchr(s[j].name, ' ') && strchr(kept.name, ' ');
        if (!parts) {
            s[i - 1] = s[j];
            s[j] = kept;
        }
    }
}

static bool write_piece(const char *path, const drawn *d) {
    static section s[8];
    memset(s, 0, sizeof s);
    size_t n = write_sections(d, s);
    if (d->shuffle != 0) {
        uint64_t before = state;
        state = d->shuffle;
        shuffle_sections(s, n);
        state = before;
    }
    FILE *file = fopen(path, "w");
    for (size_t i = 0; file && i < n; i++) {
        fprintf(file, "[%s]\n", s[i].name);
        for (size_t k = 0; k < s[i].count; k++)
            fprintf(file, "%s\n", s[i].line[k]);
    }
    bool written = file && fclose(file) == 0;
    if (d->table) {
        file = fopen("related-day.csv", "w");
        for (int hour = 0; file && hour < 24; hour += 6)
            fprintf(file, "%s%02d:00,%.17g C\n", hour ? "" : "clock,temperature\n", hour, d->air_C);
        written = written && file && fclose(file) == 0;
    }
    return written;
}

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

static pc_status plan(const drawn *d, pc_schedule *schedule, char *why, size_t why_size) {
    static pc_piece piece; /* large */
    pc_errors errors = PC_ERRORS_INIT;
    memset(schedule, 0, sizeof *schedule);
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
    X(batch_kg) X(part_a_kg) X(part_b_kg) X(mix_s) X(pour_s) X(pour_end_s) X(pour_by_s)            \
        X(pot_life_s) X(cup_gel_s) X(cup_peak_K) X(fill_T_K) X(fill_conversion) X(set_s)           \
            X(first_gel_s) X(gel_s) X(stop_s) X(opens_s) X(closes_s) X(closes_alone_s) X(peak_K)   \
                X(turns_set_to_gel) X(unevenness) X(thin_m) X(mean_m) X(drain_s) X(surplus_kg)     \
                    X(pour_by_early_s) X(set_early_s) X(gel_early_s) X(gel_late_s)                 \
                        X(closes_early_s) X(peak_late_K) X(peak_over_share)

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
            double one = figure_of(&a->layer[i], k), two = figure_of(&b->layer[i], k);
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
         a->warning_count > b->warning_count ? a->warning[b->warning_count].text
                                             : b->warning[a->warning_count].text);
    MUST(a->step_count == b->step_count, "%zu and %zu steps", a->step_count, b->step_count);
    for (size_t p = 0; p < a->part_count; p++)
        parts_alike(&a->part[p], &b->part[p], 0, 0, relative);
}

/* ---- what holds of every plan ---- */

static bool rising(double a, double b) {
    return !(a > b * (1.0 + 1e-9) + 1e-6); /* true where one is not known */
}

static bool is_said(const pc_schedule *s, const char *code) {
    for (size_t i = 0; i < s->warning_count; i++)
        if (strcmp(s->warning[i].code, code) == 0)
            return true;
    return false;
}

static void layer_sound(const pc_schedule *s, const pc_part_plan *part, size_t i) {
    const pc_layer *l = &part->layer[i];
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
    MUST(rising(part->layer[i - 1].gel_s, l->pour_s), "%s, layer %zu: on one not gelled",
         part->name, i + 1);
    MUST(rising(l->pour_end_s, pc_bond_deadline(&part->layer[i - 1])) || is_said(s, "bond-window"),
         "%s, layer %zu: in at %g, bonds until %g, and nothing is said", part->name, i + 1,
         l->pour_end_s, pc_bond_deadline(&part->layer[i - 1]));
}

static void part_sound(const pc_schedule *s, const pc_part_plan *part) {
    double thickness = 0, volume = 0, batch = 0;
    for (size_t i = 0; i < part->layer_count; i++) {
        thickness += part->layer[i].thickness_m;
        volume += part->layer[i].volume_m3;
        batch += part->layer[i].batch_kg;
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
        part_sound(s, &s->part[p]);
        resin += s->part[p].resin_kg;
        demold = fmax(demold, s->part[p].demold_s);
        parts_hold = parts_hold && s->part[p].feasible;
    }
    MUST(same(resin, s->resin_kg, 1e-9), "parts take %.12g, the piece %.12g", resin, s->resin_kg);
    MUST(same(demold, s->demold_s, 1e-12), "parts are out at %g, the piece at %g", demold,
         s->demold_s);
    for (size_t i = 0; i < s->warning_count; i++) {
        breaks = breaks || s->warning[i].breaks;
        MUST(!s->warning[i].breaks || s->warning[i].text[0], "a limit is missed without a word");
    }
    MUST(s->feasible == !breaks, "feasible %d, and a limit that breaks: %d", s->feasible, breaks);
    MUST(!s->feasible || parts_hold, "feasible with a part that is not");
    for (size_t i = 0; i < s->step_count; i++) {
        MUST(isfinite(s->step[i].at_s), "step %zu is at no time", i);
        MUST(i == 0 || s->step[i].at_s >= s->step[i - 1].at_s, "step %zu before the one before", i);
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

static bool comparable(const pc_part_plan *a, const pc_part_plan *b) {
    bool alike = a->layer_count == b->layer_count && a->cooled == b->cooled;
    for (size_t i = 0; alike && i < a->layer_count; i++)
        alike = same(a->layer[i].thickness_m, b->layer[i].thickness_m, 1e-6) &&
                a->layer[i].cups == b->layer[i].cups && a->layer[i].rounds == b->layer[i].rounds;
    return alike;
}

static const double COOL_K = 273.15 + 40.0;

/* The other shop is colder. */
static void later(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count; p++) {
        const pc_part_plan *x = &a->part[p], *y = &b->part[p];
        if (!comparable(x, y))
            continue;
        bool hot = false;
        for (size_t i = 0; i < x->layer_count; i++) {
            const pc_layer *w = &x->layer[i], *c = &y->layer[i];
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
        double from_s = x->layer[0].mix_s, cold_from_s = y->layer[0].mix_s;
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
        const pc_part_plan *x = &a->part[p], *y = &b->part[p];
        double times = x->kind == PC_HOLLOW ? 2.0 : 1.0;
        MUST(same(y->shell_volume_m3, times * x->shell_volume_m3, 1e-9),
             "%s: shell %.12g, of twice the area %.12g", x->name, x->shell_volume_m3,
             y->shell_volume_m3);
        bool alike = x->layer_count == y->layer_count;
        for (size_t i = 0; alike && i < x->layer_count; i++)
            alike = same(x->layer[i].poured_m3, y->layer[i].poured_m3 / times, 1e-3);
        if (!alike)
            continue;
        MUST(same(y->resin_kg, times * x->resin_kg, 1e-9), "%s: %.12g kg, of twice the area %.12g",
             x->name, x->resin_kg, y->resin_kg);
        for (size_t i = 0; i < x->layer_count; i++) {
            const pc_layer *one = &x->layer[i], *two = &y->layer[i];
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
        if (a->part[p].kind == PC_HOLLOW)
            MUST(b->part[p].shell_volume_m3 > a->part[p].shell_volume_m3 &&
                     (a->part[p].layer_count != b->part[p].layer_count ||
                      b->part[p].resin_kg > a->part[p].resin_kg ||
                      !isnan(a->part[p].layer[0].drain_s)),
                 "%g kg, of a thicker wall %g", a->part[p].resin_kg, b->part[p].resin_kg);
}

static comparison thicker(drawn *d) {
    d->wall_m *= between(1.05, 1.5);
    return more;
}

/* The other has no margins: what the first layer does hangs on nothing that was waited for. */
static void first_layer_alike(const pc_schedule *a, const pc_schedule *b) {
    for (size_t p = 0; p < a->part_count && p < 1; p++) {
        const pc_layer *x = &a->part[p].layer[0], *y = &b->part[p].layer[0];
        if (!comparable(&a->part[p], &b->part[p]))
            continue;
        MUST(same(x->pot_life_s, y->pot_life_s, 0) && same(x->gel_s, y->gel_s, 0) &&
                 same(x->set_s, y->set_s, 0),
             "gels at %.12g, without margins at %.12g", x->gel_s, y->gel_s);
        MUST(rising(b->part[p].demold_s, a->part[p].demold_s),
             "demold %.12g, without margins %.12g", a->part[p].demold_s, b->part[p].demold_s);
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
        const pc_part_plan *x = &a->part[p], *y = &b->part[a->part_count - 1 - p];
        MUST(x->layer_count == y->layer_count, "%s: %zu layers, and %zu", x->name, x->layer_count,
             y->layer_count);
        parts_alike(x, y, x->layer[0].mix_s, y->layer[0].mix_s, 1e-3);
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
static volatile bool beside_ends;
static void *plan_beside(void *unused) {
    static pc_piece piece;
    pc_piece_defaults(&piece);
    pc_piece_set(&piece, "hollow", "area", "90 cm2", NULL);
    pc_piece_set(&piece, "hollow", "wall", "3 mm", NULL);
    pc_piece_set(&piece, "piece", "resin", "slow-urethane", NULL);
    pc_piece_set(&piece, "margins", "on", "no", NULL);
    while (!beside_ends) {
        pc_schedule s = {0};
        if (pc_schedule_make(&piece, &s, NULL) != PC_OK)
            break;
        pc_schedule_free(&s);
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
    static pc_schedule own, other;
    char why[256], why_other[256];
    rule = "by itself";
    ours = theirs = any_piece();
    size_t k;
    do
        k = pick(sizeof relatives / sizeof *relatives);
    while (!applies(k));
    pc_status status = plan(&ours, &own, why, sizeof why);
    if (status == PC_OK)
        plan_sound(&own);
    if (status == PC_E_NUMERIC || status == PC_E_ARGUMENT)
        found("%s: %s", pc_status_text(status), why);
    rule = relatives[k].name;
    comparison compare = relatives[k].relative(&theirs);
    pc_status status_other = plan(&theirs, &other, why_other, sizeof why_other);
    as_before(processors);
    if (status == PC_OK && status_other == PC_OK)
        compare(&own, &other);
    bool same_piece = compare == exactly || compare == nearly;
    if (same_piece && status != status_other)
        found("%s (%s) and %s (%s)", pc_status_text(status), why, pc_status_text(status_other),
              why_other);
    pc_schedule_free(&own);
    pc_schedule_free(&other);
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
        state = (uint64_t)seed * 1000003u + (uint64_t)run_number;
        state = draw();
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
