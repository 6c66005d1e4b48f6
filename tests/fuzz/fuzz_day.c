/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Day files, the timetable made of what was read, and of one with other numbers. */
#include "day/day_dates.h"
#include "day/day_plan.h"
#include "fuzz_bytes.h"
#include "fuzz_json.h"
#include "fuzz_text.h"
#include "pourclock.h"

/* A job's tasks go by time, apart from each other: the makers of jobs see to it, not the check. */
static bool by_time(const pci_day_job *job) {
    for (size_t t = 0; t < job->task_count; t++) {
        const pci_day_task *task = &job->task[t];
        if (!(task->until_s > task->from_s) || !(task->until_s < 1e6) ||
            !(t == 0 || task->from_s > task[-1].until_s))
            return false;
    }
    return isnan(job->station_from_s) || job->station_until_s > job->station_from_s;
}

static bool jobs_are_sound(const pci_day *day) {
    for (size_t p = 0; p < day->piece_count; p++)
        for (size_t j = 0; j < day->piece[p].job_count; j++)
            if (!by_time(&day->piece[p].job[j]))
                return false;
    return true;
}

static void judge_words(const pci_day *day, const pc_day *out, const pc_day_plan *plan) {
    char text[64], *answer = NULL;
    pc_day_resin resin[PC_DAY_PIECES_MOST];
    for (size_t i = 0; i < plan->entry_count; i++) {
        pci_day_entry_text(text, sizeof text, day, plan, plan->entry[i]);
        FUZZ_PROMISE(text[0] != '\0');
    }
    for (size_t i = 0; i < plan->kit_use_count; i++) {
        pci_day_kit_text(text, sizeof text, day, plan->kit_use[i]);
        FUZZ_PROMISE(text[0] != '\0');
    }
    for (size_t i = 0; i < plan->workday_count; i++) {
        pc_day_date_text(text, sizeof text, out, plan->workday[i]->from_s);
        FUZZ_PROMISE((text[0] != '\0') == (day->first[0] || day->days > 1));
        FUZZ_PROMISE(pc_day_weigh(out, plan, plan->workday[i], resin) <= PC_DAY_PIECES_MOST);
    }
    judge_json(pc_day_json(out, plan, &answer), &answer);
}

static void judge(const pci_day *day) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_day_plan *plan = NULL;
    pc_day *out = pci_day_hand_out(day);
    if (!out)
        return;
    pc_status status = pc_day_make(out, &plan, &errors);
    FUZZ_PROMISE(status_is_known(status));
    if (status == PC_OK) {
        FUZZ_PROMISE(plan->count <= plan->asked);
        FUZZ_PROMISE(plan->fits == (plan->count == plan->asked));
        for (size_t i = 0; i < plan->count; i++) {
            const pc_day_casting *c = plan->casting[i];
            FUZZ_PROMISE(c->start_s >= day->start_s &&
                         c->done_s <= plan->workday[plan->workday_count - 1]->until_s + 1e-6);
            FUZZ_PROMISE(c->piece < day->piece_count && c->station <= day->stations);
        }
        for (size_t i = 0; i < plan->entry_count; i++)
            FUZZ_PROMISE(plan->entry[i]->until_s >= plan->entry[i]->from_s &&
                         plan->entry[i]->person >= 1 && plan->entry[i]->person <= day->hands);
        judge_words(day, out, plan);
        pc_day_air air;
        status = pci_day_air_of(day, plan, &air);
        FUZZ_PROMISE(status_is_known(status));
        FUZZ_PROMISE(status != PC_OK || !(air.highest_fraction > 1 || air.highest_fraction < 0));
    }
    pc_errors_free(&errors);
    pc_day_need need;
    status = pc_day_need_of(out, 3, &need, NULL);
    FUZZ_PROMISE(status_is_known(status));
    FUZZ_PROMISE(status != PC_OK || !(need.change[0].finish_s < need.bound_s));
    char *answer = NULL;
    if (status == PC_OK)
        judge_json(pc_day_need_json(&need, &answer), &answer);
    pc_day_free(out, plan);
}

