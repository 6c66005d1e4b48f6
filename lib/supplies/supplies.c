/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to buy and mix. */
#include "pourclock/supplies.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "piece/molds.h"
#include "pourclock/quantity.h"
#include "pourclock/words.h"
#include "supplies/strength.h"
#include "wall/layers.h"

#define RELEASE_KG_M3 1000.0 /* release agents are near water (judgment) */
#define TURN_ROUND_S  900.0  /* demold, clean, release, close: judgment */

typedef struct maker {
    const pc_piece *piece;
    const pc_schedule *schedule;
    const pc_order *order;
    const pc_prices *prices;
    pc_supplies *out;
    pc_errors *errors;
    pci_pour_order molds;
    size_t mold[PC_PARTS_MOST]; /* those of out->mold */
} maker;

PC_PRINTF(2, 3) static void note(maker *m, const char *format, ...) {
    if (m->out->note_count == sizeof m->out->note / sizeof *m->out->note)
        return;
    va_list args;
    va_start(args, format);
    pci_vformat(m->out->note[m->out->note_count++], sizeof m->out->note[0], format, args);
    va_end(args);
}

static pc_need *need(maker *m, pc_supply item) {
    pc_need *n = &m->out->need[m->out->need_count++];
    *n = (pc_need){.item = item};
    n->amount = n->volume_m3 = n->part_a = n->part_b = NAN;
    n->part_a_m3 = n->part_b_m3 = n->cost = n->left_a = n->left_b = NAN;
    return n;
}

static void add_filler(pc_need *n, const pc_layer *layer) {
    size_t used = strlen(n->fillers);
    const char *name = layer->filler[0] ? layer->filler : "not named";
    if (!(layer->filler_kg > 0.0) || strstr(n->fillers, name))
        return;
    pci_format(n->fillers + used, sizeof n->fillers - used, "%s%s", used ? ", " : "", name);
}

/* The row of a resin, made where there is none yet. */
static pc_need *resin_row(maker *m, const char *name) {
    for (size_t i = 0; i < m->out->need_count; i++)
        if (strcmp(m->out->need[i].name, name) == 0 || i + 1 == PC_RESINS_MOST)
            return &m->out->need[i];
    pc_need *n = need(m, PC_SUPPLY_RESIN);
    n->amount = n->volume_m3 = n->part_a = n->part_b = 0.0;
    n->part_a_m3 = n->part_b_m3 = 0.0;
    pci_copy_text(n->name, sizeof n->name, name);
    return n;
}

static void add_layer(maker *m, size_t part, const pc_layer *layer) {
    const pc_resin *of = pc_piece_resin(m->piece, part, layer->number);
    double times = m->order->castings * (1 + m->order->loss);
    pc_need *n = resin_row(m, of->name);
    n->amount += layer->batch_kg * times;
    n->volume_m3 += layer->batch_kg * times / of->density_kg_m3;
    n->part_a += layer->part_a_kg * times;
    n->part_b += layer->part_b_kg * times;
    n->filler += layer->filler_kg * times;
    n->part_a_m3 += layer->part_a_kg * times / of->density_a_kg_m3;
    n->part_b_m3 += layer->part_b_kg * times / of->density_b_kg_m3;
    add_filler(n, layer);
}

/* Of one resin alone its sum is taken at once, whatever the layers round to. */
static void one_resin(maker *m, double bought) {
    const pc_resin *of = &m->piece->resin;
    pc_need *n = need(m, PC_SUPPLY_RESIN);
    n->amount = bought;
    n->volume_m3 = bought / of->density_kg_m3;
    n->part_a = bought * of->share_a;
    n->part_b = bought * of->share_b;
    n->filler = bought * of->fill.share;
    pci_copy_text(n->fillers, sizeof n->fillers, of->fill.of.name);
    n->part_a_m3 = n->part_a / of->density_a_kg_m3;
    n->part_b_m3 = n->part_b / of->density_b_kg_m3;
}

