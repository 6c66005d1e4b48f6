/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs the command-line tests of text files and compares what comes back.
 *
 *     run_cases [--update] FILE...
 *
 * Three kinds of file, told apart by name:
 *
 * *.case: cases one after another, each line told by its first characters.
 *     # comment
 *     == name of the case
 *     $ pourclock resin fast-urethane | head -1      the command, given to sh
 *     < line                                         standard input
 *     file NAME                                      a file made before; its lines follow:
 *     + line
 *     exit N                                         expected exit code, 0 if not stated
 *     > line         ! line                          exact standard output, standard error
 *     out~ REGEX     err~ REGEX                      must match somewhere (POSIX extended); repeat
 *     out!~ REGEX    err!~ REGEX                     must match nowhere
 *     A case that states nothing on standard error expects it empty; one that states nothing on
 *     standard output expects it empty too.
 *
 * *.expected: one dialogue. `$ command`, then its exact output (standard error behind standard
 *     output), then `[exit N]` where N is not 0. A line `...` stands for any lines.
 *
 * README.md, *.1 to *.7: the dialogues inside ``` fences, or between .Bd and .Ed; a block without
 *     a `$ ` line is no dialogue. A fence with a file's name behind its kind ("```ini
 *     examples/x.ini") must hold exactly that file.
 *
 * Commands run in a directory of their own that has `examples` and `data` (tests/data) in it, with
 * the pourclock of the build first in PATH, POURCLOCK_SHELF set to examples/resins and a bare
 * environment. --update writes what came back into the file, for a person to judge in the diff.
 * Ends with "N passed, N failed"; a file without a case fails. */
#include "config.h"

#include "cases.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Whether the tool answers that it was built without a library, and the build says so too. */
static bool asks_for_what_is_not_built(const struct one_case *c) {
    static const char *const without[] = {
#ifndef HAVE_CAIRO
        "was built without cairo",
#endif
#ifndef HAVE_LIBICAL
        "was built without libical",
#endif
        NULL};
    for (size_t i = 0; i < c->err_got.count; i++)
        for (size_t k = 0; without[k]; k++)
            if (strstr(c->err_got.item[i], without[k]))
                return true;
    return false;
}

static int judge_all(struct case_file *file) {
    int failed = 0;
    for (size_t i = 0; i < file->case_count; i++) {
        struct one_case *c = &file->item[i];
        bool ok = case_run(c);
        bool skip = ok && asks_for_what_is_not_built(c);
        ok = ok && (skip || case_judge(c));
        printf("%s: %s:%zu: %s\n",
               skip ? "SKIP"
               : ok ? "PASS"
                    : "FAIL",
               file->path, c->first_line + 1, c->name);
        failed += !ok;
    }
    return failed;
}

int main(int argc, char **argv) {
    bool update = argc > 1 && strcmp(argv[1], "--update") == 0;
    int passed = 0, failed = 0;
    for (int i = 1 + update; i < argc; i++) {
        struct case_file file = {0};
        if (!case_file_read(argv[i], &file) || file.case_count == 0) {
            printf("FAIL: %s: %s\n", argv[i], file.why[0] ? file.why : "no case in it");
            failed++;
        } else {
            int bad = judge_all(&file);
            failed += bad;
            passed += (int)file.case_count - bad;
            if (update && bad && !case_file_update(&file))
                printf("FAIL: %s: cannot be updated\n", argv[i]);
        }
        case_file_free(&file);
    }
    printf("%d passed, %d failed\n", passed, failed);
    return failed == 0 && passed > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
