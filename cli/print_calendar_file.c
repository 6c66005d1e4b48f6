/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "output.h"
#include "print_calendar.h"
#include "say.h"

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

enum cli_exit print_calendar(const char *path, const pc_schedule *schedule, const char *date) {
    int day[3];
    char *text = NULL;
    if (date != NULL ? !read_date(date, day) : !today(day))
        return say_error(CLI_USAGE, "--date: \"%s\" is not a day; expected 2026-03-14",
                         date != NULL ? date : "");
    pc_status status = calendar_render(schedule, day[0], day[1], day[2], &text);
    if (status == PC_E_ARGUMENT)
        return say_error(CLI_USAGE, "--date: there is no day %04d-%02d-%02d", day[0], day[1],
                         day[2]);
    if (status != PC_OK)
        return say_error(CLI_INTERNAL, "%s", pc_status_text(status));
    bool written = out_to_file(path, text, strlen(text));
    free(text);
    return written ? CLI_DONE : CLI_FILE;
}
