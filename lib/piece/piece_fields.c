/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The keys of a piece file: one table a section. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/text.h"
#include "base/try.h"
#include "input/csv.h"
#include "input/whole_file.h"
#include "piece/edges.h"
#include "piece/metals.h"
#include "piece/piece_file.h"
#include "piece/shop_file.h"
#include "sheet/filler_file.h"

#define ZERO     PC_ZERO_CELSIUS_K
#define COUNT(t) (sizeof t / sizeof t[0])

/* ---- [piece] ---- */

static const char *const unit_words[] = {"metric", "us", NULL};

static pc_status resin(const pci_at *at, void *record) {
    pc_piece *piece = record;
    size_t from = at->errors ? at->errors->count : 0;
    const char *beside = strcmp(at->file, piece->path) == 0 ? at->file : NULL;
    pc_status status = pc_resin_find(at->value, beside, &piece->resin, at->errors);
    pci_errors_place(at, from);
    return status;
}

static pc_status filler(const pci_at *at, void *record) {
    pc_piece *piece = record;
    pc_filler found;
    double parts;
    const char *beside = strcmp(at->file, piece->path) == 0 ? at->file : NULL;
    pci_filler_defaults(&found);
    PCI_TRY(pci_filler_value(at, beside, &found, &parts));
    if (isnan(parts) || isnan(found.density_kg_m3))
        return pci_refuse(
            at, PC_E_VALUE,
            "\"%.60s\" does not say both which filler and how much: write its name "
            "and its parts by weight to 100 of resin, such as bronze-powder 250 parts",
            at->value);
    piece->filler = found;
    piece->filler_parts = parts;
    return PC_OK;
}

static const pci_field piece_fields[] = {
    PCI_TEXT_FIELD("name", pc_piece, name),
    PCI_OWN_FIELD("resin", resin),
    PCI_OWN_FIELD("filler", filler),
    PCI_WORD_FIELD("units", pc_piece, units, unit_words),
};

/* ---- parts ---- */

static pc_status foil_metal(const pci_at *at, void *record) {
    double density_kg_m3 = pci_metal_density(at->value);
    if (isfinite(density_kg_m3)) {
        ((pc_part *)record)->foil_density_kg_m3 = density_kg_m3;
        return PC_OK;
    }
    return pci_refuse(at, PC_E_VALUE,
                      "\"%.60s\" is not one of aluminum, copper, lead, tin, zinc, brass, steel: "
                      "give foil_density instead",
                      at->value);
}

static const char *const form_words[] = {"slab", "cylinder", "sphere", NULL};

static pc_status mesh_unit(const pci_at *at, void *record) {
    double si;
    pc_part *part = record;
    if (strlen(at->value) >= sizeof part->mesh_unit ||
        pci_quantity_to_si(1.0, at->value, PC_LENGTH, &si) != PC_OK)
        return pci_refuse(at, PC_E_UNIT, "\"%.60s\" is not a unit of length: mm, cm, m, in or ft",
                          at->value);
    strcpy(part->mesh_unit, at->value);
    return PC_OK;
}

static pc_status mold_name(const pci_at *at, void *record) {
    pc_part *part = record;
    if (strchr(at->value, ','))
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\": a part is poured in one mold: name one, without a comma",
                          at->value);
    if (strlen(at->value) >= sizeof part->mold)
        return pci_refuse(at, PC_E_SIZE, "the name is too long");
    if (!pci_text_shows(at->value))
        return pci_refuse(at, PC_E_VALUE, "the name of a mold has a letter at least");
    strcpy(part->mold, at->value);
    return PC_OK;
}

static const char OF_AREA[] = "an area is 1 mm2 to 10000 m2";
static const char OF_VOLUME[] = "a volume is 1 mm3 to 1000 m3";
static const char OF_WALL[] = "a wall or layer is more than 0 and at most 500 mm";

static const char OF_RUN[] = "sprues and vents are more than 0 and at most 5 m long";

#define LENGTH(key, member, most, range)                                                           \
    PCI_ABOVE_FIELD(key, PC_LENGTH, pc_part, member, 0, most, range)

