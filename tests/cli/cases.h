/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file of command-line cases: reading, running, judging, updating. Formats: run_cases.c. */
#ifndef TESTS_CLI_CASES_H
#define TESTS_CLI_CASES_H

#include <stdbool.h>
#include <stddef.h>

/* Lines of text; each without its line end. */
struct lines {
    size_t count, capacity;
    char **item;
};

/* A pattern that standard output or error must, or must not, hold. */
struct pattern {
    const char *regex; /* points into the file's lines */
    bool on_stderr, absent;
};

struct one_case {
    char name[160];
    size_t first_line;                  /* index into the file's lines */
    const char *command;                /* points into the file's lines */
    struct lines stdin_lines, out, err; /* expected */
    bool dialogue;                      /* out holds standard output and error, "..." any lines */
    bool same_file;                     /* no command: out must be the file named by `command` */
    size_t block_first, block_end;      /* file lines that hold out */
    size_t err_first, err_end;          /* file lines that hold err */
    size_t exit_line;                   /* of the file; 0: none */
    int exit_expected;
    size_t pattern_count;
    struct pattern pattern[32];
    size_t file_count;
    char file_name[16][64];
    struct lines file_lines[16];
    /* what came back */
    int exit_got;
    struct lines out_got, err_got;
};

struct case_file {
    const char *path;
    char why[200]; /* why it cannot be read */
    struct lines line;
    size_t case_count, case_capacity;
    struct one_case *item;
};

bool lines_add(struct lines *lines, const char *text, size_t length);
bool lines_read(const char *path, struct lines *lines);
void lines_free(struct lines *lines);

bool case_file_read(const char *path, struct case_file *file);
bool case_run(struct one_case *c);
bool case_judge(const struct one_case *c);
bool case_file_update(const struct case_file *file);
void case_file_free(struct case_file *file);

#endif
