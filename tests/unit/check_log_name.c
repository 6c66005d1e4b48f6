/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log under its name: moved, deleted, replaced, cut, written over, begun on by another
 * clock, while it is written. */
#include "unit.h"

#include <fcntl.h>
#include <sys/stat.h>

#include "fake_log.h"

/* Bug 4 of the log: moved, deleted, replaced or written over while it was written, it went on being
 * called saved, in a file that no name led to. */
enum attack { DELETE, MOVE, REPLACE, CUT, CUT_TO_HALF, WRITE_OVER, ATTACKS };

static void attack_log(enum attack attack, const char *moved) {
    char text[4096];
    size_t size;
    memset(text, 'x', sizeof text);
    switch (attack) {
    case DELETE:
        ck_assert_int_eq(unlink(path), 0);
        break;
    case MOVE:
        ck_assert_int_eq(rename(path, moved), 0);
        break;
    case REPLACE:
        ck_assert_int_eq(rename(path, moved), 0);
        spill("shopping", 8);
        break;
    case CUT:
        ck_assert_int_eq(truncate(path, 0), 0);
        break;
    case CUT_TO_HALF:
        free(slurp(&size));
        ck_assert_int_eq(truncate(path, (off_t)size / 2), 0);
        break;
    case WRITE_OVER:
        spill(text, sizeof text);
        break;
    case ATTACKS:
        break;
    }
}

static void assert_holds(const char *name, int count) {
    pc_log *log;
    assert_ok(pc_log_read(name, &log, NULL));
    ck_assert_int_eq((int)pc_log_count(log), count);
    ck_assert_uint_eq(pc_log_damages(log), 0);
    for (int i = 0; i < count; i++)
        ck_assert_int_eq(pc_log_event(log, (size_t)i)->number, i + 1);
    pc_log_close(log);
}

START_TEST(bug_4_saved_means_under_its_name) {
    enum attack attack = (enum attack)(_i / 2);
    bool at_once = _i % 2 == 1; /* noticed by pc_log_keep, before anything is written */
    char moved[80], second[80];
    pc_log *log;
    make_path();
    snprintf(moved, sizeof moved, "%s.moved", path);
    snprintf(second, sizeof second, "%s.2", path);
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_int_eq(write_events(log, 3), 3);
    assert_ok(pc_log_keep(log, NULL));
    ck_assert_uint_eq(pc_log_rewrites(log), 0);
    ck_assert_str_eq(pc_log_path(log), path);
    ck_assert_str_eq(pc_log_why(log), "");
    attack_log(attack, moved);
    if (at_once)
        assert_ok(pc_log_keep(log, NULL));
    ck_assert_int_eq(write_events(log, 2), 2);
    ck_assert_uint_eq(pc_log_rewrites(log), 1);
    ck_assert_str_ne(pc_log_why(log), "");
    ck_assert(!pc_log_taken(log));
    bool free_name = attack == DELETE || attack == MOVE;
    ck_assert_str_eq(pc_log_path(log), free_name ? path : second);
    assert_holds(pc_log_path(log), 5);
    /* It is locked, and goes on. */
    pc_log *other;
    assert_status(pc_log_open(pc_log_path(log), PIECE, &other, NULL), PC_E_FILE);
    assert_ok(pc_log_keep(log, NULL));
    ck_assert_uint_eq(pc_log_rewrites(log), 1);
    if (attack == REPLACE) {
        size_t size;
        char *data = slurp(&size);
        ck_assert_uint_eq(size, 8); /* not touched */
        free(data);
    }
    pc_log_close(log);
    unlink(second);
    unlink(moved);
    drop_path();
}
END_TEST

/* Where even that fails, it is not saved, and is written as soon as it can be. */
START_TEST(a_log_whose_folder_is_gone_is_not_saved) {
    char folder[] = "/tmp/pourclock-logs-XXXXXX", away[64];
    pc_log *log;
    pc_errors errors = PC_ERRORS_INIT;
    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/o.log", folder);
    snprintf(away, sizeof away, "%s.away", folder);
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_int_eq(write_events(log, 3), 3);
    ck_assert_int_eq(rename(folder, away), 0);
    pc_event event = event_of(PC_EVENT_NOTE, 9000, "the folder is gone");
    assert_status(pc_log_append(log, &event, &errors), PC_E_FILE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "cannot be written again"));
    assert_status(pc_log_keep(log, NULL), PC_E_FILE);
    ck_assert_uint_eq(pc_log_count(log), 3);
    ck_assert_int_eq(rename(away, folder), 0);
    assert_ok(pc_log_append(log, &event, NULL));
    ck_assert_uint_eq(pc_log_rewrites(log), 0);
    assert_holds(path, 4);
    pc_log_close(log);
    pc_errors_free(&errors);
    drop_path();
    rmdir(folder);
}
END_TEST

/* The log of a clock is moved away, and another clock begins on its name: the first one ends. */
START_TEST(two_clocks_on_one_name_never_both_run) {
    char moved[80], second[80];
    pc_log *log, *other;
    pc_errors errors = PC_ERRORS_INIT;
    make_path();
    snprintf(moved, sizeof moved, "%s.moved", path);
    snprintf(second, sizeof second, "%s.2", path);
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_int_eq(write_events(log, 3), 3);
    ck_assert_int_eq(rename(path, moved), 0);
    assert_ok(pc_log_open(path, PIECE, &other, NULL));
    ck_assert_int_eq(write_events(other, 2), 2);
    assert_status(pc_log_keep(log, &errors), PC_E_FILE);
    ck_assert(pc_log_taken(log));
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "another clock has begun on this name"));
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, second));
    assert_holds(second, 3); /* what it had is not lost */
    pc_event event = event_of(PC_EVENT_NOTE, 9000, "x");
    assert_status(pc_log_append(log, &event, NULL), PC_E_FILE);
    assert_status(pc_log_keep(log, NULL), PC_E_FILE);
    assert_holds(path, 2);
    assert_ok(pc_log_keep(other, NULL));
    pc_log_close(log);
    pc_log_close(other);
    assert_status(pc_log_keep(NULL, NULL), PC_E_ARGUMENT);
    ck_assert_str_eq(pc_log_path(NULL), "");
    pc_errors_free(&errors);
    unlink(moved);
    unlink(second);
    drop_path();
}
END_TEST

int main(void) {
    Suite *suite = suite_create("log_name");
    TCase *tcase = tcase_create("log_name");
    tcase_add_loop_test(tcase, bug_4_saved_means_under_its_name, 0, 2 * ATTACKS);
    tcase_add_test(tcase, a_log_whose_folder_is_gone_is_not_saved);
    tcase_add_test(tcase, two_clocks_on_one_name_never_both_run);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
