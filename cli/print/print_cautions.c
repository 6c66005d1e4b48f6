/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "print/print_cautions.h"

#include <stdio.h>

void print_cautions(struct cli_output *out, const pc_cautions *cautions, int width) {
    bool always = false;
    for (size_t i = 0; i < cautions->count; i++) {
        const pc_caution *item = &cautions->item[i];
        if (i == 0 && !item->always)
            out_title(out, "CAUTIONS");
        if (item->always && !always)
            out_title(out, "CAUTIONS FOR EVERY PIECE");
        always = item->always;
        out_text(out, "  - ");
        out_wrapped(out, item->text, 4, width);
    }
}

void cautions_as_one(const pc_cautions *cautions, char *text, size_t size) {
    size_t used = 0;
    text[0] = '\0';
    for (size_t i = 0; i < cautions->count && used < size; i++)
        if (cautions->item[i].always)
            used += (size_t)snprintf(text + used, size - used, "%s%s", used > 0 ? " " : "",
                                     cautions->item[i].text);
}

void print_resin_cautions(struct cli_output *out, const pc_resin *resin, pc_units units,
                          int width) {
    pc_cautions cautions;
    pc_status status = pc_cautions_of_resin(resin, units, &cautions);
    if (status == PC_OK)
        print_cautions(out, &cautions, width);
    else
        out->failed = true;
    pc_cautions_free(&cautions);
}
