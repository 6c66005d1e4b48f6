/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The user's own tests: gel times of cups, logged temperatures of a cup, gel times of films; and
 * the resin fitted to them. */
#ifndef POURCLOCK_CUPTEST_H
#define POURCLOCK_CUPTEST_H

#include <stdbool.h>
#include <stddef.h>

#include "pourclock/errors.h"
#include "pourclock/export.h"
#include "pourclock/mold.h"
#include "pourclock/resin.h"
#include "pourclock/status.h"
#include "pourclock/vocabulary.h"

PC_BEGIN_DECLS

#define PC_TESTS_MOST     2000
#define PC_TEST_NAME_SIZE 48

/* X(name, word in files) */
#define PC_TEST_TABLE(X)                                                                           \
    X(PC_TEST_GEL, "gel")   /* a cup gelled */                                                     \
    X(PC_TEST_POT, "pot")   /* a cup got too thick to pour: its pot life */                        \
    X(PC_TEST_LOG, "log")   /* a reading of the temperature in a cup */                            \
    X(PC_TEST_FILM, "film") /* a film on a mold gelled through */

typedef enum pc_test_kind {
#define PC_TEST_ENUM_(name, word) name,
    PC_TEST_TABLE(PC_TEST_ENUM_)
#undef PC_TEST_ENUM_
        PC_TEST_KIND_COUNT
} pc_test_kind;

/* One row. Times from the start of mixing. */
typedef struct pc_test {
    pc_test_kind kind;
    long line;                   /* in the file, 0: none */
    char cup[PC_TEST_NAME_SIZE]; /* log: readings of one name, one after another, are one cup */
    double mass_kg;              /* of the cup; film: of the cup it came from */
    double T_K;                  /* resin when mixing starts */
    double air_K;                /* of the shop */
    double time_s;
    double reading_K; /* log */
    /* film: */
    double thickness_m, laid_s; /* when it was laid, from the start of mixing */
    double mold_K;
    double rubber_m, shell_m; /* 0 rubber: the reference mold, 8 mm silicone in 10 mm plaster */
    pc_mold_kind rubber_kind, shell_kind;
    double spread; /* 1 sd as the row states it: of ln time, K of a reading; 0: as is usual */
    double day;    /* date, days from an epoch; NaN where not stated: an older test counts less */
    char lot[PC_TEST_NAME_SIZE]; /* "" where not stated */
} pc_test;

/* Start with zeros or pc_tests_read, end with pc_tests_free. */
typedef struct pc_tests {
    char file[256];
    size_t count;
    pc_test *item;
} pc_tests;

/* How to fit. Start with zeros. */
typedef struct pc_tests_how {
    bool as_is; /* doubtful data have been looked at and are right */
} pc_tests_how;

/* How a row compares with the fit. */
typedef struct pc_test_result {
    double model;       /* time_s or reading_K computed */
    double residual;    /* ln(computed / measured), or K */
    double spread;      /* 1 sd that the row was given */
    double leverage;    /* share of the row in its own fit, 0 to 1 */
    bool outlier;       /* further off than three of its spreads */
    double sheet_ratio; /* the time against that of the resin started from; NaN of a reading */
} pc_test_result;

/* Start with zeros or pc_tests_fit, end with pc_tests_fit_free. Intervals are of 95 %. */
typedef struct pc_tests_fit {
    pc_resin resin;    /* the one started from, fitted to its data sheet and the tests together */
    double T_ref_K;    /* mean temperature of the tests */
    double rate_scale; /* rate at T_ref_K against the resin started from */
    double rate_low, rate_high;
    double E_J_mol, E_low_J_mol, E_high_J_mol; /* E1 */
    double a_pot, a_pot_low, a_pot_high;
    double scatter;           /* standard deviation of a time, relative; NaN: no times */
    double reading_scatter_K; /* the same of a reading; NaN: no readings */
    double widened; /* how much more the tests scatter than their spreads say, 1 or more */
    double ln_rate_error, E_error_J_mol, correlation; /* 1 sd */
    size_t outliers, count;
    pc_test_result *result; /* of every row */
} pc_tests_fit;

/* Word of a kind, "gel"; "" outside the table. */
static inline const char *pc_test_word(pc_test_kind kind) {
    return pc_word(PC_WORDS_TEST, (int)kind);
}

/* Purpose:  read tests from a CSV file.
 * Given:    path, or "-". Columns, in any order, by name: kind, time, temperature; and where they
 *           apply cup, mass, air, reading, thickness, laid, mold, rubber, rubber_kind, shell,
 *           shell_kind, spread, date, lot, struck, note. A row with struck = yes is left out. Cells
 * are quantities with units, or plain numbers under a header that names the unit: "time (min)".
 * Empty cells take their default: mass 100 g, air and mold as temperature, laid 1 min; in a log,
 * what the first row of the cup says. Returned: *tests, to be freed (also after an error); PC_OK;
 * else the first error's status, with every wrong line in errors. */
PC_API pc_status pc_tests_read(const char *path, pc_tests *tests, pc_errors *errors);

/* Purpose:  fit a resin to tests beside the figures of its data sheet and its family's priors.
 * Given:    tests; resin: the one to start from, with its data sheet (or a family's defaults); how.
 * Returned: *fit, to be freed (also after an error); PC_OK; PC_E_VALUE with an error for each
 *           wrong row; PC_E_ARGUMENT, PC_E_MEMORY.
 * Notes:    few tests, or tests that are alike, leave wide intervals: they are not refused.
 * Spreads: 5 % of a cup's time, 10 % of a film's, 1 K of a reading, or as the row states; all are
 *           widened together where the tests scatter more. Readings of one cup are correlated: with
 *           lag-one correlation c, n of them count as n (1 - c)/(1 + c). Intervals are linear about
 *           the best fit. */
PC_API pc_status pc_tests_fit_run(const pc_tests *tests, const pc_resin *resin,
                                  const pc_tests_how *how, pc_tests_fit *fit, pc_errors *errors);

/* Purpose:  gel time of a cup by the fitted resin, with the 95 % interval of its mean.
 * Given:    fit; mass_kg > 0; T_K: resin and air.
 * Returned: *gel_s, *low_s, *high_s; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC, PC_E_UNREACHED. */
PC_API pc_status pc_tests_fit_gel(const pc_tests_fit *fit, double mass_kg, double T_K,
                                  double *gel_s, double *low_s, double *high_s);

/* Purpose:  the value one test would give with a resin: time_s, or reading_K of a log.
 * Returned: *value; PC_OK, PC_E_ARGUMENT, PC_E_NUMERIC, PC_E_UNREACHED (not in 30 days). */
PC_API pc_status pc_test_value(const pc_test *test, const pc_resin *resin, double *value);

/* Purpose:  free tests; a fit of them. NULL is allowed. */
PC_API void pc_tests_free(pc_tests *tests);
PC_API void pc_tests_fit_free(pc_tests_fit *fit);

PC_END_DECLS

#endif
