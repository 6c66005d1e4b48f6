/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every closed form and every word of a table, with any numbers: NaN in, NaN out; nothing negative;
 * a status of the table; finite where it says done. The first byte picks the function. */
#include "base/dimensions.h"
#include "base/try.h"
#include "film/film_sums.h"
#include "fuzz.h"
#include "fuzz_bytes.h"
#include "piece/metals.h"
#include "piece/shop.h"
#include "pourclock.h"
#include "resin/cure_rate.h"
#include "safety/air_sums.h"
#include "supplies/strength.h"
#include "wall/layers.h"

typedef struct span {
    double low, high;
} span;

/* Functions of up to five numbers, with a plausible span for each. */
typedef struct form {
    int arity;
    double (*f1)(double);
    double (*f2)(double, double);
    double (*f3)(double, double, double);
    double (*f4)(double, double, double, double);
    double (*f5)(double, double, double, double, double);
    span of[5];
} form;

static double stock_metric(double d) {
    return pci_wire_stock(d, false);
}
static double stock_us(double d) {
    return pci_wire_stock(d, true);
}

#define RHO                                                                                        \
    { 800, 2500 }
#define MM                                                                                         \
    { 1e-4, 2e-2 }
#define MU                                                                                         \
    { 0.01, 20 }
#define RAD                                                                                        \
    { 0.01, 1 }
#define LEN                                                                                        \
    { 0.01, 0.5 }
#define NEW                                                                                        \
    { 0, 500 }
#define PAS                                                                                        \
    { 1e9, 2e11 }

static const form forms[] = {
    {.arity = 4, .f4 = pci_film_mu_set, .of = {RHO, MM, {0.05, 5}, RAD}},
    {.arity = 2, .f2 = pci_froude, .of = {{-5, 5}, RAD}},
    {.arity = 3, .f3 = pci_drain_film, .of = {RHO, LEN, {1, 1e4}}},
    {.arity = 2, .f2 = pc_bubble_bore, .of = {RHO, {0.01, 0.1}}},
    {.arity = 2, .f2 = pci_pool_angle, .of = {{0, 1e-3}, {0.05, 0.2}}},
    {.arity = 3, .f3 = pci_wire_bending, .of = {NEW, LEN, MM}},
    {.arity = 2, .f2 = pci_wire_axial, .of = {NEW, MM}},
    {.arity = 4, .f4 = pci_wire_deflection, .of = {NEW, LEN, MM, PAS}},
    {.arity = 4, .f4 = pci_wire_buckling, .of = {LEN, MM, PAS, {1e7, 1e9}}},
    {.arity = 1, .f1 = stock_metric, .of = {MM}},
    {.arity = 1, .f1 = stock_us, .of = {MM}},
    {.arity = 4, .f4 = pci_socket_pressure, .of = {NEW, LEN, {1e-3, 0.1}, MM}},
    {.arity = 3, .f3 = pci_vapor_volume, .of = {{0, 1}, {0.01, 0.3}, {250, 350}}},
    {.arity = 3, .f3 = pci_limit_fraction, .of = {{0, 1e-2}, {0.01, 0.3}, {250, 350}}},
    {.arity = 3, .f3 = pci_dilution_air, .of = {{0, 1e-3}, {1e-6, 0.01}, {1, 10}}},
    {.arity = 5, .f5 = pci_purge_time, .of = {{1e-4, 1}, {1e-6, 1e-4}, {1, 500}, {0, 1}, {1, 10}}},
    {.arity = 1, .f1 = pci_styrene_lost, .of = {{0, 0.5}}},
};
enum { FORMS = sizeof forms / sizeof *forms };

static double call(const form *f, const double *x) {
    switch (f->arity) {
    case 1:
        return f->f1(x[0]);
    case 2:
        return f->f2(x[0], x[1]);
    case 3:
        return f->f3(x[0], x[1], x[2]);
    case 4:
        return f->f4(x[0], x[1], x[2], x[3]);
    default:
        return f->f5(x[0], x[1], x[2], x[3], x[4]);
    }
}

static bool closed_form(const form *f, fuzz_bytes *b) {
    double x[5];
    bool nan = false;
    for (int i = 0; i < f->arity; i++) {
        x[i] = take_number(b, f->of[i].low, f->of[i].high);
        nan = nan || isnan(x[i]);
    }
    double value = call(f, x);
    FUZZ_PROMISE(!nan || isnan(value));
    FUZZ_PROMISE(isnan(value) || value >= 0.0);
    return !isnan(value);
}

