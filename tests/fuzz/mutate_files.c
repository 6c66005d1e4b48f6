/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Changes files by their structure (values out of a list of hostile ones, lines and cells dropped,
 * doubled, swapped) and gives each to a command that reads it: pieces, resins, days, cup tests, a
 * shop's defaults, price lists. The command is linked in, and every run is a fork of this process,
 * which has all libraries loaded already; its main is called __real_main by the linker (--wrap).
 *
 * A run must end by itself within a minute of the processor, with 0, 1 or 3: never 4, never a
 * signal. What it calls JSON must be JSON, and said with exit 1 too; no text holds a "nan"; a
 * refusal names the file and, but for what is missing as a whole, its line.
 *
 *     mutate_files [RUNS [SEED [FIRST]]]      without arguments: the sample that make check replays
 *
 * Run number i of a seed is the same whichever is the FIRST. Prints every file that breaks this,
 * and at the end "N runs, N findings, seed N". */
#include <fcntl.h>
#include <jansson.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "splitmix.h"

enum {
    SAMPLE = 100,
    SAMPLE_SEED = 20260314,
    LINES_MOST = 128,
    LINE_MOST = 256,
    SECONDS = 60,
    WORDS_MOST = 12,
    ANSWER_MOST = 1 << 21
};

int __real_main(int argc, char **argv);
int __wrap_main(int argc, char **argv);

static uint64_t state;

static size_t pick(size_t below) {
    return (size_t)(splitmix(&state) % below);
}

#define COUNT(list) (sizeof(list) / sizeof *(list))

/* ---- what a file may be changed to ---- */

static const char *const numbers[] = {"0",    "-1",  "1e-300", "1e300", "1e-12", "1e12",
                                      "nan",  "inf", "1e-6",   "0.001", "1e3",   "1e6",
                                      "0.01", "0.1", "1",      "3",     "10",    "50",
                                      "100",  "500", "5000",   "",      "-0",    "0x10"};
static const double factors[] = {1e-6, 1e-3, 0.01, 0.1, 0.2, 0.5, 0.8, 0.9,
                                 1.1,  1.3,  2.0,  3.0, 5.0, 10,  100, 1e3};
static const char *const units[] = {"",     " mm", " cm",  " m",  " in", " um",   " s",
                                    " min", " h",  " g",   " kg", " C",  " F",    " rpm",
                                    " cm2", " m2", " cm3", " %",  " ml", " sq in"};
static const char *const words[] = {
    "yes",           "no",    "none",     "silicone",      "plaster", "machine",
    "hand",          "drain", "slab",     "gel",           "sphere",  "us",
    "metric",        "film",  "cylinder", "1:1 by weight", "24:00",   "09:00",
    "fast-urethane", "-",     "epoxy",    "if late"};

