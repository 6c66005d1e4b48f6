/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Events within the last accepted step, by the cubic through both ends' values and rates. */
#include <math.h>

#include "resin/cure_rate.h"
#include "wall/inside.h"
#include "wall/layers.h"

enum { TRIES_MOST = 60 };
static const double TRY_ENOUGH = 1e-13; /* of the step */
static const double SLOPE_OVER = 1e-4;  /* of the step, to either side */

static double hermite(double theta, double h, double y0, double y1, double f0, double f1) {
    double d = y1 - y0;
    return y0 + theta * d +
           theta * (theta - 1.0) *
               ((1.0 - 2.0 * theta) * d + (theta - 1.0) * h * f0 + theta * h * f1);
}

/* Its slope, per unit of time. */
static double hermite_slope(double theta, double h, double y0, double y1, double f0, double f1) {
    double d = (y1 - y0) / h;
    return (1.0 - theta) * (1.0 - 3.0 * theta) * f0 + theta * (3.0 * theta - 2.0) * f1 +
           6.0 * theta * (1.0 - theta) * d;
}

static double point_a(const pci_wall *wall, size_t i, double theta) {
    const pci_points *p = &wall->p;
    return hermite(theta, wall->t_s - wall->t_old_s, p->a_old[i], p->a[i], p->F_old[i], p->F[i]);
}

static double node_T(const pci_wall *wall, size_t i, double theta) {
    const pci_nodes *n = &wall->n;
    return hermite(theta, wall->t_s - wall->t_old_s, n->T_old[i], n->T[i], n->F_old[i], n->F[i]);
}

static double clock_at(const pci_wall *wall, double theta) {
    return wall->t_old_s + theta * (wall->t_s - wall->t_old_s);
}

/* A place in the wall and a level to be reached there. */
struct goal {
    const pci_wall *wall;
    const pci_wall_layer *layer;
    size_t point;
    double level;
};

typedef double (*over_goal)(const struct goal *goal, double theta);

/* When in the step something that is below zero at its start and not at its end reaches zero, by
 * Ridders' method. A value without bound, as of a gelled point's viscosity, is halved away. */
static double reached(over_goal over, const struct goal *goal) {
    double low = 0.0, high = 1.0, at_low = over(goal, low), at_high = over(goal, high), last = high;
    if (at_low >= 0.0)
        return clock_at(goal->wall, low);
    for (int i = 0; i < TRIES_MOST; i++) {
        double middle = 0.5 * (low + high), at_middle = over(goal, middle), guess = middle;
        double root = sqrt(at_middle * at_middle - at_low * at_high);
        if (isfinite(root) && root > 0.0)
            guess = middle - (middle - low) * at_middle / root;
        double at_guess = guess == middle ? at_middle : over(goal, guess);
        if (at_middle >= 0.0) {
            high = middle;
            at_high = at_middle;
        } else {
            low = middle;
            at_low = at_middle;
        }
        if (at_guess >= 0.0 && guess < high) {
            high = guess;
            at_high = at_guess;
        } else if (at_guess < 0.0 && guess > low) {
            low = guess;
            at_low = at_guess;
        }
        if (fabs(guess - last) <= TRY_ENOUGH || high - low <= TRY_ENOUGH)
            return clock_at(goal->wall, guess);
        last = guess;
    }
    return clock_at(goal->wall, high);
}

static double cure_over(const struct goal *goal, double theta) {
    return point_a(goal->wall, goal->point, theta) - goal->level;
}

/* When a point reaches a level; it is below at the start of the step and not at the end. */
static double crossing(const pci_wall *wall, size_t point, double level) {
    return reached(cure_over, &(struct goal){wall, NULL, point, level});
}

static bool crosses(const pci_wall *wall, size_t point, double level) {
    return wall->p.a_old[point] < level && wall->p.a[point] >= level;
}

static void note_gel(const pci_wall *wall, pci_wall_layer *layer) {
    if (layer->now.gelled == layer->count)
        return;
    double a_gel = layer->resin.cure.a_gel;
    for (size_t i = layer->first; i < layer->first + layer->count; i++) {
        if (!crosses(wall, i, a_gel))
            continue;
        double t = crossing(wall, i, a_gel);
        layer->now.gelled++;
        layer->now.events.first_gel_s = fmin(layer->now.events.first_gel_s, t); /* fmin drops NaN */
        layer->now.last_gel_s = fmax(layer->now.last_gel_s, t);
    }
    if (layer->now.gelled == layer->count)
        layer->now.events.gel_s = layer->now.last_gel_s;
}

