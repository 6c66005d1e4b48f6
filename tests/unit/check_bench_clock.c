/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every time of day the bench writes, on any screen, alarm, step or warning, is on the clock of the
 * work in hand: castings begun earlier and later than planned, across midnight, where summer time
 * begins and ends, and where somebody sets the clock. */
#include "unit.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "bench/bench_screen.h"
#include "fake_schedule.h"

/* Central Europe's rule, as POSIX writes it: no table of zones is needed. */
#define SUMMER "CET-1CEST,M3.5.0,M10.5.0/3"

enum { KNOWN_MOST = 1024 };

typedef struct stand {
    pc_piece piece;
    pc_schedule *plan;
    struct bench_clock clock;
    struct bench_session session;
    char path[64];
    size_t known_count;
    double known_s[KNOWN_MOST]; /* from the first mix: all that a text may name now */
    int checked, wrong;
    char first_wrong[400];
} stand;

static void know(stand *it, double at_s) {
    if (isfinite(at_s) && it->known_count < KNOWN_MOST)
        it->known_s[it->known_count++] = at_s;
}

static void know_layer(stand *it, const pc_layer *layer) {
    const double at_s[] = {
        layer->mix_s,          layer->pour_s,          layer->pour_end_s,
        layer->pour_by_s,      layer->pour_by_early_s, layer->mix_s + layer->pot_life_s,
        layer->set_s,          layer->set_early_s,     layer->first_gel_s,
        layer->gel_s,          layer->gel_early_s,     layer->gel_late_s,
        layer->stop_s,         layer->opens_s,         layer->closes_s,
        layer->closes_alone_s, layer->closes_early_s,  layer->peak_s};
    for (size_t i = 0; i < sizeof at_s / sizeof *at_s; i++)
        know(it, at_s[i]);
    know(it, pc_bond_deadline(layer));
}

/* Everything that can be named, from the plan as it is now: a time of a plan that has moved is not
 * among it. */
static void know_all(stand *it) {
    const pc_schedule *now = it->session.now;
    it->known_count = 0;
    know(it, bench_session_started(&it->session)
                 ? bench_session_now(&it->session)
                 : bench_session_clock(&it->session) - now->start_clock_s);
    for (size_t p = 0; p < now->part_count; p++) {
        for (size_t j = 0; j < now->part[p]->layer_count; j++)
            know_layer(it, now->part[p]->layer[j]);
        know(it, now->part[p]->demold_s);
        know(it, now->part[p]->demold_late_s);
    }
    for (size_t i = 0; i < now->step_count; i++)
        know(it, now->step[i]->at_s);
}

static bool is_known(const stand *it, double clock_s) {
    for (size_t i = 0; i < it->known_count; i++)
        if (fabs(it->session.now->start_clock_s + it->known_s[i] - clock_s) <= 1.001)
            return true;
    return false;
}

static bool digits(const char *text) {
    return text[0] >= '0' && text[0] <= '9' && text[1] >= '0' && text[1] <= '9';
}

/* Every "HH:MM:SS" and "+Nd HH:MM:SS" in a text. */
static void walk(stand *it, const char *where, const char *text) {
    for (const char *c = text; strlen(c) >= 8; c++) {
        int day = 0;
        if (!digits(c) || c[2] != ':' || !digits(c + 3) || c[5] != ':' || !digits(c + 6))
            continue;
        if (c - text >= 4 && c[-1] == ' ' && c[-2] == 'd')
            day = c[-3] - '0';
        double clock_s = day * 86400.0 + atoi(c) * 3600.0 + atoi(c + 3) * 60.0 + atoi(c + 6);
        it->checked++;
        if (!is_known(it, clock_s) && it->wrong++ == 0)
            snprintf(it->first_wrong, sizeof it->first_wrong, "%s: \"%s\"", where, text);
        c += 7;
    }
}

