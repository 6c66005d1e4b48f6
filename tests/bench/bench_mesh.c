/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Meshes: area and volume of a binary STL against cat and ADMesh on the same file, the whole
 * report, the shell, and how time and memory grow with the facets. Nothing here is a test. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "../unit/pi.h"
#include "bench.h"

enum { RUNS = 7, SLOW_RUNS = 3, HEADER = 84, FACET = 50 };

static void place(int i, int j, int n, float out[3]) {
    double s = i == 0 || i == n ? 0.0 : 50.0 * sin(PI * i / n), turn = 2.0 * PI * (j % n) / n;
    out[0] = (float)(s * cos(turn)) + 0.0f;
    out[1] = (float)(s * sin(turn)) + 0.0f;
    out[2] = (float)(50.0 * cos(PI * i / n));
}

/* A sphere of 50 mm with about as many facets, as a binary STL. */
static size_t write_sphere(const char *path, size_t facets) {
    int n = (int)sqrt((double)facets / 2.0);
    FILE *file = fopen(path, "wb");
    if (!file)
        stop("writing the sphere");
    char head[HEADER] = "sphere";
    uint32_t count = 0;
    fwrite(head, 1, HEADER, file);
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            for (int half = 0; half < 2; half++) {
                if ((half == 0 && i == n - 1) || (half == 1 && i == 0))
                    continue;
                char facet[FACET] = {0};
                float c[3][3];
                place(i, j, n, c[0]);
                place(i + 1, half ? j + 1 : j, n, c[1]);
                place(half ? i : i + 1, j + 1, n, c[2]);
                memcpy(facet + 12, c, sizeof c);
                fwrite(facet, 1, FACET, file);
                count++;
            }
    fseek(file, 80, SEEK_SET);
    fwrite(&count, 4, 1, file);
    if (fclose(file) != 0)
        stop("writing the sphere");
    return count;
}

/* Least time of some runs of a program with its output thrown away; its peak memory, MB. */
static double least_time(char *const argv[], int runs, double *peak_MB) {
    double least = INFINITY;
    for (int run = 0; run < runs; run++) {
        double start = clock_s();
        fflush(stdout); /* or the child writes it again */
        pid_t pid = fork();
        if (pid == 0) {
            if (!freopen("/dev/null", "w", stdout) || !freopen("/dev/null", "w", stderr))
                _exit(126);
            execvp(argv[0], argv);
            _exit(127);
        }
        int state = 0;
        struct rusage use;
        if (pid < 0 || wait4(pid, &state, 0, &use) != pid)
            stop("running a program");
        if (!WIFEXITED(state) || WEXITSTATUS(state) != 0)
            return NAN;
        least = fmin(least, clock_s() - start);
        if (peak_MB)
            *peak_MB = (double)use.ru_maxrss / 1024.0;
    }
    return least;
}

/* Of ten million facets (0.5 GB) one run each, and no way up. */
static void bench_large(const char *tool, char *path) {
    size_t count = write_sphere(path, 10000000);
    double file_MB = (HEADER + FACET * (double)count) / 1048576.0, peak_quick, peak_shell;
    char program[1024];
    snprintf(program, sizeof program, "%s", tool);
    char *cat[] = {"cat", path, NULL};
    char *quick[] = {program, "area", path, "--mesh-unit", "mm", "--quick", NULL};
    char *shell[] = {program, "area", path, "--mesh-unit", "mm", "--wall", "3mm", NULL};
    double t_cat = least_time(cat, 1, NULL), t_quick = least_time(quick, 1, &peak_quick);
    double t_shell = least_time(shell, 1, &peak_shell);
    printf("%8zu facets, %5.1f MB: area and volume %.0f ms, %.2f x cat, %.1f x the file in memory; "
           "shell of 3 mm %.0f ms, %.1f x cat, peak %.0f MB\n",
           count, file_MB, 1e3 * t_quick, t_quick / t_cat, peak_quick / file_MB, 1e3 * t_shell,
           t_shell / t_cat, peak_shell);
}

static void bench_size(const char *tool, char *path, size_t facets, double before[3]) {
    size_t count = write_sphere(path, facets);
    double file_MB = (HEADER + FACET * (double)count) / 1048576.0, peak_quick, peak_shell;
    char program[1024];
    snprintf(program, sizeof program, "%s", tool);
    char *cat[] = {"cat", path, NULL}, *admesh[] = {"admesh", path, NULL};
    char *quick[] = {program, "area", path, "--mesh-unit", "mm", "--quick", NULL};
    char *shell[] = {program, "area", path, "--mesh-unit", "mm", "--wall", "3mm", NULL};
    double t_cat = least_time(cat, RUNS, NULL), t_admesh = least_time(admesh, RUNS, NULL);
    char *best[] = {program, "traps", path, "--mesh-unit", "mm", "--best", NULL};
    double t_quick = least_time(quick, RUNS, &peak_quick);
    double t_shell = least_time(shell, RUNS, &peak_shell);
    double t_best = least_time(best, SLOW_RUNS, NULL);
    printf("%8zu facets, %5.1f MB: cat %6.1f ms, admesh %7.1f ms, area and volume %6.1f ms\n",
           count, file_MB, 1e3 * t_cat, 1e3 * t_admesh, 1e3 * t_quick);
    printf("    area and volume: %.2f x cat (goal 4), admesh takes %.1f x as long (goal 2); %.1f x "
           "the file in memory\n",
           t_quick / t_cat, t_admesh / t_quick, peak_quick / file_MB);
    printf("    report, area, volume and shell of 3 mm: %.0f ms (goal 2000), peak %.0f MB\n",
           1e3 * t_shell, peak_shell);
    printf("    way up that traps the least air: %.0f ms, %.0f x area and volume\n", 1e3 * t_best,
           t_best / t_quick);
    if (before[0] > 0.0)
        printf(
            "    twice the facets: area and volume %.2f x the time, shell %.2f x, way up %.2f x\n",
            t_quick / before[0], t_shell / before[1], t_best / before[2]);
    before[0] = t_quick;
    before[1] = t_shell;
    before[2] = t_best;
}

int main(int argc, char **argv) {
    const char *tool = argc > 1 ? argv[1] : "./pourclock";
    char path[] = "/tmp/pourclock-bench-XXXXXX.stl";
    int fd = mkstemps(path, 4);
    if (fd < 0)
        stop("making a file");
    close(fd);
    double before[3] = {0.0, 0.0, 0.0};
    for (size_t facets = 250000; facets <= 1000000; facets *= 2)
        bench_size(tool, path, facets, before);
    bench_large(tool, path);
    unlink(path);
    return 0;
}
