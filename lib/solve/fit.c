/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "solve/fit.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "solve/guard.h"

enum { ITERATIONS_MOST = 60 };
/* Of a scaled J'J: a parameter whose pivot is smaller cannot be distinguished from those before it.
 */
static const double PIVOT_LEAST = 1e-6;
/* A search ends at a move shorter than enough, and differences serve for all moves within near of
 * where they were taken; both in steps of the differences. One on rough residuals only comes near.
 */
struct closeness {
    double enough, near;
};
static const struct closeness FINE = {0.05, 2.5}, ROUGH = {0.5, 15.0};

struct problem {
    pci_fit_residuals residuals, rough;
    void *context;
    size_t n, p;
    const double *step;
    double *r, *r_moved, *J;   /* J: the differences last taken, row by row */
    double J_at[PCI_FIT_MOST]; /* and where; NaN: not yet */
    double here[PCI_FIT_MOST]; /* where the search stands */
    struct closeness close;
    pc_status status; /* of the last failure */
};

/* Whether two places are within so many steps of each other. */
static bool within(const struct problem *problem, const double a[], const double b[],
                   double steps) {
    for (size_t j = 0; j < problem->p; j++)
        if (!(fabs(a[j] - b[j]) <= steps * problem->step[j]))
            return false;
    return true;
}

static int checked_residuals(struct problem *problem, pci_fit_residuals residuals, const double x[],
                             double r[]) {
    pc_status status = residuals(x, r, problem->context);
    for (size_t i = 0; status == PC_OK && i < problem->n; i++)
        if (!isfinite(r[i]))
            status = PC_E_NUMERIC;
    if (status == PC_OK)
        return GSL_SUCCESS;
    problem->status = status;
    return GSL_EBADFUNC;
}

static void copy_out(const gsl_vector *from, double to[]) {
    for (size_t i = 0; i < from->size; i++)
        to[i] = gsl_vector_get(from, i);
}

/* A try so near that nothing is left to gain ends the search: more tries would follow the solvers'
 * rounding. */
static int gsl_f(const gsl_vector *x, void *params, gsl_vector *f) {
    struct problem *problem = params;
    double at[PCI_FIT_MOST];
    copy_out(x, at);
    if (within(problem, at, problem->here, problem->close.enough))
        return GSL_ENOPROG;
    int code = checked_residuals(problem, problem->residuals, at, problem->r);
    for (size_t i = 0; code == GSL_SUCCESS && i < problem->n; i++)
        gsl_vector_set(f, i, problem->r[i]);
    return code;
}

/* Central differences of our own: GSL's step is a share of x, which is zero at the start here, and
 * too small for residuals that come out of adaptive solvers. */
static int take_differences(struct problem *problem, const double x[]) {
    double at[PCI_FIT_MOST];
    int code = GSL_SUCCESS;
    size_t p = problem->p;
    memcpy(at, x, p * sizeof *x);
    for (size_t j = 0; code == GSL_SUCCESS && j < p; j++) {
        double h = problem->step[j];
        at[j] = x[j] - h;
        code = checked_residuals(problem, problem->rough, at, problem->r);
        at[j] = x[j] + h;
        if (code == GSL_SUCCESS)
            code = checked_residuals(problem, problem->rough, at, problem->r_moved);
        at[j] = x[j];
        for (size_t i = 0; code == GSL_SUCCESS && i < problem->n; i++)
            problem->J[i * p + j] = (problem->r_moved[i] - problem->r[i]) / (2.0 * h);
    }
    if (code == GSL_SUCCESS)
        memcpy(problem->J_at, x, p * sizeof *x);
    return code;
}

static int gsl_df(const gsl_vector *x, void *params, gsl_matrix *J) {
    struct problem *problem = params;
    copy_out(x, problem->here);
    int code = within(problem, problem->here, problem->J_at, problem->close.near)
                   ? GSL_SUCCESS
                   : take_differences(problem, problem->here);
    for (size_t i = 0; code == GSL_SUCCESS && i < problem->n; i++)
        for (size_t j = 0; j < problem->p; j++)
            gsl_matrix_set(J, i, j, problem->J[i * problem->p + j]);
    return code;
}

/* Cholesky's factor in place; false where two parameters, or more, act alike. */
static bool factor(gsl_matrix *N) {
    if (gsl_linalg_cholesky_decomp1(N) != GSL_SUCCESS)
        return false;
    for (size_t i = 0; i < N->size1; i++)
        if (!(gsl_matrix_get(N, i, i) > PIVOT_LEAST))
            return false;
    return true;
}

