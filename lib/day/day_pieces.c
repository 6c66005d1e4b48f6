/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pieces of a day planned, each for the hours and days in which its shop is not the same. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"
#include "piece/piece_file.h"
#include "pourclock/day.h"

enum {
    ALIKE_HOURS = 12,     /* compared from a start on */
    POINTS_OF_A_DAY = 48, /* of the air a casting is planned in */
};

static const double HOUR_S = 3600, DAY_S = 86400;

/* Starts share a plan whose air is as near as this all along; with more plans than there is room
 * for it is widened by the factor. 0.25 K is 1 % of a pot life. */
static const double ALIKE_K = 0.25, WIDER = 1.4;

/* The air by the day at a moment: straight lines from row to row. */
static double air_at(const pci_day *day, double clock_s) {
    const pci_day_air_point *row = day->air;
    size_t n = day->air_count, i = 1;
    while (i + 1 < n && row[i].clock_s < clock_s)
        i++;
    if (n < 2 || clock_s <= row[0].clock_s || clock_s >= row[n - 1].clock_s)
        return row[n > 0 && clock_s > row[0].clock_s ? n - 1 : 0].T_K;
    double share = (clock_s - row[i - 1].clock_s) / (row[i].clock_s - row[i - 1].clock_s);
    return row[i - 1].T_K + share * (row[i].T_K - row[i - 1].T_K);
}

static bool alike(const pci_day *day, double a_s, double b_s, double most_K) {
    for (int h = 0; h <= ALIKE_HOURS; h++)
        if (!(fabs(air_at(day, a_s + h * HOUR_S) - air_at(day, b_s + h * HOUR_S)) <= most_K))
            return false;
    return true;
}

/* The air from half an hour before a start to the next day, as a piece file's own would say it. */
static void set_air(const pci_day *day, double start_s, pc_shop *shop) {
    double step_s = DAY_S / POINTS_OF_A_DAY, from_s = start_s - step_s;
    shop->day_count = POINTS_OF_A_DAY;
    for (int i = 0; i < POINTS_OF_A_DAY; i++) {
        double ahead_s = fmod(i * step_s - fmod(from_s, DAY_S) + DAY_S, DAY_S);
        shop->day[i] = (pc_day_point){i * step_s, air_at(day, from_s + ahead_s)};
    }
}

/* Hours of a day in which castings start. */
static int hours_of(const pci_day *day) {
    double hours = ceil((day->end_s - day->start_s) / HOUR_S - 1e-9);
    return (int)fmin(fmax(hours, 1), PCI_DAY_HOURS_MOST);
}

/* Gives every hour of every working day the first start whose air is alike: start_s, of each job.
 * Returned: the number of jobs; 0: more than there is room for. Hours after the last are as it. */
static size_t share_starts(const pci_day *day, double most_K, pci_day_piece *entry,
                           double *start_s) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    size_t n = pci_day_workdays(day, workday), count = 0;
    int hours = hours_of(day);
    for (size_t d = 0; d < PC_DAY_DAYS_MOST; d++)
        for (int h = 0; h < PCI_DAY_HOURS_MOST; h++) {
            unsigned char *at = &entry->job_at[d][h];
            if (d >= n || h >= hours) {
                *at = d >= n ? entry->job_at[d - 1][h] : at[-1];
                continue;
            }
            double middle_s = workday[d].offset * DAY_S + day->start_s + (h + 0.5) * HOUR_S;
            size_t j = 0;
            while (j < count && !alike(day, start_s[j], middle_s, most_K))
                j++;
            if (j == PCI_DAY_SLOTS_MOST)
                return 0;
            if (j == count)
                start_s[count++] = middle_s;
            *at = (unsigned char)j;
        }
    return count;
}

