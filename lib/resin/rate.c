/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "resin/rate.h"

#include <math.h>
#include <stdint.h>
#include <string.h>

#include "resin/cure_rate.h"

enum { POWER_ANY, POWER_1, POWER_1_5, POWER_2 };

static int cheap_power(double exponent) {
    if (exponent == 1.0)
        return POWER_1;
    if (exponent == 1.5)
        return POWER_1_5;
    if (exponent == 2.0)
        return POWER_2;
    return POWER_ANY;
}

/* pow() is most of the solver's time; the families' usual exponents need none. */
static inline double power(double x, double exponent, int kind) {
    switch (kind) {
    case POWER_1:
        return x;
    case POWER_1_5:
        return x * sqrt(x);
    case POWER_2:
        return x * x;
    default:
        return pow(x, exponent);
    }
}

void pci_rate_prepare(const pc_cure *cure, pci_rate *rate) {
    rate->ln_A1 = cure->A1_per_s > 0.0 ? log(cure->A1_per_s) : -INFINITY;
    rate->ln_A2 = cure->A2_per_s > 0.0 ? log(cure->A2_per_s) : -INFINITY;
    rate->B1_K = cure->E1_J_mol / PC_GAS_CONSTANT;
    rate->B2_K = cure->E2_J_mol / PC_GAS_CONSTANT;
    rate->m = cure->m;
    rate->n = cure->n;
    rate->power_m = cheap_power(cure->m);
    rate->power_n = cheap_power(cure->n);
    rate->first_only = !(cure->A2_per_s > 0.0);
    rate->one_exponential =
        !rate->first_only && cure->A1_per_s > 0.0 && cure->E1_J_mol == cure->E2_J_mol;
    rate->ratio = rate->one_exponential ? cure->A2_per_s / cure->A1_per_s : 0.0;
}

/* exp without the table and the branches of exp, so that many are had at once: 2^k times the series
 * of degree 13 of what is left, at most ln(2)/2; to 4e-16 of it. -700 < x < 700. */
static inline double plain_exp(double x) {
    const double per_ln2 = 1.4426950408889634074, ln2_high = 6.93147180369123816490e-01,
                 ln2_low = 1.90821492927058770002e-10, round = 6755399441055744.0; /* 1.5 2^52 */
    double rounded = x * per_ln2 + round, k = rounded - round, scale;
    double r = (x - k * ln2_high) - k * ln2_low, r2 = r * r, r4 = r2 * r2;
    uint64_t bits;
    memcpy(&bits, &rounded, sizeof bits);
    bits = (bits + 1023) << 52; /* what is above the exponent falls off */
    memcpy(&scale, &bits, sizeof scale);
    double low = (1.0 / 2 + r * (1.0 / 6)) + r2 * (1.0 / 24 + r * (1.0 / 120));
    double middle = (1.0 / 720 + r * (1.0 / 5040)) + r2 * (1.0 / 40320 + r * (1.0 / 362880));
    double high =
        (1.0 / 3628800 + r * (1.0 / 39916800)) + r2 * (1.0 / 479001600 + r * (1.0 / 6227020800));
    return (1.0 + (r + r2 * (low + r4 * (middle + r4 * high)))) * scale;
}

/* A exp(-B/T) at n temperatures. */
static void constants_at(double ln_A, double B_K, size_t n, const double *T_K, double *restrict k) {
    bool plain = true;
#pragma omp simd
    for (size_t i = 0; i < n; i++)
        k[i] = ln_A - B_K / T_K[i];
    for (size_t i = 0; i < n; i++)
        plain &= fabs(k[i]) < 700.0; /* not so without A, or of no number */
    if (plain) {
#pragma omp simd
        for (size_t i = 0; i < n; i++)
            k[i] = plain_exp(k[i]);
    } else {
        for (size_t i = 0; i < n; i++)
            k[i] = exp(k[i]);
    }
}

