/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What every unit test shares: a runner and assertions that NaN cannot pass. */
#ifndef TESTS_UNIT_H
#define TESTS_UNIT_H

#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "base/try.h"
#include "pi.h"

/* An assertion that holds would write its place into a file each time, where tests over thousands
 * of cases then spend their time. */
#define _mark_point(file, line) ((void)0)

/* !(|a - b| <= tol) so that a NaN on either side fails. */
#define assert_near(value, expected, tolerance)                                                    \
    do {                                                                                           \
        double value_ = (value), expected_ = (expected), tolerance_ = (tolerance);                 \
        if (!(fabs(value_ - expected_) <= tolerance_))                                             \
            ck_abort_msg("%s is %.12g, expected %.12g within %.3g", #value, value_, expected_,     \
                         tolerance_);                                                              \
    } while (0)

/* Relative. */
#define assert_close(value, expected, relative)                                                    \
    assert_near(value, expected, (relative)*fabs(expected))

#define assert_status(call, expected)                                                              \
    do {                                                                                           \
        pc_status status_ = (call);                                                                \
        ck_assert_msg(status_ == (expected), "%s gave %s, expected %s", #call,                     \
                      pci_status_name(status_), pci_status_name(expected));                        \
    } while (0)
#define assert_ok(call) assert_status(call, PC_OK)

static inline int run_suite(Suite *suite) {
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    int run = srunner_ntests_run(runner);
    srunner_free(runner);
    return failed == 0 && run > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

#endif
