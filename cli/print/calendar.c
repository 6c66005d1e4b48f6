/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "print/calendar.h"

#include <inttypes.h>
#include <libical/ical.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "print/fnv.h"

struct calendar {
    icalcomponent *all;
    time_t zero, stamp;
};

/* A UUID of version 8 (RFC 9562: by the maker's own rule): FNV-1a of the event's name, twice, the
 * second time from a start that only has to be another. */
static void make_uid(const char *name, char *uid, size_t size) {
    uint64_t high = fnv_1a(FNV_START, name, strlen(name));
    uint64_t low = fnv_1a(high ^ 0x9E3779B97F4A7C15ULL, name, strlen(name));
    high = (high & ~0xF000ULL) | 0x8000ULL;
    low = (low & ~(3ULL << 62)) | 1ULL << 63;
    snprintf(uid, size, "%08" PRIx64 "-%04" PRIx64 "-%04" PRIx64 "-%04" PRIx64 "-%012" PRIx64,
             high >> 32, (uint64_t)(high >> 16 & 0xFFFF), (uint64_t)(high & 0xFFFF), low >> 48,
             (uint64_t)(low & 0xFFFFFFFFFFFFULL));
}

static struct icaltimetype utc_time(time_t seconds) {
    return icaltime_from_timet_with_zone(seconds, 0, icaltimezone_get_utc_timezone());
}

bool calendar_add(struct calendar *calendar, const struct calendar_event *e) {
    char uid[64];
    make_uid(e->name, uid, sizeof uid);
    double start_s = floor(((double)calendar->zero + e->start_s) / 60.0) * 60.0;
    double end_s = ceil(((double)calendar->zero + e->end_s) / 60.0) * 60.0;
    if (end_s < start_s + 60.0)
        end_s = start_s + 60.0;
    icalcomponent *alarm =
        icalcomponent_vanew(ICAL_VALARM_COMPONENT, icalproperty_new_action(ICAL_ACTION_DISPLAY),
                            icalproperty_new_trigger(icaltriggertype_from_int(0)),
                            icalproperty_new_description(e->title), (void *)0);
    icalcomponent *event = icalcomponent_vanew(ICAL_VEVENT_COMPONENT, icalproperty_new_uid(uid),
                                               icalproperty_new_dtstamp(utc_time(calendar->stamp)),
                                               icalproperty_new_dtstart(utc_time((time_t)start_s)),
                                               icalproperty_new_dtend(utc_time((time_t)end_s)),
                                               icalproperty_new_summary(e->title),
                                               icalproperty_new_description(e->text), (void *)0);
    if (alarm == NULL || event == NULL) {
        if (alarm != NULL)
            icalcomponent_free(alarm);
        if (event != NULL)
            icalcomponent_free(event);
        return false;
    }
    icalcomponent_add_component(event, alarm);
    icalcomponent_add_component(calendar->all, event);
    return true;
}

/* The moment of a clock time on a day; false where there is no such day. mktime knows the zone and
 * its summer time. */
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

bool calendar_has_day(const int date[3]) {
    time_t midnight;
    return date[0] >= 1970 && date[0] <= 9999 && date[1] >= 1 && date[1] <= 12 && date[2] >= 1 &&
           date[2] <= 31 && moment(date, 0.0, &midnight);
}

bool calendar_reaches(double at_s) {
    static const double MOST_S = 30.0 * PC_DAY_S;
    return fabs(at_s) < MOST_S;
}

pc_status calendar_open(const int date[3], double clock_s, struct calendar **calendar) {
    time_t zero, stamp;
    if (!(clock_s >= 0.0 && clock_s < PC_DAY_S) || !calendar_has_day(date) ||
        !moment(date, 0.0, &stamp) || !moment(date, clock_s, &zero))
        return PC_E_ARGUMENT;
    struct calendar *made = malloc(sizeof *made);
    if (made == NULL)
        return PC_E_MEMORY;
    icalerror_set_errors_are_fatal(0);
    made->zero = zero;
    made->stamp = stamp;
    made->all =
        icalcomponent_vanew(ICAL_VCALENDAR_COMPONENT, icalproperty_new_version("2.0"),
                            icalproperty_new_prodid("-//pourclock//pourclock//EN"), (void *)0);
    if (made->all == NULL) {
        free(made);
        return PC_E_MEMORY;
    }
    *calendar = made;
    return PC_OK;
}

pc_status calendar_close(struct calendar *calendar, char **text) {
    char *made = text != NULL ? icalcomponent_as_ical_string_r(calendar->all) : NULL;
    if (text != NULL)
        *text = made != NULL ? strdup(made) : NULL;
    if (made != NULL)
        icalmemory_free_buffer(made);
    icalcomponent_free(calendar->all);
    free(calendar);
    return text == NULL || *text != NULL ? PC_OK : PC_E_MEMORY;
}