/* Inverse of J'J by Cholesky, after scaling its diagonal to 1. */
static pc_status invert_normal(const gsl_matrix *J, size_t p,
                               double inverse[PCI_FIT_MOST][PCI_FIT_MOST]) {
    gsl_matrix *N = gsl_matrix_alloc(p, p);
    if (!N)
        return PC_E_MEMORY;
    double scale[PCI_FIT_MOST];
    pc_status status = PC_OK;
    gsl_blas_dgemm(CblasTrans, CblasNoTrans, 1.0, J, J, 0.0, N);
    for (size_t i = 0; i < p; i++) {
        scale[i] = sqrt(gsl_matrix_get(N, i, i));
        if (!(scale[i] > 0.0))
            status = PC_E_NUMERIC;
    }
    for (size_t i = 0; status == PC_OK && i < p; i++)
        for (size_t j = 0; j < p; j++)
            gsl_matrix_set(N, i, j, gsl_matrix_get(N, i, j) / (scale[i] * scale[j]));
    if (status == PC_OK && (!factor(N) || gsl_linalg_cholesky_invert(N) != GSL_SUCCESS))
        status = PC_E_NUMERIC;
    for (size_t i = 0; status == PC_OK && i < p; i++)
        for (size_t j = 0; j < p; j++)
            inverse[i][j] = gsl_matrix_get(N, i, j) / (scale[i] * scale[j]);
    gsl_matrix_free(N);
    return status;
}

static void leverages(const gsl_matrix *J, size_t p, double C[PCI_FIT_MOST][PCI_FIT_MOST],
                      double leverage[]) {
    for (size_t i = 0; i < J->size1; i++) {
        leverage[i] = 0.0;
        for (size_t a = 0; a < p; a++)
            for (size_t b = 0; b < p; b++)
                leverage[i] += gsl_matrix_get(J, i, a) * C[a][b] * gsl_matrix_get(J, i, b);
    }
}

/* GSL's own driver would go on trying when no step helps any more. */
static int iterate(gsl_multifit_nlinear_workspace *work) {
    for (int i = 0; i < ITERATIONS_MOST; i++) {
        int code = gsl_multifit_nlinear_iterate(work);
        if (code != GSL_SUCCESS)
            return code == GSL_ENOPROG ? GSL_SUCCESS : code;
    }
    return GSL_EMAXITER;
}

/* One search from fit->x; leaves there where it ended. */
static pc_status search(struct problem *problem, pci_fit_residuals residuals,
                        struct closeness close, gsl_multifit_nlinear_workspace *work,
                        pci_fit *fit) {
    gsl_multifit_nlinear_fdf fdf = {gsl_f, gsl_df, NULL, problem->n, problem->p, problem, 0, 0, 0};
    gsl_vector_view start = gsl_vector_view_array(fit->x, problem->p);
    problem->residuals = residuals;
    problem->close = close;
    problem->here[0] = NAN; /* the start is never too near */
    int code = gsl_multifit_nlinear_init(&start.vector, &fdf, work);
    if (code == GSL_SUCCESS)
        code = iterate(work);
    if (problem->status != PC_OK)
        return problem->status;
    if (code != GSL_SUCCESS)
        return PC_E_NUMERIC;
    copy_out(gsl_multifit_nlinear_position(work), fit->x);
    fit->iterations += (int)gsl_multifit_nlinear_niter(work);
    return PC_OK;
}

static pc_status solve(struct problem *problem, gsl_multifit_nlinear_workspace *work, pci_fit *fit,
                       double *leverage) {
    pci_fit_residuals fine = problem->residuals;
    pc_status status = PC_OK;
    fit->iterations = 0;
    if (problem->rough != fine)
        status = search(problem, problem->rough, ROUGH, work, fit);
    if (status == PC_OK)
        status = search(problem, fine, FINE, work, fit);
    if (status != PC_OK)
        return status;
    const gsl_matrix *J = gsl_multifit_nlinear_jac(work);
    const gsl_vector *r = gsl_multifit_nlinear_residual(work);
    gsl_blas_ddot(r, r, &fit->sum_squares);
    memset(fit->covariance, 0, sizeof fit->covariance);
    status = invert_normal(J, problem->p, fit->covariance);
    if (status == PC_OK && leverage)
        leverages(J, problem->p, fit->covariance, leverage);
    return status;
}

pc_status pci_fit_run(pci_fit_residuals residuals, pci_fit_residuals rough, void *context, size_t n,
                      size_t p, const double step[], pci_fit *fit, double *leverage) {
    if (!residuals || !fit || p == 0 || p > PCI_FIT_MOST || n < p)
        return PC_E_ARGUMENT;
    for (size_t j = 0; j < p; j++)
        if (!(step[j] > 0.0) || !isfinite(fit->x[j]))
            return PC_E_ARGUMENT;
    struct problem problem = {.residuals = residuals,
                              .rough = rough ? rough : residuals,
                              .context = context,
                              .n = n,
                              .p = p,
                              .step = step,
                              .J_at = {NAN}};
    problem.r = malloc((2 + p) * n * sizeof *problem.r);
    gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
    pci_gsl_enter();
    gsl_multifit_nlinear_workspace *work =
        gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, n, p);
    pc_status status = PC_E_MEMORY;
    if (problem.r && work) {
        problem.r_moved = problem.r + n;
        problem.J = problem.r_moved + n;
        status = solve(&problem, work, fit, leverage);
    }
    if (work)
        gsl_multifit_nlinear_free(work);
    pci_gsl_leave();
    free(problem.r);
    return status;
}