/* What goes into a mold and does not stay in the piece. */
static void find_cut_off(maker *m) {
    for (size_t p = 0; p < m->schedule->part_count; p++)
        for (size_t j = 0; j < m->schedule->part[p]->layer_count; j++) {
            const pc_layer *layer = m->schedule->part[p]->layer[j];
            m->out->resin_trimmed_kg += layer->trim_kg * m->order->castings;
            m->out->resin_poured_back_kg += /* fmax drops NaN */
                fmax(0.0, layer->surplus_kg) * m->order->castings;
        }
}

static void resin(maker *m) {
    double mixed = m->schedule->resin_kg * m->order->castings;
    double bought = mixed * (1 + m->order->loss);
    m->out->resin_in_cups_kg = mixed * m->piece->shop.cup_loss;
    find_cut_off(m);
    m->out->resin_in_pieces_kg =
        mixed - m->out->resin_in_cups_kg - m->out->resin_trimmed_kg - m->out->resin_poured_back_kg;
    m->out->resin_lost_kg = bought - mixed;
    if (m->piece->mix_count == 0) {
        one_resin(m, bought);
        return;
    }
    for (size_t p = 0; p < m->schedule->part_count; p++)
        for (size_t j = 0; j < m->schedule->part[p]->layer_count; j++)
            add_layer(m, p, m->schedule->part[p]->layer[j]);
    if (m->out->need_count == 1)
        m->out->need[0].name[0] = '\0';
}

/* Volume of a coat of a thickness on the outside of the parts of a mold, and the area it ends with.
 */
static double coat(const maker *m, size_t mold, double thickness_m, double *outer_m2) {
    double volume = 0, outer = 0;
    for (size_t p = 0; p < m->piece->part_count; p++) {
        const pc_shape *s = &m->piece->part[p].shape;
        double t = thickness_m;
        if (!(s->area_m2 > 0) || m->piece->part[p].role != PC_ROLE_PLAIN ||
            m->molds.of_part[p] != mold)
            continue;
        volume +=
            s->area_m2 * t + s->mean_curvature_m * t * t + 2 * PC_PI / 3 * s->euler * t * t * t;
        outer += s->area_m2 + 2 * s->mean_curvature_m * t + 2 * PC_PI * s->euler * t * t;
    }
    if (outer_m2)
        *outer_m2 = outer;
    return volume;
}

static double model_volume(const maker *m) {
    double volume = 0;
    for (size_t p = 0; p < m->piece->part_count; p++) {
        const pc_part *part = &m->piece->part[p];
        if (part->role != PC_ROLE_PLAIN) /* along an edge of the others */
            continue;
        volume += part->kind == PC_SOLID ? part->volume_m3 : part->shape.volume_m3;
    }
    return volume;
}

static double rubber_density(const maker *m) {
    pc_material material = {0};
    if (m->order->rubber_kg_m3 > 0)
        return m->order->rubber_kg_m3;
    pci_mold_material(m->piece->mold.rubber_kind, &material);
    return material.rho_kg_m3;
}

static pc_status poured_room(maker *m, double *room_m3) {
    double model = model_volume(m), box = m->order->box_m3;
    if (isnan(box))
        return pc_errors_add(
            m->errors, PC_E_KEY,
            (pc_place){.file = m->piece->path, .section = "supplies", .key = "box"},
            "missing: a poured mold needs its box, as box = 200 x 150 x 300 mm");
    if (isnan(model))
        return pc_errors_add(
            m->errors, PC_E_VALUE,
            (pc_place){.file = m->piece->path, .section = "supplies", .key = "mold"},
            "the model's volume is not known: give the part a shape, a mesh or "
            "its volume, or use mold = blanket");
    if (!(box > model))
        return pc_errors_add(
            m->errors, PC_E_VALUE,
            (pc_place){.file = m->piece->path, .section = "supplies", .key = "box"},
            "the box holds %s and the model takes %s: a larger box",
            pc_say_volume(m->piece->units, box).s, pc_say_volume(m->piece->units, model).s);
    *room_m3 = box - model;
    return PC_OK;
}