/* Days of the calendar: in order, apart, and each a date whose weekday follows. */
static void judge_calendar(const pci_day *day) {
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    size_t n = pci_day_workdays(day, workday);
    for (size_t i = 0; i < n; i++) {
        FUZZ_PROMISE(workday[i].until_s > workday[i].from_s);
        FUZZ_PROMISE(i == 0 || workday[i].offset > workday[i - 1].offset);
        int date[3];
        if (!day->first[0])
            continue;
        pci_date_after(day->first, workday[i].offset, date);
        FUZZ_PROMISE((pci_date_weekday(day->first) + workday[i].offset) % 7 ==
                     pci_date_weekday(date));
    }
}

/* A day that no file states, out of the last bytes. */
static void any_day(pci_day *day, fuzz_bytes *b) {
    day->start_s = take_number(b, 0, 43200);
    day->end_s = take_number(b, 43200, 86400);
    day->hands = (int)take_size(b, 4) - 1;
    day->stations = (int)take_size(b, 4) - 1;
    day->demold_s = take_number(b, 0, 3600);
    day->orders_most = 40;
    day->days = (int)(take_byte(b) % 5);
    day->piece_count = 1 + take_byte(b) % 2;
    for (size_t p = 0; p < day->piece_count; p++) {
        pci_day_piece *piece = &day->piece[p];
        piece->copies = (int)take_size(b, 12) - 1;
        piece->molds = (int)take_size(b, 4) - 1;
        piece->stay = take_byte(b) % 4 == 0 ? PCI_DAY_STAYS : PCI_DAY_STAYS_IF_LATE;
        piece->job_count = take_byte(b) % 3;
        piece->due_s = NAN;
        for (size_t j = 0; j < piece->job_count; j++) {
            pci_day_job *job = &piece->job[j];
            job->feasible = true;
            job->task_count = take_byte(b) % 4;
            double at = 0;
            for (size_t t = 0; t < job->task_count; t++) {
                double until = at + take_number(b, 60, 1200);
                job->task[t] = (pci_day_task){.from_s = at, .until_s = until, .what = PC_DAY_POUR};
                at = until + take_number(b, 60, 1200);
            }
            job->station_from_s = take_byte(b) & 1 ? NAN : take_number(b, 0, 600);
            job->station_until_s = take_number(b, 600, 3600);
            job->vapor.limit_fraction = take_number(b, 0, 1e-4);
            job->vapor.m3_per_kg = take_number(b, 0, 1);
            job->vapor.mixing = PC_MIXING_FACTOR;
            job->vapor.room_m3 = take_number(b, -1, 100);
            job->vapor.ventilation_m3_s = take_number(b, -1, 1);
            job->batch_count = take_byte(b) % 3;
            for (size_t k = 0; k < job->batch_count; k++)
                job->batch[k] = (pci_day_batch){take_number(b, 0, 600), take_number(b, 600, 3600),
                                                take_number(b, 0, 0.1)};
            job->ready_s = take_number(b, 3600, 7200);
        }
    }
}

bool fuzz_accepts(const uint8_t *data, size_t size) {
    static pci_day day;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status;
    if (size > 0 && data[0] == 0xff) {
        fuzz_bytes b = {data + 1, size - 1};
        pci_day_defaults(&day);
        any_day(&day, &b);
        status = pci_day_check(&day, &errors);
    } else {
        int here = fuzz_text_enter(data, size);
        status = pci_day_read(NULL, "-", &day, &errors);
        fuzz_text_leave(here);
        day.orders_most = 40;
    }
    FUZZ_PROMISE((status == PC_OK) == (errors.count == 0));
    if (status == PC_OK)
        judge_calendar(&day);
    if (status == PC_OK && jobs_are_sound(&day))
        judge(&day);
    pc_errors_free(&errors);
    return status == PC_OK;
}

FUZZ_ENTRY
