/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "drawn_piece.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "splitmix.h"

enum { LINES_MOST = 16 };

static uint64_t state;

void draw_from(uint64_t seed) {
    state = seed;
    state = draw();
}

uint64_t draw(void) {
    return splitmix(&state);
}

size_t pick(size_t below) {
    return (size_t)(draw() % below);
}

double between(double low, double high) {
    return low + (high - low) * (double)(draw() >> 11) / 9007199254740992.0;
}

static double between_log(double low, double high) {
    return exp(between(log(low), log(high)));
}

static const char *const resins[] = {"fast-urethane", "slow-urethane", "casting-epoxy",
                                     "polyester"};

drawn any_piece(void) {
    drawn d = {0}; /* one after the other: a list has no order */
    d.form = pick(2) ? "slab" : "cylinder";
    d.resin = resins[pick(4)];
    d.method = pick(4) ? "machine" : pick(2) ? "hand" : "drain";
    d.shell_kind = pick(2) ? "plaster" : "resin";
    d.rubber_kind = pick(2) ? "silicone" : "urethane";
    d.area_m2 = between_log(0.005, 2.0);
    d.wall_m = between_log(0.0015, 0.009);
    d.layers = pick(2) ? (int)pick(5) : 0;
    d.hollow = true;
    d.solid = pick(4) == 0;
    d.solid_m3 = between_log(1e-5, 1e-3);
    d.rubber_m = between_log(0.003, 0.03);
    d.shell_m = pick(4) ? between_log(0.003, 0.03) : 0.0;
    d.outer_rpm = between_log(2.0, 20.0);
    d.air_C = between(12.0, 32.0);
    d.resin_C = pick(3) ? NAN : between(15.0, 30.0);
    d.mold_C = pick(3) ? NAN : between(15.0, 40.0);
    d.mix_s = between(30.0, 180.0);
    d.pour_s = between(10.0, 120.0);
    d.largest_kg = pick(2) ? NAN : between_log(0.1, 5.0);
    d.cup_loss = between(0.0, 0.1);
    d.start_s = 60.0 * (double)pick(720);
    d.hands = 1 + (int)pick(2);
    d.limit_C = pick(2) ? NAN : between(60.0, 150.0);
    d.samples = pick(3) == 0 ? 16 : 0;
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

static void swap(section *a, section *b) {
    section kept = *a;
    *a = *b;
    *b = kept;
}

/* Sections in another order; the parts, two at most, keep theirs, which is the order they are
 * poured in. */
static void shuffle_sections(section *s, size_t n) {
    const char *first = NULL;
    size_t now[2] = {0}, parts = 0;
    for (size_t i = 0; i < n; i++) {
        shuffle_lines(&s[i]);
        if (strchr(s[i].name, ' ') && !first)
            first = s[i].name;
    }
    for (size_t i = n; i > 1; i--)
        swap(&s[i - 1], &s[pick(i)]);
    for (size_t i = 0; i < n && parts < 2; i++)
        if (strchr(s[i].name, ' '))
            now[parts++] = i;
    if (parts == 2 && s[now[0]].name != first)
        swap(&s[now[0]], &s[now[1]]);
}

bool write_piece(const char *path, const drawn *d) {
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