static bool press(fuzz_bytes *b) {
    double force = take_number(b, 0, 500), radius = take_number(b, 0.01, 1);
    double wall = take_number(b, 5e-4, 2e-2), patch = take_number(b, 1e-3, 2e-2);
    double E = take_number(b, 1e8, 5e9), poisson = take_number(b, 0, 0.5);
    double strength = take_number(b, 1e6, 1e8), factor = take_number(b, 1, 4);
    for (int flat = 0; flat < 2; flat++) {
        double sag = -1, stress = -1, least = -1;
        pc_status status = (flat ? pci_plate_press : pci_shell_press)(force, radius, wall, patch, E,
                                                                      poisson, &sag, &stress);
        FUZZ_PROMISE(status == PC_OK || status == PC_E_ARGUMENT);
        FUZZ_PROMISE(status != PC_OK || (sag >= 0 && stress >= 0));
        status =
            pci_wall_for_press(flat, force, radius, patch, E, poisson, strength, factor, &least);
        FUZZ_PROMISE(status == PC_OK || status == PC_E_ARGUMENT || status == PC_E_UNREACHED);
        FUZZ_PROMISE(status != PC_OK || (least >= 0 && least <= 0.05));
    }
    return true;
}

static bool joint(fuzz_bytes *b) {
    pc_joint j = {.name = "ankle"};
    j.count = (int)take_size(b, 20) - 2;
    j.wire_m = take_number(b, 1e-3, 1e-2);
    j.free_m = take_number(b, 5e-3, 0.2);
    j.socket_m = take_number(b, 5e-3, 0.05);
    j.leg_m = take_number(b, 5e-3, 0.05);
    j.metal = pci_metal_at(take_size(b, 6));
    j.handling_N = take_number(b, 0, 200);
    double body = take_number(b, 0.1, 10), strength = take_number(b, 1e6, 1e8);
    pc_joint_result r;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_joint_judge(&j, body, strength, take_byte(b) & 1, &r, &errors);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (r.stress_Pa >= 0 && r.factor >= 0 && r.buckling_N >= 0));
    FUZZ_PROMISE(status != PC_OK || (isfinite(r.wire_m) && r.displaced_m3 >= 0));
    FUZZ_PROMISE((status == PC_E_VALUE) == (errors.count > 0));
    pc_errors_free(&errors);
    return status == PC_OK;
}

static bool quantities(fuzz_bytes *b) {
    const char *const unit[] = {"mm", "in", "F",   "C", "K", "g",
                                "oz", "h",  "rpm", "%", "",  "furlong"};
    double value = take_number(b, -100, 1000), si = -7;
    const char *u = unit[take_below(b, sizeof unit / sizeof *unit)];
    pc_dimension d = (pc_dimension)take_size(b, PC_DIMENSION_COUNT + 1);
    pc_status status = pci_quantity_to_si(value, u, d, &si);
    FUZZ_PROMISE(status_is_known(status) && (status == PC_OK || si == -7));
    FUZZ_PROMISE(status != PC_OK || isfinite(si));
    char text[16];
    pci_dimension_units(d, text, take_size(b, sizeof text - 1));
    FUZZ_PROMISE(pci_dimension_name(d) && pc_dimension_example(d));
    return true;
}

static bool words(fuzz_bytes *b) {
    int n = (int)take_pair(b) - 0x7f80;
    n = take_byte(b) & 1 ? n % 40 : n * 65000;
    FUZZ_PROMISE(pc_status_text((pc_status)n) && pci_status_name((pc_status)n));
    FUZZ_PROMISE(pc_family_word((pc_family)n) && pc_step_word((pc_step_kind)n));
    FUZZ_PROMISE(pc_event_word((pc_event_kind)n) && pc_test_word((pc_test_kind)n));
    FUZZ_PROMISE(pc_supply_word((pc_supply)n) && pc_day_do_word((pc_day_do)n));
    FUZZ_PROMISE(pci_air_answer_word((pc_air_answer)n) && PC_DEFERRAL);
    bool family = n >= 0 && n < PC_FAMILY_COUNT;
    FUZZ_PROMISE(family == isfinite(pci_resin_strength((pc_family)n)));
    FUZZ_PROMISE(family == isfinite(pci_resin_modulus((pc_family)n)));
    const pc_exposure *row = pci_exposure_at((size_t)n);
    FUZZ_PROMISE(!row || pci_exposure_find(row->substance) == row);
    const pc_metal *metal = pci_metal_at((size_t)n);
    FUZZ_PROMISE(!metal ||
                 (pci_metal_find(metal->name) == metal && pci_metal_density(metal->name) > 0.0));
    pc_material material;
    FUZZ_PROMISE((pci_mold_material((pc_mold_kind)n, &material) == PC_OK) ==
                 (n >= 0 && n < PC_MOLD_KIND_COUNT));
    pc_resin resin;
    FUZZ_PROMISE((pc_resin_defaults((pc_family)n, &resin) == PC_OK) == family);
    return family;
}

