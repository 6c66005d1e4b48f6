/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "commands/options.h"
#include "print/calendar.h"
#include "print/message.h"
#include "print/print_calendar.h"

static bool read_date(const char *text, int date[3]) {
    static const int at[3] = {0, 5, 8}, digits[3] = {4, 2, 2};
    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-')
        return false;
    for (int i = 0; i < 3; i++) {
        date[i] = 0;
        for (int k = 0; k < digits[i]; k++) {
            char c = text[at[i] + k];
            if (c < '0' || c > '9')
                return false;
            date[i] = date[i] * 10 + (c - '0');
        }
    }
    return true;
}

static bool today(int date[3]) {
    time_t now = time(NULL);
    struct tm local;
    if (localtime_r(&now, &local) == NULL)
        return false;
    date[0] = local.tm_year + 1900;
    date[1] = local.tm_mon + 1;
    date[2] = local.tm_mday;
    return true;
}

enum cli_exit calendar_options(const struct cli *cli, int date[3]) {
    const char *given = cli_value(cli, "date");
    if (!cli_has(cli, "calendar"))
        return given == NULL ? CLI_DONE
                             : say_error(CLI_USAGE, "--date is the day of a --calendar: give both");
    if (given != NULL ? !read_date(given, date) : !today(date))
        return say_error(CLI_USAGE, "--date: \"%s\" is not a day; expected 2026-03-14",
                         given != NULL ? given : "");
    if (!calendar_has_day(date))
        return say_error(CLI_USAGE, "--date: there is no day %04d-%02d-%02d", date[0], date[1],
                         date[2]);
    return CLI_DONE;
}

static enum cli_exit write_calendar(struct cli *cli, pc_status status, char *text) {
    if (status != PC_OK)
        return say_error(say_exit_of(status), "--calendar: %s", pc_status_text(status));
    enum cli_exit code = cli_deliver(cli, cli_value(cli, "calendar"), text, strlen(text));
    free(text);
    return code;
}

enum cli_exit print_calendar(struct cli *cli, const pc_schedule *schedule) {
    int date[3];
    char *text = NULL;
    enum cli_exit code = calendar_options(cli, date);
    if (code != CLI_DONE || !cli_has(cli, "calendar"))
        return code;
    pc_status status = calendar_render(schedule, date, &text);
    return write_calendar(cli, status, text);
}

enum cli_exit print_day_calendar(struct cli *cli, const pc_day *day, const pc_day_plan *plan) {
    int date[3];
    char *text = NULL;
    enum cli_exit code = calendar_options(cli, date);
    if (code != CLI_DONE || !cli_has(cli, "calendar"))
        return code;
    /* RFC 5545 section 3.6: a calendar holds one component at least. */
    if (plan->entry_count == 0) {
        say_note(cli, "--calendar: no casting has a place in the day: nothing is written");
        return CLI_DONE;
    }
    for (int i = 0; i < 3 && day->first[0] && cli_value(cli, "date") == NULL; i++)
        date[i] = day->first[i];
    pc_status status = day_calendar_render(day, plan, date, &text);
    return write_calendar(cli, status, text);
}
