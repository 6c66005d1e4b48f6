/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock cuptest --json`, format 1. */
#include <math.h>

#include "json/json_value.h"

/* Gel times over the shop's range, of the cup data sheets speak of; the command prints the same. */
static const double gel_C[] = {10.0, 15.0, 20.0, 23.0, 25.0, 30.0}, gel_mass_kg = 0.1;
enum { GEL_ROWS = sizeof gel_C / sizeof gel_C[0] };

static void put_gel_table(json_t *root, const pc_tests_fit *fit, bool *failed) {
    json_t *rows = json_array();
    for (int i = 0; i < GEL_ROWS; i++) {
        double T_K = gel_C[i] + PC_ZERO_CELSIUS_K, gel_s = NAN, low_s = NAN, high_s = NAN;
        if (pc_tests_fit_gel(fit, gel_mass_kg, T_K, &gel_s, &low_s, &high_s) == PC_E_MEMORY)
            *failed = true;
        json_t *row = json_object();
        pci_json_number(row, "T_K", T_K, failed);
        pci_json_number(row, "mass_kg", gel_mass_kg, failed);
        pci_json_number(row, "gel_s", gel_s, failed);
        pci_json_number(row, "gel_low_s", low_s, failed);
        pci_json_number(row, "gel_high_s", high_s, failed);
        pci_json_push(rows, row, failed);
    }
    pci_json_put(root, "gel_times", rows, failed);
}

static void put_rows(json_t *root, const pc_tests *tests, const pc_tests_fit *fit, bool *failed) {
    json_t *rows = json_array();
    for (size_t i = 0; i < fit->count; i++) {
        const pc_test *test = &tests->item[i];
        const pc_test_result *result = &fit->result[i];
        bool reading = test->kind == PC_TEST_LOG;
        json_t *row = json_object();
        pci_json_count(row, "line", test->line, failed);
        pci_json_text(row, "kind", pc_test_word(test->kind), failed);
        pci_json_number(row, "time_s", test->time_s, failed);
        pci_json_number(row, "T_K", test->T_K, failed);
        pci_json_number(row, reading ? "reading_K" : "measured_s",
                        reading ? test->reading_K : test->time_s, failed);
        pci_json_number(row, reading ? "model_K" : "model_s", result->model, failed);
        pci_json_number(row, reading ? "residual_K" : "residual", result->residual, failed);
        pci_json_number(row, "leverage", result->leverage, failed);
        pci_json_number(row, "spread", result->spread, failed);
        pci_json_bool(row, "outlier", result->outlier, failed);
        if (!reading)
            pci_json_number(row, "sheet_ratio", result->sheet_ratio, failed);
        pci_json_push(rows, row, failed);
    }
    pci_json_put(root, "rows", rows, failed);
}

static void put_interval(json_t *root, const char *key, double value, double low, double high,
                         bool *failed) {
    json_t *item = json_object();
    pci_json_number(item, "value", value, failed);
    pci_json_number(item, "low", low, failed);
    pci_json_number(item, "high", high, failed);
    pci_json_put(root, key, item, failed);
}

pc_status pc_tests_json(const pc_tests *tests, const pc_tests_fit *fit, char **text) {
    if (!tests || !fit || !text || fit->count > tests->count)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *root = json_object();
    pci_json_count(root, "format", 1, &failed);
    pci_json_text(root, "resin", fit->resin.name, &failed);
    pci_json_number(root, "reference_K", fit->T_ref_K, &failed);
    put_interval(root, "rate_scale", fit->rate_scale, fit->rate_low, fit->rate_high, &failed);
    put_interval(root, "E_J_mol", fit->E_J_mol, fit->E_low_J_mol, fit->E_high_J_mol, &failed);
    put_interval(root, "a_pot", fit->a_pot, fit->a_pot_low, fit->a_pot_high, &failed);
    pci_json_number(root, "ln_rate_error", fit->ln_rate_error, &failed);
    pci_json_number(root, "E_error_J_mol", fit->E_error_J_mol, &failed);
    pci_json_number(root, "correlation", fit->correlation, &failed);
    pci_json_number(root, "film_gel_ln_error", fit->resin.fit.film_sd, &failed);
    pci_json_number(root, "scatter", fit->scatter, &failed);
    pci_json_number(root, "reading_scatter_K", fit->reading_scatter_K, &failed);
    pci_json_number(root, "widened", fit->widened, &failed);
    put_gel_table(root, fit, &failed);
    put_rows(root, tests, fit, &failed);
    pci_json_resin_cautions(root, &fit->resin, PC_METRIC, &failed);
    return pci_json_finish(root, failed, text);
}