/* Lines that no example has, and the section they may stand in. */
static const struct {
    const char *section, *line;
} extras[] = {
    {"[hollow", "layers = 3"},
    {"[hollow", "first_layer = 1 mm"},
    {"[hollow", "least_layer = 0.5 mm"},
    {"[hollow", "shape = sphere 80 mm"},
    {"[hollow", "shape = torus 100 mm x 20 mm"},
    {"[hollow", "foil_mass = 5 g"},
    {"[hollow", "open = yes"},
    {"[hollow", "seam = 900 mm"},
    {"[hollow", "[seam joint]"},
    {"[hollow", "[rim foot]"},
    {"[seam", "joins = front, back"},
    {"[seam", "length = 900 mm"},
    {"[seam", "depth = 3 mm"},
    {"[seam", "method = pour"},
    {"[rim", "method = lay"},
    {"[solid", "vents = 3"},
    {"[solid", "vent_bore = 3 mm"},
    {"[solid", "vent_length = 40 mm"},
    {"[solid", "sprue_bore = 10 mm"},
    {"[solid", "sprue_length = 60 mm"},
    {"[solid", "turn_over = yes"},
    {"[solid", "shape = box 40 x 50 x 60 mm"},
    {"[solid", "pour_hole = 10 mm"},
    {"[mold]", "shell_kind = none"},
    {"[mold]", "rubber_kind = urethane"},
    {"[turning]", "tilts = up 5 s, left 5 s, right 5 s"},
    {"[turning]", "ratios = 4:1, 3:1"},
    {"[turning]", "reverse_every = 20 s"},
    {"[turning]", "remount = yes"},
    {"[turning]", "inner_against = floor"},
    {"[shop]", "resin_temperature = 30 C"},
    {"[shop]", "mold_temperature = 45 C"},
    {"[shop]", "mold_rest = 5 min"},
    {"[shop]", "least_layer_wait = 1 h"},
    {"[shop]", "hand_most = 3 min"},
    {"[shop]", "catalyst = 1.5 %"},
    {"[shop]", "room = 60 m3"},
    {"[shop]", "ventilation = 200 cfm"},
    {"[shop]", "hands = 2"},
    {"[piece]", "[margins]"},
    {"[piece]", "[supplies]"},
    {"[piece]", "[strength]"},
    {"[resin]", "gel_times = 15 C 7 min, 23 C 4 min"},
    {"[resin]", "film_gel = 9 min"},
    {"[resin]", "demold_time = 10-15 min"},
    {"[resin]", "demold_thickness = 3 mm"},
    {"[resin]", "cup_peak = 100 C"},
    {"[resin]", "peak_limit = 60 C"},
    {"[resin]", "demold_below = 40 C"},
    {"[resin]", "pot_life_mass = 50 g"},
    {"[resin]", "viscosity_at = 30 C"},
    {"[resin]", "least_temperature = 15 C"},
    {"[resin]", "[cure]"},
    {"[cure]", "heat = 300 J/g"},
    {"[cure]", "conductivity = 0.2 W/m.K"},
    {"[cure]", "a_gel = 0.6"},
    {"[day]", "days = 3"},
    {"[day]", "hands = 2"},
    {"[day]", "setup = 10 min"},
    {"[casting", "molds = 2"},
    {"[casting", "lasts = 5"},
    {"[casting", "clean = 10 min"},
    {"[casting", "stay = yes"},
    {"[casting", "due = 15:00"},
};

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

static bool write_text(const char *path, const text *t) {
    FILE *file = fopen(path, "w");
    for (size_t i = 0; file && i < t->count; i++)
        fprintf(file, "%s\n", t->line[i]);
    return file && fclose(file) == 0;
}

/* Another value of n characters at most, in the place of the one there. */
static void change_value(char *value, size_t room) {
    const char *unit = strchr(value, ' ');
    char kept[64] = "";
    snprintf(kept, sizeof kept, "%.60s", unit ? unit : "");
    char *end;
    double number = strtod(value, &end);
    if (end > value && pick(4) > 0) /* a number near what makes sense */
        snprintf(value, room, "%.6g%s", number * factors[pick(COUNT(factors))], kept);
    else if (pick(4) == 0)
        snprintf(value, room, "%s", words[pick(COUNT(words))]);
    else {
        const char *figure = numbers[pick(COUNT(numbers))];
        snprintf(value, room, "%s%s", figure, pick(3) ? kept : units[pick(COUNT(units))]);
    }
}

/* The value behind "=", or a cell of a table's row. */
static void change_line(char *line) {
    char *equals = strchr(line, '='), rest[LINE_MOST] = "", *value;
    if (equals) {
        if (strncmp(line, "resin", 5) == 0 || strncmp(line, "piece", 5) == 0)
            return;
        value = equals + 1 + strspn(equals + 1, " ");
    } else {
        value = line;
        for (size_t skip = pick(6); skip > 0 && strchr(value, ','); skip--)
            value = strchr(value, ',') + 1;
        size_t n = strcspn(value, ",");
        snprintf(rest, sizeof rest, "%s", value + n);
        value[n] = '\0';
    }
    change_value(value, LINE_MOST - (size_t)(value - line));
    size_t used = strlen(line);
    snprintf(line + used, LINE_MOST - used, "%s", rest);
}

