/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <pourclock.h>
#include <stdio.h>

int main(int argc, char **argv) {
    static pc_piece piece;
    pc_schedule *schedule = NULL;
    pc_status status = pc_piece_read(argc > 1 ? argv[1] : "-", &piece, NULL);
    if (status == PC_OK)
        status = pc_schedule_make(&piece, &schedule, NULL);
    for (size_t i = 0; status == PC_OK && i < schedule->step_count; i++)
        printf("%s %s\n", pc_step_word(schedule->step[i]->kind), schedule->step[i]->text);
    pc_schedule_free(schedule);
    pc_piece_free(&piece);
    return status == PC_OK ? 0 : 1;
}