static void note_bond(const pci_wall *wall, pci_wall_layer *layer) {
    size_t innermost = layer->first + layer->count - 1;
    if (isnan(layer->now.events.bond_close_s) && crosses(wall, innermost, layer->resin.cure.a_bond))
        layer->now.events.bond_close_s = crossing(wall, innermost, layer->resin.cure.a_bond);
}

/* Hottest a node gets inside the step, where it turns from warming to cooling: the cubic's slope,
 * C + B theta + A theta^2, has one zero there. */
static double node_summit(const pci_wall *wall, size_t node, double *at_s) {
    const pci_nodes *n = &wall->n;
    double h = wall->t_s - wall->t_old_s, d = n->T[node] - n->T_old[node];
    double f0 = h * n->F_old[node], f1 = h * n->F[node];
    double A = 3.0 * (f0 + f1 - 2.0 * d), B = 2.0 * (3.0 * d - 2.0 * f0 - f1), C = f0;
    double q = -0.5 * (B + copysign(sqrt(fmax(0.0, B * B - 4.0 * A * C)), B));
    double theta = C / q;
    if (!(theta >= 0.0 && theta <= 1.0) && A != 0.0)
        theta = q / A;
    theta = fmin(1.0, fmax(0.0, theta));
    *at_s = clock_at(wall, theta);
    return node_T(wall, node, theta);
}

/* Just after a pour the face between old and new starts from a temperature mixed by heat content,
 * which is not the contact temperature where their elements differ; the pour has noted that one. */
static bool at_fresh_contact(const pci_wall *wall, const pci_wall_layer *layer, size_t point) {
    if (point == layer->first)
        return wall->t_s < layer->contact_s;
    bool last = point == layer->first + layer->count - 1;
    return last && layer != &wall->layer[wall->layer_count - 1] && wall->t_s < layer[1].contact_s;
}

static void note_peak(const pci_wall *wall, pci_wall_layer *layer) {
    const pci_nodes *n = &wall->n;
    pci_layer_events *events = &layer->now.events;
    for (size_t i = layer->first; i < layer->first + layer->count; i++) {
        if (at_fresh_contact(wall, layer, i))
            continue;
        size_t node = wall->p.node[i];
        double T_K = n->T[node], at_s = wall->t_s;
        if (n->F_old[node] > 0.0 && n->F[node] < 0.0 &&
            fmax(n->T[node], n->T_old[node]) +
                    0.25 * (n->F_old[node] - n->F[node]) * (wall->t_s - wall->t_old_s) >
                events->peak_K)
            T_K = node_summit(wall, node, &at_s);
        if (!(T_K <= events->peak_K)) {
            events->peak_K = T_K;
            events->peak_s = at_s;
        }
    }
}

/* Whether the layer's mean viscosity at the end of the step has reached a level. */
static bool is_as_thick(const pci_wall *wall, const pci_wall_layer *layer, double wanted_Pa_s) {
    double sum = 0.0, enough = wanted_Pa_s * layer->volume;
    for (size_t i = layer->first; i < layer->first + layer->count && !(sum >= enough); i++)
        sum += wall->p.volume[i] *
               pci_viscosity(&layer->resin.flow, wall->p.a[i], wall->n.T[wall->p.node[i]]);
    return sum >= enough;
}

double pci_layer_viscosity(const pci_wall *wall, const pci_wall_layer *layer, double theta) {
    double sum = 0.0;
    for (size_t i = layer->first; i < layer->first + layer->count; i++)
        sum += wall->p.volume[i] * pci_viscosity(&layer->resin.flow, point_a(wall, i, theta),
                                                 node_T(wall, wall->p.node[i], theta));
    return sum / layer->volume;
}

/* A point's viscosity, and how much it climbs in a second, inside the step. The cure's rate is its
 * own there: that of the cubic may be some per cent off where the cure runs away. */
