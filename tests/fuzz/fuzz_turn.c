/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Turning, coverage, wall maps and drained layers with any numbers. */
#include "film/film_sums.h"
#include "film/judge.h"
#include "film/program.h"
#include "fuzz.h"
#include "fuzz_bytes.h"
#include "pourclock.h"

static pc_turning any_turning(fuzz_bytes *b) {
    static pc_piece piece;
    pc_piece_defaults(&piece);
    pc_turning t = piece.turning;
    t.method = (pc_method)(take_byte(b) % 3);
    t.outer_rad_s = take_number(b, -3, 3);
    t.inner_rad_s = take_number(b, -1, 1);
    t.slowest_rad_s = take_byte(b) & 1 ? NAN : take_number(b, 0.1, 1);
    t.fastest_rad_s = take_byte(b) & 1 ? NAN : take_number(b, 1, 4);
    t.ratio_count = take_byte(b) % 4;
    for (size_t i = 0; i < t.ratio_count; i++)
        t.ratio[i] = take_number(b, 0.1, 1);
    t.reverse_every_s = take_byte(b) & 1 ? NAN : take_number(b, 5, 600);
    t.tilt_count = take_byte(b) % 5;
    for (size_t i = 0; i < t.tilt_count; i++) {
        for (int k = 0; k < 3; k++)
            t.tilt[i].up[k] = take_number(b, -1, 1);
        t.tilt[i].hold_s = take_number(b, 0, 5);
    }
    t.drop_length_m = take_number(b, 0.01, 0.5);
    return t;
}

/* A viscosity that rises from a few numbers. */
typedef struct rise {
    double time_s[5], mu_Pa_s[5];
} rise;

static pc_turn_layer any_layer(fuzz_bytes *b, rise *r) {
    pc_turn_layer l = {0};
    l.density_kg_m3 = take_number(b, 900, 2000);
    l.film_m = take_number(b, 5e-4, 5e-3);
    l.volume_m3 = take_number(b, 1e-5, 5e-4);
    l.radius_m = take_number(b, 0.03, 0.3);
    l.mount = (int)take_size(b, 5) - 1;
    size_t count = take_byte(b) % 6;
    double t = take_number(b, 0, 100), mu = take_number(b, 0.1, 2);
    for (size_t i = 0; i < count; i++) {
        r->time_s[i] = t;
        r->mu_Pa_s[i] = mu;
        t += take_number(b, 1, 200);
        mu *= take_number(b, 1, 10);
    }
    l.history = (pc_mu_history){count, r->time_s, r->mu_Pa_s, t};
    return l;
}

static bool histories(fuzz_bytes *b) {
    rise r;
    pc_turn_layer l = any_layer(b, &r);
    bool good = pci_mu_history_check(&l.history) == PC_OK;
    double t0 = take_number(b, 0, 1000), t1 = take_number(b, 0, 1000);
    double at = pci_mu_checked_at(&l.history, t0),
           reach = pci_mu_reach(&l.history, take_number(b, 0.1, 50));
    double fluidity = pci_mu_fluidity(&l.history, t0, t1);
    FUZZ_PROMISE(good || (isnan(at) && isnan(reach) && isnan(fluidity)));
    FUZZ_PROMISE(isnan(at) || at > 0);
    FUZZ_PROMISE(isnan(reach) || reach <= l.history.gel_s);
    FUZZ_PROMISE(isnan(fluidity) || fluidity >= 0);
    double drop = take_number(b, 0.01, 0.5), film = pci_drain_film_at(&l, drop, t0);
    FUZZ_PROMISE(isnan(film) || film >= 0);
    pc_drain_result d;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_drain_when(&l, drop, take_number(b, 1e-5, 1e-3), &d, &errors);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (isfinite(d.out_s) && d.film_m >= 0 && d.surplus_m3 >= 0));
    pc_errors_free(&errors);
    return good;
}

static bool turnings(fuzz_bytes *b) {
    pc_turning t = any_turning(b);
    pc_errors errors = PC_ERRORS_INIT;
    bool good = pci_turning_check(&t, &errors) == PC_OK;
    FUZZ_PROMISE(good == (errors.count == 0));
    pc_errors_free(&errors);
    double speed = pci_film_speed(&t), slower = pci_turning_slower(&t), outer, inner, down[3];
    FUZZ_PROMISE(isnan(speed) || speed >= 0);
    FUZZ_PROMISE(isnan(slower) || slower >= 0);
    double turns = pci_turning_turns(&t, take_number(b, 0, 100), take_number(b, 0, 1000));
    FUZZ_PROMISE(isnan(turns) || turns >= 0);
    double closure = pci_turning_closure(&t, &outer, &inner);
    FUZZ_PROMISE(isnan(closure) || closure >= 0);
    double outer_rad_s = take_number(b, -3, 3), floor_rad_s = take_number(b, -3, 3);
    double relative = pci_turning_inner_relative(outer_rad_s, floor_rad_s);
    FUZZ_PROMISE(isnan(relative) || relative == floor_rad_s - outer_rad_s);
    pc_tilt tilt[PC_TILTS_MOST];
    double period;
    FUZZ_PROMISE(pci_turning_tilts(&t, tilt, &period) <= PC_TILTS_MOST);
    int mount = (int)take_size(b, 5) - 1;
    double at_s = take_number(b, 0, 1e4);
    if (good && mount >= 0 && at_s >= 0 && isfinite(at_s)) {
        struct pci_program program;
        pci_program_start(&program, &t, mount);
        pci_program_down(&program, at_s, down, NULL);
        double length = sqrt(down[0] * down[0] + down[1] * down[1] + down[2] * down[2]);
        FUZZ_PROMISE(fabs(length - 1) < 1e-6);
    }
    return good;
}

