/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Tests from a CSV file. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/dimensions.h"
#include "base/text.h"
#include "input/csv.h"
#include "pourclock/quantity.h"
#include "sheet/cuptest_rows.h"

/* X(name, word, dimension; PC_NUMBER: not a quantity) */
#define COLUMN_TABLE(X)                                                                            \
    X(COLUMN_KIND, "kind", PC_NUMBER)                                                              \
    X(COLUMN_CUP, "cup", PC_NUMBER)                                                                \
    X(COLUMN_MASS, "mass", PC_MASS)                                                                \
    X(COLUMN_TEMPERATURE, "temperature", PC_TEMPERATURE)                                           \
    X(COLUMN_AIR, "air", PC_TEMPERATURE)                                                           \
    X(COLUMN_TIME, "time", PC_TIME)                                                                \
    X(COLUMN_READING, "reading", PC_TEMPERATURE)                                                   \
    X(COLUMN_THICKNESS, "thickness", PC_LENGTH)                                                    \
    X(COLUMN_LAID, "laid", PC_TIME)                                                                \
    X(COLUMN_MOLD, "mold", PC_TEMPERATURE)                                                         \
    X(COLUMN_RUBBER, "rubber", PC_LENGTH)                                                          \
    X(COLUMN_RUBBER_KIND, "rubber_kind", PC_NUMBER)                                                \
    X(COLUMN_SHELL, "shell", PC_LENGTH)                                                            \
    X(COLUMN_SHELL_KIND, "shell_kind", PC_NUMBER)                                                  \
    X(COLUMN_SPREAD, "spread", PC_NUMBER)                                                          \
    X(COLUMN_DATE, "date", PC_NUMBER)                                                              \
    X(COLUMN_LOT, "lot", PC_NUMBER)                                                                \
    X(COLUMN_STRUCK, "struck", PC_NUMBER)                                                          \
    X(COLUMN_NOTE, "note", PC_NUMBER)

enum column {
#define COLUMN_ENUM(name, word, dimension) name,
    COLUMN_TABLE(COLUMN_ENUM)
#undef COLUMN_ENUM
        COLUMN_COUNT
};

static const char *const column_word[COLUMN_COUNT + 1] = {
#define COLUMN_WORD(name, word, dimension) word,
    COLUMN_TABLE(COLUMN_WORD)
#undef COLUMN_WORD
};

static const pc_dimension column_dimension[COLUMN_COUNT] = {
#define COLUMN_DIMENSION(name, word, dimension) dimension,
    COLUMN_TABLE(COLUMN_DIMENSION)
#undef COLUMN_DIMENSION
};

struct rows_reader {
    pci_csv csv;
    pc_errors *errors;
    pc_status status;
    long at[COLUMN_COUNT];       /* where a column stands, -1: nowhere */
    char unit[COLUMN_COUNT][24]; /* from the header; "": in the cells */
    size_t row;
};

static void refuse(struct rows_reader *r, pc_status status, enum column column, const char *value,
                   const char *text) {
    long line = r->csv.rows > 0 && r->row < r->csv.rows ? r->csv.line[r->row] : r->csv.header_line;
    pc_errors_add(r->errors, status,
                  (pc_place){.file = r->csv.file,
                             .line = line,
                             .key = column < COLUMN_COUNT ? column_word[column] : NULL,
                             .value = value},
                  "%s", text);
    if (r->status == PC_OK)
        r->status = status;
}

/* "time (min)": the name and the unit. */
static void split_header(const char *header, char name[64], char unit[24]) {
    const char *open = strchr(header, '(');
    size_t length = open ? (size_t)(open - header) : strlen(header);
    snprintf(name, 64, "%.*s", (int)(length < 63 ? length : 63), header);
    for (size_t n = strlen(name); n > 0 && name[n - 1] == ' '; n--)
        name[n - 1] = '\0';
    unit[0] = '\0';
    if (open) {
        size_t inside = strcspn(open + 1, ")");
        snprintf(unit, 24, "%.*s", (int)(inside < 23 ? inside : 23), open + 1);
    }
}

