/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Clauses: against every assignment on few variables, and against theorems that tell from which
 * size on there is no way. */
#include "unit.h"

#include <limits.h>

#include "pick.h"
#include "solve/clauses.h"

enum { VARIABLES_MOST = 14, CLAUSES_MOST = 90 };

static pci_verdict solve(pci_clauses *c) {
    long steps = 0;
    return pci_clauses_solve(c, LONG_MAX, &steps);
}

/* ---- every assignment there is ---- */

typedef struct formula {
    int variables, count, size[CLAUSES_MOST], literal[CLAUSES_MOST][3];
} formula;

static void random_clause(formula *f) {
    int n = f->count++;
    f->size[n] = pick(0, 9) ? 3 : pick(1, 2);
    for (int i = 0; i < f->size[n]; i++)
        f->literal[n][i] = pick(1, f->variables) * (pick(0, 1) ? 1 : -1);
}

static bool holds(const formula *f, unsigned assignment) {
    for (int n = 0; n < f->count; n++) {
        bool any = false;
        for (int i = 0; i < f->size[n]; i++) {
            int l = f->literal[n][i];
            any = any || (assignment >> (abs(l) - 1) & 1) == (l > 0);
        }
        if (!any)
            return false;
    }
    return true;
}

static bool any_holds(const formula *f) {
    for (unsigned a = 0; a < 1u << f->variables; a++)
        if (holds(f, a))
            return true;
    return false;
}

static void assert_same(pci_clauses *c, const formula *f, int number) {
    pci_verdict verdict = solve(c);
    bool expected = any_holds(f);
    ck_assert_msg(verdict == (expected ? PCI_CLAUSES_HOLD : PCI_CLAUSES_CLASH),
                  "formula %d of %d clauses: verdict %d", number, f->count, (int)verdict);
    unsigned found = 0;
    for (int v = 1; expected && v <= f->variables; v++)
        found |= (unsigned)pci_clauses_true(c, v) << (v - 1);
    ck_assert_msg(!expected || holds(f, found), "formula %d: not so", number);
}

/* Solved again after every few clauses, till long after they clash. */
START_TEST(clauses_against_every_assignment) {
    pick_state = 1;
    for (int number = 0; number < 150; number++) {
        formula f = {.variables = pick(4, VARIABLES_MOST)};
        pci_clauses *c = pci_clauses_new();
        ck_assert_int_eq(pci_clauses_variables(c, f.variables), 1);
        int most = pick(3, 6) * f.variables;
        while (f.count < most) {
            random_clause(&f);
            pci_clauses_add(c, f.literal[f.count - 1], f.size[f.count - 1]);
            if (f.count % 9 == 0)
                assert_same(c, &f, number);
        }
        assert_same(c, &f, number);
        pci_clauses_free(c);
    }
}
END_TEST

/* ---- theorems ---- */

/* Things 1 to n in `colors`: variable of one and its color. */
static int color_of(int thing, int color, int colors) {
    return (thing - 1) * colors + color + 1;
}

static pci_clauses *colored(int n, int colors) {
    pci_clauses *c = pci_clauses_new();
    int any[8];
    pci_clauses_variables(c, n * colors);
    for (int thing = 1; thing <= n; thing++) {
        for (int color = 0; color < colors; color++)
            any[color] = color_of(thing, color, colors);
        pci_clauses_add(c, any, colors);
    }
    return c;
}

/* Not all of these in one color. */
static void not_alike(pci_clauses *c, const int *things, int n, int colors) {
    int literals[8];
    for (int color = 0; color < colors; color++) {
        for (int i = 0; i < n; i++)
            literals[i] = -color_of(things[i], color, colors);
        pci_clauses_add(c, literals, n);
    }
}

/* n pigeons in so many holes, each to its own. */
static pci_clauses *pigeons(int n, int holes, int unused) {
    (void)unused;
    pci_clauses *c = colored(n, holes);
    for (int a = 1; a <= n; a++)
        for (int b = a + 1; b <= n; b++)
            not_alike(c, (int[]){a, b}, 2, holes);
    return c;
}

/* Numbers to n, no `length` of them at equal distances in one color. */
static pci_clauses *progressions(int n, int colors, int length) {
    pci_clauses *c = colored(n, colors);
    for (int step = 1; step < n; step++)
        for (int from = 1; from + (length - 1) * step <= n; from++) {
            int things[8];
            for (int i = 0; i < length; i++)
                things[i] = from + i * step;
            not_alike(c, things, length, colors);
        }
    return c;
}

/* Numbers to n, no a + b = c in one color. */
static pci_clauses *sums(int n, int colors, int unused) {
    (void)unused;
    pci_clauses *c = colored(n, colors);
    for (int a = 1; a <= n; a++)
        for (int b = a; a + b <= n; b++)
            not_alike(c, (int[]){a, b, a + b}, 3, colors);
    return c;
}

static int edge_of(int a, int b) { /* a < b */
    return b * (b - 1) / 2 + a + 1;
}

