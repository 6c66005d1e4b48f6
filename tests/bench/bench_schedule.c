/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The whole process, from exec to exit: bench_schedule COMMAND [ARGUMENT]... Nothing here is a
 * test. Prints the least and the middle time of the runs, and the least processor time, which other
 * work on the machine disturbs less, also in that of a million exponentials in the same run. */
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "bench.h"

enum { RUNS = 25 };

static double million_exponentials_ms(void) {
    double least_s = 1e300;
    volatile double sum = 0.0;
    for (int run = 0; run < 5; run++) {
        double start = cpu_s();
        for (int i = 0; i < 1000000; i++)
            sum += exp(-1e-5 * i);
        least_s = fmin(least_s, cpu_s() - start);
    }
    return 1e3 * least_s;
}

/* Exit status of one run with its output thrown away; *cpu_ms: processor time it took. */
static int run(char **argv, double *cpu_ms) {
    pid_t child = fork();
    if (child == 0) {
        int null = open("/dev/null", O_WRONLY);
        if (null >= 0) {
            dup2(null, STDOUT_FILENO);
            dup2(null, STDERR_FILENO);
        }
        execv(argv[0], argv);
        _exit(127);
    }
    int status = 0;
    struct rusage used;
    if (child < 0 || wait4(child, &status, 0, &used) != child || !WIFEXITED(status))
        return -1;
    *cpu_ms = 1e3 * (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
              1e-3 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
    return WEXITSTATUS(status);
}

int main(int argc, char **argv) {
    double took_ms[RUNS], cpu_ms[RUNS];
    if (argc < 2)
        return 2;
    for (int i = 0; i < RUNS; i++) {
        double start = clock_s();
        int status = run(argv + 1, &cpu_ms[i]);
        took_ms[i] = 1e3 * (clock_s() - start);
        if (status != 0 && status != 1) { /* 1: a piece that cannot be done as asked */
            fprintf(stderr, "bench_schedule: %s exited %d\n", argv[1], status);
            return 1;
        }
    }
    qsort(took_ms, RUNS, sizeof *took_ms, by_size);
    qsort(cpu_ms, RUNS, sizeof *cpu_ms, by_size);
    printf("  %8.2f ms %8.2f ms %8.2f ms %7.2f x ", took_ms[0], took_ms[RUNS / 2], cpu_ms[0],
           cpu_ms[0] / million_exponentials_ms());
    for (int i = 2; i < argc; i++)
        printf(" %s", argv[i]);
    putchar('\n');
    return 0;
}
