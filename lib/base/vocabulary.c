/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/dimensions.h"
#include "pourclock/bench.h"
#include "pourclock/cuptest.h"
#include "pourclock/day.h"
#include "pourclock/supplies.h"

#define WORD(name, word) word,
#define COUNTED(list)    list, (int)(sizeof(list) / sizeof *(list))

static const char *const events[] = {PC_EVENT_TABLE(WORD)};
static const char *const families[] = {PC_FAMILY_TABLE(WORD)};
static const char *const data[] = {PC_DATUM_TABLE(WORD)};
static const char *const steps[] = {PC_STEP_TABLE(WORD)};
static const char *const supplies[] = {PC_SUPPLY_TABLE(WORD)};
static const char *const tests[] = {PC_TEST_TABLE(WORD)};
static const char *const jobs[] = {PC_DAY_DO_TABLE(WORD)};
static const char *const roles[] = {PC_ROLE_TABLE(WORD)};

static const struct vocabulary {
    const char *const *word;
    int count;
} vocabularies[PC_WORDS_COUNT] = {
    [PC_WORDS_EVENT] = {COUNTED(events)}, [PC_WORDS_FAMILY] = {COUNTED(families)},
    [PC_WORDS_STEP] = {COUNTED(steps)},   [PC_WORDS_SUPPLY] = {COUNTED(supplies)},
    [PC_WORDS_TEST] = {COUNTED(tests)},   [PC_WORDS_DAY_DO] = {COUNTED(jobs)},
    [PC_WORDS_ROLE] = {COUNTED(roles)},   [PC_WORDS_DATUM] = {COUNTED(data)},
};

const char *pc_word(pc_vocabulary of, int value) {
    if (of == PC_WORDS_EXAMPLE)
        return pci_dimension_example((pc_dimension)value);
    if ((int)of < 0 || of >= PC_WORDS_COUNT || value < 0 || value >= vocabularies[of].count)
        return "";
    return vocabularies[of].word[value];
}
