/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Cure, cups, walls and cup tests with any constants, temperatures and times. */
#include "fuzz.h"
#include "fuzz_bytes.h"

#include <string.h>
#include <unistd.h>

#include "pourclock.h"
#include "resin/cup.h"
#include "resin/cure_rate.h"
#include "sheet/cuptest_rows.h"
#include "sheet/datum.h"
#include "sheet/resin_file.h"
#include "wall/layers.h"

static pc_resin any_resin(fuzz_bytes *b) {
    pc_resin r;
    FUZZ_PROMISE(pc_resin_defaults((pc_family)(take_byte(b) % PC_FAMILY_COUNT), &r) == PC_OK);
    double *const field[] = {
        &r.cure.A1_per_s,  &r.cure.E1_J_mol,    &r.cure.A2_per_s,  &r.cure.E2_J_mol,
        &r.cure.m,         &r.cure.n,           &r.cure.heat_J_kg, &r.cure.cp_J_kgK,
        &r.cure.k_W_mK,    &r.cure.a_gel,       &r.cure.a_pot,     &r.cure.a_bond,
        &r.cure.a_demold,  &r.flow.mu_ref_Pa_s, &r.flow.T_ref_K,   &r.flow.E_mu_J_mol,
        &r.flow.c,         &r.flow.d,           &r.flow.a_gel,     &r.density_kg_m3,
        &r.demold_below_K, &r.peak_limit_K};
    take_changes(b, sizeof field / sizeof *field, field);
    return r;
}

/* What is written is read back. */
static bool written(fuzz_bytes *b) {
    char folder[] = "/tmp/fuzz-XXXXXX", path[64];
    FUZZ_PROMISE(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/resin.ini", folder);
    pc_resin r = any_resin(b), back;
    memcpy(r.name, "any", 4);
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_resin_write(path, &r, &errors);
    FUZZ_PROMISE(status == PC_OK || errors.count > 0);
    if (status == PC_OK) {
        FUZZ_PROMISE(pci_resin_read(path, &back, &errors) == PC_OK);
        FUZZ_PROMISE(back.cure.A1_per_s == r.cure.A1_per_s && back.cure.m == r.cure.m);
        unlink(path);
    }
    rmdir(folder);
    pc_errors_free(&errors);
    return status == PC_OK;
}

static double kelvin(fuzz_bytes *b) {
    return take_number(b, 263, 333);
}

static bool rates(fuzz_bytes *b) {
    pc_resin r = any_resin(b);
    double a = take_number(b, 0, 1), T = kelvin(b);
    double rate = pci_cure_rate(&r.cure, a, T), mu = pci_viscosity(&r.flow, a, T);
    FUZZ_PROMISE(!(isnan(a) || isnan(T) || T <= 0) || (isnan(rate) && isnan(mu)));
    return rate > 0;
}

static bool cups(fuzz_bytes *b) {
    pc_resin r = any_resin(b);
    double mass = take_number(b, 0.01, 5), T0 = kelvin(b), air = kelvin(b);
    pc_cup_events e;
    pc_status status = pci_cup_run(&r, mass, T0, air, &e);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (e.peak_K > 0 && !(e.gel_s < 0) && !(e.pot_life_s < 0)));
    pc_resin_row row;
    pc_status also = pc_resin_times(&r, T0, mass, 0.0, &row);
    FUZZ_PROMISE(status_is_known(also));
    FUZZ_PROMISE(also != PC_OK || (isnan(row.film.gel_s) && row.cup.peak_K > 0));
    pc_cup_state s[3];
    double t[3] = {take_number(b, 0, 1e4), take_number(b, 0, 1e5), take_number(b, 0, 1e5)};
    status = pci_cup_at(&r, mass, T0, air, t[0], s);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (s->T_K > 0 && s->a >= 0 && s->a <= 1));
    status = pci_cup_trace(&r, mass, T0, air, take_byte(b) % 4, t, s);
    FUZZ_PROMISE(status_is_known(status));
    return status == PC_OK;
}