static double viscosity_climb(const pci_wall *wall, const pci_wall_layer *layer, size_t i,
                              double theta, double *mu_Pa_s) {
    const pci_nodes *n = &wall->n;
    size_t node = wall->p.node[i];
    double h = wall->t_s - wall->t_old_s, e_s = SLOPE_OVER * h;
    double a = point_a(wall, i, theta), T_K = node_T(wall, node, theta);
    double a_per_s = pci_cure_rate(&layer->resin.cure, a, T_K);
    double T_per_s =
        hermite_slope(theta, h, n->T_old[node], n->T[node], n->F_old[node], n->F[node]);
    const pc_flow *flow = &layer->resin.flow;
    *mu_Pa_s = pci_viscosity(flow, a, T_K);
    return (pci_viscosity(flow, a + e_s * a_per_s, T_K + e_s * T_per_s) -
            pci_viscosity(flow, a - e_s * a_per_s, T_K - e_s * T_per_s)) /
           (2.0 * e_s);
}

/* How fast the layer's mean viscosity climbs at the moment of set: infinitely where that is the
 * first gel of a point. */
static void note_set_slope(const pci_wall *wall, pci_wall_layer *layer) {
    double theta = (layer->now.events.set_s - wall->t_old_s) / (wall->t_s - wall->t_old_s);
    double mean = 0.0, climb = 0.0, mu;
    theta = fmax(0.0, fmin(1.0, theta));
    for (size_t i = layer->first; i < layer->first + layer->count; i++) {
        climb += wall->p.volume[i] * viscosity_climb(wall, layer, i, theta, &mu);
        mean += wall->p.volume[i] * mu;
    }
    layer->now.events.set_ln_mu_per_s = isfinite(climb / mean) ? climb / mean : INFINITY;
}

static double thickness_over(const struct goal *goal, double theta) {
    return pci_layer_viscosity(goal->wall, goal->layer, theta) - goal->level;
}

static void note_set(const pci_wall *wall, pci_wall_layer *layer) {
    double wanted = layer->mu_set_Pa_s;
    pci_layer_events *events = &layer->now.events;
    if (isnan(wanted) || !isnan(events->set_ln_mu_per_s))
        return;
    if (isnan(events->set_s)) {
        if (!is_as_thick(wall, layer, wanted))
            return;
        events->set_s = reached(thickness_over, &(struct goal){wall, layer, 0, wanted});
    }
    note_set_slope(wall, layer);
}

/* Positive when every resin point may be demolded: cured through, and cool. */
static double room_to_demold(const struct goal *goal, double theta) {
    const pci_wall *wall = goal->wall;
    double room = INFINITY;
    for (size_t l = 0; l < wall->layer_count; l++) {
        const pci_wall_layer *layer = &wall->layer[l];
        for (size_t i = layer->first; i < layer->first + layer->count; i++) {
            double cure = point_a(wall, i, theta) - layer->resin.cure.a_demold;
            double cool = layer->resin.demold_below_K - node_T(wall, wall->p.node[i], theta);
            room = fmin(room, fmin(cure, 0.01 * cool));
        }
    }
    return room;
}

/* The same at the end of the step, without the way there; innermost first, for it is hot longest.
 */
static bool may_demold(const pci_wall *wall) {
    for (size_t l = wall->layer_count; l-- > 0;) {
        const pci_wall_layer *layer = &wall->layer[l];
        double least = layer->resin.cure.a_demold, most_K = layer->resin.demold_below_K;
        for (size_t i = layer->first + layer->count; i-- > layer->first;)
            if (!(wall->p.a[i] >= least) || !(wall->n.T[wall->p.node[i]] <= most_K))
                return false;
    }
    return wall->layer_count > 0;
}

static void note_demold(pci_wall *wall) {
    if (!isnan(wall->demold_s) || !may_demold(wall))
        return;
    wall->demold_s = reached(room_to_demold, &(struct goal){.wall = wall});
}

void pci_wall_note_events(pci_wall *wall) {
    for (size_t l = 0; l < wall->layer_count; l++) {
        pci_wall_layer *layer = &wall->layer[l];
        note_gel(wall, layer);
        note_bond(wall, layer);
        note_peak(wall, layer);
        note_set(wall, layer);
    }
    note_demold(wall);
}