static int column_named(const char *name) {
    for (int i = 0; i < COLUMN_COUNT; i++)
        if (pci_same_word(name, column_word[i]))
            return i;
    return -1;
}

static void read_header(struct rows_reader *r) {
    for (size_t i = 0; i < r->csv.columns; i++) {
        char name[64], unit[24], text[256];
        split_header(r->csv.header[i], name, unit);
        int column = column_named(name);
        double si;
        if (column < 0) {
            const char *near = pci_nearest_word(name, column_word);
            snprintf(text, sizeof text, "there is no column \"%s\"%s%s%s", name,
                     near ? "; did you mean \"" : " in a file of cup tests", near ? near : "",
                     near ? "\"?" : "");
            refuse(r, PC_E_KEY, COLUMN_COUNT, r->csv.header[i], text);
            continue;
        }
        if (unit[0] && (column_dimension[column] == PC_NUMBER ||
                        pci_quantity_to_si(1.0, unit, column_dimension[column], &si) != PC_OK)) {
            snprintf(text, sizeof text, "\"%s\" is not a unit for this column; such as %s", unit,
                     pc_dimension_example(column_dimension[column]));
            refuse(r, PC_E_UNIT, (enum column)column, unit, text);
        }
        if (r->at[column] >= 0)
            refuse(r, PC_E_KEY, (enum column)column, NULL, "is in the header twice");
        r->at[column] = (long)i;
        snprintf(r->unit[column], sizeof r->unit[column], "%s", unit);
    }
    if (r->at[COLUMN_KIND] < 0 || r->at[COLUMN_TIME] < 0)
        refuse(r, PC_E_KEY, COLUMN_COUNT, NULL,
               "a file of cup tests needs the columns kind (gel, pot, log or film), time and "
               "temperature");
}

static const char *cell(const struct rows_reader *r, enum column column) {
    return r->at[column] < 0 ? "" : pci_csv_cell(&r->csv, r->row, (size_t)r->at[column]);
}

/* Empty cells leave *si alone. Returns whether the cell held a value. */
static bool quantity(struct rows_reader *r, enum column column, double *si) {
    const char *text = cell(r, column), *end;
    char why[256];
    if (!*text)
        return false;
    double number = pc_number_parse(text, &end);
    pc_status status;
    if (r->unit[column][0] && end != text && *end == '\0')
        status = pci_quantity_to_si(number, r->unit[column], column_dimension[column], si);
    else
        status = pc_quantity_parse(text, column_dimension[column], si, why, sizeof why);
    if (status == PC_OK)
        return true;
    if (r->unit[column][0] && end != text && *end == '\0')
        snprintf(why, sizeof why, "\"%s\" %s is not a %s", text, r->unit[column],
                 pci_dimension_name(column_dimension[column]));
    refuse(r, status, column, text, why);
    return false;
}

static void mold_kind(struct rows_reader *r, enum column column, pc_mold_kind *kind) {
    static const char *const words[] = {
#define MOLD_WORD(name, word, k, rho, cp) word,
        PC_MOLD_TABLE(MOLD_WORD)
#undef MOLD_WORD
    };
    const char *text = cell(r, column);
    for (int i = 0; *text && i < PC_MOLD_KIND_COUNT; i++)
        if (pci_same_word(text, words[i])) {
            *kind = (pc_mold_kind)i;
            return;
        }
    if (*text && !(column == COLUMN_SHELL_KIND && pci_same_word(text, "none")))
        refuse(r, PC_E_VALUE, column, text, "expected silicone, urethane, plaster or resin");
}