/* The molds there are: a seam needs none. */
static void list_molds(maker *m) {
    size_t circle;
    pci_molds_of(m->piece, &m->molds, &circle);
    for (size_t k = 0; k < m->molds.count; k++) {
        pc_mold_supply of = {.rubber_kg = 0};
        bool any = false;
        for (size_t p = 0; p < m->piece->part_count; p++) {
            const pc_part *part = &m->piece->part[p];
            size_t used = strlen(of.parts);
            if (m->molds.of_part[p] != k || part->role == PC_ROLE_SEAM)
                continue;
            pci_format(of.parts + used, sizeof of.parts - used, "%s%s", used ? ", " : "",
                       part->name);
            pci_copy_text(of.name, sizeof of.name, part->mold);
            any = true;
        }
        if (!any)
            continue;
        m->mold[m->out->mold_count] = k;
        m->out->mold[m->out->mold_count++] = of;
    }
}

static pc_status rubber(maker *m) {
    double room = 0, rho = rubber_density(m), t = m->piece->mold.rubber_m;
    if (m->order->way == PC_BLANKET && !(t > 0))
        return PC_OK;
    if (m->order->way == PC_BLANKET) {
        for (size_t k = 0; k < m->out->mold_count; k++) {
            double volume = coat(m, m->mold[k], t, NULL);
            m->out->mold[k].rubber_kg = volume * (1 + m->order->rubber_loss) * rho;
            room += volume;
        }
        if (m->order->chunks > 0)
            note(m, "chunks of old rubber go into poured molds only: a brushed blanket takes none");
    } else {
        PCI_TRY(poured_room(m, &room));
        m->out->chunks_m3 = room * m->order->chunks;
        if (m->order->chunks > PC_CHUNKS_SAFE)
            note(m,
                 "chunks at %.0f %% of the room: up to %.0f %% is safe by shop practice; more "
                 "leaves weak bridges and air between them",
                 100 * m->order->chunks, 100 * PC_CHUNKS_SAFE);
        if (m->order->chunks > 0)
            note(m, "chunks: same kind of rubber, fully cured, clean, no nearer to the model than "
                    "the rubber is thick; test that fresh rubber bonds to them");
    }
    m->out->rubber_room_m3 = room;
    m->out->chunks_saved_kg = m->out->chunks_m3 * rho * (1 + m->order->rubber_loss);
    pc_need *n = need(m, PC_SUPPLY_RUBBER);
    n->volume_m3 = (room - m->out->chunks_m3) * (1 + m->order->rubber_loss);
    n->amount = n->volume_m3 * rho;
    return PC_OK;
}

/* Each part of the shell has its own flange along its seam, taken as that round a sphere of the
 * same area: an estimate. */
static double shell_of(const maker *m, size_t mold) {
    const pc_mold *of = &m->piece->mold;
    double outer = 0, volume = coat(m, mold, of->rubber_m + of->shell_m, &outer);
    volume -= coat(m, mold, of->rubber_m, NULL);
    double seam = m->order->shell_halves > 1 ? sqrt(PC_PI * outer) : 0;
    return volume + m->order->shell_halves * seam * m->order->flange_m * of->shell_m;
}

static void shell(maker *m) {
    const pc_mold *mold = &m->piece->mold;
    if (!mold->has_shell || !(mold->shell_m > 0) || m->order->way == PC_POURED)
        return;
    pc_material material = {0};
    pci_mold_material(mold->shell_kind, &material);
    double rho = m->order->shell_kg_m3 > 0 ? m->order->shell_kg_m3 : material.rho_kg_m3;
    double volume = 0;
    for (size_t k = 0; k < m->out->mold_count; k++) {
        double of_mold = shell_of(m, m->mold[k]);
        m->out->mold[k].shell_kg = of_mold * (1 + m->order->shell_loss) * rho;
        volume += of_mold;
    }
    pc_need *n = need(m, PC_SUPPLY_SHELL);
    n->volume_m3 = volume * (1 + m->order->shell_loss);
    n->amount = n->volume_m3 * rho;
    m->out->shell_half_kg = n->amount / m->order->shell_halves;
}

