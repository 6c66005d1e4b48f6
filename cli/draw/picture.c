/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "draw/picture.h"

#include "print/output.h"

cairo_status_t picture_write(void *output, const unsigned char *data, unsigned int length) {
    struct cli_output *out = output;
    out_bytes(out, data, length);
    return out->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}
