/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "print_calendar.h"

#include <inttypes.h>
#include <libical/ical.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "clean_text.h"

#define JOIN_S        120.0
#define TITLE_SIZE    512
#define STORY_SIZE    4096
#define STEP_LAST_DAY 30.0 /* what lies further off is no schedule */

/* Steps that ring together. */
struct group {
    const pc_step *first;
    double start_s, end_s; /* from the first mix */
    char title[TITLE_SIZE], story[STORY_SIZE];
};

static uint64_t mix_bytes(uint64_t hash, const void *data, size_t size) {
    const unsigned char *at = data;
    for (size_t i = 0; i < size; i++)
        hash = (hash ^ at[i]) * 1099511628211ULL;
    return hash;
}

/* A UUID of version 8 (RFC 9562: by the maker's own rule): FNV-1a of piece, day and action. */
static void make_uid(const pc_schedule *schedule, const pc_step *step, const int date[3], char *uid,
                     size_t size) {
    char name[PC_NAME_SIZE + 80];
    snprintf(name, sizeof name, "%s|%04d-%02d-%02d|%s|%zu|%d", schedule->piece, date[0], date[1],
             date[2], pc_step_word(step->kind), step->part, step->layer);
    uint64_t high = mix_bytes(14695981039346656037ULL, name, strlen(name));
    uint64_t low = mix_bytes(high ^ 0x9E3779B97F4A7C15ULL, name, strlen(name));
    high = (high & ~0xF000ULL) | 0x8000ULL;
    low = (low & ~(3ULL << 62)) | 1ULL << 63;
    snprintf(uid, size, "%08" PRIx64 "-%04" PRIx64 "-%04" PRIx64 "-%04" PRIx64 "-%012" PRIx64,
             high >> 32, (uint64_t)(high >> 16 & 0xFFFF), (uint64_t)(high & 0xFFFF), low >> 48,
             (uint64_t)(low & 0xFFFFFFFFFFFFULL));
}

static void append(char *text, size_t size, const char *more) {
    size_t used = strlen(text);
    snprintf(text + used, size - used, "%s%s", used > 0 ? "; " : "", more);
}

static void add_step(const pc_schedule *schedule, const pc_step *step, struct group *group) {
    char clock[16], part[96], what[256], line[700], text[sizeof step->text];
    pc_clock_text(schedule->start_clock_s + step->at_s, true, clock, sizeof clock);
    clean_text(step->part < schedule->part_count ? schedule->part[step->part].name : "", part,
               sizeof part);
    clean_text(step->text, text, sizeof text);
    if (step->layer > 0)
        snprintf(what, sizeof what, "%s %s, %s, layer %d", clock, pc_step_word(step->kind), part,
                 step->layer);
    else
        snprintf(what, sizeof what, "%s %s, %s", clock, pc_step_word(step->kind), part);
    append(group->title, sizeof group->title, what);
    size_t used = strlen(group->story);
    snprintf(line, sizeof line, "%s%s%s%s", used > 0 ? "\n" : "", what, text[0] != '\0' ? ": " : "",
             text);
    snprintf(group->story + used, sizeof group->story - used, "%s", line);
    group->end_s = step->at_s;
}

static struct icaltimetype utc_time(time_t seconds) {
    return icaltime_from_timet_with_zone(seconds, 0, icaltimezone_get_utc_timezone());
}