static const pci_field hollow_fields[] = {
    PCI_QUANTITY_FIELD("area", PC_AREA, pc_part, area_m2, 1e-6, 1e4, OF_AREA),
    PCI_TEXT_FIELD("shape", pc_part, shape_text),
    PCI_TEXT_FIELD("mesh", pc_part, mesh_path),
    PCI_OWN_FIELD("mesh_unit", mesh_unit),
    PCI_ABOVE_FIELD("foil_mass", PC_MASS, pc_part, foil_kg, 0, 1000,
                    "a foil is more than 0 and at most 1000 kg"),
    LENGTH("foil_thickness", foil_m, 0.01, "a foil is more than 0 and at most 10 mm thick"),
    PCI_OWN_FIELD("foil_metal", foil_metal),
    PCI_QUANTITY_FIELD("foil_density", PC_DENSITY, pc_part, foil_density_kg_m3, 500, 25000,
                       "a metal has 0.5 to 25 g/cm3"),
    PCI_QUANTITY_FIELD("water_fill", PC_VOLUME, pc_part, water_fill_m3, 1e-9, 1e3, OF_VOLUME),
    LENGTH("wall", wall_m, PC_WALL_MOST_M, OF_WALL),
    PCI_YES_NO_FIELD("open", pc_part, open),
    PCI_QUANTITY_FIELD("seam", PC_LENGTH, pc_part, edge_m, 1e-3, 100,
                       "an edge is 1 mm to 100 m long"),
    LENGTH("pour_hole", pour_hole_m, 2.0, "a pour hole is more than 0 and at most 2 m"),
    PCI_WHOLE_FIELD("layers", pc_part, layers_asked, 1, PC_LAYERS_MOST,
                    "a whole number of layers, 1 to 12"),
    LENGTH("first_layer", first_layer_m, PC_WALL_MOST_M, OF_WALL),
    LENGTH("least_layer", least_layer_m, 0.05, "more than 0 and at most 50 mm"),
    PCI_TEXT_FIELD("resin", pc_part, resin),
    PCI_TEXT_FIELD("filler", pc_part, filler),
    PCI_OWN_FIELD("mold", mold_name),
    PCI_TEXT_FIELD("after", pc_part, after),
};

static const pci_field solid_fields[] = {
    PCI_QUANTITY_FIELD("volume", PC_VOLUME, pc_part, volume_m3, 1e-9, 1e3, OF_VOLUME),
    PCI_QUANTITY_FIELD("area", PC_AREA, pc_part, area_m2, 1e-6, 1e4, OF_AREA),
    PCI_TEXT_FIELD("shape", pc_part, shape_text),
    PCI_TEXT_FIELD("mesh", pc_part, mesh_path),
    PCI_OWN_FIELD("mesh_unit", mesh_unit),
    PCI_WORD_FIELD("form", pc_part, form, form_words),
    LENGTH("pour_hole", pour_hole_m, 2.0, "a pour hole is more than 0 and at most 2 m"),
    PCI_WHOLE_FIELD("sprues", pc_part, sprues, 1, 20, "a whole number, 1 to 20"),
    PCI_QUANTITY_FIELD("sprue_bore", PC_LENGTH, pc_part, sprue_bore_m, 1e-3, 0.5,
                       "a sprue is 1 to 500 mm wide"),
    LENGTH("sprue_length", sprue_length_m, 5, OF_RUN),
    PCI_WHOLE_FIELD("vents", pc_part, vents, 1, 100, "a whole number, 1 to 100"),
    PCI_QUANTITY_FIELD("vent_bore", PC_LENGTH, pc_part, vent_bore_m, 0.3e-3, 0.5,
                       "a vent is 0.3 to 500 mm wide"),
    LENGTH("vent_length", vent_length_m, 5, OF_RUN),
    PCI_YES_NO_FIELD("turn_over", pc_part, turn_over),
    PCI_TEXT_FIELD("resin", pc_part, resin),
    PCI_TEXT_FIELD("filler", pc_part, filler),
    PCI_OWN_FIELD("mold", mold_name),
    PCI_TEXT_FIELD("after", pc_part, after),
};

/* ---- [layer PART N] ---- */

static const char *const coat_words[] = {
#define WORD(name, word) word,
    PC_COAT_METHOD_TABLE(WORD)
#undef WORD
        NULL};