/* "5 %" of a time, "2 C" of a reading. */
static void spread(struct rows_reader *r, pc_test *test) {
    const char *text = cell(r, COLUMN_SPREAD);
    bool reading = test->kind == PC_TEST_LOG;
    double si;
    if (!*text)
        return;
    pc_status status =
        pc_quantity_parse(text, reading ? PC_TEMPERATURE_STEP : PC_SHARE, &si, NULL, 0);
    if (status == PC_OK && si > 0.0 && si <= (reading ? 50.0 : 1.0))
        test->spread = si;
    else
        refuse(r, PC_E_VALUE, COLUMN_SPREAD, text,
               reading ? "expected how far the reading may be off, such as 2 C"
                       : "expected how far the time may be off, such as 10 %, at most 100 %");
}

/* Days of the civil calendar since 1970-01-01 (Gregorian, proleptic). */
static double day_number(int year, int month, int day) {
    int y = month <= 2 ? year - 1 : year, era = y / 400, m = (month + 9) % 12;
    int of_era = y - era * 400, of_year = (153 * m + 2) / 5 + day - 1;
    return era * 146097.0 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468.0;
}

/* 2026-11-29 (ISO 8601). */
static void date(struct rows_reader *r, pc_test *test) {
    const char *text = cell(r, COLUMN_DATE);
    int year, month, day, used = 0;
    test->day = NAN;
    if (!*text)
        return;
    if (sscanf(text, "%4d-%2d-%2d%n", &year, &month, &day, &used) == 3 && !text[used] &&
        used == 10 && year >= 1970 && month >= 1 && month <= 12 && day >= 1 && day <= 31)
        test->day = day_number(year, month, day);
    else
        refuse(r, PC_E_VALUE, COLUMN_DATE, text, "expected a date such as 2026-11-29");
}

/* Whether the row is struck out. */
static bool struck(struct rows_reader *r) {
    const char *text = cell(r, COLUMN_STRUCK);
    if (*text && !pci_same_word(text, "yes") && !pci_same_word(text, "no"))
        refuse(r, PC_E_VALUE, COLUMN_STRUCK, text, "expected yes, no or nothing");
    return pci_same_word(text, "yes");
}

static bool test_kind(struct rows_reader *r, pc_test_kind *kind) {
    const char *text = cell(r, COLUMN_KIND);
    for (int i = 0; i < PC_TEST_KIND_COUNT; i++)
        if (pci_same_word(text, pc_test_word((pc_test_kind)i))) {
            *kind = (pc_test_kind)i;
            return true;
        }
    if (pci_same_word(text, "cup-gel")) { /* as the bench's log calls it */
        *kind = PC_TEST_GEL;
        return true;
    }
    refuse(r, PC_E_VALUE, COLUMN_KIND, text, "expected gel, pot, log or film");
    return false;
}

/* What a row leaves open. In a log the cup's first row speaks for the rest. */
static void defaults(const struct rows_reader *r, const pc_tests *tests, pc_test *test) {
    const pc_test *before = tests->count > 0 ? &tests->item[tests->count - 1] : NULL;
    pci_copy_text(test->cup, sizeof test->cup, cell(r, COLUMN_CUP));
    test->mass_kg = 0.1;
    test->T_K = test->air_K = test->mold_K = test->time_s = test->reading_K = NAN;
    test->thickness_m = NAN;
    test->laid_s = 60.0;
    test->rubber_kind = PC_SILICONE;
    test->shell_kind = PC_PLASTER;
    if (test->kind == PC_TEST_LOG && before && before->kind == PC_TEST_LOG &&
        strcmp(before->cup, test->cup) == 0) {
        test->mass_kg = before->mass_kg;
        test->T_K = before->T_K;
        test->air_K = before->air_K;
    }
}

