/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Castings over several days: the calendar against the C library's, plans by properties, what a
 * number of castings needs, and what is refused. */
#include "unit.h"

#include <string.h>
#include <time.h>

#include "day/day_dates.h"
#include "days.h"

/* Every day of 1970 to 2120 as gmtime has it. */
START_TEST(dates_are_the_c_librarys) {
    int first[3] = {1970, 1, 1}, date[3] = {1970, 1, 1};
    for (long number = 0; number < 55000; number++) {
        time_t at = (time_t)number * 86400;
        struct tm *tm = gmtime(&at);
        ck_assert_int_eq(date[0], tm->tm_year + 1900);
        ck_assert_int_eq(date[1], tm->tm_mon + 1);
        ck_assert_int_eq(date[2], tm->tm_mday);
        ck_assert_int_eq(pci_date_weekday(date), (tm->tm_wday + 6) % 7);
        int next[3];
        pci_date_after(date, 1, next);
        memcpy(date, next, sizeof date);
        if (number % 1000 == 0) {
            pci_date_after(first, (int)number + 1, next);
            ck_assert_mem_eq(next, date, sizeof date);
        }
    }
}
END_TEST

static void week(pci_day *day) {
    small_day(day, 480);
    day->days = 5;
    day->first[0] = 2026, day->first[1] = 12, day->first[2] = 11; /* a Friday */
}

START_TEST(weekends_and_holidays_are_passed_over) {
    static pci_day day;
    pc_day_workday workday[PC_DAY_DAYS_MOST];
    week(&day);
    day.holiday_count = 1;
    day.holiday[0][0] = 4, day.holiday[0][1] = 5; /* Tuesday and Wednesday */
    static const int expected[] = {0, 3, 6, 7, 10};
    ck_assert_uint_eq(pci_day_workdays(&day, workday), 5);
    for (int i = 0; i < 5; i++) {
        ck_assert_int_eq(workday[i].offset, expected[i]);
        assert_near(workday[i].from_s, expected[i] * 86400 + 9 * 3600, 1e-9);
    }
    day.by_weekday = true; /* Saturdays alone */
    day.week[5] = (pci_day_hours){8 * 3600, 12 * 3600};
    ck_assert_uint_eq(pci_day_workdays(&day, workday), 5);
    ck_assert_int_eq(workday[4].offset, 29);
    day.holiday[0][0] = 0, day.holiday[0][1] = PCI_DAY_SPAN_MOST;
    ck_assert_uint_eq(pci_day_workdays(&day, workday), 0);
}
END_TEST

/* Ready 12 min after its start, one mold: what is poured last waits in it for the morning. */
START_TEST(a_mold_waits_overnight) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 20);
    day.days = 2;
    add_piece(&day, 2, 1, comb(1, 4, 1, 12, false));
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert(plan->fits);
    check_plan(&day, plan);
    assert_near(plan->casting[1]->start_s, day.start_s + 86400, 1e-6);
    pc_day_plan_free(plan);
    day.piece[0].stay = PCI_DAY_STAYS; /* its first is out in the morning, the last not at all */
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    assert_near(plan->casting[0]->demold_s, day.start_s + 86400, 1e-6);
    ck_assert(isnan(plan->casting[1]->demold_s));
    pc_day_plan_free(plan);
    day.end_s = day.start_s + 10 * 60; /* too short to demold on the same day */
    day.piece[0].copies = 1;
    for (int stay = 0; stay < 2; stay++) {
        day.piece[0].stay = stay ? PCI_DAY_STAYS_NOT : PCI_DAY_STAYS_IF_LATE;
        assert_ok(pci_day_make(&day, &plan, NULL));
        ck_assert_uint_eq(plan->count, stay ? 0 : 1);
        pc_day_plan_free(plan);
    }
}
END_TEST

START_TEST(molds_rest_wear_and_are_shared) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 200);
    add_piece(&day, 2, 1, comb(1, 4, 1, 6, false)); /* 10 min, 2 to demold */
    day.piece[0].clean_s = 180;
    day.piece[0].rest_s = 1200;
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    assert_near(plan->casting[1]->start_s - day.start_s, (10 + 2 + 3 + 20) * 60, 1e-6);
    pc_day_plan_free(plan);
    add_piece(&day, 1, 1, comb(1, 4, 1, 6, false));
    day.piece[1].mold_of = 1; /* in the same mold */
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    ck_assert(plan->fits);
    assert_near(plan->casting[2]->start_s - day.start_s, 2 * (10 + 2 + 20) * 60 + 3 * 60, 181);
    pc_day_plan_free(plan);
    day.piece[0].lasts = 10;
    day.piece[0].used = 8; /* two more */
    assert_ok(pci_day_make(&day, &plan, NULL));
    ck_assert_uint_eq(plan->count, 2);
    check_plan(&day, plan);
    pc_day_plan_free(plan);
}
END_TEST