static const pci_field coat_fields[] = {
    PCI_WORD_FIELD("method", pc_coat, method, coat_words),
    PCI_ABOVE_FIELD("thickness", PC_LENGTH, pc_coat, thickness_m, 0, PC_WALL_MOST_M, OF_WALL),
    PCI_TEXT_FIELD("resin", pc_coat, resin),
    PCI_TEXT_FIELD("filler", pc_coat, filler),
    PCI_QUANTITY_FIELD("brush_cup", PC_MASS, pc_coat, cup_kg, 5e-3, 100,
                       "a cup to brush from is 5 g to 100 kg"),
    PCI_ABOVE_FIELD("brush_time", PC_TIME, pc_coat, cup_s, 0, 7200,
                    "a cup is brushed out in more than 0 s and at most 2 h"),
    PCI_ABOVE_FIELD("yield_stress", PC_STRESS, pc_coat, yield_Pa, 0, 1e4,
                    "a resin that does not run has up to 10 kPa"),
    PCI_ABOVE_FIELD("does_not_run", PC_LENGTH, pc_coat, no_run_m, 0, 0.05,
                    "the film that does not run is more than 0 and at most 50 mm"),
};

/* ---- [mold] ---- */

static const char *const rubber_words[] = {"silicone", "urethane", NULL};
static const char OF_MOLD[] = "it is 0.1 to 300 mm thick, or 0 for none";

/* Thinner than a film of release, the heat through it is lost in rounding. */
static bool is_mold_thickness(double thickness_m) {
    return thickness_m == 0.0 || (thickness_m >= 0.1e-3 && thickness_m <= 0.3);
}

static pc_status rubber(const pci_at *at, void *record) {
    double si;
    PCI_TRY(pci_read_quantity(at, at->value, PC_LENGTH, &si));
    if (!is_mold_thickness(si))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, OF_MOLD);
    ((pc_piece *)record)->mold.rubber_m = si;
    return PC_OK;
}

static pc_status shell(const pci_at *at, void *record) {
    pc_mold *mold = &((pc_piece *)record)->mold;
    double si = 0.0;
    if (!pci_same_word(at->value, "none")) {
        PCI_TRY(pci_read_quantity(at, at->value, PC_LENGTH, &si));
    }
    if (!is_mold_thickness(si))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is out of range: %s", at->value, OF_MOLD);
    mold->shell_m = si;
    mold->has_shell = si > 0.0;
    return PC_OK;
}

static pc_status shell_kind(const pci_at *at, void *record) {
    pc_mold *mold = &((pc_piece *)record)->mold;
    if (pci_same_word(at->value, "none")) {
        mold->has_shell = false;
        mold->shell_m = 0.0;
        return PC_OK;
    }
    bool plaster = pci_same_word(at->value, "plaster");
    if (!plaster && !pci_same_word(at->value, "resin"))
        return pci_refuse(at, PC_E_VALUE, "\"%.60s\" is not one of plaster, resin, none",
                          at->value);
    mold->shell_kind = plaster ? PC_PLASTER : PC_RESIN_SHELL;
    return PC_OK;
}

static const pci_field mold_fields[] = {
    PCI_OWN_FIELD("rubber", rubber),
    PCI_WORD_FIELD("rubber_kind", pc_piece, mold.rubber_kind, rubber_words),
    PCI_OWN_FIELD("shell", shell),
    PCI_OWN_FIELD("shell_kind", shell_kind),
    PCI_QUANTITY_FIELD("limit", PC_TEMPERATURE, pc_piece, mold.limit_K, ZERO + 30, ZERO + 400,
                       "a mold withstands 30 C to 400 C"),
};

/* ---- [turning] ---- */

static const char *const method_words[] = {"machine", "hand", "drain", NULL};
static const char *const against_words[] = {"arm", "floor"};

static pc_status inner_against(const pci_at *at, void *record) {
    bool floor = pci_same_word(at->value, against_words[1]);
    if (!floor && !pci_same_word(at->value, against_words[0]))
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" is neither arm nor floor: is the inner speed counted against "
                          "the arm that carries it, or against the floor?",
                          at->value);
    ((pc_piece *)record)->turning.inner_absolute = floor;
    return PC_OK;
}

