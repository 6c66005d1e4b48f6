/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A piece: defaults, and what is judged once every key is known. */
#include "pourclock/piece.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/range.h"
#include "base/say.h"
#include "base/text.h"
#include "piece/mixes.h"
#include "piece/molds.h"
#include "piece/piece_file.h"
#include "piece/shop_file.h"
#include "pourclock/film.h"
#include "sheet/filler_file.h"
#include "sheet/resin_file.h"

void pci_part_defaults(pc_part_kind kind, pc_part *part) {
    memset(part, 0, sizeof *part);
    part->kind = kind;
    part->wall_m = part->pour_hole_m = part->first_layer_m = part->volume_m3 = NAN;
    part->area_m2 = part->foil_kg = part->foil_m = part->foil_density_kg_m3 = NAN;
    part->water_fill_m3 = NAN;
    part->edge_m = part->length_m = part->width_m = part->depth_m = NAN;
    part->form = PC_SPHERE;
    part->least_layer_m = 0.8e-3;
}

void pci_piece_defaults(pc_piece *piece) {
    const double room_K = PC_SHEET_K;
    if (!piece)
        return;
    memset(piece, 0, sizeof *piece);
    strcpy(piece->name, "Piece");
    piece->units = PC_METRIC;
    piece->mold = (pc_mold){10e-3, 10e-3, PC_SILICONE, PC_PLASTER, true, INFINITY};
    pc_turning *turning = &piece->turning;
    turning->method = PC_MACHINE;
    turning->outer_rad_s = 12.0 * PC_RPM;
    turning->inner_rad_s = 3.0 * PC_RPM;
    turning->slowest_rad_s = turning->fastest_rad_s = turning->reverse_every_s = NAN;
    turning->drop_length_m = NAN;
    turning->surface_tension_N_m = PC_SURFACE_TENSION_N_M;
    pc_shop *shop = &piece->shop;
    shop->air_K = shop->resin_K = shop->mold_K = room_K;
    shop->mix_time_s = NAN;
    shop->hand_most_s = 1200.0; /* practice */
    shop->pour_time_s = 30.0;
    shop->largest_mix_kg = INFINITY;
    shop->cup_loss = 0.03;
    shop->catalyst = NAN;
    shop->start_clock_s = 9.0 * 3600.0;
    shop->hands = 1;
    shop->room_m3 = shop->ventilation_m3_s = NAN;
    piece->margins = (pc_margins){true, 1.0, 0.10, 0.05, 0.20, 0.02, 64};
}

void pc_piece_free(pc_piece *piece) {
    if (!piece)
        return;
    for (size_t i = 0; i < piece->part_count; i++)
        pc_shape_free(&piece->part[i].shape);
    piece->part_count = 0;
    free(piece->mix);
    piece->mix = NULL;
    piece->mix_count = 0;
}

/* fmin passes over a NaN: a limit that is not stated. */
double pci_part_peak_limit(const pc_piece *piece, const pc_part *part) {
    bool in_mold = part->role != PC_ROLE_SEAM && piece->mold.limit_K > 0.0;
    double mold_K = in_mold ? piece->mold.limit_K : INFINITY;
    double limit_K = fmin(pci_layer_resin(piece, part, 0)->peak_limit_K, mold_K);
    for (size_t i = 0; i < part->coat_count && i < PC_COATS_MOST; i++)
        limit_K = fmin(limit_K, pci_layer_resin(piece, part, part->coat[i].number)->peak_limit_K);
    return limit_K;
}

double pc_piece_peak_limit(const pc_piece *piece, size_t part) {
    if (!piece || part >= piece->part_count || part >= PC_PARTS_MOST)
        return INFINITY;
    return pci_part_peak_limit(piece, &piece->part[part]);
}

void pci_shop_settle(pc_shop *shop) {
    if (shop->day_count > 0)
        shop->air_K = pc_shop_air(shop, shop->start_clock_s);
    if (!shop->resin_given)
        shop->resin_K = shop->air_K;
    if (!shop->mold_given)
        shop->mold_K = shop->air_K;
}

