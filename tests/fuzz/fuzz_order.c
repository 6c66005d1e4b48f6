/* SPDX-License-Identifier: GPL-3.0-or-later */
/* [supplies], [strength] and [pin NAME] of a piece file. */
#include "fuzz_bytes.h"
#include "fuzz_text.h"
#include "pourclock/supplies.h"
#include "supplies/strength.h"

bool fuzz_accepts(const uint8_t *data, size_t size) {
    static pc_order order;
    pc_errors errors = PC_ERRORS_INIT;
    int here = fuzz_text_enter(data, size);
    pc_status status = pc_order_read("/dev/stdin", &order, &errors);
    fuzz_text_leave(here);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK) {
        FUZZ_PROMISE(order.castings >= 1 && order.loss >= 0 && order.shell_halves >= 1);
        FUZZ_PROMISE(order.pin_count <= PC_PINS_MOST);
        for (size_t i = 0; i < order.pin_count; i++) {
            pc_joint_result result;
            pc_errors why = PC_ERRORS_INIT;
            pc_status judged = pci_joint_judge(&order.pin[i], 1.0, 20e6, false, &result, &why);
            FUZZ_PROMISE(judged == PC_OK || (judged == PC_E_VALUE && why.count > 0));
            pc_errors_free(&why);
        }
    }
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