static void release(maker *m) {
    double area = 0;
    for (size_t p = 0; p < m->piece->part_count; p++)
        if (m->piece->part[p].shape.area_m2 > 0 && m->piece->part[p].role != PC_ROLE_SEAM)
            area += m->piece->part[p].shape.area_m2;
    if (!(area > 0) || !(m->order->release_m > 0))
        return;
    pc_need *n = need(m, PC_SUPPLY_RELEASE);
    n->volume_m3 = area * m->order->release_m * m->order->castings;
    n->amount = n->volume_m3 * RELEASE_KG_M3;
}

static const double KITS_MOST = 1e6, PAIRS_MOST = 200.0;

/* Kits that cover a need; an empty kit covers none. */
static double kits_for(double need, double holds) {
    if (need <= 0.0)
        return 0.0;
    return holds > 0.0 ? need / holds : INFINITY;
}

/* How often a need goes into what a kit holds; nothing needed goes in without end. */
static double times(double holds, double need) {
    return need > 0.0 ? holds / need : INFINITY;
}

/* What is bought of one item: so many of a kit, and of another beside it. */
typedef struct purchase {
    const pc_kit *kit, *other;
    double kits, others, cost;
} purchase;

/* Kits that cover what is left of a need; of resin both parts. */
static double kits_of(const pc_need *n, const pc_kit *kit, double a, double b) {
    bool two = n->item == PC_SUPPLY_RESIN;
    double kits = fmax(kits_for(a, kit->part_a), two ? kits_for(b, kit->part_b) : 0.0);
    return fmax(0.0, ceil(kits - 1e-9));
}

static void prefer(purchase *best, const pc_kit *kit, double kits, const pc_kit *other,
                   double others) {
    double cost = kits * kit->price + (other ? others * other->price : 0.0);
    if (!(kits + others <= KITS_MOST && cost < best->cost - 1e-9))
        return;
    if (others > 0.0 && other->price > kit->price) /* the dearer kit is named first */
        *best = (purchase){other, kit, others, kits, cost};
    else
        *best = (purchase){kit, others > 0.0 ? other : NULL, kits, others, cost};
}

/* Names are alike where their letters and digits are: casting-epoxy and Casting epoxy. */
static bool same_resin(const char *a, const char *b) {
    for (;; a++, b++) {
        while (*a == '-' || *a == '_' || *a == ' ')
            a++;
        while (*b == '-' || *b == '_' || *b == ' ')
            b++;
        char x[2] = {*a, '\0'}, y[2] = {*b, '\0'};
        if (!*a || !*b)
            return *a == *b;
        if (!pci_same_word(x, y))
            return false;
    }
}

/* A kit that names no resin is of the piece's. */
static bool is_kit_of(const maker *m, const pc_need *n, const pc_kit *kit) {
    const char *own = m->piece->resin.name;
    if (kit->item != n->item)
        return false;
    return n->item != PC_SUPPLY_RESIN ||
           same_resin(kit->resin[0] ? kit->resin : own, n->name[0] ? n->name : own);
}

/* Fewer of a kit than cover the need, and the rest in another: the last few decide. */
static void try_pairs(const maker *m, const pc_need *n, const pc_kit *kit, double alone, double a,
                      double b, purchase *best) {
    for (size_t i = 0; i < m->prices->count; i++) {
        const pc_kit *other = &m->prices->kit[i];
        if (!is_kit_of(m, n, other) || other == kit)
            continue;
        for (double kits = fmax(1.0, alone - PAIRS_MOST); kits < alone; kits++)
            prefer(best, kit, kits, other,
                   kits_of(n, other, a - kits * kit->part_a, b - kits * kit->part_b));
    }
}

