/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench without a terminal: a session on a scripted clock, what its keys do, what it shows on
 * terminals of any size, and what is left after it is dropped at any point. */
#include "unit.h"

#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/text.h"
#include "bench/bench_screen.h"
#include "fake_schedule.h"

#define START "1773478800" /* 2026-03-14 09:00:00 UTC */

typedef struct stand {
    pc_piece piece;
    pc_schedule *plan;
    struct bench_clock clock;
    struct bench_session session;
    char path[64];
} stand;

static void begin(stand *it) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_schedule_free(it->plan);
    assert_ok(pc_schedule_make(&it->piece, &it->plan, NULL));
    ck_assert(it->plan->feasible);
    memset(&it->session, 0, sizeof it->session);
    pc_status status =
        bench_session_begin(&it->session, &it->piece, it->plan, it->path, &it->clock, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count > 0 ? errors.item[0].text : "?");
    bench_session_tick(&it->session);
}

static stand *set_up(void) {
    stand *it = calloc(1, sizeof *it);
    ck_assert_ptr_nonnull(it);
    setenv("TZ", "UTC", 1);
    setenv("POURCLOCK_BENCH_CLOCK", START, 1);
    fake_piece(&it->piece);
    it->piece.margins.on = false;
    it->piece.resin.peak_limit_K = 400.0;
    it->piece.part[0].layers_asked = 3;
    snprintf(it->path, sizeof it->path, "/tmp/pourclock-bench-XXXXXX");
    int fd = mkstemp(it->path);
    ck_assert_int_ge(fd, 0);
    close(fd);
    bench_clock_start(&it->clock, 1.0);
    begin(it);
    return it;
}

static void tear_down(stand *it) {
    bench_session_end(&it->session);
    pc_schedule_free(it->plan);
    unlink(it->path);
    free(it);
}

static void at(stand *it, double seconds) {
    bench_clock_set(&it->clock, seconds);
    bench_session_tick(&it->session);
}

static void again(stand *it) {
    bench_session_end(&it->session);
    begin(it);
}

static void assert_next(stand *it, pc_step_kind kind, int layer) {
    const pc_step *next = bench_session_next(&it->session, 0);
    ck_assert_ptr_nonnull(next);
    ck_assert_msg(next->kind == kind && next->layer == layer, "next is %s %d, expected %s %d",
                  pc_step_word(next->kind), next->layer, pc_step_word(kind), layer);
}

static bool shouts(const stand *it, const char *what) {
    for (size_t i = 0; i < it->session.alarm_count; i++)
        if (strstr(it->session.alarm[i].text, what) != NULL)
            return true;
    return false;
}

START_TEST(a_whole_casting_is_ticked_off) {
    stand *it = set_up();
    struct bench_session *session = &it->session;
    double t_s = 0.0;
    int steps = 0;
    while (!session->ended) {
        const pc_step *next = bench_session_next(session, 0);
        ck_assert_ptr_nonnull(next);
        double due_s = bench_session_started(session) ? next->at_s : 0.0;
        /* Poured when the last of it is in. */
        if (next->kind == PC_STEP_POUR)
            due_s = bench_session_layer(session, next)->pour_end_s;
        t_s = fmax(t_s, due_s);
        at(it, t_s);
        ck_assert(bench_done(session));
        ck_assert(session->message[0] != 0);
        ck_assert_int_lt(++steps, 100);
    }
    ck_assert_int_gt(steps, 12);
    ck_assert_ptr_nonnull(strstr(session->message, "Done"));
    /* Done as planned, it took as long as planned. */
    assert_near(t_s, session->plan->demold_s, 120.0);
    again(it);
    ck_assert(it->session.ended);
    ck_assert_ptr_null(bench_session_next(&it->session, 0));
    ck_assert(!bench_done(&it->session));
    tear_down(it);
}
END_TEST

