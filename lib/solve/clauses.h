/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Whether clauses can all hold: propositional satisfiability by conflict-driven search.
 *
 * Variables are numbered from 1; a literal is a variable's number, or minus it for its negation; a
 * clause holds where one of its literals does. Clauses may be added between solves, and what was
 * learned is kept.
 *
 * Source: unit propagation with two watched literals, learning from the first unique implication
 * point, activities, saved phases, Luby restarts and the literal block distance are textbook matter
 * (from memory: Biere, Heule, van Maaren, Walsh, Handbook of Satisfiability, chapter 4). It is our
 * own since the solvers at hand end the program where memory fails, which a library must not. */
#ifndef PCI_SOLVE_CLAUSES_H
#define PCI_SOLVE_CLAUSES_H

#include <stdbool.h>

typedef struct pci_clauses pci_clauses;

typedef enum pci_verdict {
    PCI_CLAUSES_HOLD, /* pci_clauses_true tells how */
    PCI_CLAUSES_CLASH,
    PCI_CLAUSES_OPEN,  /* the effort given was too little */
    PCI_CLAUSES_MEMORY /* memory failed, in this call or one before */
} pci_verdict;

/* Returned: NULL where memory fails; free with pci_clauses_free. */
pci_clauses *pci_clauses_new(void);
void pci_clauses_free(pci_clauses *clauses);

/* Purpose:  `count` >= 1 more variables. Returned: the first of them; the others follow. 1 where
 *           memory fails, which pci_clauses_solve tells. */
int pci_clauses_variables(pci_clauses *clauses, int count);

/* Purpose:  add a clause. Given: literals of variables there are. An empty one clashes. */
void pci_clauses_add(pci_clauses *clauses, const int *literals, int count);

/* Purpose:  search. A variable is first tried as false, and after a solve as it was last.
 * Given:    steps_most: clauses looked at in this call, some 10^7 to 10^8 of them a second; it ends
 *           soon after so many.
 * Returned: *steps added to. The same calls give the same answer on every machine. */
pci_verdict pci_clauses_solve(pci_clauses *clauses, long steps_most, long *steps);

/* Whether a literal holds, after PCI_CLAUSES_HOLD and until the next call of another function. */
bool pci_clauses_true(const pci_clauses *clauses, int literal);

#endif