/* Batches in a room: what is refused is left alone, the rest is a share of the air. */
static bool room(fuzz_bytes *b) {
    pc_air_batch batch[5]; /* take_size goes one past */
    size_t count = take_size(b, 4);
    for (size_t i = 0; i < count; i++)
        batch[i] = (pc_air_batch){0, 1, take_number(b, -100, 1e4), take_number(b, 0, 1e4),
                                  take_number(b, 0, 1)};
    double rate = -7, highest = -7, at_s;
    pc_status status = pci_air_rate(batch, count, &rate, &at_s);
    FUZZ_PROMISE(status_is_known(status) && (status == PC_OK ? rate >= 0 : rate == -7));
    status = pci_room_highest(batch, count, take_number(b, 0, 1), take_number(b, 1, 500),
                              take_number(b, 0, 1), take_number(b, 1, 10), &highest, &at_s);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status == PC_OK ? highest >= 0 && highest <= 1 : highest == -7);
    return status == PC_OK;
}

static bool clocks(fuzz_bytes *b) {
    pc_words clock = pc_say_clock(take_number(b, -1e5, 2e5), 0, take_byte(b) & 15);
    FUZZ_PROMISE(memchr(clock.s, '\0', sizeof clock.s) != NULL && strlen(clock.s) >= 1);
    pc_words words = pc_say((pc_say_what)(take_byte(b) & 15), PC_US, take_number(b, -1e300, 1e300));
    FUZZ_PROMISE(memchr(words.s, '\0', sizeof words.s) != NULL && strlen(words.s) >= 1);
    pc_layer layer = {0};
    layer.closes_s = take_number(b, 0, 1e4);
    layer.closes_alone_s = take_number(b, 0, 1e4);
    layer.closes_early_s = take_number(b, 0, 1e4);
    double by = pc_bond_deadline(&layer);
    FUZZ_PROMISE(!(by > layer.closes_s) && !(by > layer.closes_alone_s) &&
                 !(by > layer.closes_early_s));
    pc_layer next = layer;
    next.pour_by_s = take_number(b, 0, 1e4);
    next.pour_s = take_number(b, 0, 1e4);
    pc_part_plan plan = {.layer_count = 2, .layer = (pc_layer *[]){&layer, &next}};
    double in_by = pc_pour_deadline(&plan, 1);
    FUZZ_PROMISE(!(in_by > next.pour_by_s) && !(in_by > by && by > next.pour_s));
    FUZZ_PROMISE(isnan(pc_pour_deadline(&plan, 2)));
    pc_shop shop = {.air_K = take_number(b, 260, 320)};
    shop.day_count = take_byte(b) % 5;
    for (size_t i = 0; i < shop.day_count; i++)
        shop.day[i] =
            (pc_day_point){(double)i * 14400 + take_number(b, 0, 14000), take_number(b, 260, 320)};
    pc_shop_air(&shop, take_number(b, -1e5, 2e5));
    shop.mix_time_s = take_byte(b) & 1 ? (double)NAN : take_number(b, 0, 7200);
    double cup_kg = take_number(b, -1, 1e4), mix_s = pci_cup_mix_time(&shop, cup_kg);
    if (isnan(shop.mix_time_s) || (shop.mix_time_s >= 0 && isfinite(shop.mix_time_s)))
        FUZZ_PROMISE(cup_kg > 0 && isfinite(cup_kg) ? mix_s >= 0 && isfinite(mix_s) : isnan(mix_s));
    return true;
}

static bool (*const others[])(fuzz_bytes *) = {press, joint, quantities, words, clocks, room};
enum { OTHERS = sizeof others / sizeof *others };

bool fuzz_accepts(const uint8_t *data, size_t size) {
    fuzz_bytes b = {data, size};
    size_t pick = take_byte(&b) % (FORMS + OTHERS);
    return pick < FORMS ? closed_form(&forms[pick], &b) : others[pick - FORMS](&b);
}

FUZZ_ENTRY