START_TEST(it_goes_on_where_it_was) {
    stand *it = set_up();
    assert_next(it, PC_STEP_MIX, 1);
    at(it, 30.0);
    ck_assert(!bench_session_started(&it->session));
    ck_assert(bench_done(&it->session));
    at(it, 100.0);
    ck_assert(bench_done(&it->session));
    assert_next(it, PC_STEP_TURN, 1);
    double gel_s = it->session.now->part[0]->layer[0]->gel_s;
    again(it);
    assert_next(it, PC_STEP_TURN, 1);
    assert_near(bench_session_now(&it->session), 70.0, 1e-6);
    assert_near(it->session.now->part[0]->layer[0]->gel_s, gel_s, 0.5);
    ck_assert_ptr_nonnull(strstr(it->session.message, "Going on"));
    /* The clock shown is that on the wall. */
    assert_near(it->session.now->start_clock_s, 9.0 * 3600.0 + 30.0, 1e-6);
    /* The machine is restarted: the wall bridges two hours. */
    bench_session_end(&it->session);
    it->clock.at.boot = 2;
    it->clock.at.boot_ms = it->clock.at.awake_ms = 5000;
    it->clock.at.wall_ms += 7200000;
    begin(it);
    ck_assert_ptr_nonnull(strstr(it->session.message, "restarted"));
    assert_near(bench_session_now(&it->session), 7270.0, 1e-6);
    tear_down(it);
}
END_TEST

START_TEST(undo_takes_back_one_line_after_another) {
    stand *it = set_up();
    struct bench_session *session = &it->session;
    bench_done(session);
    at(it, 90.0);
    bench_done(session);
    at(it, 95.0);
    bench_gelled(session);
    ck_assert_int_eq(session->pace.observations, 1);
    ck_assert(bench_undo(session));
    ck_assert_int_eq(session->pace.observations, 0);
    assert_next(it, PC_STEP_TURN, 1);
    ck_assert(bench_undo(session));
    assert_next(it, PC_STEP_POUR, 1);
    ck_assert(bench_undo(session));
    assert_next(it, PC_STEP_MIX, 1);
    ck_assert(!bench_session_started(session));
    ck_assert(!bench_undo(session));
    ck_assert_ptr_nonnull(strstr(session->message, "nothing to take back"));
    again(it);
    assert_next(it, PC_STEP_MIX, 1);
    tear_down(it);
}
END_TEST

START_TEST(passed_pot_life_is_shouted_until_seen) {
    stand *it = set_up();
    struct bench_session *session = &it->session;
    bench_done(session);
    double pot_s = session->now->part[0]->layer[0]->pot_life_s;
    at(it, pot_s - 20.0);
    ck_assert(!shouts(it, "POT LIFE OVER"));
    at(it, pot_s + 6.0);
    ck_assert(shouts(it, "POT LIFE OVER"));
    ck_assert(!bench_quiet(session));
    bench_acknowledge(session);
    ck_assert(bench_quiet(session));
    at(it, pot_s + 20.0);
    ck_assert(bench_quiet(session)); /* the same cause does not ring again */
    ck_assert(bench_thrown_away(session));
    at(it, pot_s + 21.0);
    ck_assert(!shouts(it, "POT LIFE"));
    assert_next(it, PC_STEP_MIX, 1);
    ck_assert(!bench_thrown_away(session));
    tear_down(it);
}
END_TEST

/* Bug 1 of the alarms: more of them than there was room for put each other out, so that each was
 * new again at every tick: it rang for ever, whatever was pressed. */
START_TEST(bug_1_many_alarms_ring_once) {
    enum { WARNINGS = 60 };
    stand *it = set_up();
    struct bench_session *session = &it->session;
    while (session->now->warning_count > 0)
        free(session->now->warning[--session->now->warning_count]);
    for (int i = 0; i < WARNINGS; i++) {
        pc_warning *warning = pci_add_warning(session->now, "", false);
        ck_assert_ptr_nonnull(warning);
        snprintf(warning->text, sizeof warning->text, "part %d", i);
    }
    ck_assert_int_ge(bench_session_tick(session), BENCH_WARNINGS_MOST);
    ck_assert(!bench_quiet(session));
    bench_acknowledge(session);
    ck_assert_int_eq(bench_session_tick(session), 0);
    ck_assert(bench_quiet(session));
    while (session->now->warning_count > 1) /* the others' cause is gone */
        free(session->now->warning[--session->now->warning_count]);
    bench_session_tick(session);
    ck_assert_uint_eq(session->alarm_count, 1);
    tear_down(it);
}
END_TEST