/* The starts that are planned: one, one for each hour, or those of the days whose air differs. */
static pc_status choose_starts(const pci_day *day, const pc_piece *piece, pci_day_piece *entry,
                               double *start_s) {
    entry->by_date = day->air_count > 0;
    entry->job_count = 1;
    start_s[0] = day->start_s;
    if (!entry->by_date && piece->shop.day_count == 0)
        return PC_OK;
    if (!entry->by_date) {
        entry->job_count = (size_t)hours_of(day);
        for (size_t h = 0; h < entry->job_count; h++) /* the middle of the hour stands for it */
            start_s[h] = day->start_s + ((double)h + 0.5) * HOUR_S;
        return PC_OK;
    }
    /* days beyond those asked for are tried where not all fits */
    pci_day *longest = malloc(sizeof *longest);
    if (!longest)
        return PC_E_MEMORY;
    *longest = *day;
    longest->days = PC_DAY_DAYS_MOST;
    double most_K = ALIKE_K;
    do
        entry->job_count = share_starts(longest, most_K, entry, start_s);
    while (entry->job_count == 0 && (most_K *= WIDER) < 1000);
    free(longest);
    return entry->job_count > 0 ? PC_OK : PC_E_VALUE;
}

/* A resin is changed for one of its family. */
static pc_status change_resin(const char *name, pc_piece *piece, pc_errors *errors) {
    pc_resin resin;
    PCI_TRY(pc_resin_find(name, NULL, &resin, errors));
    if (resin.family != piece->resin.family || strcmp(resin.name, piece->resin.name) == 0)
        return PC_E_VALUE;
    piece->resin = resin;
    return PC_OK;
}

/* A warmer shop warms what stands in it. */
static void warm_shop(pc_shop *shop, double warmer_K) {
    shop->air_K += warmer_K;
    for (size_t i = 0; i < shop->day_count; i++)
        shop->day[i].T_K += warmer_K;
    pci_shop_settle(shop);
}

static pc_status plan_start(const pci_day *day, double start_s, const pc_shop *as_read,
                            double warmer_K, pc_piece *piece, pci_day_job *job, pc_errors *errors) {
    pc_schedule *schedule;
    piece->shop = *as_read;
    piece->shop.start_clock_s = fmod(start_s, DAY_S);
    if (day->air_count > 0)
        set_air(day, start_s, &piece->shop);
    warm_shop(&piece->shop, warmer_K);
    pc_status status = pc_schedule_make(piece, &schedule, errors);
    if (status == PC_OK)
        status = pci_day_job_of(piece, schedule, day, job);
    pc_schedule_free(schedule);
    return status;
}

static pc_status plan_piece(const pci_day *day, pci_day_piece *entry,
                            const pci_otherwise *otherwise, pc_errors *errors) {
    double start_s[PCI_DAY_SLOTS_MOST], warmer_K = otherwise ? otherwise->warmer_K : 0;
    pc_piece *piece = calloc(1, sizeof *piece);
    if (!piece)
        return PC_E_MEMORY;
    pc_status status =
        pc_piece_read_in_shop(day->shop[0] ? day->shop : NULL, entry->path, piece, errors);
    if (status == PC_OK && otherwise && otherwise->resin)
        status = change_resin(otherwise->resin, piece, errors);
    if (status == PC_OK)
        entry->resin = piece->resin;
    if (status == PC_OK)
        status = choose_starts(day, piece, entry, start_s);
    pc_shop as_read = piece->shop;
    for (size_t j = 0; status == PC_OK && j < entry->job_count; j++)
        status = plan_start(day, start_s[j], &as_read, warmer_K, piece, &entry->job[j], errors);
    pc_piece_free(piece);
    free(piece);
    return status;
}

pc_status pci_day_plan_pieces(pci_day *day, const pci_otherwise *otherwise, pc_errors *errors) {
    pc_status status = PC_OK;
    for (size_t i = 0; i < day->piece_count && (status == PC_OK || errors); i++)
        status = pci_first(status, plan_piece(day, &day->piece[i], otherwise, errors));
    return status;
}
