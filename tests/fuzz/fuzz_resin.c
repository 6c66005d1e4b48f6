/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"
#include "fuzz_json.h"

#include <math.h>

#include "sheet/resin_file.h"

bool fuzz_accepts(const uint8_t *data, size_t size) {
    pc_resin r;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_resin_parse("fuzz", (const char *)data, size, &r, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK) {
        FUZZ_PROMISE(fabs(r.share_a + r.share_b + r.fill.share - 1.0) < 1e-9 && r.share_a > 0 && r.share_b > 0);
        FUZZ_PROMISE(r.cure.a_pot > 0 && r.cure.a_pot < r.cure.a_gel);
        FUZZ_PROMISE(r.cure.a_demold > r.cure.a_gel && r.cure.a_demold < 1);
        FUZZ_PROMISE(isfinite(r.cure.A1_per_s) && r.cure.A1_per_s > 0 && r.cure.E1_J_mol > 0);
        FUZZ_PROMISE(isfinite(r.density_kg_m3) && r.density_kg_m3 > 0);
        FUZZ_PROMISE(r.flow.a_gel == r.cure.a_gel && r.flow.mu_ref_Pa_s > 0);
        pc_resin_row row = {.T_K = PC_SHEET_K};
        char *text = NULL;
        judge_json(pc_resin_json(&r, 1, &row, &text), &text);
    }
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
