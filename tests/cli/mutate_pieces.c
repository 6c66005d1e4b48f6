/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changes piece files by their structure (values out of a list of hostile ones, lines dropped,
 * doubled, swapped, moved to another section) and gives each to the command in a process of its
 * own. It must end by itself within a minute, with 0, 1 or 3: never 4, never a signal; and what it
 * calls JSON must look like it.
 *
 *     mutate_pieces [RUNS [SEED]]        without arguments: the sample that make check replays
 *
 * Prints every file that breaks this, and at the end "N runs, N findings, seed N". */
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { SAMPLE = 60, SAMPLE_SEED = 20260314, LINES_MOST = 128, LINE_MOST = 256, SECONDS = 60 };

static uint64_t state;

/* splitmix64 (Steele, Lea, Flood 2014), from memory. */
static size_t pick(size_t below) {
    uint64_t z = state += 0x9E3779B97F4A7C15u;
    z = (z ^ z >> 30) * 0xBF58476D1CE4E5B9u;
    z = (z ^ z >> 27) * 0x94D049BB133111EBu;
    return (size_t)((z ^ z >> 31) % below);
}

static const char *const numbers[] = {"0",    "-1",  "1e-300", "1e300", "1e-12", "1e12",
                                      "nan",  "inf", "1e-6",   "0.001", "1e3",   "1e6",
                                      "0.01", "0.1", "1",      "3",     "10",    "50",
                                      "100",  "500", "5000",   "",      "-0",    "0x10"};
static const double factors[] = {1e-6, 1e-3, 0.01, 0.1, 0.5, 0.9, 1.1, 2.0, 5.0, 10.0, 100.0, 1e3};
static const char *const units[] = {"",     " mm", " cm",  " m",  " in", " um",   " s",
                                    " min", " h",  " g",   " kg", " C",  " F",    " rpm",
                                    " cm2", " m2", " cm3", " %",  " ml", " sq in"};
static const char *const words[] = {"yes",     "no",   "none",         "silicone",      "plaster",
                                    "machine", "hand", "drain",        "slab",          "cylinder",
                                    "sphere",  "us",   "metric",       "1:1 by weight", "09:00",
                                    "24:00",   "-",    "fast-urethane"};
static const char *const bases[] = {TEST_SRCDIR "/examples/otter-warm.ini",
                                    TEST_SRCDIR "/examples/otter-cold.ini"};

typedef struct text {
    size_t count;
    char line[LINES_MOST][LINE_MOST];
} text;

static bool read_text(const char *path, text *t) {
    FILE *file = fopen(path, "r");
    t->count = 0;
    while (file && t->count < LINES_MOST && fgets(t->line[t->count], LINE_MOST, file)) {
        t->line[t->count][strcspn(t->line[t->count], "\n")] = '\0';
        t->count++;
    }
    if (file)
        fclose(file);
    return t->count > 0;
}

static void change_value(char *line) {
    char *equals = strchr(line, '=');
    if (!equals || strncmp(line, "resin", 5) == 0)
        return;
    size_t room = LINE_MOST - (size_t)(equals + 2 - line);
    const char *unit = strchr(equals + 2, ' ');
    char kept[64] = "";
    snprintf(kept, sizeof kept, "%.60s", unit ? unit : "");
    char *end;
    double number = strtod(equals + 2, &end);
    if (end > equals + 2 && pick(3) > 0) /* a number near what makes sense */
        snprintf(equals + 2, room, "%.6g%s",
                 number * factors[pick(sizeof factors / sizeof *factors)], kept);
    else if (pick(4) == 0)
        snprintf(equals + 2, room, "%s", words[pick(sizeof words / sizeof *words)]);
    else
        snprintf(equals + 2, room, "%s%s", numbers[pick(sizeof numbers / sizeof *numbers)],
                 pick(3) ? kept : units[pick(sizeof units / sizeof *units)]);
}