static bool coverage(fuzz_bytes *b) {
    pc_turning t = any_turning(b);
    pc_coverage c;
    int mount = (int)take_size(b, 5) - 1;
    double pool = take_number(b, 0.1, 2), horizon = take_number(b, 10, 300);
    pc_status status = pci_turning_coverage(&t, mount, pool, horizon, 0, &c);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (c.missed >= 0 && c.missed <= 1 && c.gap_s >= 0));
    FUZZ_PROMISE(status != PC_OK || (c.dwell_least >= 0 && c.dwell_most <= 1 + 1e-9));
    return status == PC_OK;
}

static void look(const pc_map *map, fuzz_bytes *b) {
    pc_map_cell cell;
    size_t i = take_size(b, pc_map_count(map));
    FUZZ_PROMISE((pc_map_cell_at(map, i, &cell) == PC_OK) == (i < pc_map_count(map)));
    pc_spread s;
    pc_status status = pci_map_spread(map, &s);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || (s.least_m >= 0 && s.most_m >= s.least_m));
}

static pc_map *any_map(fuzz_bytes *b) {
    pc_map *map = NULL;
    if (take_byte(b) & 1) {
        pc_status status = pci_map_sphere(take_number(b, 0.03, 0.3), 20 + take_byte(b), &map);
        FUZZ_PROMISE((status == PC_OK) == (map != NULL));
        return map;
    }
    static const unsigned char face[12][3] = {{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6},
                                              {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7},
                                              {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5}};
    double at[8][3], corner[36][3];
    for (int i = 0; i < 8; i++)
        for (int k = 0; k < 3; k++)
            at[i][k] = (i >> k & 1 ? 0.1 : 0) + (take_byte(b) % 4 ? 0 : take_number(b, -0.1, 0.1));
    for (int f = 0; f < 12; f++)
        for (int k = 0; k < 3; k++)
            memcpy(corner[3 * f + k], at[face[f][k]], sizeof at[0]);
    size_t facets = take_byte(b) % 8 ? 12 : take_byte(b) % 13;
    pc_status status = pci_map_facets(facets, (const double(*)[3])corner, take_pair(b) % 300, &map);
    FUZZ_PROMISE(status_is_known(status) && (status == PC_OK) == (map != NULL));
    return map;
}

static bool maps(fuzz_bytes *b) {
    pc_map *map = any_map(b);
    if (!map)
        return false;
    pc_turning t = any_turning(b);
    rise r;
    pc_status status = PC_OK;
    for (unsigned i = take_byte(b) % 3 + 1; i > 0; i--) {
        pc_turn_layer l = any_layer(b, &r);
        pc_turn_stop stop = {take_number(b, 0, 300), take_number(b, 0, 100)};
        pc_spread s;
        pc_errors errors = PC_ERRORS_INIT;
        status = pci_map_layer_add(map, &t, &l, take_byte(b) & 1 ? &stop : NULL, 0, &s, &errors);
        FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
        FUZZ_PROMISE(status != PC_OK || fabs(s.volume_m3 - l.volume_m3) <= 1e-6 * l.volume_m3);
        pc_errors_free(&errors);
    }
    look(map, b);
    pc_map_free(map);
    return status == PC_OK;
}

static bool judge(fuzz_bytes *b) {
    pc_turning t = any_turning(b);
    rise r;
    pc_turn_layer l = any_layer(b, &r);
    pc_turn_stop stop = {take_number(b, 0, 300), take_number(b, 0, 100)};
    pc_turn_result result;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status =
        pci_turn_judge(NULL, &t, &l, take_byte(b) & 1 ? &stop : NULL, 0, &result, &errors);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
    FUZZ_PROMISE(status != PC_OK || (result.spread.thin_m >= 0 && result.froude >= 0));
    pc_errors_free(&errors);
    return status == PC_OK;
}

static bool interrupt(fuzz_bytes *b) {
    pc_turning t = any_turning(b);
    rise r;
    pc_turn_layer l = any_layer(b, &r);
    pc_turn_interruption item[2] = {{.for_s = take_number(b, 0, 200)}, {.for_s = 30}};
    size_t count = take_byte(b) % 3;
    pc_status status = pci_turn_interrupt(NULL, &t, &l, 0, count, item);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || count == 0 || item[0].thin_m >= 0);
    return status == PC_OK;
}

static bool search(fuzz_bytes *b) {
    pc_turning t = any_turning(b), best;
    rise r;
    pc_turn_layer l = any_layer(b, &r);
    pc_turn_result result;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_turn_search(NULL, &t, &l, 0, &best, &result, &errors);
    FUZZ_PROMISE(status_is_known(status) && (status != PC_E_VALUE || errors.count > 0));
    FUZZ_PROMISE(status != PC_OK || pci_turning_check(&best, NULL) == PC_OK);
    pc_errors_free(&errors);
    return status == PC_OK;
}

static bool (*const all[])(fuzz_bytes *) = {histories, turnings,  coverage, maps,    judge,
                                            interrupt, histories, maps,     turnings};

bool fuzz_accepts(const uint8_t *data, size_t size) {
    fuzz_bytes b = {data, size};
    unsigned pick = take_byte(&b);
    return pick == 255 ? search(&b) : all[pick % (sizeof all / sizeof *all)](&b);
}

FUZZ_ENTRY