static void fill_in(const maker *m, const purchase *best, double a, double b, pc_need *n) {
    bool two = n->item == PC_SUPPLY_RESIN;
    const pc_kit *kit = best->kit, *other = best->other;
    n->cost = best->cost;
    n->kits = (long)best->kits;
    n->other_kits = (long)best->others;
    n->left_a = best->kits * kit->part_a + (other ? best->others * other->part_a : 0.0) - a;
    n->left_b =
        two ? best->kits * kit->part_b + (other ? best->others * other->part_b : 0.0) - b : NAN;
    double per =
        m->order->castings * fmin(times(kit->part_a, a), two ? times(kit->part_b, b) : INFINITY);
    n->castings_per_kit = two ? (long)floor(fmin(per, 1e9) + 1e-9) : 0;
    pci_copy_text(n->kit, sizeof n->kit, kit->name[0] ? kit->name : pc_supply_word(kit->item));
    if (other)
        pci_copy_text(n->other_kit, sizeof n->other_kit,
                      other->name[0] ? other->name : pc_supply_word(other->item));
}

/* Kits of one item, of one or two kinds: the cheapest in total. */
static pc_status buy(maker *m, pc_need *n) {
    bool two = n->item == PC_SUPPLY_RESIN;
    double a = two ? n->part_a : n->amount, b = two ? n->part_b : 0.0;
    purchase best = {.cost = INFINITY};
    for (size_t i = 0; i < m->prices->count; i++) {
        const pc_kit *kit = &m->prices->kit[i];
        if (!is_kit_of(m, n, kit))
            continue;
        double alone = fmax(1.0, kits_of(n, kit, a, b));
        prefer(&best, kit, alone, NULL, 0.0);
        if (alone <= KITS_MOST)
            try_pairs(m, n, kit, alone, a, b, &best);
    }
    if (!best.kit && n->name[0] && strcmp(n->name, m->piece->resin.name) != 0) {
        note(m, "%.80s is not priced: add a line of its kit, with its name in the column resin",
             n->name);
        return PC_OK;
    }
    if (!best.kit)
        return pc_errors_add(m->errors, PC_E_VALUE,
                             (pc_place){.file = m->prices->file, .key = pc_supply_word(n->item)},
                             "no price: add a line that starts with %s,", pc_supply_word(n->item));
    fill_in(m, &best, a, b, n);
    m->out->cost += best.cost;
    return PC_OK;
}

static void hollow_against_solid(maker *m) {
    m->out->solid_kg = m->out->saved_kg = NAN;
    double volume = model_volume(m), rho = m->piece->resin.density_kg_m3;
    bool hollow = false;
    for (size_t p = 0; p < m->piece->part_count; p++)
        hollow = hollow || m->piece->part[p].kind == PC_HOLLOW;
    m->out->body_kg = m->out->resin_in_pieces_kg / m->order->castings;
    if (!hollow || isnan(volume))
        return;
    m->out->solid_kg = volume * rho;
    m->out->saved_kg = m->out->solid_kg - m->out->body_kg;
}

