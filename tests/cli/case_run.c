/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Running and judging of cases. */
#include "config.h"

#include "cases.h"

#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <regex.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { SECONDS_MOST = 120, PLACE_SIZE = 4000, PATH_SIZE = 4200 };

static bool write_lines(const char *path, const struct lines *lines) {
    FILE *to = fopen(path, "w");
    if (!to)
        return false;
    for (size_t i = 0; i < lines->count; i++)
        fprintf(to, "%s\n", lines->item[i]);
    return fclose(to) == 0;
}

static int remove_entry(const char *path, const struct stat *st, int kind, struct FTW *ftw) {
    (void)st;
    (void)kind;
    (void)ftw;
    return remove(path);
}

/* A bare environment, so that the tester's own settings do not matter. What sanitizers and
 * profilers are told is passed on. */
static void set_environment(const char *here) {
    static const char *const passed_on[] = {"ASAN_OPTIONS",
                                            "UBSAN_OPTIONS",
                                            "LSAN_OPTIONS",
                                            "GCOV_PREFIX",
                                            "GCOV_PREFIX_STRIP",
                                            "CI_WRAPPER",
                                            NULL};
    char *kept[8] = {0};
    for (int i = 0; passed_on[i]; i++) {
        const char *value = getenv(passed_on[i]);
        kept[i] = value ? strdup(value) : NULL;
    }
    const char *path = getenv("PATH");
    char *old_path = strdup(path ? path : "/usr/bin:/bin");
    clearenv();
    for (int i = 0; passed_on[i]; i++)
        if (kept[i])
            setenv(passed_on[i], kept[i], 1);
    char value[2 * PATH_SIZE];
    snprintf(value, sizeof value, "%s/.libs:%s:%s/examples:%s", TEST_BUILDDIR, TEST_BUILDDIR,
             TEST_BUILDDIR, old_path ? old_path : "");
    setenv("PATH", value, 1);
    setenv("LD_LIBRARY_PATH", TEST_BUILDDIR "/.libs", 1);
    setenv("POURCLOCK_SHELF", "examples/resins", 1);
    setenv("HOME", here, 1);
    snprintf(value, sizeof value, "%s/share", here);
    setenv("XDG_DATA_HOME", value, 1);
    setenv("LC_ALL", "C", 1);
    setenv("TZ", "UTC", 1);
}

static void child(const char *here, const char *command) {
    setpgid(0, 0);
    if (chdir(here) != 0)
        _exit(126);
    int in = open(".in", O_RDONLY), out = open(".out", O_WRONLY | O_CREAT | O_TRUNC, 0600),
        err = open(".err", O_WRONLY | O_CREAT | O_TRUNC, 0600);
    if (in < 0 || out < 0 || err < 0 || dup2(in, 0) < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0)
        _exit(126);
    close(in);
    close(out);
    close(err);
    set_environment(here);
    execl("/bin/sh", "sh", "-c", command, (char *)NULL);
    _exit(126);
}

/* Exit code of the command; 128 + signal as a shell says it; -1 on a time-out or trouble. */
static int run_in(const char *here, const char *command) {
    pid_t pid = fork();
    if (pid == 0)
        child(here, command);
    if (pid < 0)
        return -1;
    enum { NAP_NS = 2000000, NAPS_A_SECOND = 500 };
    int status = 0;
    for (int naps = 0; naps < SECONDS_MOST * NAPS_A_SECOND; naps++) {
        pid_t got = waitpid(pid, &status, WNOHANG);
        if (got == pid)
            return WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
        if (got < 0)
            return -1;
        nanosleep(&(struct timespec){0, NAP_NS}, NULL);
    }
    kill(-pid, SIGKILL);
    waitpid(pid, &status, 0);
    printf("  no end after %d s\n", SECONDS_MOST);
    return -1;
}

static bool make_place(const struct one_case *c, char here[PLACE_SIZE]) {
    snprintf(here, PLACE_SIZE, "%s/case.XXXXXX", TEST_BUILDDIR);
    if (!mkdtemp(here))
        return false;
    char path[PATH_SIZE], target[PATH_SIZE];
    snprintf(path, sizeof path, "%s/examples", here);
    snprintf(target, sizeof target, "%s/examples", TEST_SRCDIR);
    bool ok = symlink(target, path) == 0;
    snprintf(path, sizeof path, "%s/data", here);
    snprintf(target, sizeof target, "%s/tests/data", TEST_SRCDIR);
    ok = symlink(target, path) == 0 && ok;
    snprintf(path, sizeof path, "%s/.in", here);
    ok = write_lines(path, &c->stdin_lines) && ok;
    for (size_t i = 0; i < c->file_count; i++) {
        snprintf(path, sizeof path, "%s/%s", here, c->file_name[i]);
        ok = write_lines(path, &c->file_lines[i]) && ok;
    }
    return ok;
}

