/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Built in place of every calendar where the tool is configured without libical. */
#include "commands/options.h"
#include "print/message.h"
#include "print/print_calendar.h"

enum cli_exit calendar_options(const struct cli *cli, int date[3]) {
    (void)date;
    return cli_has(cli, "calendar") || cli_has(cli, "date")
               ? say_error(CLI_USAGE,
                           "--calendar: this pourclock was built without libical, which writes "
                           "calendars: build it again with libical (Debian: libical-dev) and "
                           "without --without-libical")
               : CLI_DONE;
}

enum cli_exit print_calendar(struct cli *cli, const pc_schedule *schedule) {
    (void)schedule;
    int date[3];
    return calendar_options(cli, date);
}

enum cli_exit print_day_calendar(struct cli *cli, const pc_day *day, const pc_day_plan *plan) {
    (void)day;
    (void)plan;
    int date[3];
    return calendar_options(cli, date);
}
