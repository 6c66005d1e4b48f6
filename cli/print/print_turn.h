/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What `pourclock turn` found out about a part, and how it is printed. */
#ifndef PC_CLI_PRINT_PRINT_TURN_H
#define PC_CLI_PRINT_PRINT_TURN_H

#include "commands/command.h"

#define TURN_STOPS     3
#define TURN_BETTER_BY 1.01 /* a program that does better by less is not named */

struct turn_layer {
    pc_status status; /* not PC_OK: only why holds */
    char why[512];
    pc_turn_result result;
    pc_turn_interruption stop[TURN_STOPS];
    pc_drain_result drain;
};

struct turn_part {
    size_t part; /* of the piece */
    pc_turn_plan plan;
    struct turn_layer layer[PC_LAYERS_MOST];
    pc_coverage coverage; /* of the first layer's pool */
    pc_map *map;          /* all layers; NULL where not made */
    pc_spread sum;
    bool has_best;
    pc_turning best;
    pc_turn_result best_result[PC_LAYERS_MOST];
    char why_no_best[512];
};

struct turn_report {
    const pc_piece *piece;
    const pc_schedule *schedule;
    pc_units units;
    size_t count;
    struct turn_part *part; /* hollow parts */
};

void turn_print_text(struct cli_output *out, const struct turn_report *report);
void turn_print_json(struct cli_output *out, const struct turn_report *report);
void turn_print_csv(struct cli_output *out, const struct turn_report *report); /* its layers */

#endif
