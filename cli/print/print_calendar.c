/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "print/print_calendar.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "pourclock.h"
#include "print/calendar.h"

#define JOIN_S     120.0
#define TITLE_SIZE 512
#define STORY_SIZE 4096

/* Steps that ring together. */
struct group {
    const pc_step *first;
    double start_s, end_s; /* from the first mix */
    char title[TITLE_SIZE], story[STORY_SIZE];
};

/* The piece, the day and the action alone: a schedule planned again has the same names. */
static void name_event(const pc_schedule *schedule, const pc_step *step, const int date[3],
                       char *name, size_t size) {
    snprintf(name, size, "%s|%04d-%02d-%02d|%s|%zu|%d", schedule->piece, date[0], date[1], date[2],
             pc_step_word(step->kind), step->part, step->layer);
}

/* Whole, or not at all and with a mark that there is more: never cut within a character. */
static void append(char *text, size_t size, const char *between, const char *more) {
    static const char mark[] = " ...";
    size_t used = strlen(text), marked = sizeof mark - 1;
    if (used >= marked && strcmp(text + used - marked, mark) == 0)
        return;
    if (used + strlen(between) + strlen(more) + sizeof mark <= size)
        snprintf(text + used, size - used, "%s%s", used > 0 ? between : "", more);
    else
        snprintf(text + used, size - used, "%s", mark);
}

static void add_step(const pc_schedule *schedule, const pc_step *step, struct group *group) {
    char part[96], what[256], line[700], text[sizeof step->text];
    pc_words clock = pc_say_clock(schedule->start_clock_s, pc_step_second(step), PC_CLOCK_BARE);
    pc_text_clean(step->part < schedule->part_count ? schedule->part[step->part]->name : "", part,
                  sizeof part);
    pc_text_clean(step->text, text, sizeof text);
    if (step->layer > 0 && step->part < schedule->part_count)
        snprintf(what, sizeof what, "%s %s, %s, %s %d", clock.s, pc_step_said(schedule, step), part,
                 pc_layer_word(schedule->part[step->part]->kind), step->layer);
    else
        snprintf(what, sizeof what, "%s %s, %s", clock.s, pc_step_said(schedule, step), part);
    append(group->title, sizeof group->title, "; ", what);
    snprintf(line, sizeof line, "%s%s%s", what, text[0] != '\0' ? ": " : "", text);
    append(group->story, sizeof group->story, "\n", line);
    group->end_s = pc_step_second(step);
}

static bool rings(const pc_step *step) {
    return step->kind != PC_STEP_WAIT && calendar_reaches(step->at_s);
}

static bool add_group(const pc_schedule *schedule, const struct group *group, const int date[3],
                      struct calendar *calendar) {
    char name[PC_NAME_SIZE + 80];
    name_event(schedule, group->first, date, name, sizeof name);
    struct calendar_event event = {name, group->start_s, group->end_s, group->title, group->story};
    return calendar_add(calendar, &event);
}

static pc_status add_events(const pc_schedule *schedule, const int date[3],
                            struct calendar *calendar) {
    struct group *group = malloc(sizeof *group);
    bool good = group != NULL;
    for (size_t i = 0; good && i < schedule->step_count;) {
        const pc_step *step = schedule->step[i++];
        if (!rings(step))
            continue;
        memset(group, 0, sizeof *group);
        group->first = step;
        group->start_s = pc_step_second(step);
        add_step(schedule, step, group);
        for (; i < schedule->step_count; i++) {
            const pc_step *next = schedule->step[i];
            if (rings(next) && !(next->at_s - group->start_s < JOIN_S))
                break;
            if (rings(next))
                add_step(schedule, next, group);
        }
        good = add_group(schedule, group, date, calendar);
    }
    free(group);
    return good ? PC_OK : PC_E_MEMORY;
}

pc_status calendar_render(const pc_schedule *schedule, const int date[3], char **text) {
    struct calendar *calendar;
    if (schedule == NULL || text == NULL)
        return PC_E_ARGUMENT;
    pc_status status = calendar_open(date, schedule->start_clock_s, &calendar);
    if (status != PC_OK)
        return status;
    status = add_events(schedule, date, calendar);
    pc_status closed = calendar_close(calendar, status == PC_OK ? text : NULL);
    return status != PC_OK ? status : closed;
}