pc_status pci_catalyst_settle(pc_piece *piece, const pci_at *at) {
    double level = piece->shop.catalyst;
    if (isnan(level) || !piece->resin.name[0] || level == piece->resin.catalyst.level)
        return PC_OK;
    if (!(piece->resin.catalyst.at > 0.0) && !at->value) /* the shop's own, for other resins */
        return PC_OK;
    pc_errors why = PC_ERRORS_INIT;
    pc_status status = pc_resin_set_catalyst(&piece->resin, level, &why);
    if (status != PC_OK)
        status = pci_refuse(at, PC_E_VALUE, "%s", why.count ? why.item[0].text : "out of range");
    pc_errors_free(&why);
    return status;
}

pc_status pci_filler_settle(pc_piece *piece, const pci_at *at) {
    if (!(piece->filler_parts > 0.0) || !piece->resin.name[0])
        return PC_OK;
    return pci_fill_at(at, &piece->resin, &piece->filler, piece->filler_parts);
}

const char *pci_coat_word(int method) {
    static const char *const words[] = {
#define WORD(name, word) word,
        PC_COAT_METHOD_TABLE(WORD)
#undef WORD
    };
    return method >= 0 && method < PC_COAT_AS_PIECE ? words[method] : "";
}

struct piece_check {
    const pc_piece *piece;
    const pci_ini *ini; /* NULL: from no file */
    pc_errors *errors;
    pc_status status;
};

/* A solid is named by what comes after the first word of its section. */
static pci_at place(const struct piece_check *j, const char *section, const char *key) {
    for (size_t s = 0; section && j->ini && s < j->ini->sections; s++) {
        const char *name = pci_ini_section(j->ini, s), *space = strchr(name, ' ');
        if (pci_same_word(name, section) || (space && pci_same_word(space + 1, section)))
            return pci_ini_at(j->ini, name, key, j->errors);
    }
    return (pci_at){j->piece->path, 0, section, key, NULL, j->errors};
}

PC_PRINTF(5, 6)
static void fault(struct piece_check *j, pc_status status, const char *section, const char *key,
                  const char *format, ...) {
    char text[400];
    va_list args;
    va_start(args, format);
    pci_vformat(text, sizeof text, format, args);
    va_end(args);
    pci_at at = place(j, section, key);
    pci_refuse(&at, status, "%s", text);
    if (j->status == PC_OK)
        j->status = status;
}

/* Of a wall or a solid: the heat of films of micrometers is lost in rounding. */
#define THINNEST_M 0.1e-3
/* What heat is followed through, and what a cup is: more is a slip of the unit. */
#define MIDDLE_MOST_M 1.0
#define RESIN_MOST_KG 1e5

/* No less than the distance from the wall to the middle: 3V/A is never below the inscribed radius
 * of a convex body; a plain cylinder or sphere knows its own; with the area alone, the sphere of
 * that area is the roomiest. */
static double half_thickness(const pc_shape *shape) {
    double radius = sqrt(shape->area_m2 / (4.0 * PC_PI));
    if (shape->volume_m3 > 0.0)
        radius = fmin(radius, 3.0 * shape->volume_m3 / shape->area_m2);
    if (shape->form != PC_SLAB && shape->form_radius_m > 0.0)
        radius = fmin(radius, shape->form_radius_m);
    return radius;
}

static bool fills_solid(const pc_shape *shape, double wall_m) {
    double volume_m3;
    return shape->volume_m3 > 0.0 && pc_shell_volume(shape, wall_m, &volume_m3) == PC_OK &&
           volume_m3 >= 0.999 * shape->volume_m3;
}

static void judge_amount(struct piece_check *j, const pc_part *part, const char *key,
                         double volume_m3) {
    double resin_kg = volume_m3 * j->piece->resin.density_kg_m3;
    if (resin_kg > RESIN_MOST_KG)
        fault(j, PC_E_VALUE, part->name, key,
              "this is %.3g t of resin, at most %g t can be planned: check the sizes and their "
              "units",
              resin_kg / 1e3, RESIN_MOST_KG / 1e3);
}