static bool anchor(fuzz_bytes *b) {
    pc_resin r = any_resin(b);
    pc_errors errors = PC_ERRORS_INIT;
    size_t count = 1 + take_byte(b) % 4;
    for (size_t i = 0; i < count; i++) {
        pc_datum *d = &r.sheet.datum[r.sheet.count++];
        *d = pci_datum_new((pc_datum_kind)(take_byte(b) % PC_DATUM_COUNT));
        d->value = d->kind == PC_DATUM_PEAK ? kelvin(b) : take_number(b, 60, 1e5);
        d->spread = pci_datum_spread(d);
        d->mass_kg = take_number(b, 0.05, 1);
        d->T_K = kelvin(b);
        if (take_byte(b) % 2)
            d->thickness_m = take_number(b, 1e-3, 0.02);
    }
    pc_status status = pc_resin_anchor(&r, &errors);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
    pc_errors_free(&errors);
    char text[400];
    double worst = pc_resin_disagreement(&r, text, sizeof text);
    FUZZ_PROMISE(status != PC_OK || r.sheet.constants_given || worst >= 0.0);
    FUZZ_PROMISE(strlen(pc_datum_word(&r.sheet.datum[0])) > 0);
    pc_film_times film;
    pc_status ran = status == PC_OK ? pci_resin_film(&r, take_number(b, 1e-3, 0.02), 0.1, kelvin(b),
                                                     take_byte(b) % 4 == 0, &film)
                                    : PC_OK;
    FUZZ_PROMISE(status_is_known(ran));
    FUZZ_PROMISE(status_is_known(pc_resin_set_catalyst(&r, take_number(b, 0.005, 0.04), NULL)));
    return status == PC_OK;
}

static double odd_air(double time_s, const void *context) {
    const double *air = context;
    return air[0] + air[1] * sin(time_s * 1e-3);
}

static pci_wall_spec any_spec(fuzz_bytes *b, const double *air) {
    pci_wall_spec s = {.form = (pc_form)(take_byte(b) % 4),
                       .mold_count = take_size(b, PC_MOLD_MOST)};
    s.cavity_radius_m = take_number(b, 0.02, 0.3);
    for (size_t i = 0; i < s.mold_count && i < PC_MOLD_MOST; i++) {
        s.mold_thickness_m[i] = take_number(b, 1e-3, 0.03);
        s.mold[i] = (pc_material){take_number(b, 0.1, 1), take_number(b, 500, 2500),
                                  take_number(b, 500, 2500)};
    }
    s.mold_K = kelvin(b);
    s.out_W_m2K = take_number(b, 1, 30);
    s.in_W_m2K = take_number(b, 0, 10);
    s.air_K = kelvin(b);
    s.air_fn = take_byte(b) % 4 == 0 ? odd_air : NULL;
    s.air_context = air;
    s.stop_above_K = take_byte(b) % 4 == 0 ? take_number(b, 300, 400) : 0;
    s.refine = take_byte(b) % 8 == 0 ? take_number(b, 0, 2) : 0;
    s.tolerance = take_byte(b) % 4 == 0 ? take_number(b, 1e-4, 1e-2) : 1e-3;
    return s;
}

static void look(const pci_wall *wall, fuzz_bytes *b) {
    double x[40], T[40], a[40];
    size_t most = take_size(b, 40), points = pci_wall_profile(wall, most < 40 ? most : 40, x, T, a);
    for (size_t i = 0; i < points && i < most && i < 40; i++)
        FUZZ_PROMISE(isfinite(x[i]) && isfinite(T[i]));
    pci_layer_state state;
    pci_layer_events events;
    pci_wall_energy energy;
    size_t layer = take_size(b, 4);
    pc_status status = pci_wall_layer_state(wall, layer, &state);
    FUZZ_PROMISE((status == PC_OK) == (layer < pci_wall_layers(wall)));
    FUZZ_PROMISE(status != PC_OK || (state.a >= -0.01 && state.a <= 1.01));
    FUZZ_PROMISE((pci_wall_events(wall, layer, &events) == PC_OK) == (status == PC_OK));
    FUZZ_PROMISE(pci_wall_energy_now(wall, &energy) == PC_OK && isfinite(energy.content_J));
    FUZZ_PROMISE(isfinite(pci_wall_time(wall)));
}