/* The clock at the head is that on the wall, and every text is on it. */
static void look(stand *it) {
    const struct bench_session *session = &it->session;
    struct bench_screen *screen = malloc(sizeof *screen);
    ck_assert_ptr_nonnull(screen);
    double off_s =
        remainder(bench_session_clock(session) - bench_time_of_day(session->time.wall_ms), 86400.0);
    ck_assert_msg(fabs(off_s) <= 2.001, "the session's clock is %g s off the wall", off_s);
    know_all(it);
    for (size_t i = 0; i < session->now->step_count; i++)
        walk(it, "step", session->now->step[i]->text);
    for (size_t i = 0; i < session->now->warning_count; i++) {
        walk(it, "warning", session->now->warning[i]->text);
        walk(it, "remedy", session->now->warning[i]->remedy);
    }
    for (size_t i = 0; i < session->alarm_count; i++) {
        walk(it, "alarm", session->alarm[i].text);
        walk(it, "alarm's remedy", session->alarm[i].remedy);
    }
    walk(it, "message", session->message);
    bench_screen_draw(session, 200, 60, NULL, screen);
    for (size_t i = 0; i < screen->count; i++)
        walk(it, "screen", screen->line[i].text);
    free(screen);
    ck_assert_msg(it->wrong == 0, "not on the session's clock: %s (start %.0f, now %.1f)",
                  it->first_wrong, session->now->start_clock_s, bench_session_now(session));
}

static void tick(stand *it, double seconds) {
    bench_clock_set(&it->clock, seconds);
    bench_session_tick(&it->session);
    look(it);
}

static stand *set_up(const char *zone, long wall, double planned_clock_s, bool day) {
    stand *it = calloc(1, sizeof *it);
    pc_errors errors = PC_ERRORS_INIT;
    char text[32];
    ck_assert_ptr_nonnull(it);
    setenv("TZ", zone, 1);
    tzset();
    snprintf(text, sizeof text, "%ld", wall);
    setenv("POURCLOCK_BENCH_CLOCK", text, 1);
    fake_piece(&it->piece);
    it->piece.margins.on = false;
    it->piece.resin.peak_limit_K = 400.0;
    it->piece.part[0].layers_asked = 3;
    it->piece.shop.start_clock_s = planned_clock_s;
    if (day) {
        it->piece.shop.day_count = 2;
        it->piece.shop.day[0] = (pc_day_point){6.0 * 3600.0, 288.15};
        it->piece.shop.day[1] = (pc_day_point){15.0 * 3600.0, 297.15};
    }
    snprintf(it->path, sizeof it->path, "/tmp/pourclock-clock-XXXXXX");
    int fd = mkstemp(it->path);
    ck_assert_int_ge(fd, 0);
    close(fd);
    bench_clock_start(&it->clock, 1.0);
    pc_schedule_free(it->plan);
    assert_ok(pc_schedule_make(&it->piece, &it->plan, NULL));
    ck_assert(it->plan->feasible);
    pc_status status =
        bench_session_begin(&it->session, &it->piece, it->plan, it->path, &it->clock, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count > 0 ? errors.item[0].text : "?");
    bench_session_tick(&it->session);
    look(it);
    return it;
}

static void tear_down(stand *it) {
    bench_session_end(&it->session);
    pc_schedule_free(it->plan);
    unlink(it->path);
    free(it);
}

/* Waits, then casts: the second layer is late, and the last pour dawdled over. */
static void cast(stand *it, double wait_s) {
    struct bench_session *session = &it->session;
    double t_s = 0.0;
    for (; t_s < wait_s; t_s += 97.0)
        tick(it, t_s);
    tick(it, t_s = wait_s);
    for (int steps = 0; !session->ended; steps++) {
        ck_assert_int_lt(steps, 100);
        const pc_step *at = bench_session_next(session, 0);
        ck_assert_ptr_nonnull(at);
        pc_step next = *at; /* a tick may plan again, and free what was planned */
        double due_s = wait_s;
        if (bench_session_started(session))
            due_s += next.kind == PC_STEP_POUR ? bench_session_layer(session, &next)->pour_end_s
                                               : next.at_s;
        if (next.kind == PC_STEP_MIX && next.layer == 2)
            due_s += 200.0;
        for (; t_s < due_s; t_s += 31.0)
            tick(it, t_s);
        if (next.kind == PC_STEP_STOP && next.layer == 1 && next.part == 0)
            ck_assert(bench_gelled(session));
        ck_assert(bench_done(session));
        tick(it, t_s); /* the screen is drawn after it */
    }
}

