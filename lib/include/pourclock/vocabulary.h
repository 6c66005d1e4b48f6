/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of the constants, as files, logs and JSON have them. */
#ifndef POURCLOCK_VOCABULARY_H
#define POURCLOCK_VOCABULARY_H

#include "pourclock/export.h"

PC_BEGIN_DECLS

/* Append freely. */
typedef enum pc_vocabulary {
    PC_WORDS_EVENT,   /* pc_event_kind, "cup-gel" */
    PC_WORDS_FAMILY,  /* pc_family, "urethane" */
    PC_WORDS_STEP,    /* pc_step_kind, "mix" */
    PC_WORDS_SUPPLY,  /* pc_supply, "resin" */
    PC_WORDS_TEST,    /* pc_test_kind, "film" */
    PC_WORDS_DAY_DO,  /* pc_day_do, "pour" */
    PC_WORDS_ROLE,    /* pc_role, "seam" */
    PC_WORDS_DATUM,   /* pc_datum_kind, "pot_life" */
    PC_WORDS_EXAMPLE, /* of a pc_dimension: how a value may be written, "3/16 in" */
    PC_WORDS_COUNT
} pc_vocabulary;

/* Purpose:  the word of a constant; each kind has it by name too (pc_step_word and the like).
 * Returned: a constant text; "" outside the vocabulary. */
PC_API const char *pc_word(pc_vocabulary of, int value);

PC_END_DECLS

#endif