static void thumb(maker *m) {
    pc_supplies *out = m->out;
    out->thumb_wall_m = out->thumb_sag_m = out->thumb_stress_Pa = out->thumb_factor = NAN;
    const pc_part *body = NULL;
    for (size_t p = 0; p < m->piece->part_count && !body; p++)
        if (m->piece->part[p].kind == PC_HOLLOW)
            body = &m->piece->part[p];
    if (!body)
        return;
    pc_family family = m->piece->resin.family;
    const pc_order *o = m->order;
    double E = o->resin_modulus_Pa > 0 ? o->resin_modulus_Pa : pci_resin_modulus(family);
    double strength = o->resin_strength_Pa > 0 ? o->resin_strength_Pa : pci_resin_strength(family);
    out->thumb_flat = o->flat_m > 0;
    double R = out->thumb_flat ? o->flat_m / 2 : body->shape.turn_radius_m;
    double patch = fmin(o->thumb_radius_m, 0.9 * R);
    pc_status status = (out->thumb_flat ? pci_plate_press : pci_shell_press)(
        o->thumb_N, R, body->wall_m, patch, E, PC_RESIN_POISSON, &out->thumb_sag_m,
        &out->thumb_stress_Pa);
    if (status != PC_OK)
        return;
    out->thumb_factor = strength / out->thumb_stress_Pa;
    if (pci_wall_for_press(out->thumb_flat, o->thumb_N, R, patch, E, PC_RESIN_POISSON, strength,
                           PC_JOINT_FACTOR, &out->thumb_wall_m) != PC_OK)
        out->thumb_wall_m = INFINITY;
}

static pc_status joints(maker *m) {
    pc_status first = PC_OK;
    double strength = m->order->resin_strength_Pa > 0 ? m->order->resin_strength_Pa
                                                      : pci_resin_strength(m->piece->resin.family);
    double wire_m = 0;
    for (size_t i = 0; i < m->order->pin_count; i++) {
        pc_joint pin = m->order->pin[i];
        pin.handling_N = m->order->handling_N;
        pc_status status = pci_joint_judge(&pin, m->out->body_kg, strength,
                                           m->piece->units == PC_US, &m->out->joint[i], m->errors);
        if (status != PC_OK && m->errors && m->errors->count > 0)
            pci_copy_text(m->errors->item[m->errors->count - 1].file,
                          sizeof m->errors->item[0].file, m->piece->path);
        first = first == PC_OK ? status : first;
        wire_m += m->out->joint[i].wire_length_m;
    }
    m->out->joint_count = m->order->pin_count;
    if (first == PC_OK && wire_m > 0)
        need(m, PC_SUPPLY_WIRE)->amount = wire_m * m->order->castings;
    return first;
}

static void a_day(maker *m) {
    double out = fmax(m->schedule->demold_s, m->schedule->demold_late_s);
    m->out->casting_s = out + TURN_ROUND_S;
    double many =
        m->order->day_s < out ? 0 : 1 + floor((m->order->day_s - out) / (out + TURN_ROUND_S));
    m->out->castings_a_day = isfinite(many) ? (long)many : 0;
}

pc_status pc_supplies_make(const pc_piece *piece, const pc_schedule *schedule,
                           const pc_order *order, const pc_prices *prices, pc_supplies *supplies,
                           pc_errors *errors) {
    if (!piece || !schedule || !order || !supplies || order->castings < 1 ||
        piece->part_count > PC_PARTS_MOST || order->pin_count > PC_PINS_MOST ||
        order->shell_halves < 1 || !(schedule->resin_kg > 0) || !isfinite(schedule->resin_kg) ||
        !(order->loss >= 0) || !(order->rubber_loss >= 0) || !(order->shell_loss >= 0) ||
        !(order->chunks >= 0 && order->chunks < 1))
        return PC_E_ARGUMENT;
    memset(supplies, 0, sizeof *supplies);
    maker m = {.piece = piece,
               .schedule = schedule,
               .order = order,
               .prices = prices,
               .out = supplies,
               .errors = errors};
    resin(&m);
    list_molds(&m);
    pc_status status = rubber(&m);
    shell(&m);
    release(&m);
    hollow_against_solid(&m);
    thumb(&m);
    pc_status joint_status = joints(&m);
    status = status == PC_OK ? joint_status : status;
    a_day(&m);
    supplies->cost = prices ? 0 : NAN;
    for (size_t i = 0; prices && i < supplies->need_count; i++) {
        pc_status one = buy(&m, &supplies->need[i]);
        status = status == PC_OK ? one : status;
    }
    return status;
}
