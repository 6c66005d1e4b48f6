/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Built in place of every drawing where the tool is configured without cairo. */
#include "draw/gantt.h"
#include "draw/labels.h"
#include "draw/map.h"
#include "draw/sheet.h"
#include "draw/traps_picture.h"
#include "draw/warm_picture.h"
#include "print/message.h"
#include "print/print_fit.h"

static enum cli_exit refuse_drawing(const char *path) {
    return say_error(CLI_USAGE,
                     "%s: this pourclock was built without cairo, which draws: build it again with "
                     "cairo (Debian: libcairo2-dev) and without --without-cairo",
                     path);
}

enum cli_exit print_sheet(struct cli *cli, const char *path, const pc_piece *piece,
                          const pc_schedule *schedule, const char *const *caution,
                          size_t caution_count, const char *file) {
    (void)cli;
    (void)piece;
    (void)schedule;
    (void)caution;
    (void)caution_count;
    (void)file;
    return refuse_drawing(path);
}

enum cli_exit print_labels(struct cli *cli, const char *path, const pc_schedule *schedule,
                           pc_units units) {
    (void)cli;
    (void)schedule;
    (void)units;
    return refuse_drawing(path);
}

enum cli_exit print_gantt(const char *path, const pc_day *day, const pc_day_plan *plan) {
    (void)day;
    (void)plan;
    return refuse_drawing(path);
}

enum cli_exit print_fit(const char *path, const pc_tests *tests, const pc_tests_fit *fit,
                        pc_units units) {
    (void)tests;
    (void)fit;
    (void)units;
    return refuse_drawing(path);
}

enum cli_exit map_picture(const char *path, const struct map_view *view) {
    (void)view;
    return refuse_drawing(path);
}

enum cli_exit traps_picture(const char *path, const struct traps_shown *shown) {
    (void)shown;
    return refuse_drawing(path);
}

enum cli_exit warm_picture(const char *path, const pc_piece *piece, const pc_warm_grid *grid,
                           const pc_warm *warm) {
    (void)piece;
    (void)grid;
    (void)warm;
    return refuse_drawing(path);
}
