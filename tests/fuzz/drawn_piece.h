/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece drawn by chance, and the ways it may be written. */
#ifndef DRAWN_PIECE_H
#define DRAWN_PIECE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What is drawn next depends on this alone. */
void draw_from(uint64_t seed);
uint64_t draw(void);
size_t pick(size_t below);
double between(double low, double high);

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

drawn any_piece(void);

/* Writes it, and related-day.csv beside it where its shop has a table. */
bool write_piece(const char *path, const drawn *d);

#endif
