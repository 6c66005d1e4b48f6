/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Price lists. */
#include "fuzz_text.h"

#include <math.h>

#include "pourclock/supplies.h"

bool fuzz_accepts(const uint8_t *data, size_t size) {
    static pc_prices prices;
    pc_errors errors = PC_ERRORS_INIT;
    int here = fuzz_text_enter(data, size);
    pc_status status = pc_prices_read("-", &prices, &errors);
    fuzz_text_leave(here);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK) {
        FUZZ_PROMISE(prices.count <= PC_PRICES_MOST);
        for (size_t i = 0; i < prices.count; i++) {
            const pc_kit *kit = &prices.kit[i];
            FUZZ_PROMISE(isfinite(kit->part_a) && kit->part_a > 0);
            FUZZ_PROMISE(isfinite(kit->part_b) && kit->part_b >= 0);
            FUZZ_PROMISE(isfinite(kit->price) && kit->price >= 0);
            FUZZ_PROMISE((unsigned)kit->item < PC_SUPPLY_COUNT && kit->line > 1);
        }
    }
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
