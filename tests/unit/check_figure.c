/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Parts of one mold and molds side by side: their order, the soonest starts against a search that
 * tries every minute, and plans moved in time. */
#include "unit.h"

#include <string.h>

#include "day/day_plan.h"
#include "fake_schedule.h"
#include "pick.h"
#include "piece/molds.h"
#include "schedule/parts.h"
#include "schedule/side_by_side.h"

/* ---- order ---- */

static void name_part(pc_piece *piece, size_t part, const char *name, const char *mold,
                      const char *after) {
    pc_part *p = &piece->part[part];
    p->kind = PC_SOLID;
    snprintf(p->name, sizeof p->name, "%s", name);
    snprintf(p->mold, sizeof p->mold, "%s", mold);
    snprintf(p->after, sizeof p->after, "%s", after);
    if (piece->part_count <= part)
        piece->part_count = part + 1;
}

START_TEST(parts_keep_the_order_of_the_file) {
    static pc_piece piece;
    pci_pour_order order;
    size_t circle;
    memset(&piece, 0, sizeof piece);
    name_part(&piece, 0, "left", "figure", "");
    name_part(&piece, 1, "base", "", "");
    name_part(&piece, 2, "right", "Figure", "");
    name_part(&piece, 3, "body", "figure", "right, left");
    assert_ok(pci_molds_of(&piece, &order, &circle));
    ck_assert_uint_eq(order.count, 2);
    ck_assert_uint_eq(order.part_count[0], 3);
    ck_assert_uint_eq(order.part[0][0], 0);
    ck_assert_uint_eq(order.part[0][1], 2);
    ck_assert_uint_eq(order.part[0][2], 3);
    ck_assert_uint_eq(order.of_part[1], 1);
}
END_TEST

START_TEST(after_turns_the_order_round) {
    static pc_piece piece;
    pci_pour_order order;
    size_t circle;
    memset(&piece, 0, sizeof piece);
    name_part(&piece, 0, "body", "figure", "leg");
    name_part(&piece, 1, "leg", "figure", "");
    name_part(&piece, 2, "base", "", "body");
    assert_ok(pci_molds_of(&piece, &order, &circle));
    ck_assert_uint_eq(order.part[0][0], 1);
    ck_assert_uint_eq(order.part[0][1], 0);
    ck_assert(order.mold_after[1][0] && !order.mold_after[0][1]);
    name_part(&piece, 1, "leg", "figure", "base"); /* base waits for the mold that leg is in */
    assert_status(pci_molds_of(&piece, &order, &circle), PC_E_VALUE);
    name_part(&piece, 1, "leg", "figure", "body");
    assert_status(pci_molds_of(&piece, &order, &circle), PC_E_VALUE);
    ck_assert(circle < 2);
}
END_TEST

/* ---- side by side ---- */

enum { MINUTES = 40, WORKS = 3 };

static pci_mold_work work[WORKS];

/* One to three jobs of whole minutes, with gaps; some on the machine. */
static void any_work(pci_mold_work *w) {
    memset(w, 0, sizeof *w);
    w->machine_from_s = w->machine_until_s = NAN;
    int at = 0;
    for (int i = pick(1, 3); i > 0; i--) {
        int from = at + (at > 0 ? pick(1, 4) : 0), until = from + pick(1, 3);
        w->job[w->job_count++] = (pci_job){60.0 * from, 60.0 * until, pick(1, 2), pick(0, 5) == 0};
        at = until;
    }
    w->ready_s = 60.0 * (at + pick(0, 9));
    if (pick(0, 1)) {
        w->machine_from_s = w->job[0].until_s;
        w->machine_until_s = fmax(w->job[w->job_count - 1].until_s, w->machine_from_s + 60.0);
    }
    for (size_t k = 0; k < PC_PARTS_MOST; k++)
        w->least_after_s[k] = -INFINITY;
}

static int asks_at(const pci_mold_work *w, int hands, double at_s) {
    int sum = 0;
    for (size_t i = 0; i < w->job_count; i++)
        if (w->job[i].from_s <= at_s && at_s < w->job[i].until_s)
            sum += w->job[i].hands;
    return sum < hands ? sum : hands;
}

