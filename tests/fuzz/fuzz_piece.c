/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"

#include <math.h>

#include "piece/piece_file.h"

static void judge(const pc_piece *p) {
    FUZZ_PROMISE(p->part_count >= 1 && p->part_count <= PC_PARTS_MOST);
    for (size_t i = 0; i < p->part_count; i++) {
        const pc_part *part = &p->part[i];
        FUZZ_PROMISE(isfinite(part->shape.area_m2) && part->shape.area_m2 > 0);
        FUZZ_PROMISE(part->kind == PC_SOLID ? part->volume_m3 > 0 : part->wall_m > 0);
    }
    FUZZ_PROMISE(isfinite(p->shop.air_K) && isfinite(p->shop.resin_K) && isfinite(p->shop.mold_K));
    FUZZ_PROMISE(isfinite(p->turning.outer_rad_s) && isfinite(p->turning.inner_rad_s));
    FUZZ_PROMISE(p->shop.largest_mix_kg > 0 && p->shop.hands >= 1);
}

bool fuzz_accepts(const uint8_t *data, size_t size) {
    static pc_piece piece;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_piece_parse("fuzz", (const char *)data, size, &piece, &errors);
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK)
        judge(&piece);
    pc_piece_free(&piece);
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