static void put_extra(text *t) {
    size_t first = pick(COUNT(extras));
    for (size_t k = 0; k < COUNT(extras) && t->count < LINES_MOST; k++) {
        size_t extra = (first + k) % COUNT(extras);
        for (size_t at = 0; at < t->count; at++)
            if (strncmp(t->line[at], extras[extra].section, strlen(extras[extra].section)) == 0) {
                memmove(t->line[at + 2], t->line[at + 1], (t->count - at - 1) * LINE_MOST);
                snprintf(t->line[at + 1], LINE_MOST, "%s", extras[extra].line);
                t->count++;
                return;
            }
    }
}

static void mutate(text *t) {
    for (size_t n = 1 + (pick(3) == 0); n > 0; n--) {
        size_t at = pick(t->count), other = pick(t->count);
        char swap[LINE_MOST];
        switch (pick(10)) {
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
        case 3:
        case 4:
            put_extra(t);
            break;
        default:
            change_line(t->line[at]);
            break;
        }
    }
}

/* ---- commands and the files they read; @ stands for the file ---- */

typedef struct task {
    const char *kind, *base;
    const char *file;       /* its name in the scratch folder */
    const char *const *how; /* what it is given to, NULL-ended */
} task;

static const char *const on_pieces[] = {
    "schedule @",
    "schedule @",
    "schedule @ --nominal",
    "schedule @ --csv",
    "supplies @ --prices prices.csv",
    "turn @",
    "warm @ --try-resin 25C --try-mold 30C",
    "schedule @ --sheet s.svg --calendar c.ics --date 2026-03-14",
    "schedule @ --page p.html",
    "supplies @",
    "schedule @ --units metric",
    "bench @ --log b.log",
    NULL};
static const char *const on_resins[] = {"resin @ --at 10C --at 30C --mass 50g --film 1mm",
                                        "resin @",
                                        "resin @ --csv",
                                        "schedule --area 200cm2 --wall 3mm --resin @ --nominal",
                                        "cuptest cuptest.csv --resin @",
                                        "schedule --shape sphere|60mm --wall 2mm --resin @",
                                        NULL};
static const char *const on_days[] = {"day @",
                                      "day @ --csv",
                                      "day @ --need 9",
                                      "day @ --calendar d.ics --date 2026-03-16",
                                      "day @ --sheet d.svg",
                                      NULL};
static const char *const on_tests[] = {"cuptest @ --resin fast-urethane",
                                       "cuptest @ --family epoxy",
                                       "cuptest @ --resin polyester --as-is --csv",
                                       "cuptest @ --resin slow-urethane --write r.ini", NULL};
static const char *const on_shops[] = {"schedule otter-warm.ini",
                                       "schedule otter-cold.ini --nominal",
                                       "warm --area 200cm2 --wall 3mm --resin fast-urethane "
                                       "--try-resin 25C --try-mold 30C",
                                       "supplies otter-hand.ini", NULL};
static const char *const on_prices[] = {"supplies otter-warm.ini --prices @", NULL};

static const task tasks[] = {
    {"piece", "otter-warm.ini", "p.ini", on_pieces},
    {"piece", "otter-cold.ini", "p.ini", on_pieces},
    {"piece", "otter-hand.ini", "p.ini", on_pieces},
    {"piece", "otter-slow.ini", "p.ini", on_pieces},
    {"piece", "otter-seam.ini", "p.ini", on_pieces},
    {"resin", "resins/fast-urethane.ini", "r0.ini", on_resins},
    {"resin", "resins/casting-epoxy.ini", "r0.ini", on_resins},
    {"resin", "resins/polyester.ini", "r0.ini", on_resins},
    {"day", "day.ini", "d.ini", on_days},
    {"day", "week.ini", "d.ini", on_days},
    {"cup tests", "cuptest.csv", "t.csv", on_tests},
    {"cup tests", "cuptest.csv", "t.csv", on_tests},
    {"shop", "shop.base", "config/pourclock/shop.ini", on_shops},
    {"prices", "prices.csv", "prices0.csv", on_prices},
};

