/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A layer's viscosity over time: value, inverse, and integral of its reciprocal. */
#include "film/viscosity_history.h"

#include "film/film_sums.h"
#include <math.h>

pc_status pci_mu_history_check(const pc_mu_history *history) {
    if (!history || history->count < 1 || !history->time_s || !history->mu_Pa_s ||
        !isfinite(history->gel_s))
        return PC_E_ARGUMENT;
    for (size_t i = 0; i < history->count; i++) {
        if (!isfinite(history->time_s[i]) || !(history->mu_Pa_s[i] > 0))
            return PC_E_ARGUMENT;
        if (i > 0 && !(history->time_s[i] > history->time_s[i - 1]))
            return PC_E_ARGUMENT;
    }
    if (!isfinite(history->mu_Pa_s[0]) || !(history->time_s[0] < history->gel_s))
        return PC_E_ARGUMENT;
    return PC_OK;
}

/* A stretch between two points; the last ends at gel with mu infinite. */
struct stretch {
    double t0, t1, mu0, mu1;
};

/* Does stretch i end at gel? */
static bool is_last(const pc_mu_history *history, size_t i) {
    return i + 1 >= history->count || !(history->time_s[i + 1] < history->gel_s) ||
           isinf(history->mu_Pa_s[i + 1]);
}

static struct stretch stretch_at(const pc_mu_history *history, size_t i) {
    struct stretch s = {history->time_s[i], history->gel_s, history->mu_Pa_s[i], INFINITY};
    if (!is_last(history, i)) {
        s.t1 = history->time_s[i + 1];
        s.mu1 = history->mu_Pa_s[i + 1];
    }
    return s;
}

static double mu_in(const struct stretch *s, double t) {
    double u = (t - s->t0) / (s->t1 - s->t0);
    if (u >= 1)
        return s->mu1;
    return isinf(s->mu1) ? s->mu0 / (1 - u) : s->mu0 * pow(s->mu1 / s->mu0, u);
}

/* Integral of dt/mu over a part of a stretch. */
static double fluidity_in(const struct stretch *s, double t0, double t1) {
    double f0 = 1 / mu_in(s, t0), f1 = 1 / mu_in(s, t1);
    if (isinf(s->mu1) || fabs(f1 - f0) < 1e-6 * f0)
        return (t1 - t0) * (f0 + f1) / 2;
    return (t1 - t0) * (f0 - f1) / log(f0 / f1);
}

/* Stretch that holds t, by halving; t is within the history. */
static size_t find_stretch(const pc_mu_history *history, double t) {
    size_t low = 0, high = history->count;
    while (high - low > 1) {
        size_t middle = low + (high - low) / 2;
        if (history->time_s[middle] <= t && isfinite(history->mu_Pa_s[middle]) &&
            history->time_s[middle] < history->gel_s)
            low = middle;
        else
            high = middle;
    }
    while (low > 0 && isinf(history->mu_Pa_s[low]))
        low--;
    return low;
}

double pci_mu_at(const pc_mu_history *history, double time_s) {
    if (time_s <= history->time_s[0])
        return history->mu_Pa_s[0];
    if (time_s >= history->gel_s)
        return INFINITY;
    struct stretch s = stretch_at(history, find_stretch(history, time_s));
    return mu_in(&s, time_s);
}

/* Slope of ln mu across a stretch that does not end at gel. */
static double secant(const pc_mu_history *history, size_t i) {
    struct stretch s = stretch_at(history, i);
    return log(s.mu1 / s.mu0) / (s.t1 - s.t0);
}

static double width_of(const pc_mu_history *history, size_t i) {
    struct stretch s = stretch_at(history, i);
    return s.t1 - s.t0;
}

/* Slope at point i of ones that precede gel: of the parabola through it and its neighbors, at
 * either end through the next two. */
static double slope_at(const pc_mu_history *history, size_t i) {
    size_t last = find_stretch(history, nextafter(history->gel_s, 0)); /* the one to gel */
    if (last < 2)
        return secant(history, 0);
    size_t middle = i < 1 ? 1 : i + 1 > last ? last - 1 : i;
    double s0 = secant(history, middle - 1), s1 = secant(history, middle);
    double h0 = width_of(history, middle - 1), h1 = width_of(history, middle);
    double bend = (s1 - s0) / (h0 + h1);
    if (i < middle)
        return s0 - bend * h0;
    return i > middle ? s1 + bend * h1 : s0 + bend * h0;
}

double pci_mu_growth(const pc_mu_history *history, double time_s) {
    size_t i = find_stretch(history, fmax(time_s, history->time_s[0]));
    struct stretch s = stretch_at(history, i);
    if (is_last(history, i))
        return 1 / (s.t1 - time_s);
    double u = (fmax(time_s, s.t0) - s.t0) / (s.t1 - s.t0);
    return slope_at(history, i) + u * (slope_at(history, i + 1) - slope_at(history, i));
}

double pci_mu_checked_at(const pc_mu_history *history, double time_s) {
    if (isnan(time_s) || pci_mu_history_check(history) != PC_OK)
        return NAN;
    return pci_mu_at(history, time_s);
}

double pci_mu_reach(const pc_mu_history *history, double mu_Pa_s) {
    if (pci_mu_history_check(history) != PC_OK || !(mu_Pa_s > 0))
        return NAN;
    if (history->mu_Pa_s[0] >= mu_Pa_s)
        return history->time_s[0];
    for (size_t i = 0;; i++) {
        struct stretch s = stretch_at(history, i);
        if (s.mu1 >= mu_Pa_s) {
            double u =
                isinf(s.mu1) ? 1 - s.mu0 / mu_Pa_s : log(mu_Pa_s / s.mu0) / log(s.mu1 / s.mu0);
            return s.t0 + u * (s.t1 - s.t0);
        }
        if (is_last(history, i))
            return history->gel_s;
    }
}

double pci_mu_fluidity(const pc_mu_history *history, double t0_s, double t1_s) {
    if (pci_mu_history_check(history) != PC_OK || !(t0_s <= t1_s))
        return NAN;
    double sum = 0;
    for (size_t i = 0;; i++) {
        struct stretch s = stretch_at(history, i);
        double from = fmax(t0_s, s.t0), to = fmin(t1_s, s.t1);
        if (from < to)
            sum += fluidity_in(&s, from, to);
        if (is_last(history, i) || s.t1 >= t1_s)
            return sum;
    }
}