/* Lines between n points, no triangle in one color. */
static pci_clauses *triangles(int n, int colors, int unused) {
    (void)unused;
    pci_clauses *c = colored(n * (n - 1) / 2, colors);
    for (int x = 0; x < n; x++)
        for (int y = x + 1; y < n; y++)
            for (int z = y + 1; z < n; z++)
                not_alike(c, (int[]){edge_of(x, y), edge_of(x, z), edge_of(y, z)}, 3, colors);
    return c;
}

/* The largest n for which there is a way. Known by heart, all of them: the pigeonhole principle;
 * van der Waerden's W(3, 3) = 9, W(4, 4) = 35 and W(3, 3, 3) = 27; Schur's S(2) = 4 and S(3) = 13;
 * Ramsey's R(3, 3) = 6. */
static const struct theorem {
    const char *name;
    pci_clauses *(*make)(int n, int colors, int length);
    int colors, length, largest;
} theorems[] = {
    {"pigeons", pigeons, 4, 0, 4},
    {"more pigeons", pigeons, 8, 0, 8},
    {"W(3, 3)", progressions, 2, 3, 8},
    {"W(4, 4)", progressions, 2, 4, 34},
    {"W(3, 3, 3)", progressions, 3, 3, 26},
    {"S(2)", sums, 2, 0, 4},
    {"S(3)", sums, 3, 0, 13},
    {"R(3, 3)", triangles, 2, 0, 5},
};

START_TEST(clauses_against_theorems) {
    const struct theorem *t = &theorems[_i];
    for (int more = 0; more <= 1; more++) {
        pci_clauses *c = t->make(t->largest + more, t->colors, t->length);
        pci_verdict verdict = solve(c);
        ck_assert_msg(verdict == (more ? PCI_CLAUSES_CLASH : PCI_CLAUSES_HOLD), "%s: verdict %d",
                      t->name, (int)verdict);
        pci_clauses_free(c);
    }
}
END_TEST

/* ---- edges ---- */

START_TEST(clauses_at_their_edges) {
    pci_clauses *c = pci_clauses_new();
    ck_assert_int_eq(solve(c), PCI_CLAUSES_HOLD); /* none */
    ck_assert_int_eq(pci_clauses_variables(c, 2), 1);
    ck_assert_int_eq(pci_clauses_variables(c, 1), 3);
    pci_clauses_add(c, (int[]){1, -1}, 2);   /* says nothing */
    pci_clauses_add(c, (int[]){2, 2, 2}, 3); /* says it once */
    ck_assert_int_eq(solve(c), PCI_CLAUSES_HOLD);
    ck_assert(pci_clauses_true(c, 2) && !pci_clauses_true(c, -2));
    ck_assert(pci_clauses_true(c, -3)); /* first tried as false */
    pci_clauses_add(c, (int[]){-2, 3}, 2);
    ck_assert_int_eq(solve(c), PCI_CLAUSES_HOLD);
    ck_assert(pci_clauses_true(c, 3));
    pci_clauses_add(c, NULL, 0);
    ck_assert_int_eq(solve(c), PCI_CLAUSES_CLASH);
    pci_clauses_add(c, (int[]){1}, 1);
    ck_assert_int_eq(solve(c), PCI_CLAUSES_CLASH); /* for good */
    pci_clauses_free(c);
    pci_clauses_free(NULL);
}
END_TEST

/* Stopped, and gone on with: the same answer, and steps add up. */
START_TEST(clauses_stop_and_go_on) {
    pci_clauses *c = pigeons(9, 8, 0);
    long steps = 0, before;
    pci_verdict verdict;
    int stops = 0;
    ck_assert_int_eq(pci_clauses_solve(c, -1, &steps), PCI_CLAUSES_OPEN); /* none are left */
    do {
        before = steps;
        verdict = pci_clauses_solve(c, 20000, &steps);
        ck_assert_int_gt(steps, before);
        stops += verdict == PCI_CLAUSES_OPEN;
    } while (verdict == PCI_CLAUSES_OPEN);
    ck_assert_int_eq(verdict, PCI_CLAUSES_CLASH);
    ck_assert_int_gt(stops, 3);
    pci_clauses_free(c);
}
END_TEST

START_TEST(too_many_variables_are_no_memory) {
    pci_clauses *c = pci_clauses_new();
    ck_assert_int_eq(pci_clauses_variables(c, INT_MAX), 1);
    ck_assert_int_eq(solve(c), PCI_CLAUSES_MEMORY);
    pci_clauses_add(c, (int[]){1}, 1);
    ck_assert_int_eq(solve(c), PCI_CLAUSES_MEMORY);
    pci_clauses_free(c);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("clauses");
    TCase *tc = tcase_create("clauses");
    tcase_set_timeout(tc, 120);
    tcase_add_test(tc, clauses_against_every_assignment);
    tcase_add_loop_test(tc, clauses_against_theorems, 0, (int)(sizeof theorems / sizeof *theorems));
    tcase_add_test(tc, clauses_at_their_edges);
    tcase_add_test(tc, clauses_stop_and_go_on);
    tcase_add_test(tc, too_many_variables_are_no_memory);
    suite_add_tcase(suite, tc);
    return run_suite(suite);
}