static inline double clamp_share(double a) {
    return a < 0.0 ? 0.0 : a > 1.0 ? 1.0 : a;
}

static inline void rate_constants(const pci_rate *rate, double T_K, double *k1, double *k2) {
    *k1 = exp(rate->ln_A1 - rate->B1_K / T_K);
    if (rate->first_only)
        *k2 = 0.0;
    else if (rate->one_exponential)
        *k2 = rate->ratio * *k1;
    else
        *k2 = exp(rate->ln_A2 - rate->B2_K / T_K);
}

static inline double rate_of(const pci_rate *rate, double a, double k1, double k2) {
    double drive = rate->first_only ? k1 : k1 + k2 * power(a, rate->m, rate->power_m);
    return drive * power(1.0 - a, rate->n, rate->power_n);
}

double pci_rate_at(const pci_rate *rate, double a, double T_K) {
    double k1, k2;
    rate_constants(rate, T_K, &k1, &k2);
    return rate_of(rate, clamp_share(a), k1, k2);
}

enum { AT_ONCE = 32 };

static void rates_of_some(const pci_rate *rate, size_t n, const double *a, const double *T_K,
                          double *at) {
    double k1[AT_ONCE], k2[AT_ONCE];
    bool one = rate->first_only || rate->one_exponential;
    constants_at(rate->ln_A1, rate->B1_K, n, T_K, k1);
    if (!one)
        constants_at(rate->ln_A2, rate->B2_K, n, T_K, k2);
    for (size_t i = 0; i < n; i++)
        at[i] = rate_of(rate, clamp_share(a[i]), k1[i], one ? rate->ratio * k1[i] : k2[i]);
}

void pci_rates_at(const pci_rate *rate, size_t n, const double *a, const double *T_K, double *at) {
    const pci_rate prepared = *rate; /* at may not change it */
    for (size_t i = 0; i < n; i += AT_ONCE)
        rates_of_some(&prepared, n - i < AT_ONCE ? n - i : AT_ONCE, a + i, T_K + i, at + i);
}

double pci_rate_slopes(const pci_rate *rate, double a, double T_K, double *d_da, double *d_dT) {
    double k1, k2;
    a = clamp_share(a);
    rate_constants(rate, T_K, &k1, &k2);
    double left = 1.0 - a, left_n = power(left, rate->n, rate->power_n);
    double a_m = 0.0, growth = 0.0;
    if (!rate->first_only) {
        a_m = power(a, rate->m, rate->power_m);
        growth = rate->m * k2 * (a > 1e-6 ? a_m / a : pow(1e-6, rate->m - 1.0));
    }
    double drive = k1 + k2 * a_m;
    double decay = left > 0.0 ? rate->n * drive * left_n / left : 0.0;
    *d_da = growth * left_n - decay;
    *d_dT = (k1 * rate->B1_K + k2 * a_m * rate->B2_K) * left_n / (T_K * T_K);
    return drive * left_n;
}

double pci_cure_rate(const pc_cure *cure, double a, double T_K) {
    if (!cure || isnan(a) || !(T_K > 0.0))
        return NAN;
    pci_rate rate;
    pci_rate_prepare(cure, &rate);
    return pci_rate_at(&rate, a, T_K);
}

double pci_viscosity(const pc_flow *flow, double a, double T_K) {
    if (!flow || isnan(a) || !(T_K > 0.0) || !(flow->T_ref_K > 0.0))
        return NAN;
    if (a >= flow->a_gel)
        return INFINITY;
    if (a < 0.0)
        a = 0.0;
    double thermal = flow->E_mu_J_mol / PC_GAS_CONSTANT * (1.0 / T_K - 1.0 / flow->T_ref_K);
    double growth = (flow->c + flow->d * a) * log(flow->a_gel / (flow->a_gel - a));
    return flow->mu_ref_Pa_s * exp(thermal + growth);
}