START_TEST(what_is_due_first_is_cast_first) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 60);
    day.days = 3;
    add_piece(&day, 3, 1, comb(1, 4, 1, 40, false)); /* one a day */
    add_piece(&day, 1, 1, comb(1, 4, 1, 40, false));
    day.piece[1].mold_of = 1;
    day.piece[0].copies = 2;
    day.piece[0].stay = day.piece[1].stay = PCI_DAY_STAYS_NOT;
    day.piece[1].due_s = day.end_s;
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    ck_assert_uint_eq(plan->late_count, 0);
    ck_assert_uint_eq(plan->casting[0]->piece, 1);
    pc_day_plan_free(plan);
    day.piece[0].due_s = 86400 + day.end_s; /* one of its two is late */
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    ck_assert(plan->fits);
    ck_assert_uint_eq(plan->late_count, 1);
    bool mold = false;
    for (size_t i = 0; i < plan->give_count; i++)
        mold = mold || strstr(plan->give[i], "one more mold of piece 1");
    ck_assert(mold);
    pc_day_plan_free(plan);
}
END_TEST

static void random_days(pci_day *day) {
    random_day(day, pick(1, 4), 3, pick(60, 300));
    day->days = pick(1, 5);
    if (pick(0, 1)) {
        day->first[0] = 2026, day->first[1] = pick(1, 12), day->first[2] = pick(1, 28);
        day->by_weekday = pick(0, 1);
        for (int w = 0; w < 7; w++)
            if (w == 0 || pick(0, 1))
                day->week[w] = (pci_day_hours){day->start_s, day->end_s - 60 * pick(0, 30)};
    }
    for (size_t i = 0; i < day->piece_count; i++) {
        pci_day_piece *piece = &day->piece[i];
        piece->stay = (pci_day_stay)pick(0, 2);
        piece->clean_s = 60 * pick(0, 3);
        piece->rest_s = 60 * pick(0, 30);
        piece->lasts = pick(0, 3) ? 0 : pick(2, 4);
        piece->used = piece->lasts ? 1 : 0;
        if (pick(0, 1))
            piece->due_s = day->end_s + 86400.0 * pick(7, 16);
        if (i > 0 && pick(0, 3) == 0)
            piece->mold_of = 1;
    }
}

START_TEST(random_days_hold) {
    pick_state = (uint32_t)_i * 7919u + 3u;
    const char *many = getenv("POURCLOCK_DAYS");
    int days = (many ? atoi(many) : 1000) / 10;
    ck_assert_int_gt(days, 0);
    for (int i = 0; i < days; i++) {
        static pci_day day;
        random_days(&day);
        day.orders_most = 40;
        plan_holds(&day);
    }
}
END_TEST

START_TEST(needs_are_counted) {
    static pci_day day;
    pc_day_need need;
    small_day(&day, 60);
    day.days = 2;
    add_piece(&day, 1, 1, comb(1, 4, 1, 40, false)); /* one a day and mold */
    day.piece[0].stay = PCI_DAY_STAYS_NOT;
    assert_ok(pci_day_need_of(&day, 2, &need, NULL));
    ck_assert(need.change[0].meets);
    ck_assert_int_eq(need.change[0].workdays, 2);
    ck_assert_uint_eq(need.remedy_count, 0);
    assert_ok(pci_day_need_of(&day, 4, &need, NULL));
    ck_assert(!need.change[0].meets);
    ck_assert_int_eq(need.change[0].workdays, 4);
    ck_assert_uint_ge(need.remedy_count, 1);
    ck_assert_str_eq(need.remedy[0], "one more mold of piece 1");
    for (size_t i = 1; i < need.change_count; i++) {
        bool mold = strcmp(need.change[i].text, "one more mold of piece 1") == 0;
        if (mold)
            ck_assert_int_eq(need.change[i].workdays, 2);
        if (strcmp(need.change[i].text, "one more pair of hands") == 0)
            assert_near(need.change[i].saved_s, 0, 1e-6);
    }
    assert_ok(pci_day_need_of(&day, 6, &need, NULL)); /* two molds more */
    ck_assert_str_eq(need.remedy[0], "one more mold of piece 1, and the same again");
    ck_assert(!(need.change[0].finish_s < need.bound_s));
    assert_status(pci_day_need_of(&day, 0, &need, NULL), PC_E_ARGUMENT);
    assert_status(pci_day_need_of(NULL, 2, &need, NULL), PC_E_ARGUMENT);
    add_piece(&day, 3, 1, comb(1, 4, 1, 40, false)); /* shared out 1 to 3 */
    day.piece[1].stay = PCI_DAY_STAYS_NOT;
    assert_ok(pci_day_need_of(&day, 8, &need, NULL));
    ck_assert_int_eq(need.change[0].workdays, 6);
}
END_TEST