static icalcomponent *make_event(const pc_schedule *schedule, const struct group *group,
                                 const int date[3], time_t zero, time_t stamp) {
    char uid[64];
    make_uid(schedule, group->first, date, uid, sizeof uid);
    double start_s = floor(((double)zero + group->start_s) / 60.0) * 60.0;
    double end_s = ceil(((double)zero + group->end_s) / 60.0) * 60.0;
    if (end_s < start_s + 60.0)
        end_s = start_s + 60.0;
    icalcomponent *alarm =
        icalcomponent_vanew(ICAL_VALARM_COMPONENT, icalproperty_new_action(ICAL_ACTION_DISPLAY),
                            icalproperty_new_trigger(icaltriggertype_from_int(0)),
                            icalproperty_new_description(group->title), (void *)0);
    icalcomponent *event = icalcomponent_vanew(
        ICAL_VEVENT_COMPONENT, icalproperty_new_uid(uid), icalproperty_new_dtstamp(utc_time(stamp)),
        icalproperty_new_dtstart(utc_time((time_t)start_s)),
        icalproperty_new_dtend(utc_time((time_t)end_s)), icalproperty_new_summary(group->title),
        icalproperty_new_description(group->story), (void *)0);
    if (event != NULL && alarm != NULL)
        icalcomponent_add_component(event, alarm);
    return event;
}

static bool rings(const pc_step *step) {
    return step->kind != PC_STEP_WAIT && fabs(step->at_s) < STEP_LAST_DAY * 86400.0;
}

static pc_status add_events(const pc_schedule *schedule, const int date[3], time_t zero,
                            time_t stamp, icalcomponent *calendar) {
    struct group *group = malloc(sizeof *group);
    if (group == NULL)
        return PC_E_MEMORY;
    for (size_t i = 0; i < schedule->step_count;) {
        const pc_step *step = &schedule->step[i++];
        if (!rings(step))
            continue;
        memset(group, 0, sizeof *group);
        group->first = step;
        group->start_s = step->at_s;
        add_step(schedule, step, group);
        for (; i < schedule->step_count; i++) {
            const pc_step *next = &schedule->step[i];
            if (rings(next) && !(next->at_s - group->start_s < JOIN_S))
                break;
            if (rings(next))
                add_step(schedule, next, group);
        }
        icalcomponent *event = make_event(schedule, group, date, zero, stamp);
        if (event == NULL) {
            free(group);
            return PC_E_MEMORY;
        }
        icalcomponent_add_component(calendar, event);
    }
    free(group);
    return PC_OK;
}

/* Local midnight of the day, and the moment of a clock time on it; false where there is no such
 * day. mktime knows the zone and its summer time. */
static bool moment(const int date[3], double clock_s, time_t *at) {
    struct tm local = {.tm_year = date[0] - 1900, .tm_mon = date[1] - 1, .tm_mday = date[2]};
    long whole_s = (long)floor(clock_s);
    local.tm_hour = (int)(whole_s / 3600);
    local.tm_min = (int)(whole_s / 60 % 60);
    local.tm_sec = (int)(whole_s % 60);
    local.tm_isdst = -1;
    *at = mktime(&local);
    return *at != (time_t)-1 && local.tm_mday == date[2] && local.tm_mon == date[1] - 1;
}

pc_status calendar_render(const pc_schedule *schedule, int year, int month, int day, char **text) {
    int date[3] = {year, month, day};
    time_t zero, stamp;
    if (schedule == NULL || text == NULL || year < 1970 || year > 9999 || month < 1 || month > 12 ||
        day < 1 || day > 31 ||
        !(schedule->start_clock_s >= 0.0 && schedule->start_clock_s < 86400.0) ||
        !moment(date, 0.0, &stamp) || !moment(date, schedule->start_clock_s, &zero))
        return PC_E_ARGUMENT;
    icalerror_set_errors_are_fatal(0);
    icalcomponent *calendar =
        icalcomponent_vanew(ICAL_VCALENDAR_COMPONENT, icalproperty_new_version("2.0"),
                            icalproperty_new_prodid("-//pourclock//pourclock//EN"), (void *)0);
    if (calendar == NULL)
        return PC_E_MEMORY;
    pc_status status = add_events(schedule, date, zero, stamp, calendar);
    char *made = status == PC_OK ? icalcomponent_as_ical_string_r(calendar) : NULL;
    *text = made != NULL ? strdup(made) : NULL;
    if (made != NULL)
        icalmemory_free_buffer(made);
    icalcomponent_free(calendar);
    if (status == PC_OK && *text == NULL)
        status = PC_E_MEMORY;
    return status;
}