static const struct start {
    const char *name, *zone;
    long wall; /* UTC, when the bench is started */
    double planned_clock_s, wait_s;
    bool day;
    double start_clock_s; /* where the first mix is then */
} starts[] = {
    {"as planned", "UTC", 1773478800, 32400, 0, false, 32400},
    {"75 min earlier", "UTC", 1773474300, 32400, 0, true, 27900},
    {"earlier, waited for", "UTC", 1773474300, 32400, 1500, false, 29400},
    {"165 min later", "UTC", 1773488752, 32400, 0, true, 42352},
    {"it passes while it is waited for", "UTC", 1773478700, 32400, 1500, true, 33800},
    {"evening before", "UTC", 1773523800, 32400, 0, false, 77400},
    {"across midnight", "UTC", 1773531600, 85800, 0, true, 85200},
    {"planned before midnight, begun after it", "UTC", 1773533700, 85800, 600, false, 1500},
    {"planned after midnight, waited for", "UTC", 1773529200, 1800, 7500, true, 3900},
    {"summer time begins", SUMMER, 1774744200, 5400, 0, false, 5400},
    {"summer time begins, later", SUMMER, 1774744200, 32400, 600, true, 6000},
    {"summer time ends", SUMMER, 1792886400, 7200, 0, true, 7200},
};

START_TEST(every_time_is_on_the_sessions_clock) {
    const struct start *start = &starts[_i];
    stand *it = set_up(start->zone, start->wall, start->planned_clock_s, start->day);
    cast(it, start->wait_s);
    /* Where no clock changed, the start is still where the first mix was. */
    if (strcmp(start->zone, "UTC") == 0)
        assert_near(it->session.now->start_clock_s, start->start_clock_s, 1.0);
    else
        assert_near(fabs(it->session.now->start_clock_s - start->start_clock_s), 3600.0, 1.0);
    ck_assert_int_gt(it->checked, 2000);
    tear_down(it);
}
END_TEST

/* Summer time is announced before it begins, and its beginning is written down and said. */
START_TEST(summer_time_is_said_before_and_when_it_begins) {
    stand *it = set_up(SUMMER, 1774744200, 5400, false);
    ck_assert(bench_done(&it->session));
    bool ahead = false;
    tick(it, 90.0);
    ck_assert(bench_done(&it->session));
    tick(it, 95.0);
    for (size_t i = 0; i < it->session.alarm_count; i++)
        ahead |= strstr(it->session.alarm[i].text, "Clocks go forward 1 h") != NULL;
    ck_assert(ahead);
    double gel_s = it->session.now->part[0]->layer[0]->gel_s;
    tick(it, 1790.0);
    tick(it, 1801.0); /* 02:00:01 is 03:00:01 */
    ck_assert_ptr_nonnull(strstr(it->session.message, "Clocks went forward 1 h"));
    assert_near(it->session.now->start_clock_s, 5400.0 + 3600.0, 1.0);
    /* The resin has not noticed. */
    assert_near(bench_session_now(&it->session), 1801.0, 1e-6);
    assert_near(it->session.now->part[0]->layer[0]->gel_s, gel_s, 0.01);
    for (size_t i = 0; i < it->session.alarm_count; i++)
        ck_assert_ptr_null(strstr(it->session.alarm[i].text, "Clocks go"));
    tear_down(it);
}
END_TEST