bool case_run(struct one_case *c) {
    char here[PLACE_SIZE], path[PATH_SIZE];
    if (c->same_file) {
        snprintf(path, sizeof path, "%s/%s", TEST_SRCDIR, c->command);
        return lines_read(path, &c->out_got);
    }
    if (!make_place(c, here)) {
        printf("  cannot make a place to run in: %s\n", strerror(errno));
        return false;
    }
    fflush(stdout);
    c->exit_got = run_in(here, c->command);
    snprintf(path, sizeof path, "%s/.out", here);
    bool ok = lines_read(path, &c->out_got);
    snprintf(path, sizeof path, "%s/.err", here);
    ok = lines_read(path, &c->err_got) && ok;
    nftw(here, remove_entry, 16, FTW_DEPTH | FTW_PHYS);
    return ok && c->exit_got >= 0;
}

static void show(const char *what, const struct lines *lines) {
    printf("  %s:\n", what);
    for (size_t i = 0; i < lines->count; i++)
        printf("  | %s\n", lines->item[i]);
}

/* Compares from line e of expected and g of got; "..." in expected stands for any lines. */
static bool same_from(const struct lines *expected, size_t e, const struct lines *got, size_t g,
                      bool dots) {
    for (; e < expected->count; e++, g++) {
        if (dots && strcmp(expected->item[e], "...") == 0) {
            for (; g <= got->count; g++)
                if (same_from(expected, e + 1, got, g, dots))
                    return true;
            return false;
        }
        if (g >= got->count || strcmp(expected->item[e], got->item[g]) != 0)
            return false;
    }
    return g == got->count;
}

static bool matches(const char *regex, const struct lines *lines, bool *bad_regex) {
    regex_t compiled;
    if (regcomp(&compiled, regex, REG_EXTENDED | REG_NOSUB) != 0) {
        *bad_regex = true;
        return false;
    }
    bool found = false;
    for (size_t i = 0; i < lines->count && !found; i++)
        found = regexec(&compiled, lines->item[i], 0, NULL, 0) == 0;
    regfree(&compiled);
    return found;
}

static bool judge_patterns(const struct one_case *c, bool *out_named, bool *err_named) {
    bool ok = true;
    for (size_t i = 0; i < c->pattern_count; i++) {
        const struct pattern *p = &c->pattern[i];
        bool bad = false;
        bool found = matches(p->regex, p->on_stderr ? &c->err_got : &c->out_got, &bad);
        if (bad || found == p->absent) {
            printf("  %s%s~ %s: %s\n", p->on_stderr ? "err" : "out", p->absent ? "!" : "", p->regex,
                   bad     ? "not a regular expression"
                   : found ? "found"
                           : "not found");
            ok = false;
        }
        *(p->on_stderr ? err_named : out_named) |= !p->absent;
    }
    return ok;
}

static const char *line_at(const struct lines *lines, size_t i) {
    return i < lines->count ? lines->item[i] : "(end)";
}

/* A long output need not be shown twice: the first few lines that differ. */
static void show_difference(const struct lines *expected, const struct lines *got) {
    enum { SHOWN = 6 };
    size_t first = 0;
    while (first < expected->count && first < got->count &&
           strcmp(expected->item[first], got->item[first]) == 0)
        first++;
    for (size_t i = first; i < first + SHOWN && (i < expected->count || i < got->count); i++)
        printf("  output line %zu\n  - %s\n  + %s\n", i + 1, line_at(expected, i), line_at(got, i));
}

static bool judge_dialogue(const struct one_case *c) {
    struct lines all = {0};
    bool ok = true;
    for (size_t i = 0; i < c->out_got.count; i++)
        ok = lines_add(&all, c->out_got.item[i], strlen(c->out_got.item[i])) && ok;
    for (size_t i = 0; i < c->err_got.count; i++)
        ok = lines_add(&all, c->err_got.item[i], strlen(c->err_got.item[i])) && ok;
    /* Blank lines between one command and the next belong to neither. */
    struct lines expected = c->out, got = all;
    while (expected.count > 0 && expected.item[expected.count - 1][0] == '\0')
        expected.count--;
    while (got.count > 0 && got.item[got.count - 1][0] == '\0')
        got.count--;
    ok = ok && same_from(&expected, 0, &got, 0, true);
    if (!ok)
        show_difference(&expected, &got);
    lines_free(&all);
    return ok;
}

bool case_judge(const struct one_case *c) {
    bool ok = true;
    if (c->exit_got != c->exit_expected) {
        printf("  exit %d, expected %d\n", c->exit_got, c->exit_expected);
        ok = false;
    }
    if (c->dialogue || c->same_file)
        return judge_dialogue(c) && ok;
    bool out_named = false, err_named = false;
    ok = judge_patterns(c, &out_named, &err_named) && ok;
    if ((c->out.count > 0 || !out_named) && !same_from(&c->out, 0, &c->out_got, 0, false)) {
        show("standard output expected", &c->out);
        ok = false;
    }
    if ((c->err.count > 0 || !err_named) && !same_from(&c->err, 0, &c->err_got, 0, false)) {
        show("standard error expected", &c->err);
        ok = false;
    }
    if (!ok) {
        show("standard output", &c->out_got);
        show("standard error", &c->err_got);
    }
    return ok;
}