static void judge_hollow(struct piece_check *j, const pc_part *part) {
    const char *name = part->name;
    if (!(part->shape.area_m2 > 0.0)) {
        fault(j, PC_E_KEY, name, "area",
              "the area is missing: area = 210 sq in, or shape, mesh, or foil_mass");
        return;
    }
    double half_m = half_thickness(&part->shape), wall_m = part->wall_m;
    judge_amount(j, part, "area", part->shape.area_m2 * wall_m);
    if (isnan(wall_m))
        fault(j, PC_E_KEY, name, "wall", "the wall is missing: wall = 3/16 in");
    else if (!(wall_m >= THINNEST_M) || !(wall_m <= PC_WALL_MOST_M))
        fault(j, PC_E_VALUE, name, "wall", "a wall is at least 0.1 mm (0.004 in) and at most %s",
              pc_say_length(j->piece->units, PC_WALL_MOST_M).s);
    else if (wall_m >= half_m || fills_solid(&part->shape, wall_m))
        fault(j, PC_E_VALUE, name, "wall",
              "a wall of %s is more than half the piece, which is %s to its middle at "
              "most, and fills it solid: make the wall thinner, or the part [solid NAME]",
              pc_say_length(j->piece->units, wall_m).s, pci_say_both(PC_SAY_LENGTH, half_m).s);
    else if (part->first_layer_m > wall_m * (1.0 + 1e-9))
        fault(j, PC_E_VALUE, name, "first_layer", "the first layer is thicker than the wall");
    else if (part->layers_asked == 1 && part->first_layer_m < wall_m * (1.0 - 1e-9))
        fault(j, PC_E_VALUE, name, "first_layer",
              "one layer is all of the wall, %s: leave out layers = 1, or first_layer",
              pc_say_length(j->piece->units, wall_m).s);
    else if (part->layers_asked > 1 && part->first_layer_m >= wall_m * (1.0 - 1e-9))
        fault(j, PC_E_VALUE, name, "first_layer",
              "it is all of the wall and leaves nothing for layers = %d: leave out one of the two",
              part->layers_asked);
    if (part->pour_hole_m > 2.0 * sqrt(part->shape.area_m2 / (4.0 * PC_PI)))
        fault(j, PC_E_VALUE, name, "pour_hole", "the pour hole is wider than the piece");
}

/* Where a coat is stated. */
static void coat_section(const pc_part *part, const pc_coat *coat, char *section, size_t size) {
    const char *name = part->name;
    if (part->kind == PC_HOLLOW && strchr(name, ' '))
        name = strchr(name, ' ') + 1;
    snprintf(section, size, "layer %s %d", name, coat->number);
}

static void judge_coat(struct piece_check *j, const pc_part *part, const pc_coat *coat) {
    char section[128];
    coat_section(part, coat, section, sizeof section);
    if (part->kind == PC_SOLID)
        fault(j, PC_E_KEY, section, NULL,
              "a solid has no layers to lay one by one: give it its resin and filler in its own "
              "section");
    else if (part->layers_asked > 0 && coat->number > part->layers_asked)
        fault(j, PC_E_VALUE, section, NULL, "there is no layer %d: %s has layers = %d",
              coat->number, part->name, part->layers_asked);
    else if (coat->number > pci_coats_most(part) ||
             coat->number > 1 + (int)floor(part->wall_m / part->least_layer_m))
        fault(j, PC_E_VALUE, section, NULL,
              "there is no layer %d: a wall of %.3g mm has room for %d of at least %.3g mm "
              "(least_layer)",
              coat->number, 1e3 * part->wall_m,
              (int)fmax(1.0, floor(part->wall_m / part->least_layer_m * (1.0 + 1e-9))),
              1e3 * part->least_layer_m);
    else if (coat->method == PC_COAT_TURN && j->piece->turning.method == PC_DRAIN)
        fault(j, PC_E_VALUE, section, "method",
              "turning needs [turning] method = machine or hand; layers that are drained then say "
              "method = drain");
    if (coat->method != PC_COAT_BRUSH &&
        (!isnan(coat->cup_s) || !isnan(coat->yield_Pa) || !isnan(coat->no_run_m)))
        fault(j, PC_E_KEY, section, "method",
              "brush_time, yield_stress and does_not_run are for a brushed coat: add method = "
              "brush, or drop them");
}

/* A machine turns a form over: an open one would spill. Without layers = N there can be more. */
static void judge_open(struct piece_check *j, const pc_part *part) {
    bool spills = part->layers_asked == 0;
    if (part->kind != PC_HOLLOW || !part->open || j->piece->turning.method != PC_MACHINE)
        return;
    for (int number = 1; number <= part->layers_asked; number++)
        spills = spills || pci_layer_method(j->piece, part, number) == PC_COAT_TURN;
    if (spills)
        fault(
            j, PC_E_VALUE, part->name, "open",
            "an open form spills on a machine: [turning] method = hand, to tilt it within its rim; "
            "or state its layers and brush each of them (layers = 2, [layer body 1] method = "
            "brush)");
}

