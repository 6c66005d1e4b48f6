/* SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdio.h>

#include "print/calendar.h"
#include "print/print_calendar.h"

static const char remind[] = "Grams, deadlines and cautions are in the casting's own schedule.";

static bool add_entry(const pc_day *day, const pc_day_plan *plan, const pc_day_entry *e,
                      const int date[3], struct calendar *calendar) {
    const pc_day_casting *casting = plan->casting[e->casting];
    char name[2 * PC_NAME_SIZE + 96], clean[256];
    char title[300], text[sizeof title + sizeof remind + 64], person[32] = "";
    snprintf(name, sizeof name, "%s|%04d-%02d-%02d|%s|%d|%s|%zu|%d", day->name, date[0], date[1],
             date[2], day->piece[casting->piece]->name, casting->copy, pc_day_do_word(e->what),
             e->part, e->layer);
    pc_words from = pc_say_clock(0, e->from_s, PC_CLOCK_BARE);
    pc_words until = pc_say_clock(0, e->until_s, PC_CLOCK_BARE);
    pc_text_clean(e->text, clean, sizeof clean);
    snprintf(title, sizeof title, "%s %s", from.s, clean);
    if (day->hands > 1)
        snprintf(person, sizeof person, "Person %d. ", e->person);
    snprintf(text, sizeof text, "%s\n%sUntil %s.\n%s", title, person, until.s, remind);
    struct calendar_event event = {name, e->from_s - day->start_s, e->until_s - day->start_s, title,
                                   text};
    return calendar_add(calendar, &event);
}

pc_status day_calendar_render(const pc_day *day, const pc_day_plan *plan, const int date[3],
                              char **text) {
    struct calendar *calendar;
    if (day == NULL || plan == NULL || text == NULL)
        return PC_E_ARGUMENT;
    pc_status status = calendar_open(date, day->start_s, &calendar);
    if (status != PC_OK)
        return status;
    for (size_t i = 0; status == PC_OK && i < plan->entry_count; i++) {
        const pc_day_entry *e = plan->entry[i];
        bool rings = calendar_reaches(e->from_s) && calendar_reaches(e->until_s);
        if (rings && !add_entry(day, plan, e, date, calendar))
            status = PC_E_MEMORY;
    }
    pc_status closed = calendar_close(calendar, status == PC_OK ? text : NULL);
    return status != PC_OK ? status : closed;
}
