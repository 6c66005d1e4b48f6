/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The shop's temperature by date and clock, from a CSV file. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"
#include "input/csv.h"
#include "input/fields.h"
#include "input/whole_file.h"
#include "piece/piece_file.h"

enum { GAP_MOST_H = 12, DAYS_KEPT = PCI_DAY_SPAN_MOST + 2 };

static const double DAY_S = 86400;

typedef struct air_file {
    pci_csv csv;
    size_t date, clock, temperature; /* columns */
    const pci_at *at;
    pci_day *day;
} air_file;

static pci_at cell_at(const air_file *t, size_t row, size_t column) {
    return (pci_at){t->csv.file,
                    t->csv.line[row],
                    NULL,
                    t->csv.header[column],
                    pci_csv_cell(&t->csv, row, column),
                    t->at->errors};
}

/* A row's moment, counted from midnight before the first day, and its temperature. */
static pc_status read_row(const air_file *t, size_t row, pci_day_air_point *point) {
    int date[3];
    double clock_s;
    pci_at here = cell_at(t, row, t->date);
    if (!pci_date_read(here.value, date))
        return pci_refuse(&here, PC_E_VALUE, "write the date as 2026-12-07");
    here = cell_at(t, row, t->clock);
    PCI_TRY(pci_read_quantity(&here, here.value, PC_CLOCK, &clock_s));
    double offset = (double)(pci_date_number(date) - pci_date_number(t->day->first));
    point->clock_s = offset * DAY_S + clock_s;
    here = cell_at(t, row, t->temperature);
    return pci_read_air(&here, &point->T_K);
}

/* Keeps a row: forward in time, no half day of one date made up, not more than there is room for.
 */
static pc_status keep_row(const air_file *t, size_t row, pci_day_air_point point) {
    pci_day *day = t->day;
    pci_at here = cell_at(t, row, t->clock);
    const pci_day_air_point *last = day->air_count ? &day->air[day->air_count - 1] : NULL;
    if (last && !(point.clock_s > last->clock_s))
        return pci_refuse(&here, PC_E_VALUE, "date and clock must go forward from row to row");
    if (last && floor(last->clock_s / DAY_S) == floor(point.clock_s / DAY_S) &&
        point.clock_s - last->clock_s > GAP_MOST_H * 3600.0)
        return pci_refuse(&here, PC_E_VALUE,
                          "a gap of more than half a day before it: give a row at least every "
                          "%d h",
                          GAP_MOST_H);
    if (point.clock_s < -DAY_S || point.clock_s >= DAYS_KEPT * DAY_S)
        return PC_OK; /* a log of the whole winter may be given */
    if (day->air_count == PCI_DAY_AIR_MOST)
        return pci_refuse(&here, PC_E_SIZE, "more than %d rows: a row an hour is enough",
                          PCI_DAY_AIR_MOST);
    day->air[day->air_count++] = point;
    return PC_OK;
}

/* A working day that is asked for has rows of its own: its air is not made up. */
static pc_status judge_days(const air_file *t) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    const pci_day *day = t->day;
    size_t n = pci_day_workdays(day, workday);
    for (size_t d = 0; d < n; d++) {
        int date[3], rows = 0;
        for (size_t i = 0; i < day->air_count; i++)
            rows += floor(day->air[i].clock_s / DAY_S) == workday[d].offset;
        if (rows >= 2)
            continue;
        pci_date_after(day->first, workday[d].offset, date);
        return pci_refuse(t->at, PC_E_VALUE,
                          "%d row%s of %04d-%02d-%02d, a working day: give its temperature at "
                          "least in the morning and in the evening",
                          rows, rows == 1 ? "" : "s", date[0], date[1], date[2]);
    }
    return PC_OK;
}

/* Days after the last row are as its day was. */
static void repeat_last(pci_day *day) {
    size_t n = day->air_count, from = n - 1;
    double last = floor(day->air[n - 1].clock_s / DAY_S);
    while (from > 0 && floor(day->air[from - 1].clock_s / DAY_S) == last)
        from--;
    for (int later = 1; last + later < DAYS_KEPT; later++)
        for (size_t i = from; i < n && day->air_count < PCI_DAY_AIR_MOST; i++)
            day->air[day->air_count++] =
                (pci_day_air_point){day->air[i].clock_s + later * DAY_S, day->air[i].T_K};
}

static pc_status read_rows(air_file *t) {
    long date = pci_csv_column(&t->csv, "date"), clock = pci_csv_column(&t->csv, "clock"),
         temperature = pci_csv_column(&t->csv, "temperature");
    if (date < 0 || clock < 0 || temperature < 0)
        return pci_refuse(t->at, PC_E_KEY,
                          "%.200s needs the columns date,clock,temperature, with rows such as "
                          "2026-12-07,09:00,18 C",
                          t->csv.file);
    t->date = (size_t)date;
    t->clock = (size_t)clock;
    t->temperature = (size_t)temperature;
    pc_status status = PC_OK;
    for (size_t row = 0; row < t->csv.rows; row++) {
        pci_day_air_point point;
        pc_status one = read_row(t, row, &point);
        status = pci_first(status, one == PC_OK ? keep_row(t, row, point) : one);
    }
    if (status == PC_OK)
        status = judge_days(t);
    if (status == PC_OK)
        repeat_last(t->day);
    return status;
}

pc_status pci_day_read_air(const pci_at *at, pci_day *day) {
    char path[1024];
    air_file t = {.at = at, .day = day};
    if (!day->first[0])
        return pci_refuse(at, PC_E_KEY, "dates need the date of the first day: [day] first");
    if (!pci_path_beside(at->value, at->file, path, sizeof path))
        return pci_refuse(at, PC_E_SIZE, "the path is too long");
    day->air_count = 0;
    pc_status status = pci_csv_read(path, &t.csv, at->errors);
    if (status == PC_OK)
        status = read_rows(&t);
    pci_csv_free(&t.csv);
    return status;
}