static void judge_hole(struct piece_check *j, const pc_part *part) {
    if (part->kind == PC_HOLLOW && part->open && part->pour_hole_m > 0.0)
        fault(j, PC_E_KEY, part->name, "pour_hole",
              "an open form is poured over its rim, not through a hole: drop pour_hole, or open = "
              "yes");
}

static void judge_coats(struct piece_check *j, const pc_part *part) {
    double stated_m = 0.0;
    int stated = 0, last = 0;
    for (size_t i = 0; i < part->coat_count && i < PC_COATS_MOST; i++)
        judge_coat(j, part, &part->coat[i]);
    for (int number = 1; number <= PC_LAYERS_MOST; number++) {
        const pc_coat *coat = pci_coat_of(part, number);
        double thick_m = number == 1 ? part->first_layer_m : coat ? coat->thickness_m : NAN;
        stated += !isnan(thick_m);
        stated_m += isnan(thick_m) ? 0.0 : thick_m;
        last = coat ? number : last;
    }
    int layers = part->layers_asked > 0 ? part->layers_asked : last;
    if (j->status != PC_OK || part->coat_count == 0)
        return;
    if (stated_m > part->wall_m * (1.0 + 1e-9) ||
        (stated < layers && stated_m > part->wall_m * (1.0 - 1e-9)))
        fault(
            j, PC_E_VALUE, part->name, "wall",
            "its layers of a stated thickness are %.3g mm together and leave nothing of the wall, "
            "%.3g mm, to the others",
            1e3 * stated_m, 1e3 * part->wall_m);
    else if (part->layers_asked > 0 && part->layers_asked < pci_coats_least(part))
        fault(
            j, PC_E_VALUE, part->name, "layers",
            "its layers of a stated thickness are %.3g mm together, the wall is %.3g mm: at least "
            "%d layers, or thicker ones",
            1e3 * stated_m, 1e3 * part->wall_m, pci_coats_least(part));
}

/* What the heat of a solid is followed through: half of a slab, the radius of the others. Where
 * only the volume is known the area is the least there is, a sphere's. */
static double to_the_middle(const pc_part *part) {
    double sphere_m2 = cbrt(36.0 * PC_PI * part->volume_m3 * part->volume_m3);
    double area_m2 = part->shape.area_m2 > 0.0 ? part->shape.area_m2 : sphere_m2;
    return ((double)part->form + 1.0) * part->volume_m3 / area_m2;
}

/* A run leads from a high or low place of the part to the top of its mold: a longer one, against
 * the side of a cube as large as the part, is a slip of the unit (judgment). */
static const double RUN_MOST = 20.0;

/* How many, how wide and how long: of one all, or none. */
static void judge_runs(struct piece_check *j, const pc_part *part, const char *what, int count,
                       double bore_m, double length_m) {
    char key[32];
    if (count == 0 && !(bore_m > 0.0) && !(length_m > 0.0))
        return;
    snprintf(key, sizeof key, count == 0 ? "%ss" : bore_m > 0.0 ? "%s_length" : "%s_bore", what);
    if (count == 0)
        fault(j, PC_E_KEY, part->name, key, "missing: how many %ss there are, %s = 2", what, key);
    else if (!(bore_m > 0.0) || !(length_m > 0.0))
        fault(j, PC_E_KEY, part->name, key, "missing: the %s of each %s, %s = %s",
              bore_m > 0.0 ? "length" : "bore", what, key, bore_m > 0.0 ? "40 mm" : "4 mm");
    else if (length_m > RUN_MOST * cbrt(part->volume_m3))
        fault(j, PC_E_VALUE, part->name, key,
              "a %s of %s is more than %g times as long as its part is wide: check it and its unit",
              what, pc_say_length(j->piece->units, length_m).s, RUN_MOST);
}

