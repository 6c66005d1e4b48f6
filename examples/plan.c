/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans the piece of a file with libpourclock and prints each pour on one line.
 *
 *     cc plan.c $(pkg-config --cflags --libs pourclock) -o plan && ./plan otter-warm.ini */
#include <pourclock.h>
#include <stdio.h>
#include <stdlib.h>

/* Readers collect every wrong line: show them all. */
static void show_errors(const pc_errors *errors) {
    for (size_t i = 0; i < errors->count; i++) {
        char text[1024];
        pc_error_format(&errors->item[i], text, sizeof text);
        fprintf(stderr, "%s\n", text);
    }
}

static void print_pours(const pc_schedule *schedule) {
    for (size_t i = 0; i < schedule->part_count; i++)
        for (size_t j = 0; j < schedule->part[i]->layer_count; j++) {
            const pc_layer *layer = schedule->part[i]->layer[j];
            pc_words pour = pc_say_by(schedule->start_clock_s, layer->pour_s);
            pc_words stop = pc_say_from(schedule->start_clock_s, layer->stop_s);
            printf("%s %d: %.0f g, pour at %s, gelled by %s, %.0f C at most\n",
                   schedule->part[i]->name, layer->number, layer->batch_kg * 1e3, pour.s, stop.s,
                   layer->peak_K - PC_ZERO_CELSIUS_K);
        }
}

int main(int argc, char **argv) {
    if (argc != 2) {
        fprintf(stderr, "usage: plan PIECE\n");
        return 2;
    }
    pc_piece *piece = malloc(sizeof *piece);
    if (!piece)
        return 4;
    pc_errors errors = PC_ERRORS_INIT;
    pc_schedule *schedule = NULL;
    int code = 3;
    pc_status status = pc_piece_read(argv[1], piece, &errors);
    if (status == PC_OK)
        status = pc_schedule_make(piece, &schedule, &errors);
    if (status == PC_OK) {
        print_pours(schedule);
        code = schedule->feasible ? 0 : 1;
    } else {
        show_errors(&errors);
    }
    pc_schedule_free(schedule);
    pc_piece_free(piece);
    free(piece);
    pc_errors_free(&errors);
    return code;
}