/* Somebody sets the clock on the wall: every text follows at once. */
START_TEST(a_clock_that_is_set_takes_every_text_along) {
    stand *it = set_up("UTC", 1773478800, 32400, true);
    ck_assert(bench_done(&it->session));
    tick(it, 70.0);
    it->clock.base.wall_ms -= 1234000;
    tick(it, 90.0);
    ck_assert_ptr_nonnull(strstr(it->session.message, "was set 20m34s back"));
    assert_near(it->session.now->start_clock_s, 32400.0 - 1234.0, 1.0);
    tick(it, 300.0);
    tear_down(it);
}
END_TEST

/* Another hour of the shop's day is another temperature, and another gel. */
START_TEST(the_shops_air_moves_with_the_start) {
    double gel_s[2], air_K[2];
    for (int i = 0; i < 2; i++) {
        stand *it = set_up("UTC", i == 0 ? 1773478800 : 1773496800, 32400, true);
        ck_assert(bench_done(&it->session));
        gel_s[i] = it->session.now->part[0]->layer[0]->gel_s;
        air_K[i] = it->session.now->air_K;
        tear_down(it);
    }
    /* 15 C at 06:00 and 24 C at 15:00: 18 C at 09:00, 23 C at 14:00. */
    assert_near(air_K[0], 291.15, 1e-6);
    assert_near(air_K[1], 296.15, 1e-6);
    ck_assert_msg(gel_s[1] < 0.85 * gel_s[0], "gels after %g and %g s", gel_s[0], gel_s[1]);
}
END_TEST

/* Planned for the cold morning, begun in the hot noon: what the plan no longer meets is said
 * before anything is mixed. */
START_TEST(a_start_at_which_limits_fail_is_warned_of) {
    stand *it = set_up("UTC", 1773478800, 32400, true);
    double peak_K = it->session.now->part[1]->layer[0]->peak_K;
    tear_down(it);
    it = set_up("UTC", 1773496800, 32400, true);
    it->piece.resin.peak_limit_K = peak_K + 1.0;
    bench_clock_set(&it->clock, 5.0);
    bench_session_tick(&it->session);
    bool warned = false;
    for (size_t i = 0; i < it->session.alarm_count; i++)
        warned |= strstr(it->session.alarm[i].text, "would run to") != NULL;
    ck_assert(warned);
    look(it);
    tear_down(it);
}
END_TEST

static const struct planned {
    double start_clock_s;
    const char *now; /* of the day */
    double ahead_s;
} planned[] = {
    {32400, "08:00", 3600},   {32400, "09:00", 0},      {32400, "11:00", -7200},
    {32400, "22:00", -46800}, {85800, "00:05", -900},   {1800, "23:30", 3600},
    {46800, "00:30", 45000},  {79200, "03:00", -18000}, {32400, "03:30", 19800},
};

START_TEST(a_planned_start_is_the_one_that_is_meant) {
    const struct planned *row = &planned[_i];
    setenv("TZ", "UTC", 1);
    tzset();
    long now_s = atoi(row->now) * 3600L + atoi(row->now + 3) * 60L;
    int64_t wall_ms = (1773446400 + now_s) * (int64_t)1000;
    assert_near((double)(bench_planned_start(row->start_clock_s, wall_ms) - wall_ms),
                row->ahead_s * 1000.0, 1.0);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("bench_clock");
    TCase *tcase = tcase_create("bench_clock");
    tcase_set_timeout(tcase, 120.0);
    tcase_add_loop_test(tcase, every_time_is_on_the_sessions_clock, 0,
                        (int)(sizeof starts / sizeof *starts));
    tcase_add_test(tcase, summer_time_is_said_before_and_when_it_begins);
    tcase_add_test(tcase, a_clock_that_is_set_takes_every_text_along);
    tcase_add_test(tcase, the_shops_air_moves_with_the_start);
    tcase_add_test(tcase, a_start_at_which_limits_fail_is_warned_of);
    tcase_add_loop_test(tcase, a_planned_start_is_the_one_that_is_meant, 0,
                        (int)(sizeof planned / sizeof *planned));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