static void judge_trim(struct piece_check *j, const pc_part *part) {
    const double most = 2.0; /* times the part itself: more is a slip of the unit */
    double trim_m3 = pci_trim_m3(part);
    judge_runs(j, part, "sprue", part->sprues, part->sprue_bore_m, part->sprue_length_m);
    judge_runs(j, part, "vent", part->vents, part->vent_bore_m, part->vent_length_m);
    if (trim_m3 > most * part->volume_m3)
        fault(j, PC_E_VALUE, part->name, part->vents > 0 ? "vent_bore" : "sprue_bore",
              "sprue and vents hold %s, more than twice the part, %s: check their sizes and units",
              pc_say_volume(j->piece->units, trim_m3).s,
              pc_say_volume(j->piece->units, part->volume_m3).s);
}

static void judge_solid(struct piece_check *j, const pc_part *part) {
    judge_amount(j, part, "volume", part->volume_m3);
    judge_trim(j, part);
    if (to_the_middle(part) > MIDDLE_MOST_M)
        fault(
            j, PC_E_VALUE, part->name, "volume",
            "from its face to its middle this solid is %.3g m, at most %g m can be planned: check "
            "the volume and its unit",
            to_the_middle(part), MIDDLE_MOST_M);
    if (!(part->volume_m3 > 0.0))
        fault(j, PC_E_KEY, part->name, "volume",
              "the volume is missing: volume = 420 cm3, or shape, or a closed mesh");
    double area_m2 = part->shape.area_m2;
    if (part->volume_m3 > 0.0 && area_m2 > 0.0 && !(part->volume_m3 >= THINNEST_M * area_m2))
        fault(j, PC_E_VALUE, part->name, "volume",
              "over its area this volume is %s thick, at least 0.1 mm (0.004 in) is needed: check "
              "both "
              "and their units",
              pc_say_thickness(j->piece->units, part->volume_m3 / area_m2).s);
}

static void judge_turning(struct piece_check *j) {
    const pc_turning *t = &j->piece->turning;
    double outer = fabs(t->outer_rad_s), inner = fabs(t->inner_rad_s);
    if (t->method == PC_MACHINE && !(outer + inner > 0.0))
        fault(j, PC_E_VALUE, "turning", "outer",
              "nothing turns: outer = 12 rpm and inner = 3 rpm, or method = hand or drain");
    if (t->slowest_rad_s > t->fastest_rad_s)
        fault(j, PC_E_VALUE, "turning", "slowest", "the slowest speed is above the fastest");
    else if (t->method == PC_MACHINE && (outer > 1.000001 * t->fastest_rad_s ||
                                         (outer > 0.0 && outer < 0.999999 * t->slowest_rad_s)))
        fault(j, PC_E_VALUE, "turning", "outer",
              "the machine turns at %.3g to %.3g rpm by slowest and fastest: choose a speed it has",
              t->slowest_rad_s / PC_RPM, t->fastest_rad_s / PC_RPM);
}

static bool bearable(double T_K, double most_C) {
    return pci_within(T_K, PC_ZERO_CELSIUS_K + PCI_SHOP_LEAST_C, PC_ZERO_CELSIUS_K + most_C);
}

static void judge_temperature(struct piece_check *j, double T_K, double most_C, const char *key,
                              const char *what) {
    if (!bearable(T_K, most_C))
        fault(j, PC_E_VALUE, "shop", key, "%s is at %g C to %g C", what, PCI_SHOP_LEAST_C, most_C);
}

static void judge_shop(struct piece_check *j) {
    const pc_shop *shop = &j->piece->shop;
    judge_temperature(j, shop->air_K, PCI_SHOP_MOST_C, "temperature", "a shop");
    judge_temperature(j, shop->resin_K, PCI_FILL_MOST_C, "resin_temperature",
                      "a resin to be mixed");
    judge_temperature(j, shop->mold_K, PCI_FILL_MOST_C, "mold_temperature", "a mold to be filled");
    if (shop->mix_time_s < 0.0 || isinf(shop->mix_time_s) || !(shop->pour_time_s >= 0.0) ||
        !isfinite(shop->pour_time_s))
        fault(j, PC_E_VALUE, "shop", "mix_time", "mixing and pouring take 0 or more seconds");
    if (!(shop->largest_mix_kg > 0.0))
        fault(j, PC_E_VALUE, "shop", "largest_mix", "the largest mix must be more than 0 g");
    if (!(shop->cup_loss >= 0.0 && shop->cup_loss <= 0.5))
        fault(j, PC_E_VALUE, "shop", "cup_loss", "a cup keeps 0 to 50 %% of its batch");
    if (j->piece->mold.limit_K <= fmax(shop->mold_K, shop->air_K))
        fault(j, PC_E_VALUE, "mold", "limit",
              "the mold is hotter than its limit before anything is poured: check the limit");
}

