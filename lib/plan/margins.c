/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Margins by samples. Every input that is uncertain is drawn from a normal distribution whose 95 %
 * interval the piece file states; a Sobol sequence spreads the draws evenly. The samples run on a
 * coarse grid, and so does the nominal case beside them: what the coarse grid gets wrong it gets
 * wrong in all of them alike, and is put right by the ratio of the fine nominal to the coarse one.
 */
#include "plan/margins.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "plan/layout.h"
#include "plan/part.h"
#include "resin/cup.h"
#include "resin/unknowns.h"
#include "solve/sobol.h"
#include "solve/threads.h"
#include "wall/layers.h"

static const double REFINE = 0.25, TOLERANCE = 3e-3;
static const double SIGMAS = 1.959964; /* half a 95 % interval */
static const double EARLY = 0.05, LATE = 0.95;

/* X(name, what is said to matter most). The resin's unknowns, in their order, come last. */
#define RESIN_WORDS "the resin's times"
#define INPUT_TABLE(X)                                                                             \
    X(INPUT_AIR, "the shop's temperature")                                                         \
    X(INPUT_LOT, RESIN_WORDS)                                                                      \
    X(INPUT_AREA, "the area")                                                                      \
    X(INPUT_HANDS, "the times to mix and pour")                                                    \
    X(INPUT_RATIO, "weighing A against B")                                                         \
    X(INPUT_UNKNOWNS, RESIN_WORDS)

enum input {
#define INPUT_ENUM(name, words) name,
    INPUT_TABLE(INPUT_ENUM)
#undef INPUT_ENUM
        INPUTS = INPUT_UNKNOWNS + PC_UNKNOWNS
};

static const char *input_word(int input) {
    switch (input) {
#define INPUT_WORD(name, words)                                                                    \
    case name:                                                                                     \
        return words;
        INPUT_TABLE(INPUT_WORD)
#undef INPUT_WORD
    }
    return RESIN_WORDS;
}

struct sample {
    pci_case c;
    pci_run run;
    double z[INPUTS];
    double hands;                    /* factor on the times to mix and pour */
    double pot_life_s, gel_s, set_s; /* of the layer under way */
    double demold_s;
    double closes_s[PC_LAYERS_MOST], peak_K[PC_LAYERS_MOST];
};

struct pci_samples {
    size_t count; /* the last one is the coarse nominal */
    double start_s;
    size_t layers_planned;
    double *sorted;
    double weight[INPUTS]; /* share of the spread of all times that each input explains */
    pc_layer layer;        /* under way */
    size_t layers;
    struct sample *item;
};

/* Off by r, so much of the plentiful part finds no partner. Gel needs a larger conversion of the
 * scarce one, a_gel/sqrt(1 - r) (Flory-Stockmayer), and less heat comes. For a polyester B is the
 * peroxide: radicals, and with them the rate, go with its square root. */
static void off_ratio(pc_resin *resin, double r) {
    if (resin->family == PC_POLYESTER) {
        pci_cure_rescale(&resin->cure, 0.5 * log1p(r), 0.0, PC_SHEET_K);
        return;
    }
    double scarce = 1.0 - fmin(fabs(r), 0.5), late = 1.0 / sqrt(scarce);
    pc_cure *cure = &resin->cure;
    cure->heat_J_kg *= scarce;
    cure->a_gel = fmin(cure->a_gel * late, 0.99);
    cure->a_pot = fmin(cure->a_pot * late, 0.99 * cure->a_gel);
    cure->a_bond = fmin(cure->a_bond * late, 0.99);
    cure->a_demold = fmin(cure->a_demold * late, 0.99);
    resin->flow.a_gel = cure->a_gel;
}

static double draw(double half_width, double z) {
    return fmax(-0.9, half_width / SIGMAS * z);
}

/* What the fit to the data sheet leaves open, and how one lot differs from another. */
static void draw_resin(const pc_margins *margins, const double z[], pc_resin *resin) {
    const pc_resin nominal = *resin;
    pci_resin_draw(&nominal, z + INPUT_UNKNOWNS, resin);
    pci_cure_rescale(&resin->cure, log1p(margins->times) / SIGMAS * z[INPUT_LOT], 0.0, PC_SHEET_K);
    off_ratio(resin, draw(margins->ratio, z[INPUT_RATIO]));
}