static void mutate(text *t) {
    for (size_t n = 1 + pick(3); n > 0; n--) {
        size_t at = pick(t->count), other = pick(t->count);
        char swap[LINE_MOST];
        switch (pick(8)) {
        case 0:
            memmove(t->line[at], t->line[at + 1], (t->count - at - 1) * LINE_MOST);
            t->count -= t->count > 1;
            break;
        case 1:
            memcpy(swap, t->line[at], LINE_MOST);
            memcpy(t->line[at], t->line[other], LINE_MOST);
            memcpy(t->line[other], swap, LINE_MOST);
            break;
        case 2:
            memcpy(t->line[at], t->line[other], LINE_MOST);
            break;
        default:
            change_value(t->line[at]);
            break;
        }
    }
}

static bool write_text(const char *path, const text *t) {
    FILE *file = fopen(path, "w");
    for (size_t i = 0; file && i < t->count; i++)
        fprintf(file, "%s\n", t->line[i]);
    return file && fclose(file) == 0;
}

/* The wait status of the command; *json: what it wrote begins with "{". */
static int run_command(const char *piece, const char *answer, bool *json) {
    int status = -1;
    pid_t child = fork();
    if (child == 0) {
        int out = open(answer, O_WRONLY | O_CREAT | O_TRUNC, 0600),
            null = open("/dev/null", O_RDWR);
        if (out < 0 || null < 0 || dup2(null, 0) < 0 || dup2(out, 1) < 0 || dup2(null, 2) < 0)
            _exit(120);
        alarm(SECONDS);
        execl(TEST_BUILDDIR "/pourclock", "pourclock", "schedule", piece, "--json", (char *)NULL);
        _exit(121);
    }
    if (child < 0 || waitpid(child, &status, 0) != child)
        return -1;
    char first = '\0';
    FILE *file = fopen(answer, "r");
    *json = file && fread(&first, 1, 1, file) == 1 && first == '{';
    if (file)
        fclose(file);
    return status;
}

int main(int argc, char **argv) {
    long runs = argc > 1 ? atol(argv[1]) : SAMPLE, findings = 0, ended[5] = {0};
    unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : SAMPLE_SEED;
    char folder[] = "/tmp/pourclock-mutate-XXXXXX", piece[64], answer[64];
    static text base, changed;
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    if (!mkdtemp(folder))
        return 99;
    snprintf(piece, sizeof piece, "%s/p.ini", folder);
    snprintf(answer, sizeof answer, "%s/a.json", folder);
    state = seed;
    for (long i = 0; i < runs; i++) {
        bool json = false;
        if (!read_text(bases[pick(sizeof bases / sizeof *bases)], &base))
            return 99;
        changed = base;
        mutate(&changed);
        if (!write_text(piece, &changed))
            return 99;
        int status = run_command(piece, answer, &json);
        int code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        bool good = (code == 0 || code == 1 || code == 3) && (code == 3 || json);
        if (code >= 0 && code < 5)
            ended[code]++;
        if (good)
            continue;
        findings++;
        printf("FINDING %ld: exit %d, wait status %d, JSON %s:\n", i, code, status,
               json ? "yes" : "no");
        for (size_t k = 0; k < changed.count; k++)
            if (strcmp(changed.line[k], base.line[k]) != 0)
                printf("    %s\n", changed.line[k]);
        fflush(stdout);
    }
    unlink(piece);
    unlink(answer);
    rmdir(folder);
    printf("%ld runs, %ld findings, seed %lu (exit 0: %ld, 1: %ld, 3: %ld)\n", runs, findings, seed,
           ended[0], ended[1], ended[3]);
    /* A sample of which nothing is planned, or nothing refused, searches nothing. */
    bool searched = runs < SAMPLE || (ended[0] + ended[1] > 0 && ended[3] > 0);
    return findings == 0 && searched ? EXIT_SUCCESS : EXIT_FAILURE;
}
