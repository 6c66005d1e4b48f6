/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"
#include "fuzz_json.h"

#include <math.h>

#include "sheet/cuptest_rows.h"

enum { FIT_MOST = 10 }; /* longer ones only take longer */

/* Whatever was read and judged sane can be fitted, or is refused with a reason. */
static bool fits(const pc_tests *tests, pc_family family) {
    pc_resin resin;
    pc_tests_fit fit;
    pc_errors errors = PC_ERRORS_INIT;
    const pc_tests_how how = {.as_is = true};
    FUZZ_PROMISE(pc_resin_defaults(family, &resin) == PC_OK);
    pc_status status = pc_tests_fit_run(tests, &resin, &how, &fit, &errors);
    FUZZ_PROMISE(status == PC_OK || errors.count > 0 || status == PC_E_NUMERIC);
    if (status == PC_OK) {
        FUZZ_PROMISE(fit.count == tests->count && fit.outliers <= fit.count);
        FUZZ_PROMISE(isfinite(fit.E_J_mol) && fit.E_low_J_mol <= fit.E_J_mol &&
                     fit.E_J_mol <= fit.E_high_J_mol);
        FUZZ_PROMISE(fit.rate_scale > 0.0 && fit.resin.fit.known);
        FUZZ_PROMISE(fit.resin.cure.a_pot > 0.0 && fit.resin.cure.a_pot < fit.resin.cure.a_gel);
        FUZZ_PROMISE(fabs(fit.correlation) <= 1.0 + 1e-9);
        char *text = NULL;
        judge_json(pc_tests_json(tests, &fit, &text), &text);
    }
    pc_tests_fit_free(&fit);
    pc_errors_free(&errors);
    return status == PC_OK;
}

bool fuzz_accepts(const uint8_t *data, size_t size) {
    pc_tests tests;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_tests_parse("fuzz", (const char *)data, size, &tests, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    bool good = status == PC_OK;
    if (good && tests.count <= FIT_MOST)
        good = fits(&tests, (pc_family)(size % PC_FAMILY_COUNT));
    pc_errors_free(&errors);
    pc_tests_free(&tests);
    return good;
}

FUZZ_ENTRY
