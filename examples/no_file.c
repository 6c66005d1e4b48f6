/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <pourclock.h>
#include <stdio.h>

int main(void) {
    static const char *const key[][3] = {{"piece", "resin", "fast-urethane"},
                                         {"hollow", "area", "210 sq in"},
                                         {"hollow", "wall", "3/16 in"},
                                         {"shop", "temperature", "64 F"}};
    static pc_piece piece;
    pc_schedule *schedule = NULL;
    pc_status status = PC_OK;
    pc_piece_defaults(&piece);
    for (size_t i = 0; i < sizeof key / sizeof key[0] && status == PC_OK; i++)
        status = pc_piece_set(&piece, key[i][0], key[i][1], key[i][2], NULL);
    if (status == PC_OK)
        status = pc_piece_check(&piece, NULL);
    if (status == PC_OK)
        status = pc_schedule_make(&piece, &schedule, NULL);
    if (status == PC_OK)
        printf("%s of resin in %zu layers, out of the mold after %s\n",
               pc_say_mass(schedule->resin_kg).s, schedule->part[0]->layer_count,
               pc_say_duration(schedule->demold_s).s);
    pc_schedule_free(schedule);
    pc_piece_free(&piece);
    return status == PC_OK ? 0 : 1;
}