static const char shop_base[] =
    "[piece]\nunits = us\n[mold]\nrubber = 3/8 in\nrubber_kind = silicone\nshell = 8 mm\n"
    "shell_kind = plaster\nlimit = 250 F\n[turning]\nmethod = machine\nouter = 12 rpm\n"
    "inner = 3 rpm\nslowest = 2 rpm\nfastest = 20 rpm\n[shop]\ntemperature = 68 F\n"
    "resin_temperature = 72 F\nmix_time = 60 s\npour_time = 30 s\nlargest_mix = 500 g\n"
    "cup_loss = 3 %\nstart = 09:00\nhands = 1\nroom = 60 m3\nventilation = 200 cfm\n";

static size_t split(char *line, const char *file, char *list[WORDS_MOST + 1]) {
    size_t n = 0;
    list[n++] = (char *)"pourclock";
    for (char *word = strtok(line, " "); word && n < WORDS_MOST; word = strtok(NULL, " ")) {
        for (char *bar = strchr(word, '|'); bar; bar = strchr(bar, '|'))
            *bar = ' ';
        list[n++] = strcmp(word, "@") == 0 ? (char *)file : word;
    }
    list[n] = NULL;
    return n;
}

/* The wait status of the command; what it wrote is in the files out and err. */
static int run_command(int argc, char **argv) {
    int status = -1;
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        int out = open("out", O_WRONLY | O_CREAT | O_TRUNC, 0600),
            err = open("err", O_WRONLY | O_CREAT | O_TRUNC, 0600),
            null = open("/dev/null", O_RDONLY);
        if (out < 0 || err < 0 || null < 0 || dup2(null, 0) < 0 || dup2(out, 1) < 0 ||
            dup2(err, 2) < 0)
            _exit(120);
        close(out);
        close(err);
        close(null);
        /* Of the processor: on a busy machine a minute of the clock is nothing. */
        setrlimit(RLIMIT_CPU, &(struct rlimit){SECONDS, SECONDS});
        alarm(20 * SECONDS);
        exit(__real_main(argc, argv));
    }
    return child > 0 && waitpid(child, &status, 0) == child ? status : -1;
}

/* ---- judging ---- */

static char answer[ANSWER_MOST];

static const char *whole(const char *path) {
    FILE *file = fopen(path, "rb");
    size_t n = file ? fread(answer, 1, sizeof answer - 1, file) : 0;
    answer[n] = '\0';
    if (file)
        fclose(file);
    return answer;
}