START_TEST(keys_that_make_no_sense_say_so) {
    stand *it = set_up();
    struct bench_session *session = &it->session;
    ck_assert(!bench_gelled(session));
    ck_assert(!bench_cup_gelled(session, 20.0));
    bench_done(session);
    ck_assert(!bench_cup_gelled(session, NAN));
    ck_assert(!bench_cup_gelled(session, -1.0));
    ck_assert(!bench_cup_gelled(session, INFINITY));
    ck_assert(bench_cup_gelled(session, 20.0));
    ck_assert(!bench_late(session, NAN));
    ck_assert(!bench_late(session, 0.0));
    ck_assert(!bench_late(session, 1e9));
    const pc_layer *plinth = session->now->part[1]->layer[0]; /* poured while the body turns */
    double mix_s = plinth->mix_s;
    ck_assert(bench_late(session, 300.0));
    plinth = session->now->part[1]->layer[0];
    assert_near(plinth->mix_s, mix_s + 300.0, 1.0);
    ck_assert(!bench_note(session, ""));
    ck_assert(bench_note(session, "tab\there, \x1b[31m and a very long word "));
    bench_pause(session);
    ck_assert_ptr_nonnull(strstr(session->message, "does not pause"));
    tear_down(it);
}
END_TEST

START_TEST(sleep_and_a_set_clock_are_noticed) {
    stand *it = set_up();
    bench_done(&it->session);
    at(it, 100.0);
    it->clock.at.awake_ms -= 60000;
    bench_session_tick(&it->session);
    ck_assert_ptr_nonnull(strstr(it->session.message, "slept for 1"));
    it->clock.at.wall_ms += 3600000;
    bench_session_tick(&it->session);
    ck_assert_ptr_nonnull(strstr(it->session.message, "forward"));
    assert_near(bench_session_now(&it->session), 100.0, 1e-6);
    tear_down(it);
}
END_TEST

/* The disk is full (the largest file allowed is what the log has): nothing is called saved, nothing
 * is lost, and it is written as soon as there is room. */
START_TEST(a_full_disk_loses_nothing) {
    stand *it = set_up();
    struct rlimit before, tight;
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &before), 0);
    signal(SIGXFSZ, SIG_IGN);
    struct stat log;
    ck_assert_int_eq(stat(it->path, &log), 0);
    tight = before;
    tight.rlim_cur = (rlim_t)log.st_size + 10;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &tight), 0);
    ck_assert(!bench_done(&it->session));
    ck_assert_ptr_nonnull(strstr(it->session.message, "NOT SAVED"));
    at(it, 80.0);
    ck_assert(shouts(it, "NOT SAVED"));
    assert_next(it, PC_STEP_POUR, 1); /* the plan goes on all the same */
    ck_assert(!bench_done(&it->session));
    ck_assert_uint_eq(it->session.pending_count, 2);
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &before), 0);
    at(it, 82.0);
    ck_assert_uint_eq(it->session.pending_count, 0);
    ck_assert_ptr_nonnull(strstr(it->session.message, "Saved"));
    again(it);
    assert_next(it, PC_STEP_TURN, 1);
    assert_near(it->session.actual.layer[0][0].pour_end_s, 80.0, 1e-6);
    tear_down(it);
}
END_TEST