/* One job on the first day, another on the second, a third in the second hour of the third: each
 * casting takes the one of its day and hour. */
START_TEST(jobs_go_by_the_date) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 120);
    day.days = 3;
    add_piece(&day, 12, 12, comb(1, 30, 1, 1, false));
    pci_day_piece *piece = &day.piece[0];
    piece->by_date = true;
    piece->job_count = 3;
    piece->job[1] = comb(1, 40, 1, 1, false);
    piece->job[2] = comb(1, 20, 1, 1, false);
    for (int h = 0; h < PCI_DAY_HOURS_MOST; h++)
        for (int d = 1; d < PC_DAY_DAYS_MOST; d++)
            piece->job_at[d][h] = d == 1 ? 1 : h > 0 ? 2 : 0;
    assert_ok(pci_day_make(&day, &plan, NULL));
    check_plan(&day, plan);
    int seen[3] = {0};
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *c = plan->casting[i];
        int d = (int)floor(c->start_s / 86400), late = fmod(c->start_s, 86400) >= 10 * 3600;
        ck_assert_uint_eq(c->job, d == 1 ? 1 : d == 2 && late ? 2 : 0);
        seen[c->job]++;
    }
    ck_assert(seen[0] > 0 && seen[1] > 0 && seen[2] > 0);
    pc_day_plan_free(plan);
    piece->job_at[2][5] = 3; /* a job that is none */
    assert_status(pci_day_make(&day, &plan, NULL), PC_E_VALUE);
}
END_TEST

/* Sums by hand: 1 kg a casting, two castings a day, kits of 3 kg. */
START_TEST(kits_are_opened_and_used_up) {
    static pci_day day;
    pc_day_plan *plan;
    small_day(&day, 60);
    day.days = 4;
    add_piece(&day, 8, 8, comb(1, 25, 1, 1, false));
    pci_day_job *job = &day.piece[0].job[0];
    job->act_count = 1;
    job->act[0] = (pci_day_act){.what = PC_DAY_POUR, .part_a_kg = 0.6, .part_b_kg = 0.4};
    snprintf(day.piece[0].resin.name, sizeof day.piece[0].resin.name, "Red");
    day.kit_count = 1;
    day.kit[0] = (pci_day_kit){.holds_kg = 3, .left_kg = 2.5, .opened = -3, .open_days = 3};
    snprintf(day.kit[0].resin, sizeof day.kit[0].resin, "Red");
    assert_ok(pci_day_make(&day, &plan, NULL));
    /* left_kg, opened, discarded_kg, use_by: 2.5 - 2; the 0.5 is 4 days old: 3 - 2; 1 + 3 - 2; -2
     */
    static const double expected[][4] = {
        {0.5, 0, 0, 0}, {1, 1, 0.5, 4}, {2, 1, 0, 5}, {0, 0, 0, -1}};
    ck_assert_uint_eq(plan->kit_use_count, 4);
    for (size_t i = 0; i < 4; i++) {
        const pc_day_kit_use *use = plan->kit_use[i];
        ck_assert_uint_eq(use->workday, i);
        assert_near(use->used_kg, 2, 1e-9);
        assert_near(use->left_kg, expected[i][0], 1e-9);
        ck_assert_int_eq(use->opened, (int)expected[i][1]);
        assert_near(use->discarded_kg, expected[i][2], 1e-9);
        ck_assert_int_eq(use->use_by, (int)expected[i][3]);
    }
    pc_day_plan_free(plan);
    day.kit[0].holds_kg = NAN;
    assert_status(pci_day_make(&day, &plan, NULL), PC_E_VALUE);
}
END_TEST

