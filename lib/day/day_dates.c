/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The working days of a plan. Source of the day numbers: the Gregorian rule, a leap year every four
 * but centuries not divisible by 400. */
#include "day/day_dates.h"

#include <ctype.h>
#include <stddef.h>

#include "pourclock/day.h"

static bool is_leap(int year) {
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

static int month_days(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return days[month - 1] + (month == 2 && is_leap(year));
}

long pci_date_number(const int date[3]) {
    long before = date[0] - 1, number = before * 365 + before / 4 - before / 100 + before / 400;
    for (int month = 1; month < date[1]; month++)
        number += month_days(date[0], month);
    return number + date[2] - 1 - 719162; /* days from 0001-01-01 to 1970-01-01 */
}

int pci_date_weekday(const int date[3]) {
    return (int)((pci_date_number(date) + 3) % 7); /* 1970-01-01 was a Thursday */
}

bool pci_date_read(const char *text, int date[3]) {
    static const int digits[] = {4, 2, 2};
    while (isspace((unsigned char)*text))
        text++;
    for (int part = 0; part < 3; part++) {
        date[part] = 0;
        for (int i = 0; i < digits[part]; i++, text++) {
            if (!isdigit((unsigned char)*text))
                return false;
            date[part] = 10 * date[part] + (*text - '0');
        }
        if (part < 2 && *text++ != '-')
            return false;
    }
    while (isspace((unsigned char)*text))
        text++;
    return !*text && date[0] >= 1970 && date[1] >= 1 && date[1] <= 12 && date[2] >= 1 &&
           date[2] <= month_days(date[0], date[1]);
}

void pci_date_after(const int date[3], int days, int after[3]) {
    for (int i = 0; i < 3; i++)
        after[i] = date[i];
    for (; days > 0; days--) {
        if (++after[2] <= month_days(after[0], after[1]))
            continue;
        after[2] = 1;
        if (++after[1] > 12) {
            after[1] = 1;
            after[0]++;
        }
    }
}

/* The hours of a day of the calendar; closed: until_s is 0. */
static pci_day_hours hours_of(const pci_day *day, int offset) {
    pci_day_hours always = {day->start_s, day->end_s}, closed = {0, 0};
    if (!day->first[0])
        return always;
    for (size_t i = 0; i < day->holiday_count; i++)
        if (offset >= day->holiday[i][0] && offset <= day->holiday[i][1])
            return closed;
    int weekday = (pci_date_weekday(day->first) + offset) % 7;
    if (day->by_weekday)
        return day->week[weekday];
    return weekday < 5 ? always : closed;
}

size_t pci_day_workdays(const pci_day *day, pc_day_workday *workday) {
    size_t n = 0, asked = day->days > 1 ? (size_t)day->days : 1;
    for (int offset = 0; offset < PCI_DAY_SPAN_MOST && n < asked && n < PC_DAY_DAYS_MOST;
         offset++) {
        pci_day_hours hours = hours_of(day, offset);
        if (hours.until_s > hours.from_s)
            workday[n++] = (pc_day_workday){offset, offset * PC_DAY_S + hours.from_s,
                                            offset * PC_DAY_S + hours.until_s};
    }
    return n;
}