static void take_row(struct rows_reader *r, pc_tests *tests) {
    pc_test *test = &tests->item[tests->count];
    memset(test, 0, sizeof *test);
    test->line = r->csv.line[r->row];
    if (struck(r) || !test_kind(r, &test->kind))
        return;
    spread(r, test);
    date(r, test);
    pci_copy_text(test->lot, sizeof test->lot, cell(r, COLUMN_LOT));
    defaults(r, tests, test);
    quantity(r, COLUMN_MASS, &test->mass_kg);
    bool timed = quantity(r, COLUMN_TIME, &test->time_s);
    if (!timed && !*cell(r, COLUMN_TIME))
        refuse(r, PC_E_VALUE, COLUMN_TIME, NULL, "is empty: give the time since mixing");
    bool read = quantity(r, COLUMN_READING, &test->reading_K);
    if (test->kind == PC_TEST_LOG && !read && !*cell(r, COLUMN_READING))
        refuse(r, PC_E_VALUE, COLUMN_READING, NULL, "is empty: give the thermometer's reading");
    if (!quantity(r, COLUMN_TEMPERATURE, &test->T_K) && isnan(test->T_K)) {
        test->T_K = test->reading_K; /* the first reading of a log */
        if (isnan(test->T_K) && !*cell(r, COLUMN_TEMPERATURE))
            refuse(r, PC_E_VALUE, COLUMN_TEMPERATURE, NULL,
                   "is empty: give the resin's when mixing starts");
    }
    if (!quantity(r, COLUMN_AIR, &test->air_K) && isnan(test->air_K))
        test->air_K = test->T_K;
    test->mold_K = test->air_K;
    quantity(r, COLUMN_MOLD, &test->mold_K);
    quantity(r, COLUMN_THICKNESS, &test->thickness_m);
    quantity(r, COLUMN_LAID, &test->laid_s);
    quantity(r, COLUMN_RUBBER, &test->rubber_m);
    quantity(r, COLUMN_SHELL, &test->shell_m);
    mold_kind(r, COLUMN_RUBBER_KIND, &test->rubber_kind);
    mold_kind(r, COLUMN_SHELL_KIND, &test->shell_kind);
    tests->count++;
}

/* The rows of a file that has been split into cells. */
static pc_status take_rows(struct rows_reader *r, pc_tests *tests) {
    pci_copy_text(tests->file, sizeof tests->file, r->csv.file);
    if (r->csv.rows > PC_TESTS_MOST)
        return pc_errors_add(r->errors, PC_E_SIZE, (pc_place){.file = tests->file},
                             "%zu rows: %d are the most; thin out the logged curves, fifty "
                             "readings of a cup say as much as thousands",
                             r->csv.rows, PC_TESTS_MOST);
    tests->item = calloc(r->csv.rows + 1, sizeof *tests->item);
    if (!tests->item)
        return pc_errors_add(r->errors, PC_E_MEMORY, (pc_place){.file = tests->file}, "%s",
                             pc_status_text(PC_E_MEMORY));
    for (int i = 0; i < COLUMN_COUNT; i++)
        r->at[i] = -1;
    r->row = r->csv.rows; /* no row: the header */
    read_header(r);
    if (r->status == PC_OK)
        for (r->row = 0; r->row < r->csv.rows; r->row++)
            take_row(r, tests);
    return r->status;
}

static pc_status read_tests(const char *path, bool bare, pc_tests *tests, pc_errors *errors) {
    if (!tests)
        return PC_E_ARGUMENT;
    memset(tests, 0, sizeof *tests);
    struct rows_reader r = {.errors = errors};
    pc_status status =
        bare ? pci_csv_read_bare(path, &r.csv, errors) : pci_csv_read(path, &r.csv, errors);
    if (status == PC_OK)
        status = take_rows(&r, tests);
    pci_csv_free(&r.csv);
    return status;
}

pc_status pc_tests_read(const char *path, pc_tests *tests, pc_errors *errors) {
    return read_tests(path, false, tests, errors);
}

pc_status pci_tests_read_own(const char *path, pc_tests *tests, pc_errors *errors) {
    return read_tests(path, true, tests, errors);
}

pc_status pci_tests_parse(const char *file, const char *data, size_t size, pc_tests *tests,
                          pc_errors *errors) {
    memset(tests, 0, sizeof *tests);
    struct rows_reader r = {.errors = errors};
    pc_status status = pci_csv_parse(file, data, size, &r.csv, errors);
    if (status == PC_OK)
        status = take_rows(&r, tests);
    pci_csv_free(&r.csv);
    return status;
}