static void write_text(const char *path, const char *text) {
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

/* Bug: with temperatures by the clock every hour was planned with the resin and the mold as they
 * are at the piece file's own start. A shop of one temperature, the file's start in another: the
 * hours of the day are those of a shop that has it all day. */
START_TEST(every_hour_has_its_own_resin_and_mold) {
    pci_day *by_clock = malloc(sizeof *by_clock), *constant = malloc(sizeof *constant);
    ck_assert(by_clock && constant);
    write_text("days-air.csv",
               "clock,temperature\n00:00,30 C\n04:00,30 C\n06:00,18 C\n17:59,18 C\n");
    static const char piece[] =
        "[piece]\nresin = slow-urethane\n[hollow a]\narea = 500 cm2\nwall = 2 mm\n"
        "[turning]\nmethod = machine\n[shop]\nstart = 03:00\n";
    char text[512];
    snprintf(text, sizeof text, "%stemperatures = days-air.csv\n", piece);
    write_text("days-clock.ini", text);
    snprintf(text, sizeof text, "%stemperature = 18 C\n", piece);
    write_text("days-same.ini", text);
    write_text("days.ini",
               "[day]\nstart = 07:00\nend = 10:00\n[casting a]\npiece = days-clock.ini\n");
    assert_ok(pci_day_read(NULL, "days.ini", by_clock, NULL));
    write_text("days.ini",
               "[day]\nstart = 07:00\nend = 10:00\n[casting a]\npiece = days-same.ini\n");
    assert_ok(pci_day_read(NULL, "days.ini", constant, NULL));
    ck_assert_uint_eq(by_clock->piece[0].job_count, 3);
    ck_assert_uint_eq(constant->piece[0].job_count, 1);
    double same_s = constant->piece[0].job[0].ready_s;
    assert_near(by_clock->piece[0].job[0].ready_s, same_s, 1e-3 * same_s);
    static const char *const made[] = {"days-air.csv", "days-clock.ini", "days-same.ini",
                                       "days.ini"};
    for (size_t i = 0; i < sizeof made / sizeof *made; i++)
        remove(made[i]);
    free(by_clock);
    free(constant);
}
END_TEST

static void refused(const pci_day *day, const char *expected) {
    pc_day_plan *plan;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_day_make(day, &plan, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, expected));
    pc_errors_free(&errors);
    pc_day_plan_free(plan);
}

START_TEST(wrong_days_are_refused) {
    static pci_day day, good; /* large */
    week(&day);
    add_piece(&day, 1, 1, comb(1, 4, 1, 6, false));
    good = day;
    day.days = PC_DAY_DAYS_MOST + 1;
    refused(&day, "working days are 1 to");
    day = good, day.by_weekday = true;
    refused(&day, "0 working days");
    day = good, day.holiday_count = 1, day.holiday[0][1] = 60;
    refused(&day, "0 working days");
    day = good, day.piece[0].due_s = -86400;
    refused(&day, "2026-12-11");
    day = good, day.week[0].from_s = NAN, day.by_weekday = true;
    refused(&day, "hours");
    day = good, day.piece[0].clean_s = NAN;
    refused(&day, "clean");
    day = good, day.piece[0].rest_s = -1;
    refused(&day, "rest");
    day = good, day.piece[0].lasts = day.piece[0].used = 3;
    refused(&day, "mold_used = 0");
    day = good, day.piece[0].mold_of = 1;
    refused(&day, "molds of its own");
}
END_TEST

int main(void) {
    Suite *suite = suite_create("days");
    TCase *tc = tcase_create("days");
    tcase_set_timeout(tc, 600);
    tcase_add_test(tc, dates_are_the_c_librarys);
    tcase_add_test(tc, weekends_and_holidays_are_passed_over);
    tcase_add_test(tc, a_mold_waits_overnight);
    tcase_add_test(tc, molds_rest_wear_and_are_shared);
    tcase_add_test(tc, what_is_due_first_is_cast_first);
    tcase_add_test(tc, jobs_go_by_the_date);
    tcase_add_test(tc, kits_are_opened_and_used_up);
    tcase_add_test(tc, every_hour_has_its_own_resin_and_mold);
    tcase_add_loop_test(tc, random_days_hold, 0, 10);
    tcase_add_test(tc, needs_are_counted);
    tcase_add_test(tc, wrong_days_are_refused);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