/* Outer turns to inner turns, kept as inner to outer. */
static pc_status ratios(const pci_at *at, void *record) {
    pc_turning *turning = &((pc_piece *)record)->turning;
    double list[PC_RATIOS_MOST];
    size_t count = 0;
    for (const char *p = at->value;;) {
        const char *end;
        double outer = pc_number_parse(p + strspn(p, " \t"), &end), inner = NAN;
        p = end + strspn(end, " \t");
        if (*p == ':') {
            p++;
            inner = pc_number_parse(p + strspn(p, " \t"), &end);
            p = end + strspn(end, " \t");
        }
        bool good = fabs(outer) >= 1e-3 && fabs(outer) <= 1e3 && fabs(inner) >= 1e-3 &&
                    fabs(inner) <= 1e3 && (*p == ',' || *p == '\0');
        if (!good)
            return pci_refuse(at, PC_E_VALUE,
                              "\"%.60s\" is not a list of gears: write outer turns to inner turns "
                              "such as 4:1, 3:1",
                              at->value);
        if (count == PC_RATIOS_MOST)
            return pci_refuse(at, PC_E_SIZE, "more than %d ratios: leave some out", PC_RATIOS_MOST);
        list[count++] = inner / outer;
        if (*p++ == '\0')
            break;
    }
    memcpy(turning->ratio, list, count * sizeof *list);
    turning->ratio_count = count;
    return PC_OK;
}

static const struct {
    const char *word;
    double up[3];
} faces[] = {
    {"up", {0, 0, 1}},    {"down", {0, 0, -1}},  {"left", {-1, 0, 0}},
    {"right", {1, 0, 0}}, {"front", {0, -1, 0}}, {"back", {0, 1, 0}},
};

static pc_status one_tilt(const pci_at *at, const char *text, size_t n, pc_tilt *tilt) {
    char part[96];
    if (n >= sizeof part)
        return pci_refuse(at, PC_E_SIZE, "too long: write such as up 10 s, left 15 s");
    memcpy(part, text, n);
    part[n] = '\0';
    char *word = part + strspn(part, " \t"), *rest = word + strcspn(word, " \t");
    if (*rest)
        *rest++ = '\0';
    for (size_t i = 0; i < COUNT(faces); i++) {
        if (!pci_same_word(word, faces[i].word))
            continue;
        memcpy(tilt->up, faces[i].up, sizeof tilt->up);
        pc_status status = pci_read_quantity(at, rest, PC_TIME, &tilt->hold_s);
        if (status == PC_OK && !(tilt->hold_s > 0.0 && tilt->hold_s <= 3600.0))
            status = pci_refuse(at, PC_E_VALUE, "a tilt is held more than 0 s and at most 1 h");
        return status;
    }
    return pci_refuse(at, PC_E_VALUE,
                      "\"%s\" is not a face of the mold: up, down, left, right, front or back, "
                      "the one turned upward, then how long: up 10 s, left 15 s",
                      word);
}

static pc_status tilts(const pci_at *at, void *record) {
    pc_turning *turning = &((pc_piece *)record)->turning;
    pc_tilt list[PC_TILTS_MOST];
    size_t count = 0;
    for (const char *p = at->value;;) {
        size_t n = strcspn(p, ",");
        if (count == PC_TILTS_MOST)
            return pci_refuse(at, PC_E_SIZE, "more than %d tilts: leave some out", PC_TILTS_MOST);
        PCI_TRY(one_tilt(at, p, n, &list[count++]));
        if (!p[n])
            break;
        p += n + 1;
    }
    memcpy(turning->tilt, list, count * sizeof *list);
    turning->tilt_count = count;
    return PC_OK;
}

static const char OF_SPEED[] = "a mold turns at up to 300 rpm either way";
static const char OF_RANGE[] = "a machine's speed is more than 0 and at most 300 rpm";
#define SPEED(key, member)                                                                         \
    PCI_QUANTITY_FIELD(key, PC_TURN_RATE, pc_piece, member, -300 * PC_RPM, 300 * PC_RPM, OF_SPEED)

static const pci_field turning_fields[] = {
    PCI_WORD_FIELD("method", pc_piece, turning.method, method_words),
    SPEED("outer", turning.outer_rad_s),
    SPEED("inner", turning.inner_rad_s),
    PCI_OWN_FIELD("inner_against", inner_against),
    PCI_ABOVE_FIELD("slowest", PC_TURN_RATE, pc_piece, turning.slowest_rad_s, 0, 300 * PC_RPM,
                    OF_RANGE),
    PCI_ABOVE_FIELD("fastest", PC_TURN_RATE, pc_piece, turning.fastest_rad_s, 0, 300 * PC_RPM,
                    OF_RANGE),
    PCI_OWN_FIELD("ratios", ratios),
    PCI_ABOVE_FIELD("reverse_every", PC_TIME, pc_piece, turning.reverse_every_s, 0, PC_DAY_S,
                    "more than 0 s and at most 1 d"),
    PCI_YES_NO_FIELD("remount", pc_piece, turning.remount),
    PCI_OWN_FIELD("tilts", tilts),
    PCI_ABOVE_FIELD("drop_length", PC_LENGTH, pc_piece, turning.drop_length_m, 0, 20,
                    "resin drains over more than 0 and at most 20 m"),
    PCI_QUANTITY_FIELD("surface_tension", PC_SURFACE_TENSION, pc_piece, turning.surface_tension_N_m,
                       0.005, 0.1, "a resin has 5 to 100 mN/m"),
};

