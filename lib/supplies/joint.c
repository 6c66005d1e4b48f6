/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Pins in sockets: closed forms of bending, buckling and bearing, and the joint as a whole. */
#include "pourclock/joint.h"

#include <math.h>

#include "base/range.h"
#include "pourclock/quantity.h"
#include "pourclock/words.h"
#include "supplies/strength.h"

double pci_resin_strength(pc_family family) {
    static const double Pa[] = {[PC_URETHANE] = 20e6, [PC_EPOXY] = 40e6, [PC_POLYESTER] = 35e6};
    return (unsigned)family < PC_FAMILY_COUNT ? Pa[family] : NAN;
}

double pci_resin_modulus(pc_family family) {
    static const double Pa[] = {[PC_URETHANE] = 0.8e9, [PC_EPOXY] = 2.5e9, [PC_POLYESTER] = 3e9};
    return (unsigned)family < PC_FAMILY_COUNT ? Pa[family] : NAN;
}

/* Divided step by step: the product of small numbers may be 0 where none of them is. */
double pci_wire_bending(double force_N, double length_m, double d_m) {
    if (!pci_not_negative(force_N) || !pci_positive(length_m) || !pci_positive(d_m))
        return NAN;
    return 32 * force_N * length_m / PC_PI / d_m / d_m / d_m;
}

double pci_wire_axial(double force_N, double d_m) {
    if (!pci_not_negative(force_N) || !pci_positive(d_m))
        return NAN;
    return 4 * force_N / PC_PI / d_m / d_m;
}

double pci_wire_deflection(double force_N, double length_m, double d_m, double E_Pa) {
    if (!pci_not_negative(force_N) || !pci_positive(length_m) || !pci_positive(d_m) ||
        !pci_positive(E_Pa))
        return NAN;
    double bent = force_N * length_m * length_m * length_m / 3 / E_Pa;
    return bent / PC_PI * 64 / d_m / d_m / d_m / d_m;
}

double pci_wire_buckling(double length_m, double d_m, double E_Pa, double yield_Pa) {
    if (!pci_positive(length_m) || !pci_positive(d_m) || !pci_positive(E_Pa) ||
        !pci_positive(yield_Pa))
        return NAN;
    double slender = 8 * length_m / d_m; /* effective length over radius of gyration */
    double area = PC_PI * d_m * d_m / 4;
    if (slender > 0 && slender * slender >= 2 * PC_PI * PC_PI * E_Pa / yield_Pa)
        return area * PC_PI * PC_PI * E_Pa / slender / slender;
    return area * yield_Pa * (1 - yield_Pa * slender * slender / (4 * PC_PI * PC_PI * E_Pa));
}

double pci_wire_stock(double d_m, bool us) {
    static const double mm[] = {1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 16, 20};
    static const double in64[] = {3, 4, 6, 8, 10, 12, 16, 20, 24, 32, 40, 48};
    if (!pci_positive(d_m))
        return NAN;
    size_t n = us ? sizeof in64 / sizeof *in64 : sizeof mm / sizeof *mm;
    for (size_t i = 0; i < n; i++) {
        double size = us ? in64[i] * 0.0254 / 64 : mm[i] * 1e-3;
        if (size >= d_m * (1 - 1e-9))
            return size;
    }
    return INFINITY;
}

double pci_socket_pressure(double force_N, double length_m, double depth_m, double d_m) {
    if (!pci_not_negative(force_N) || !pci_positive(length_m) || !pci_positive(depth_m) ||
        !pci_positive(d_m))
        return NAN;
    return force_N * (6 * length_m + 4 * depth_m) / d_m / depth_m / depth_m;
}

/* Loads of one pin. */
typedef struct pin_load {
    double side_N, weight_N, strength_Pa;
} pin_load;

/* Nothing borne: held without end. */
static double factor_of(double holds, double borne) {
    return borne > 0 ? holds / borne : INFINITY;
}

static void judge(const pc_joint *joint, const pin_load *load, double d, double s,
                  pc_joint_result *out) {
    out->stress_Pa =
        pci_wire_bending(load->side_N, joint->free_m, d) + pci_wire_axial(load->weight_N, d);
    out->factor = factor_of(joint->metal->yield_Pa, out->stress_Pa);
    out->buckling_N =
        pci_wire_buckling(joint->free_m, d, joint->metal->E_Pa, joint->metal->yield_Pa);
    out->buckling_factor = factor_of(out->buckling_N, load->weight_N);
    out->sag_m = pci_wire_deflection(load->side_N, joint->free_m, d, joint->metal->E_Pa);
    out->pressure_Pa =
        load->side_N > 0 ? pci_socket_pressure(load->side_N, joint->free_m, s, d) : 0;
    out->socket_factor = factor_of(load->strength_Pa, out->pressure_Pa);
}

