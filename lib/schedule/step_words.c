/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of the steps. */
#include "schedule/build.h"

const char *pc_step_word(pc_step_kind kind) {
    switch (kind) {
#define WORD_CASE(name, word)                                                                      \
    case name:                                                                                     \
        return word;
        PC_STEP_TABLE(WORD_CASE)
#undef WORD_CASE
    }
    return "";
}