/* ---- [shop] ---- */

/* Where a temperature is absurd the other scale was often meant. */
static pc_status temperature(const pci_at *at, const char *value, double high_C, const char *what,
                             double *T_K) {
    double si, number = pc_number_parse(value, NULL);
    PCI_TRY(pci_read_quantity(at, value, PC_TEMPERATURE, &si));
    double C = si - ZERO;
    bool cold = C<PCI_SHOP_LEAST_C, hot = C> high_C;
    if (cold || hot) {
        double other = hot ? (number - 32.0) / 1.8 : number;
        if (other >= PCI_SHOP_LEAST_C && other <= high_C && (hot ? fabs(C - number) < 0.01 : true))
            return pci_refuse(at, PC_E_VALUE, "\"%.40s\" is too %s for %s: was %g %s meant?", value,
                              hot ? "hot" : "cold", what, number, hot ? "F" : "C");
    }
    bool fahrenheit = fabs((number - 32.0) / 1.8 - C) < 0.01 && fabs(number + 40.0) > 1.0;
    if (!cold && fahrenheit && C < 0.0 && number > 0.0)
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.40s\" is below freezing: was %g C meant? If not, write %.1f C",
                          value, number, C);
    if (cold || hot)
        return pci_refuse(at, PC_E_VALUE, "\"%.40s\" is out of range: %s is at %g C to %g C", value,
                          what, PCI_SHOP_LEAST_C, high_C);
    *T_K = si;
    return PC_OK;
}

pc_status pci_read_air(const pci_at *at, double *T_K) {
    return temperature(at, at->value, PCI_SHOP_MOST_C, "a shop", T_K);
}

static pc_status air(const pci_at *at, void *record) {
    pc_shop *shop = &((pc_piece *)record)->shop;
    pc_status status = pci_read_air(at, &shop->air_K);
    if (status == PC_OK)
        shop->day_count = 0;
    return status;
}

static pc_status resin_temperature(const pci_at *at, void *record) {
    pc_shop *shop = &((pc_piece *)record)->shop;
    shop->resin_given = true;
    return temperature(at, at->value, PCI_FILL_MOST_C, "resin to be mixed", &shop->resin_K);
}

static pc_status mold_temperature(const pci_at *at, void *record) {
    pc_shop *shop = &((pc_piece *)record)->shop;
    shop->mold_given = true;
    return temperature(at, at->value, PCI_FILL_MOST_C, "a mold to be filled", &shop->mold_K);
}

enum { DAY_GAP_MOST_H = 12 };

static pc_status day_row(const pci_at *at, const pci_csv *csv, size_t row, size_t clock,
                         size_t heat, pc_shop *shop) {
    pci_at here = {
        csv->file, csv->line[row], NULL, csv->header[clock], pci_csv_cell(csv, row, clock),
        at->errors};
    pc_day_point *point = &shop->day[row];
    pc_status status = pci_read_quantity(&here, here.value, PC_CLOCK, &point->clock_s);
    if (status == PC_OK && row > 0 && !(point->clock_s > shop->day[row - 1].clock_s))
        status = pci_refuse(&here, PC_E_VALUE, "the clock must go forward from row to row");
    here.key = csv->header[heat];
    here.value = pci_csv_cell(csv, row, heat);
    return pci_first(status, pci_read_air(&here, &point->T_K));
}

/* Between rows the day is a straight line: over half a day, or round a lone row, it would be made
 * up. From the last row to the first it runs through the night, when nobody pours. */