/* Least depth, in steps of half a diameter from three up, whose mouth holds; 20 at most. */
static double socket_for(const pc_joint *joint, const pin_load *load, double d) {
    double depths = PC_SOCKET_DEPTHS;
    while (depths < 20 && load->side_N > 0 &&
           !(pci_socket_pressure(load->side_N, joint->free_m, depths * d, d) * PC_JOINT_FACTOR <=
             load->strength_Pa))
        depths += 0.5;
    return depths * d;
}

static double stock_that_holds(const pc_joint *joint, const pin_load *load, bool us) {
    pc_joint_result trial;
    double d = pci_wire_stock(1e-6, us);
    while (isfinite(d)) {
        judge(joint, load, d, PC_SOCKET_DEPTHS * d, &trial);
        if (trial.factor >= PC_JOINT_FACTOR && trial.buckling_factor >= PC_JOINT_FACTOR)
            return d;
        d = pci_wire_stock(d * 1.0001, us);
    }
    return INFINITY;
}

static pc_status refuse(pc_errors *errors, const pc_joint *joint, const char *key, double d,
                        pc_units units) {
    return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = joint->name, .key = key},
                         "a wire of %s needs a leg of %s at least, half a wire of resin "
                         "all round; the leg is %s: a thinner wire, more pins, a stronger "
                         "metal or a thicker leg",
                         pc_say_length(units, d).s, pc_say_length(units, PC_LEG_DIAMETERS * d).s,
                         pc_say_length(units, joint->leg_m).s);
}

/* What a figure may have: 1 um to 1 km. */
static bool is_length(double m) {
    return m >= 1e-6 && m <= 1e3;
}

pc_status pci_joint_judge(const pc_joint *joint, double body_kg, double resin_strength_Pa, bool us,
                          pc_joint_result *out, pc_errors *errors) {
    if (!joint || !out || !joint->metal || !(joint->metal->E_Pa > 0) || joint->count < 1 ||
        joint->count > 1000 || !(body_kg >= 1e-6 && body_kg <= 1e6) ||
        !(resin_strength_Pa >= 1.0) || !pci_positive(resin_strength_Pa) ||
        !is_length(joint->free_m) || !is_length(joint->leg_m) ||
        !(joint->handling_N >= 0 && joint->handling_N <= 1e9) ||
        !(isnan(joint->wire_m) || is_length(joint->wire_m)) ||
        !(isnan(joint->socket_m) || is_length(joint->socket_m)))
        return PC_E_ARGUMENT;
    pc_units units = us ? PC_US : PC_METRIC;
    *out = (pc_joint_result){0};
    pin_load load = {joint->handling_N / joint->count, body_kg * PC_GRAVITY / joint->count,
                     resin_strength_Pa};
    out->least_wire_m = stock_that_holds(joint, &load, us);
    out->wire_advised = isnan(joint->wire_m);
    double d = out->wire_advised ? out->least_wire_m : joint->wire_m;
    if (!isfinite(d))
        return pc_errors_add(errors, PC_E_VALUE, (pc_place){.section = joint->name, .key = "wire"},
                             "no stock wire of %s up to %s holds %.0f N over %s: more "
                             "pins, a shorter free length or a stronger metal",
                             joint->metal->name, pc_say_length(units, us ? 0.01905 : 0.020).s,
                             load.side_N, pc_say_length(units, joint->free_m).s);
    if (!(joint->leg_m >= PC_LEG_DIAMETERS * d))
        return refuse(errors, joint, out->wire_advised ? "leg" : "wire", d, units);
    out->wire_m = d;
    out->socket_advised = isnan(joint->socket_m);
    out->socket_m = out->socket_advised ? socket_for(joint, &load, d) : joint->socket_m;
    judge(joint, &load, d, out->socket_m, out);
    double area = PC_PI * d * d / 4;
    out->displaced_m3 = 2 * joint->count * area * out->socket_m;
    out->wire_length_m = joint->count * (joint->free_m + 2 * out->socket_m);
    out->wire_kg = out->wire_length_m * area * joint->metal->density_kg_m3;
    out->holds = out->factor >= PC_JOINT_FACTOR && out->buckling_factor >= PC_JOINT_FACTOR &&
                 out->socket_factor >= PC_JOINT_FACTOR * (1 - 1e-9);
    return PC_OK;
}