/* Resin and mold are as uncertain as the shop where they follow it. */
static void draw_sample(const pci_case *nominal, struct sample *s) {
    const pc_piece *piece = nominal->piece;
    const pc_margins *margins = &piece->margins;
    double air_K = margins->air_K / SIGMAS * s->z[INPUT_AIR];
    s->c = *nominal;
    s->c.refine = REFINE;
    s->c.tolerance = TOLERANCE;
    s->c.film = s->c.quick = false;
    s->c.hopeless_excess = 0.0;
    s->c.air_shift_K += air_K;
    s->c.resin_K += piece->shop.resin_given ? 0.0 : air_K;
    s->c.mold_K += piece->shop.mold_given ? 0.0 : air_K;
    draw_resin(margins, s->z, &s->c.resin);
    for (size_t i = 0; i < s->c.mix_count; i++) /* as unlucky with each */
        draw_resin(margins, s->z, &s->c.mix[i]);
    if (nominal->part->kind == PC_HOLLOW) /* the same batch on more area lies thinner */
        s->c.thickness_factor /= 1.0 + draw(margins->area, s->z[INPUT_AREA]);
    s->hands = 1.0 + draw(margins->mix_pour_times, s->z[INPUT_HANDS]);
    for (int j = 0; j < PC_LAYERS_MOST; j++)
        s->closes_s[j] = s->peak_K[j] = NAN;
}

static pc_status begin_sample(size_t i, void *context) {
    pci_samples *samples = context;
    return pci_run_begin(&samples->item[i].run, &samples->item[i].c, samples->layers_planned,
                         samples->start_s);
}

static pc_status draw_all(const pci_case *nominal, pci_samples *samples) {
    size_t n = samples->count - 1;
    double *z = malloc(n * INPUTS * sizeof *z);
    pc_status status = z ? pci_sobol_normals(n, INPUTS, z) : PC_E_MEMORY;
    for (size_t i = 0; i < samples->count && status == PC_OK; i++) {
        if (i < n)
            memcpy(samples->item[i].z, z + i * INPUTS, sizeof samples->item[i].z);
        draw_sample(nominal, &samples->item[i]);
    }
    free(z);
    return status == PC_OK ? pci_in_threads(begin_sample, samples, samples->count) : status;
}

pc_status pci_samples_new(const pci_case *nominal, size_t count, double start_s,
                          pci_samples **samples) {
    *samples = NULL;
    const pc_margins *margins = &nominal->piece->margins;
    if (!margins->on)
        return PC_OK;
    if (margins->samples < 2 || !isfinite(start_s))
        return PC_E_ARGUMENT;
    pci_samples *s = calloc(1, sizeof *s);
    if (!s)
        return PC_E_MEMORY;
    s->count = (size_t)margins->samples + 1;
    s->start_s = start_s;
    s->layers_planned = count;
    s->item = calloc(s->count, sizeof *s->item);
    s->sorted = malloc(s->count * sizeof *s->sorted);
    pc_status status = s->item && s->sorted ? draw_all(nominal, s) : PC_E_MEMORY;
    if (status == PC_OK)
        *samples = s;
    else
        pci_samples_free(s);
    return status;
}

void pci_samples_free(pci_samples *samples) {
    if (!samples)
        return;
    for (size_t i = 0; samples->item && i < samples->count; i++)
        pci_run_end(&samples->item[i].run);
    free(samples->item);
    free(samples->sorted);
    free(samples);
}

/* Slow hands mix and pour late; quick ones still have to wait for the last layer to stop. */
static double sample_pour_end(const pci_samples *samples, const struct sample *s) {
    const pc_layer *layer = &samples->layer;
    double pour_s = layer->mix_s + s->hands * (layer->pour_s - layer->mix_s);
    if (samples->layers > 0)
        pour_s = fmax(pour_s, layer->pour_s);
    return pour_s + s->hands * (layer->pour_end_s - layer->pour_s);
}