/* Both, or neither: one alone says nothing of what gathers in the room. */
static void judge_air(struct piece_check *j) {
    const double changes_most = 1000.0;
    double room_m3 = j->piece->shop.room_m3, air_m3_s = j->piece->shop.ventilation_m3_s;
    bool room = room_m3 > 0.0, air = !isnan(air_m3_s) && (room || air_m3_s > 0.0);
    double changes = room ? 3600.0 * air_m3_s / room_m3 : NAN;
    if (room && !air)
        fault(j, PC_E_KEY, "shop", "ventilation",
              "the room is stated without its fresh air: add ventilation = 200 m3/h, or 0 m3/h "
              "where no air is let in");
    else if (air && !room)
        fault(j, PC_E_KEY, "shop", "room",
              "the fresh air is stated without its room: add room = 60 m3, the volume of its air");
    else if (room && changes > changes_most)
        fault(j, PC_E_VALUE, "shop", "ventilation",
              "%.3g air changes an hour; a shop has at most %.0f: check room and ventilation",
              changes, changes_most);
}

static void judge_fields(struct piece_check *j, pci_section_kind kind, const void *record,
                         const void *blank, const char *name) {
    size_t count;
    const pci_field *fields = pci_section_fields(kind, &count);
    size_t from = j->errors ? j->errors->count : 0;
    j->status =
        pci_first(j->status, pci_fields_check(fields, count, record, blank, name, j->errors));
    for (size_t i = from; j->errors && i < j->errors->count; i++) {
        pc_error *e = &j->errors->item[i];
        pci_at at = place(j, name, e->key);
        pci_copy_text(e->file, sizeof e->file, at.file);
        pci_copy_text(e->section, sizeof e->section, at.section);
        e->line = at.line;
    }
}

static pci_section_kind section_of(const pc_part *part) {
    return part->kind == PC_HOLLOW      ? PCI_SECTION_HOLLOW
           : part->role == PC_ROLE_SEAM ? PCI_SECTION_SEAM
           : part->role == PC_ROLE_RIM  ? PCI_SECTION_RIM
                                        : PCI_SECTION_SOLID;
}

static void judge_day(struct piece_check *j) {
    const pc_shop *shop = &j->piece->shop;
    bool good = true;
    for (size_t i = 0; i < shop->day_count && i < PC_DAY_POINTS_MOST; i++)
        good = good && shop->day[i].clock_s >= 0.0 && shop->day[i].clock_s <= PC_DAY_S &&
               (i == 0 || shop->day[i].clock_s > shop->day[i - 1].clock_s) &&
               bearable(shop->day[i].T_K, PCI_SHOP_MOST_C);
    if (!good || shop->day_count > PC_DAY_POINTS_MOST)
        fault(j, PC_E_VALUE, "shop", "temperatures",
              "a day's clock goes forward from 00:00 to 24:00, its shop is at %g C to %g C",
              PCI_SHOP_LEAST_C, PCI_SHOP_MOST_C);
}

/* A piece need not come from a file: its numbers are held to the ranges of one. */
static void judge_numbers(struct piece_check *j) {
    const pc_piece *piece = j->piece;
    static const pci_section_kind kinds[] = {PCI_SECTION_PIECE, PCI_SECTION_MOLD,
                                             PCI_SECTION_TURNING, PCI_SECTION_SHOP,
                                             PCI_SECTION_MARGINS};
    pc_piece blank;
    pci_piece_defaults(&blank);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        judge_fields(j, kinds[i], piece, &blank, pci_section_names()[kinds[i]]);
    for (size_t i = 0; i < piece->part_count && i < PC_PARTS_MOST; i++) {
        const pc_part *part = &piece->part[i];
        pc_part bare, plain = *part;
        pci_part_defaults(part->kind, &bare);
        /* how the shape was stated does not matter any more */
        plain.area_m2 = plain.foil_kg = plain.foil_m = NAN;
        plain.foil_density_kg_m3 = plain.water_fill_m3 = NAN;
        if (part->kind != PC_HOLLOW || !part->open)
            plain.edge_m = NAN;
        judge_fields(j, section_of(part), &plain, &bare, part->name);
        if (!(part->shape.area_m2 <= 1e4 || part->kind == PC_SOLID) ||
            !(part->shape.turn_radius_m > 0.0 || part->kind == PC_SOLID) ||
            (unsigned)part->form > PC_SPHERE || (unsigned)part->role > PC_ROLE_RIM)
            fault(j, PC_E_VALUE, part->name, "shape", "its shape's numbers are out of range");
    }
    judge_day(j);
    if (piece->resin.name[0])
        j->status = pci_first(j->status, pci_resin_check(&piece->resin, j->errors));
    for (size_t i = 0; i < piece->mix_count; i++)
        j->status = pci_first(j->status, pci_resin_check(&piece->mix[i].resin, j->errors));
}