static pc_status judge_day(const pci_at *at, const pci_csv *csv, const pc_shop *shop) {
    if (csv->rows < 2)
        return pci_refuse(at, PC_E_VALUE,
                          "one row is no day: give a row at least every %d h, or temperature",
                          DAY_GAP_MOST_H);
    for (size_t row = 1; row < csv->rows; row++) {
        double gap_h = (shop->day[row].clock_s - shop->day[row - 1].clock_s) / 3600.0;
        if (gap_h > DAY_GAP_MOST_H)
            return pci_refuse(at, PC_E_VALUE,
                              "a gap of %.3g h before the row of line %ld: give a row at least "
                              "every %d h",
                              gap_h, csv->line[row], DAY_GAP_MOST_H);
    }
    return PC_OK;
}

static pc_status day(const pci_at *at, void *record) {
    pc_piece *piece = record;
    char path[1024];
    pci_csv csv = {0};
    /* a path on the command line starts where the user stands */
    const char *beside = strcmp(at->file, piece->path) == 0 ? at->file : NULL;
    if (!pci_path_beside(at->value, beside, path, sizeof path))
        return pci_refuse(at, PC_E_SIZE, "the path is too long");
    pc_status status = pci_csv_read(path, &csv, at->errors);
    long clock = pci_csv_column(&csv, "clock"), heat = pci_csv_column(&csv, "temperature");
    if (status == PC_OK && (clock < 0 || heat < 0))
        status = pci_refuse(at, PC_E_KEY,
                            "%.200s needs the columns clock,temperature, with rows such as "
                            "09:00,18 C",
                            path);
    if (status == PC_OK && csv.rows > PC_DAY_POINTS_MOST)
        status = pci_refuse(at, PC_E_SIZE, "more than %d rows in a day", PC_DAY_POINTS_MOST);
    piece->shop.day_count = 0;
    bool good = status == PC_OK;
    for (size_t row = 0; good && row < csv.rows; row++)
        status =
            pci_first(status, day_row(at, &csv, row, (size_t)clock, (size_t)heat, &piece->shop));
    if (status == PC_OK)
        status = judge_day(at, &csv, &piece->shop);
    if (status == PC_OK)
        piece->shop.day_count = csv.rows;
    pci_csv_free(&csv);
    return status;
}

static const char OF_HANDS_TIME[] = "it takes 0 s to 2 h";

static const pci_field shop_fields[] = {
    PCI_OWN_FIELD("temperature", air),
    PCI_OWN_FIELD("temperatures", day),
    PCI_OWN_FIELD("resin_temperature", resin_temperature),
    PCI_OWN_FIELD("mold_temperature", mold_temperature),
    PCI_QUANTITY_FIELD("mold_rest", PC_TIME, pc_piece, shop.mold_rest_s, 0, PC_DAY_S,
                       "from the oven to the first mix a mold waits 0 s to a day"),
    PCI_QUANTITY_FIELD("mix_time", PC_TIME, pc_piece, shop.mix_time_s, 0, 7200, OF_HANDS_TIME),
    PCI_QUANTITY_FIELD("pour_time", PC_TIME, pc_piece, shop.pour_time_s, 0, 7200, OF_HANDS_TIME),
    PCI_QUANTITY_FIELD("least_layer_wait", PC_TIME, pc_piece, shop.least_layer_wait_s, 0,
                       2 * PC_DAY_S, "from a layer's gel to the next pour it is 0 s to 2 d"),
    PCI_ABOVE_FIELD("hand_most", PC_TIME, pc_piece, shop.hand_most_s, 0, PC_DAY_S,
                    "hands turn a mold for more than 0 s and at most a day"),
    PCI_ABOVE_FIELD("largest_mix", PC_MASS, pc_piece, shop.largest_mix_kg, 0, 10000,
                    "the largest batch you can mix at once is more than 0 g and at most 10 t"),
    PCI_QUANTITY_FIELD("cup_loss", PC_SHARE, pc_piece, shop.cup_loss, 0, 0.5,
                       "a cup keeps 0 % to 50 % of its batch"),
    PCI_ABOVE_FIELD("catalyst", PC_SHARE, pc_piece, shop.catalyst, 0, 0.1,
                    "a level of catalyst is more than 0 %, at most 10 % of the resin by mass"),
    PCI_QUANTITY_FIELD("start", PC_CLOCK, pc_piece, shop.start_clock_s, 0, PC_DAY_S,
                       "a clock time"),
    PCI_WHOLE_FIELD("hands", pc_piece, shop.hands, 1, 20, "a whole number of people, 1 to 20"),
    PCI_QUANTITY_FIELD("room", PC_VOLUME, pc_piece, shop.room_m3, 1, 1e6,
                       "a shop's room is 1 m3 to 1000000 m3 (35 ft3 to 35000000 ft3)"),
    PCI_QUANTITY_FIELD("ventilation", PC_AIR_FLOW, pc_piece, shop.ventilation_m3_s, 0, 1000,
                       "0 to 1000 m3/s (0 to 2000000 cfm) of fresh air"),
};