static bool walls(fuzz_bytes *b) {
    pc_resin r = any_resin(b);
    const double air[2] = {kelvin(b), take_number(b, 0, 10)};
    pci_wall_spec spec = any_spec(b, air);
    pci_wall *wall = NULL, *twin = NULL;
    if (pci_wall_new(&spec, take_number(b, 0, 100), &wall) != PC_OK)
        return false;
    pc_status status = PC_OK;
    for (int steps = take_byte(b) % 4; steps >= 0 && status == PC_OK; steps--) {
        pc_cup_state in = {kelvin(b), take_number(b, 0, 0.3)};
        status = pci_wall_pour(wall, &r, take_number(b, 1e-3, 0.01), &in, take_number(b, 0.1, 50));
        double to = pci_wall_time(wall) + take_number(b, 0, 2000), at;
        FUZZ_PROMISE(status_is_known(status));
        if (status == PC_OK)
            status = pci_wall_advance(wall, to);
        if (status == PC_OK && take_byte(b) & 1)
            status = pci_wall_until_gel(wall, take_byte(b) % 3, to + 2000, &at);
        if (status == PC_OK && take_byte(b) & 1)
            status = pci_wall_until_bond(wall, take_byte(b) % 3, to + 2000, &at);
        if (status == PC_OK && take_byte(b) & 1)
            status = pci_wall_until_demold(wall, take_number(b, to, to + 1e4), &at);
        FUZZ_PROMISE(status_is_known(status));
    }
    if (status == PC_OK || status == PC_E_UNREACHED) {
        look(wall, b);
        if (pci_wall_copy(wall, &twin) == PC_OK)
            FUZZ_PROMISE(pci_wall_layers(twin) == pci_wall_layers(wall));
    }
    pci_wall_free(wall);
    pci_wall_free(twin);
    return status == PC_OK;
}

static pc_test any_test(fuzz_bytes *b) {
    pc_test t = {.kind = (pc_test_kind)(take_byte(b) % PC_TEST_KIND_COUNT), .cup = "A"};
    t.mass_kg = take_number(b, 0.02, 1);
    t.T_K = kelvin(b);
    t.air_K = kelvin(b);
    t.time_s = take_number(b, 60, 7200);
    t.reading_K = kelvin(b);
    t.thickness_m = take_number(b, 1e-3, 0.01);
    t.laid_s = take_number(b, 30, 200);
    t.mold_K = kelvin(b);
    t.rubber_m = take_number(b, 0, 0.02);
    t.shell_m = take_number(b, 0, 0.02);
    t.rubber_kind = (pc_mold_kind)(take_byte(b) % (PC_MOLD_KIND_COUNT + 1));
    t.shell_kind = (pc_mold_kind)(take_byte(b) % (PC_MOLD_KIND_COUNT + 1));
    return t;
}

static bool tests(fuzz_bytes *b) {
    pc_resin r = any_resin(b);
    pc_test item[3] = {any_test(b), any_test(b), any_test(b)};
    pc_tests all = {.count = take_byte(b) % 4, .item = item};
    pc_tests_how how = {.as_is = take_byte(b) % 2 == 0};
    pc_errors errors = PC_ERRORS_INIT;
    double value = -1, low, high;
    pc_status status = pc_test_value(&item[0], &r, &value);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_OK || !isnan(value)));
    status = pci_tests_check(&all, &how, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    pc_tests_fit fit = {0};
    if (status == PC_OK)
        status = pc_tests_fit_run(&all, &r, &how, &fit, &errors);
    FUZZ_PROMISE(status_is_known(status));
    if (status == PC_OK &&
        pc_tests_fit_gel(&fit, take_number(b, 0.02, 1), kelvin(b), &value, &low, &high) == PC_OK)
        FUZZ_PROMISE(low <= value && value <= high);
    pc_tests_fit_free(&fit);
    pc_errors_free(&errors);
    return status == PC_OK;
}

static bool (*const all[])(fuzz_bytes *) = {rates, cups, walls};

/* The slow ones are asked for by a byte of their own. */
bool fuzz_accepts(const uint8_t *data, size_t size) {
    fuzz_bytes b = {data, size};
    unsigned pick = take_byte(&b);
    if (pick >= 253)
        return pick == 255 ? anchor(&b) : pick == 254 ? tests(&b) : written(&b);
    return all[pick % (sizeof all / sizeof *all)](&b);
}

FUZZ_ENTRY