static bool is_json(const char *path) {
    json_error_t error;
    json_t *root = json_load_file(path, JSON_REJECT_DUPLICATES, &error);
    bool good = json_is_object(root);
    json_decref(root);
    return good;
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static bool has_word(const char *text_, const char *word) {
    size_t n = strlen(word);
    for (const char *p = strstr(text_, word); p; p = strstr(p + 1, word))
        if ((p == text_ || !is_letter(p[-1])) && !is_letter(p[n]))
            return true;
    return false;
}

/* "pourclock: FILE:12: ..." */
static bool names_line(const char *said) {
    for (const char *p = strstr(said, ":"); p; p = strstr(p + 1, ":"))
        if (p[1] >= '0' && p[1] <= '9' && p[1 + strspn(p + 1, "0123456789")] == ':')
            return true;
    return false;
}

/* What is given may be said again, as a name. */
static bool holds(const text *t, const char *word) {
    for (size_t i = 0; i < t->count; i++)
        if (has_word(t->line[i], word))
            return true;
    return false;
}

static long without_line;

/* Why the run is a finding; NULL where it is none. */
static const char *judge(int status, bool asked_json, bool is_bench, bool echoes) {
    int code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    if (code == 2 && strstr(whole("err"), "was built without"))
        return NULL; /* a picture or a calendar: nothing was read */
    if (code != 0 && code != 1 && code != 3)
        return code < 0 ? "ended by a signal" : "an exit it must not end with";
    if (code == 3) {
        const char *said = whole("err");
        if (strncmp(said, "pourclock: ", 11) != 0)
            return "refused without a word";
        without_line += !names_line(said);
        return NULL;
    }
    if (asked_json)
        return is_json("out") ? NULL : "what it wrote is no JSON";
    const char *said = whole("out");
    if (!said[0] && !is_bench) /* which may have nothing to begin with */
        return "nothing said";
    return !echoes && (has_word(said, "nan") || has_word(said, "inf")) ? "a number that is none"
                                                                       : NULL;
}

static void show(const text *base, const text *changed, int argc, char **argv) {
    for (int i = 0; i < argc; i++)
        printf("%s%s", i ? " " : "  ", argv[i]);
    printf("\n");
    for (size_t k = 0; k < changed->count; k++)
        if (k >= base->count || strcmp(changed->line[k], base->line[k]) != 0)
            printf("    %zu: %s\n", k + 1, changed->line[k]);
    printf("  said: %.400s\n", whole("err"));
    fflush(stdout);
}

/* ---- the scratch folder ---- */

static bool make_folder(void) {
    static const char *const beside[] = {"otter-warm.ini", "otter-cold.ini", "otter-hand.ini",
                                         "otter-slow.ini", "otter-seam.ini", "day.ini", "week.ini",
                                         "cuptest.csv",    "prices.csv",     "resins"};
    char from[1024];
    for (size_t i = 0; i < COUNT(beside); i++) {
        snprintf(from, sizeof from, "%s/examples/%s", TEST_SRCDIR, beside[i]);
        if (symlink(from, beside[i]) != 0)
            return false;
    }
    FILE *file = fopen("shop.base", "w");
    return file && fputs(shop_base, file) >= 0 && fclose(file) == 0 && mkdir("config", 0700) == 0 &&
           mkdir("config/pourclock", 0700) == 0;
}

int __wrap_main(int argc, char **argv) {
    long runs = argc > 1 ? atol(argv[1]) : SAMPLE, first = argc > 3 ? atol(argv[3]) : 0;
    unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : SAMPLE_SEED;
    char folder[] = "/tmp/pourclock-mutate-XXXXXX", clean[64];
    long findings = 0, ended[5] = {0};
    static text base, changed;
    if (!mkdtemp(folder) || chdir(folder) != 0 || !make_folder())
        return 99;
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    setenv("XDG_CONFIG_HOME", "config", 1);
    setenv("TZ", "UTC", 1);
    for (long i = first; i < first + runs; i++) {
        state = (uint64_t)seed * 1000003u + (uint64_t)i;
        state = pick((size_t)-1);
        const task *t = &tasks[pick(COUNT(tasks))];
        size_t ways = 0;
        while (t->how[ways])
            ways++;
        char line[256];
        snprintf(line, sizeof line, "%s", t->how[pick(ways)]);
        bool json = pick(2) && !strstr(line, "--csv") && !strstr(line, "bench");
        if (!read_text(t->base, &base))
            return 99;
        changed = base;
        mutate(&changed);
        if (!write_text(t->file, &changed))
            return 99;
        char *list[WORDS_MOST + 3];
        size_t n = split(line, t->file, list);
        if (json)
            list[n++] = (char *)"--json";
        list[n] = NULL;
        int status = run_command((int)n, list);
        int code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
        const char *why = judge(status, json, strstr(line, "bench") != NULL,
                                holds(&changed, "nan") || holds(&changed, "inf"));
        if (code >= 0 && code < 5)
            ended[code]++;
        if (why) {
            findings++;
            printf("FINDING run %ld, %s: %s (exit %d, wait status %d)\n", i, t->kind, why, code,
                   status);
            show(&base, &changed, (int)n, list);
        }
        unlink(t->file);
        unlink("b.log");
    }
    snprintf(clean, sizeof clean, "rm -rf '%s'", folder);
    if (chdir("/") != 0 || system(clean) != 0)
        return 99;
    printf("%ld runs, %ld findings, seed %lu (exit 0: %ld, 1: %ld, 3: %ld, of them without a line: "
           "%ld)\n",
           runs, findings, seed, ended[0], ended[1], ended[3], without_line);
    /* A sample of which nothing is planned, or nothing refused, searches nothing. */
    bool searched = runs < SAMPLE || (ended[0] > runs / 10 && ended[3] > runs / 10);
    return findings == 0 && searched ? EXIT_SUCCESS : EXIT_FAILURE;
}