/* ---- [margins] ---- */

#define SPREAD(key, member, most, range)                                                           \
    PCI_QUANTITY_FIELD(key, PC_SHARE, pc_piece, margins.member, 0, most, range)

static const pci_field margin_fields[] = {
    PCI_YES_NO_FIELD("on", pc_piece, margins.on),
    PCI_QUANTITY_FIELD("shop_temperature", PC_TEMPERATURE_STEP, pc_piece, margins.air_K, 0, 15,
                       "a spread of 0 C to 15 C"),
    SPREAD("times", times, 0.8, "a spread of 0 % to 80 %"),
    SPREAD("area", area, 0.5, "a spread of 0 % to 50 %"),
    SPREAD("mix_pour", mix_pour_times, 0.8, "a spread of 0 % to 80 %"),
    SPREAD("ratio", ratio, 0.3, "a spread of 0 % to 30 %"),
    PCI_WHOLE_FIELD("samples", pc_piece, margins.samples, 8, 4096, "a whole number, 8 to 4096"),
};

static const struct {
    const char *name;
    const pci_field *fields;
    size_t count;
} kinds[PCI_SECTION_KINDS] = {
    [PCI_SECTION_PIECE] = {"piece", piece_fields, COUNT(piece_fields)},
    [PCI_SECTION_HOLLOW] = {"hollow", hollow_fields, COUNT(hollow_fields)},
    [PCI_SECTION_SOLID] = {"solid", solid_fields, COUNT(solid_fields)},
    [PCI_SECTION_MOLD] = {"mold", mold_fields, COUNT(mold_fields)},
    [PCI_SECTION_TURNING] = {"turning", turning_fields, COUNT(turning_fields)},
    [PCI_SECTION_SHOP] = {"shop", shop_fields, COUNT(shop_fields)},
    [PCI_SECTION_MARGINS] = {"margins", margin_fields, COUNT(margin_fields)},
    [PCI_SECTION_LAYER] = {"layer", coat_fields, COUNT(coat_fields)},
    [PCI_SECTION_SEAM] = {"seam", pci_seam_fields, COUNT(pci_seam_fields)},
    [PCI_SECTION_RIM] = {"rim", pci_rim_fields, COUNT(pci_rim_fields)},
};

const char *const *pci_section_names(void) {
    static const char *const names[] = {
        "piece",        "hollow NAME", "solid NAME", "mold",     "turning",  "shop",     "margins",
        "layer PART N", "seam NAME",   "rim NAME",   "supplies", "strength", "pin NAME", NULL};
    return names;
}

const pci_field *pci_section_fields(pci_section_kind kind, size_t *count) {
    *count = kinds[kind].count;
    return kinds[kind].fields;
}

bool pci_section_is_part(int kind) {
    return kind == PCI_SECTION_HOLLOW || kind == PCI_SECTION_SOLID || kind == PCI_SECTION_SEAM ||
           kind == PCI_SECTION_RIM;
}

int pci_section_kind_of(const char *name) {
    char word[16];
    size_t n = strcspn(name, " ");
    if (n >= sizeof word)
        return -1;
    memcpy(word, name, n);
    word[n] = '\0';
    bool several = name[n] != '\0';
    for (int i = 0; i < PCI_SECTION_KINDS; i++)
        if (pci_same_word(kinds[i].name, word))
            return several && !pci_section_is_part(i) && i != PCI_SECTION_LAYER ? -1 : i;
    return -1;
}

bool pc_piece_key_at(size_t index, pc_piece_key *key) {
    for (size_t kind = 0; key && kind < PCI_SECTION_KINDS; kind++) {
        if (index >= kinds[kind].count) {
            index -= kinds[kind].count;
            continue;
        }
        const pci_field *field = &kinds[kind].fields[index];
        *key = (pc_piece_key){kinds[kind].name, field->key, field->range ? field->range : "",
                              field->words};
        return true;
    }
    return false;
}