/* By every half minute: whether starts ask for no more than there is. */
static bool works(const double start_s[], size_t count, int hands) {
    for (double at_s = 30.0; at_s < 60.0 * MINUTES * WORKS; at_s += 60.0) {
        int sum = 0, turned = 0;
        for (size_t k = 0; k < count; k++) {
            double own_s = at_s - start_s[k];
            sum += asks_at(&work[k], hands, own_s);
            turned += work[k].machine_from_s <= own_s && own_s < work[k].machine_until_s;
        }
        if (sum > hands || turned > 1)
            return false;
    }
    for (size_t k = 0; k < count; k++)
        for (size_t n = 0; n < count; n++)
            if (start_s[k] - start_s[n] < work[k].least_after_s[n])
                return false;
    return true;
}

static double end_of(const double start_s[], size_t count) {
    double end_s = 0.0;
    for (size_t k = 0; k < count; k++)
        end_s = fmax(end_s, start_s[k] + work[k].ready_s);
    return end_s;
}

/* Every minute of every mold. */
static double soonest_end(size_t count, int hands, double at_most_s) {
    double start_s[WORKS] = {0}, best_s = INFINITY;
    for (int a = 0; a < MINUTES; a++)
        for (int b = 0; b < MINUTES; b++)
            for (int c = 0; c < (count > 2 ? MINUTES : 1); c++) {
                start_s[0] = 60.0 * a;
                start_s[1] = 60.0 * b;
                start_s[2] = 60.0 * c;
                double end_s = end_of(start_s, count);
                if (end_s < best_s && end_s <= at_most_s && works(start_s, count, hands))
                    best_s = end_s;
            }
    return best_s;
}

START_TEST(no_start_ends_sooner) {
    pick_state = 20u;
    for (int n = 0; n < draws(300); n++) {
        size_t count = (size_t)pick(2, WORKS);
        int hands = pick(1, 3);
        double start_s[WORKS];
        for (size_t k = 0; k < count; k++)
            any_work(&work[k]);
        if (pick(0, 3) == 0)
            work[1].least_after_s[0] = 60.0 * pick(0, 12);
        assert_ok(pci_side_by_side(work, count, hands, start_s));
        ck_assert_msg(works(start_s, count, hands), "draw %d: more is asked for than there is", n);
        double end_s = end_of(start_s, count), best_s = soonest_end(count, hands, end_s);
        ck_assert_msg(end_s <= best_s + 1e-6, "draw %d: ends after %g min, %g can be", n,
                      end_s / 60.0, best_s / 60.0);
    }
}
END_TEST

/* ---- plans ---- */

#define SAME(member)                                                                               \
    do {                                                                                           \
        double moved_ = a->member, planned_ = b->member;                                           \
        ck_assert_msg((isnan(moved_) && isnan(planned_)) || fabs(moved_ - planned_) < 0.02,        \
                      #member " of layer %d: moved %.9g, planned then %.9g", a->number, moved_,    \
                      planned_);                                                                   \
    } while (0)

/* A plan moved in time is the plan made for that time: no time of it stays behind. */
START_TEST(a_plan_moves_as_a_whole) {
    static pc_piece piece;
    pc_part_plan *early = pci_part_in(&(pci_part_room){0});
    pc_part_plan *late = pci_part_in(&(pci_part_room){0});
    pci_limits limits;
    pci_case c;
    for (int method = PC_MACHINE; method <= PC_DRAIN; method++) {
        fake_piece(&piece);
        piece.turning.method = (pc_method)method;
        piece.turning.drop_length_m = method == PC_DRAIN ? 0.3 : (double)NAN;
        piece.margins.samples = 16;
        pci_case_nominal(&piece, &piece.part[0], &c);
        assert_ok(pci_part_plan(&c, 2, false, 0.0, true, early, &limits));
        assert_ok(pci_part_plan(&c, 2, false, 5000.0, true, late, &limits));
        pci_part_shift(early, 5000.0);
        for (size_t j = 0; j < 2; j++) {
            const pc_layer *a = early->layer[j], *b = late->layer[j];
            SAME(mix_s);
            SAME(pour_s);
            SAME(pour_end_s);
            SAME(pour_by_s);
            SAME(set_s);
            SAME(first_gel_s);
            SAME(gel_s);
            SAME(stop_s);
            SAME(opens_s);
            SAME(closes_s);
            SAME(closes_alone_s);
            SAME(peak_s);
            SAME(drain_s);
            SAME(pour_by_early_s);
            SAME(set_early_s);
            SAME(gel_early_s);
            SAME(gel_late_s);
            SAME(closes_early_s);
            SAME(pot_life_s);
            SAME(cup_gel_s);
            SAME(cup_peak_s);
            SAME(peak_K);
        }
        assert_near(early->demold_s, late->demold_s, 0.02);
        assert_near(early->demold_late_s, late->demold_late_s, 0.02);
    }
}
END_TEST