/* A sample that never gels stays where it gave up, later than all that do. */
static pc_status layer_sample(size_t i, void *context) {
    pci_samples *samples = context;
    struct sample *s = &samples->item[i];
    const pc_layer *layer = &samples->layer;
    pci_layer_events events = {NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    pc_status status =
        pci_run_pour(&s->run, layer, sample_pour_end(samples, s), NULL, &s->pot_life_s);
    if (status == PC_OK)
        status = pci_run_gel(&s->run, layer, &events);
    s->set_s = events.set_s;
    s->gel_s = status == PC_OK ? events.gel_s : layer->mix_s + PCI_LONGEST_S;
    return status == PC_E_UNREACHED ? PC_OK : status;
}

typedef double (*read_sample)(const struct sample *s, size_t layer);

static double read_pot_life(const struct sample *s, size_t layer) {
    (void)layer;
    return s->pot_life_s;
}

static double read_gel(const struct sample *s, size_t layer) {
    (void)layer;
    return s->gel_s;
}

static double read_set(const struct sample *s, size_t layer) {
    (void)layer;
    return s->set_s;
}

static double read_demold(const struct sample *s, size_t layer) {
    (void)layer;
    return s->demold_s;
}

static double read_closes(const struct sample *s, size_t layer) {
    return s->closes_s[layer];
}

static double read_peak(const struct sample *s, size_t layer) {
    return s->peak_K[layer];
}

static int by_size(const void *a, const void *b) {
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Quantile of the samples (without the coarse nominal), each the middle of its share, linear
 * between them; NaN samples, to which it never happens, are left out; NaN where they are half of
 * all. */
static double quantile(pci_samples *samples, read_sample read, size_t layer, double share) {
    size_t n = 0, all = samples->count - 1;
    for (size_t i = 0; i < all; i++) {
        double value = read(&samples->item[i], layer);
        if (!isnan(value))
            samples->sorted[n++] = value;
    }
    if (2 * n < all || n == 0)
        return NAN;
    qsort(samples->sorted, n, sizeof *samples->sorted, by_size);
    double at = fmax(0.0, fmin(share * (double)n - 0.5, (double)(n - 1)));
    size_t low = (size_t)at, high = low + 1 < n ? low + 1 : low;
    return samples->sorted[low] +
           (at - (double)low) * (samples->sorted[high] - samples->sorted[low]);
}

/* A quantile of a time, corrected: its distance from the zero in the ratio of the fine nominal's to
 * the coarse one's. */
static double time_quantile(pci_samples *samples, read_sample read, size_t layer, double share,
                            double zero_s, double nominal_s) {
    double coarse_s = read(&samples->item[samples->count - 1], layer);
    double value_s = quantile(samples, read, layer, share);
    if (!(coarse_s - zero_s > 0.0) || !(nominal_s - zero_s > 0.0))
        return value_s;
    return zero_s + (value_s - zero_s) * (nominal_s - zero_s) / (coarse_s - zero_s);
}

/* A bound is never on the wrong side of the nominal: of a few samples of a plan that misses its
 * limits a quantile can be. NaN where either is not known. */
static double not_after(double bound, double nominal) {
    return isnan(bound) || isnan(nominal) ? bound : fmin(bound, nominal);
}

static double not_before(double bound, double nominal) {
    return isnan(bound) || isnan(nominal) ? bound : fmax(bound, nominal);
}

/* First-order sensitivity: the variance of the mean given one input, by dealing the samples into
 * equal bins of that input, over the whole variance (correlation ratio). Added to the weights. */
static void weigh_inputs(pci_samples *samples, read_sample read, size_t layer) {
    enum { BINS = 8 };
    size_t n = samples->count - 1;
    double mean = 0.0, variance = 0.0;
    for (size_t i = 0; i < n; i++)
        mean += read(&samples->item[i], layer) / (double)n;
    for (size_t i = 0; i < n; i++)
        variance += pow(read(&samples->item[i], layer) - mean, 2.0) / (double)n;
    if (!(variance > 1e-12 * mean * mean) || !isfinite(variance)) /* rounding, or never */
        return;
    for (int d = 0; d < INPUTS; d++) {
        double sum[BINS] = {0.0}, between = 0.0;
        size_t count[BINS] = {0};
        for (size_t i = 0; i < n; i++) {
            double share = 0.5 * erfc(-samples->item[i].z[d] / sqrt(2.0));
            size_t bin = (size_t)fmin(BINS - 1, BINS * share);
            sum[bin] += read(&samples->item[i], layer);
            count[bin]++;
        }
        for (int b = 0; b < BINS; b++)
            if (count[b] > 0)
                between += (double)count[b] * pow(sum[b] / (double)count[b] - mean, 2.0);
        samples->weight[d] += between / ((double)n * variance);
    }
}

pc_status pci_samples_layer(pci_samples *samples, pc_layer *layer) {
    if (!samples)
        return PC_OK;
    size_t j = samples->layers;
    samples->layer = *layer;
    PCI_TRY(pci_in_threads(layer_sample, samples, samples->count));
    double mix_s = layer->mix_s, pot_s = layer->pot_life_s;
    double early_pot_s = time_quantile(samples, read_pot_life, j, EARLY, 0.0, pot_s);
    layer->pour_by_early_s =
        not_after(pci_last_mix(layer) + PCI_POT_SHARE * early_pot_s, layer->pour_by_s);
    layer->set_early_s =
        not_after(time_quantile(samples, read_set, j, EARLY, mix_s, layer->set_s), layer->set_s);
    layer->gel_early_s =
        not_after(time_quantile(samples, read_gel, j, EARLY, mix_s, layer->gel_s), layer->gel_s);
    layer->gel_late_s =
        not_before(time_quantile(samples, read_gel, j, LATE, mix_s, layer->gel_s), layer->gel_s);
    weigh_inputs(samples, read_pot_life, j);
    weigh_inputs(samples, read_gel, j);
    samples->layers++;
    return PC_OK;
}

static pc_status finish_sample(size_t i, void *context) {
    pci_samples *samples = context;
    struct sample *s = &samples->item[i];
    double latest_s = samples->layer.mix_s + PCI_LONGEST_S;
    pci_layer_events events[PC_LAYERS_MOST];
    pc_status status = pci_run_finish(&s->run, latest_s, &s->demold_s, events);
    if (isnan(s->demold_s))
        s->demold_s = latest_s;
    for (size_t j = 0; j < samples->layers && status == PC_OK; j++) {
        s->closes_s[j] = events[j].bond_close_s;
        s->peak_K[j] = events[j].peak_K;
    }
    return status;
}

/* Share of the samples whose peak, put right as its quantile is, passes the limit. */
static double share_over(const pci_samples *samples, size_t layer, double shift_K, double limit_K) {
    size_t n = 0, over = 0;
    for (size_t i = 0; i + 1 < samples->count; i++) {
        double peak_K = read_peak(&samples->item[i], layer);
        if (!isnan(peak_K))
            n++;
        if (peak_K + shift_K > limit_K)
            over++;
    }
    return n > 0 ? (double)over / (double)n : NAN;
}

/* Words of the input that explains most; those of one name are one. */
static const char *heaviest_input(const pci_samples *samples) {
    const char *word = "";
    double most = 0.0;
    for (int d = 0; d < INPUTS; d++) {
        double sum = 0.0;
        for (int e = 0; e < INPUTS; e++)
            sum += strcmp(input_word(d), input_word(e)) == 0 ? samples->weight[e] : 0.0;
        if (sum > most) {
            most = sum;
            word = input_word(d);
        }
    }
    return word;
}

pc_status pci_samples_finish(pci_samples *samples, pc_part_plan *plan, char *most_sensitive,
                             size_t size) {
    if (!samples || samples->layers == 0)
        return PC_OK;
    PCI_TRY(pci_in_threads(finish_sample, samples, samples->count));
    const struct sample *coarse = &samples->item[samples->count - 1];
    for (size_t j = 0; j < samples->layers; j++) {
        pc_layer *layer = plan->layer[j];
        layer->closes_early_s =
            not_after(time_quantile(samples, read_closes, j, EARLY, layer->mix_s, layer->closes_s),
                      layer->closes_s);
        double shift_K = layer->peak_K - coarse->peak_K[j];
        layer->peak_late_K =
            not_before(quantile(samples, read_peak, j, LATE) + shift_K, layer->peak_K);
        layer->peak_over_share = share_over(samples, j, shift_K, pci_case_peak_limit(&coarse->c));
    }
    double mix_s = samples->layer.mix_s;
    double stop_s = plan->layer[plan->layer_count - 1]->stop_s; /* not while it is still turned */
    plan->demold_late_s =
        not_before(time_quantile(samples, read_demold, 0, LATE, mix_s, plan->demold_s),
                   fmax(plan->demold_s, stop_s));
    weigh_inputs(samples, read_demold, 0);
    pci_copy_text(most_sensitive, size, heaviest_input(samples));
    return PC_OK;
}
