/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "fuzz.h"
#include "fuzz_mesh.h"

bool fuzz_accepts(const uint8_t *data, size_t size) {
    return fuzz_mesh(data, size, "fuzz.obj");
}

FUZZ_ENTRY