/* The legs' mold, warmed beforehand, has cooled while they gelled: the body meets it so. */
START_TEST(a_mold_stands_while_others_are_poured) {
    static pc_piece piece;
    pc_schedule *schedule = pci_schedule_new(2);
    ck_assert_ptr_nonnull(schedule);
    pc_part_plan *const *plan = schedule->part;
    static pci_limits limits[PC_PARTS_MOST];
    const pci_how how = {.margins = false};
    double peak_K[2];
    for (int i = 0; i < 2; i++) {
        fake_piece(&piece);
        piece.margins.on = false;
        piece.shop.mold_given = true;
        piece.shop.mold_K = piece.shop.air_K + 15.0;
        piece.part[0].layers_asked = 1;
        snprintf(piece.part[0].mold, sizeof piece.part[0].mold, "%s", i ? "figure" : "");
        snprintf(piece.part[1].mold, sizeof piece.part[1].mold, "%s", i ? "figure" : "");
        snprintf(piece.part[0].after, sizeof piece.part[0].after, "%s", i ? "plinth" : "");
        snprintf(piece.part[1].name, sizeof piece.part[1].name, "plinth");
        assert_ok(pci_plan_parts(&piece, &how, plan, limits));
        peak_K[i] = plan[0]->layer[0]->peak_K;
    }
    ck_assert_int_eq(plan[0]->on_part, 2);
    ck_assert(plan[0]->layer[0]->pour_s >= plan[1]->layer[0]->gel_s);
    ck_assert(plan[0]->demold_s == plan[1]->demold_s);
    ck_assert(peak_K[1] < peak_K[0] - 0.5);
    pc_schedule_free(schedule);
}
END_TEST

/* A day's first job begins with the wires of the first part, and each wire takes a minute. */
START_TEST(a_day_sets_the_wires_too) {
    static pc_piece piece;
    static pc_schedule *schedule;
    static pci_day day;
    static pci_day_job job;
    double takes_s[2];
    for (int i = 0; i < 2; i++) {
        fake_piece(&piece);
        piece.margins.on = false;
        piece.resin.peak_limit_K = 400.0;
        piece.part[0].layers_asked = 2;
        piece.pin_count = (size_t)i;
        piece.pin[0] = (pc_pin){.name = "wire", .part = "body", .count = 2};
        pci_day_defaults(&day);
        assert_ok(pc_schedule_make(&piece, &schedule, NULL));
        assert_ok(pci_day_job_of(&piece, schedule, &day, &job));
        ck_assert(job.feasible);
        takes_s[i] = job.task[0].until_s - job.task[0].from_s;
        pc_schedule_free(schedule);
    }
    assert_near(takes_s[1] - takes_s[0], 120.0, 1e-6);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("figure");
    TCase *tcase = tcase_create("figure");
    tcase_set_timeout(tcase, 0.0);
    tcase_add_test(tcase, parts_keep_the_order_of_the_file);
    tcase_add_test(tcase, after_turns_the_order_round);
    tcase_add_test(tcase, no_start_ends_sooner);
    tcase_add_test(tcase, a_plan_moves_as_a_whole);
    tcase_add_test(tcase, a_mold_stands_while_others_are_poured);
    tcase_add_test(tcase, a_day_sets_the_wires_too);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