/* A name in a file that is to be one part's. */
static bool judge_name(struct piece_check *j, const char *section, const char *key,
                       const char *name) {
    size_t part, count = pci_parts_named(j->piece, name, &part);
    if (count == 1)
        return true;
    if (count > 1)
        fault(j, PC_E_VALUE, section, key, "%zu parts go by \"%.60s\": give each a name of its own",
              count, name);
    else
        fault(j, PC_E_VALUE, section, key,
              "no part is called \"%.60s\": name one by its section, [hollow NAME] or "
              "[solid NAME]",
              name);
    return false;
}

/* Parts of one mold, the order they are poured in, and the pins set in them. */
static void judge_molds(struct piece_check *j) {
    const pc_piece *piece = j->piece;
    bool good = true;
    for (size_t i = 0; i < piece->part_count; i++) {
        const char *list = piece->part[i].after;
        char name[sizeof piece->part[i].name];
        while (pci_next_name(&list, name, sizeof name))
            good = judge_name(j, piece->part[i].name, "after", name) && good;
    }
    for (size_t i = 0; i < piece->pin_count && i < PC_PINS_MOST; i++)
        judge_name(j, piece->pin[i].name, "part", piece->pin[i].part);
    pci_pour_order molds;
    size_t circle;
    if (!good)
        return;
    if (pci_molds_of(piece, &molds, &circle) != PC_OK) {
        fault(j, PC_E_VALUE, piece->part[circle].name, "after",
              "the order runs in a circle: this part is poured after one that waits for it, in its "
              "own mold or through another; take one of them out of after");
        return;
    }
    for (size_t i = 0; i < piece->part_count; i++)
        if (piece->part[i].turn_over && molds.part[molds.of_part[i]][0] == i)
            fault(j, PC_E_VALUE, piece->part[i].name, "turn_over",
                  "nothing is in its mold before it: a mold is turned over for a part that is "
                  "poured on another, both with the same mold = NAME");
}

pc_status pc_piece_check(const pc_piece *piece, pc_errors *errors) {
    return piece ? pci_piece_check(piece, NULL, errors) : PC_E_ARGUMENT;
}

pc_status pci_piece_check(const pc_piece *piece, const pci_ini *ini, pc_errors *errors) {
    struct piece_check j = {piece, ini, errors, PC_OK};
    if (!piece->resin.name[0])
        fault(&j, PC_E_KEY, "piece", "resin",
              "the resin is missing: resin = fast-urethane, or the path of a resin file");
    if (piece->part_count == 0)
        fault(&j, PC_E_KEY, NULL, NULL,
              "no part: a piece needs a section [hollow NAME] or [solid NAME]");
    if (piece->part_count > PC_PARTS_MOST)
        return pc_errors_add(errors, PC_E_VALUE, PC_NOWHERE, "more than %d parts", PC_PARTS_MOST);
    for (size_t i = 0; i < piece->part_count; i++)
        if (piece->part[i].kind == PC_HOLLOW)
            judge_hollow(&j, &piece->part[i]);
        else
            judge_solid(&j, &piece->part[i]);
    for (size_t i = 0; i < piece->part_count; i++)
        judge_coats(&j, &piece->part[i]);
    for (size_t i = 0; i < piece->part_count; i++) {
        judge_open(&j, &piece->part[i]);
        judge_hole(&j, &piece->part[i]);
    }
    judge_molds(&j);
    judge_turning(&j);
    judge_shop(&j);
    judge_air(&j);
    judge_numbers(&j);
    return j.status;
}
