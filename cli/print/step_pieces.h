/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The words of a step with the times they name set apart from the rest: to print them to the
 * minute, or to move them. */
#ifndef PC_CLI_PRINT_STEP_PIECES_H
#define PC_CLI_PRINT_STEP_PIECES_H

#include "pourclock.h"

enum { STEP_WORDS_MOST = 16 };

struct step_word {
    const char *text; /* in the step; without an end of its own */
    size_t length;
    const char *name; /* "deadline", "stop", "set", "drain", "closes", "demold",
                       "gel", "mix" of the next layer; NULL: plain text */
    double at_s;      /* of a named time, in whole seconds as written */
    bool up;          /* it must not be early: rounded up; else it must not be late */
};

/* Purpose:  split the words of a step. plan: the schedule the step is of.
 * Returned: the number of pieces, which together are the step's text, in word[]. */
size_t step_words(const pc_schedule *plan, const pc_step *step,
                  struct step_word word[STEP_WORDS_MOST]);

#endif
