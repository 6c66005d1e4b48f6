/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "values.h"

#include <math.h>

#include "options.h"
#include "say.h"

bool cli_quantity_at(const struct cli *cli, const char *name, size_t index, pc_dimension dimension,
                     double above, double *si) {
    const char *text = cli_value_at(cli, name, index);
    if (!text)
        return false;
    char why[256] = "";
    double value = NAN;
    if (pc_quantity_parse(text, dimension, &value, why, sizeof why) != PC_OK) {
        say_error(CLI_USAGE, "--%s %s: %s", name, text, why);
        return false;
    }
    if (!(value > above)) {
        say_error(CLI_USAGE, "--%s %s: too small; write it as %s", name, text,
                  pc_dimension_example(dimension));
        return false;
    }
    *si = value;
    return true;
}
