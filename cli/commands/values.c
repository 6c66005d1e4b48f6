/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config.h"

#include "commands/values.h"

#include <float.h>
#include <math.h>

#include "commands/options.h"
#include "print/message.h"

const struct cli_range cli_positive = {DBL_MIN, DBL_MAX, "more than 0"};

bool cli_quantity_at(const struct cli *cli, const char *name, size_t index, pc_dimension dimension,
                     const struct cli_range *range, double *si) {
    const char *text = cli_value_at(cli, name, index);
    if (!text)
        return false;
    char why[256] = "";
    double value = NAN;
    if (pc_quantity_parse(text, dimension, &value, why, sizeof why) != PC_OK) {
        say_error(CLI_USAGE, "--%s %s: %s", name, text, why);
        return false;
    }
    if (!(value >= range->least && value <= range->most)) {
        say_error(CLI_USAGE, "--%s %s: out of range: expected %s, written as %s", name, text,
                  range->words, pc_dimension_example(dimension));
        return false;
    }
    *si = value;
    return true;
}