START_TEST(logs_of_another_kind_are_refused) {
    stand *it = set_up();
    pc_errors errors = PC_ERRORS_INIT;
    struct bench_session *other = calloc(1, sizeof *other);
    ck_assert_ptr_nonnull(other);
    bench_session_end(&it->session);
    memset(&it->session, 0, sizeof it->session);
    it->piece.part[0].wall_m *= 1.1;
    pc_schedule_free(it->plan);
    assert_ok(pc_schedule_make(&it->piece, &it->plan, NULL));
    ck_assert(it->plan->feasible);
    assert_status(bench_session_begin(other, &it->piece, it->plan, it->path, &it->clock, &errors),
                  PC_E_VALUE);
    bench_session_end(other);
    it->piece.part[0].wall_m /= 1.1;
    /* A real clock does not go on with a rehearsal. */
    unsetenv("POURCLOCK_BENCH_CLOCK");
    bench_clock_start(&it->clock, 1.0);
    ck_assert(bench_clock_is_real(&it->clock));
    memset(other, 0, sizeof *other);
    fake_piece(&it->piece);
    it->piece.margins.on = false;
    it->piece.resin.peak_limit_K = 400.0;
    it->piece.part[0].layers_asked = 3;
    pc_schedule_free(it->plan);
    assert_ok(pc_schedule_make(&it->piece, &it->plan, NULL));
    ck_assert(it->plan->feasible);
    assert_status(bench_session_begin(other, &it->piece, it->plan, it->path, &it->clock, &errors),
                  PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[errors.count - 1].text, "rehearsal"));
    bench_session_end(other);
    free(other);
    pc_errors_free(&errors);
    tear_down(it);
}
END_TEST

START_TEST(every_terminal_gets_what_matters) {
    static const int columns[] = {-5, 0, 1, 10, 20, 33, 80, 132, 500};
    static const int rows[] = {-1, 0, 4, 6, 10, 24, 100};
    stand *it = set_up();
    struct bench_screen *screen = malloc(sizeof *screen);
    ck_assert_ptr_nonnull(screen);
    snprintf(it->session.now->part[0]->name, sizeof it->session.now->part[0]->name,
             "b\xc3\xb6"
             "dy\x1b[2J \xe6\x88\x91\xe6\x88\x91\xe6\x88\x91 \xe2\x80\xae \xc2\x9b");
    bench_done(&it->session);
    at(it, it->session.now->part[0]->layer[0]->pot_life_s + 6.0);
    for (size_t c = 0; c < sizeof columns / sizeof *columns; c++) {
        for (size_t r = 0; r < sizeof rows / sizeof *rows; r++) {
            bench_screen_draw(&it->session, columns[c], rows[r], "note: drips", screen);
            int most_columns = columns[c] < 10 ? 10 : columns[c] > 240 ? 240 : columns[c];
            int most_rows = rows[r] < 4 ? 4 : rows[r] > 64 ? 64 : rows[r];
            ck_assert_int_le((int)screen->count, most_rows);
            bool clock = false, loud = false;
            for (size_t i = 0; i < screen->count; i++) {
                const char *text = screen->line[i].text;
                ck_assert_int_le((int)pc_text_width(text), most_columns);
                ck_assert(pci_text_shows(text));
                clock |= strstr(text, ":") != NULL;
                loud |= screen->line[i].style == BENCH_LOUD;
            }
            ck_assert(clock);
            ck_assert(loud);
        }
    }
    bench_screen_draw(&it->session, 20, 40, NULL, screen);
    bool pot = false;
    for (size_t i = 0; i < screen->count; i++)
        pot |= strstr(screen->line[i].text, "POT LIFE OVER") != NULL;
    ck_assert(pot);
    free(screen);
    tear_down(it);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("bench");
    TCase *tcase = tcase_create("bench");
    tcase_set_timeout(tcase, 60.0);
    tcase_add_test(tcase, a_whole_casting_is_ticked_off);
    tcase_add_test(tcase, it_goes_on_where_it_was);
    tcase_add_test(tcase, undo_takes_back_one_line_after_another);
    tcase_add_test(tcase, passed_pot_life_is_shouted_until_seen);
    tcase_add_test(tcase, bug_1_many_alarms_ring_once);
    tcase_add_test(tcase, keys_that_make_no_sense_say_so);
    tcase_add_test(tcase, sleep_and_a_set_clock_are_noticed);
    tcase_add_test(tcase, a_full_disk_loses_nothing);
    tcase_add_test(tcase, logs_of_another_kind_are_refused);
    tcase_add_test(tcase, every_terminal_gets_what_matters);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
