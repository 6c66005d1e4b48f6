/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench on a terminal of any size with any keys: every run draws a size, keys, escape
 * sequences, pasted text and broken bytes, resizes, and an end (q, a closed window, a signal), and
 * gives them to `pourclock bench` on a pseudo-terminal. The command is linked in, and every run is
 * a fork of this process; its main is called __real_main by the linker (--wrap).
 *
 * It must end by itself within SECONDS, never of a signal it was not sent; what it writes is UTF-8
 * without control characters but its own, and no line of it is wider, no frame of it higher, than
 * the terminal; its log reads whole, without damage, its lines numbered without a gap, and another
 * bench goes on from it.
 *
 *     press_keys [RUNS [SEED [FIRST]]]       without arguments: the sample that make check replays
 *
 * Prints what breaks this, and at the end "N runs, N findings, seed N". 77: no pseudo-terminals. */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "pourclock.h"
#include "splitmix.h"

enum {
    SAMPLE = 12,
    SAMPLE_SEED = 20261130,
    SECONDS = 300,
    SEEN_MOST = 1 << 22,
    COLUMNS_LEAST = 10,
    ROWS_LEAST = 4 /* a smaller terminal is taken for that */
};

int __real_main(int argc, char **argv);
int __wrap_main(int argc, char **argv);

static uint64_t state;

static size_t pick(size_t below) {
    return (size_t)(splitmix(&state) % below);
}

#define COUNT(list) (sizeof(list) / sizeof *(list))

static const char *const pieces[] = {TEST_SRCDIR "/tests/fuzz/beside/quick.ini",
                                     TEST_SRCDIR "/tests/fuzz/beside/quick.ini",
                                     TEST_SRCDIR "/examples/otter-warm.ini"};

/* What is pressed; one letter stands for the key itself. */
static const char *const keys[] = {"d",
                                   "d",
                                   "d",
                                   "d",
                                   "g",
                                   "x",
                                   "u",
                                   "p",
                                   "l",
                                   "c",
                                   "n",
                                   " ",
                                   "\r",
                                   "\n",
                                   "\x1b",
                                   "\x7f",
                                   "\x08",
                                   "\t",
                                   "l5\r",
                                   "c25\r",
                                   "nmet B\r",
                                   "l-5\r",
                                   "lnan\r",
                                   "c1e300\r",
                                   "\x1b[A",
                                   "\x1b[B",
                                   "\x1bOd",
                                   "\x1b[d",
                                   "\x1b[1;5d",
                                   "\x1b[200~",
                                   "\x1b[",
                                   "\x1bO",
                                   "n\xc3\xa9",
                                   "\xd0\x92",
                                   "\xff\xfe",
                                   "\xc3",
                                   "\xe2\x80\xae",
                                   "\xf0\x9f\xa6\xa6",
                                   "\x01",
                                   "\x1a",
                                   "D",
                                   "?",
                                   "\x11",
                                   "\x13",
                                   "\x04",
                                   "n\x1b[31m\r",
                                   "\xef\xbf\xbf",
                                   "l1e9\r"};

static bool chatty;
static long findings, run_number;
static char *seen; /* everything it wrote */
static size_t length;
static int columns, rows, master;
static bool resized;

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void resize(int to_columns, int to_rows) {
    struct winsize size = {.ws_row = (unsigned short)to_rows, .ws_col = (unsigned short)to_columns};
    ioctl(master, TIOCSWINSZ, &size);
}

static int any_side(int most) {
    return pick(4) == 0 ? 1 + (int)pick(8) : 1 + (int)pick((size_t)most);
}

/* Reads what there is, for `seconds` at most; false: the other end is gone. */
static bool take(double seconds) {
    double until = now() + seconds;
    for (;;) {
        struct pollfd wait = {.fd = master, .events = POLLIN};
        double left = until - now();
        int ready = poll(&wait, 1, left > 0 ? (int)(left * 1e3) : 0);
        if (ready <= 0)
            return true;
        char more[4096];
        ssize_t got = read(master, more, sizeof more);
        if (got <= 0)
            return false;
        if (length + (size_t)got < SEEN_MOST) {
            memcpy(seen + length, more, (size_t)got);
            length += (size_t)got;
        }
    }
}

/* A terminal that is not read stops taking keys: read while they are written. */
static bool press(const char *text) {
    size_t n = strlen(text);
    while (n > 0) {
        ssize_t written = write(master, text, n);
        if (written < 0 && errno != EAGAIN && errno != EINTR)
            return false;
        if (written > 0) {
            text += written;
            n -= (size_t)written;
        }
        if (!take(written > 0 ? 0.0 : 0.01))
            return false;
    }
    return true;
}

static pid_t start(const char *piece, bool rehearse) {
    length = 0;
    master = posix_openpt(O_RDWR | O_NOCTTY);
    if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0)
        exit(77);
    /* Until the bench has made its plan the keys are the terminal's: no echo, no signal, no stop of
     * it, from before the first of them. */
    struct termios calm;
    int slave = open(ptsname(master), O_RDWR | O_NOCTTY);
    if (slave < 0 || tcgetattr(slave, &calm) != 0)
        exit(99);
    calm.c_lflag &= ~(tcflag_t)(ECHO | ISIG | ICANON);
    calm.c_iflag &= ~(tcflag_t)IXON;
    tcsetattr(slave, TCSANOW, &calm);
    resize(columns, rows);
    fcntl(master, F_SETFL, O_NONBLOCK);
    fflush(stdout);
    pid_t child = fork();
    if (child != 0) {
        close(slave);
        return child;
    }
    /* A job in the background is begun with these ignored, and while it plans the bench is too. */
    static const int ends[] = {SIGHUP, SIGINT, SIGTERM};
    for (size_t i = 0; i < COUNT(ends); i++)
        signal(ends[i], SIG_DFL);
    setsid();
    if (ioctl(slave, TIOCSCTTY, 0) < 0)
        _exit(120);
    for (int fd = 0; fd <= 2; fd++)
        dup2(slave, fd);
    close(slave);
    close(master);
    char *list[] = {(char *)"pourclock", (char *)"bench",
                    (char *)piece,       (char *)"--log",
                    (char *)"b.log",     NULL,
                    (char *)"200",       NULL};
    list[5] = rehearse ? (char *)"--rehearse" : NULL;
    exit(__real_main(rehearse ? 7 : 5, list));
}

static void found(const char *what, int status) {
    printf("FINDING run %ld, %d x %d: %s (wait status %d); log:\n", run_number, columns, rows, what,
           status);
    fflush(stdout);
    if (system("tail -n 5 b.log") != 0)
        printf("    none\n");
    findings++;
}

/* ---- what it wrote ---- */

/* Length of the escape sequence at text: ESC [ ... letter, or ESC and one byte. */
static size_t escape_length(const char *text, size_t left) {
    if (left < 2 || text[1] != '[')
        return left < 2 ? left : 2;
    size_t n = 2;
    while (n < left && !(text[n] >= 0x40 && text[n] <= 0x7E))
        n++;
    return n < left ? n + 1 : left;
}

/* Of the screen, without the report behind it: width of the widest line and height of the highest
 * frame; false: bytes no terminal may get. */
static bool measure(size_t *widest, int *highest) {
    static char line[1 << 16];
    size_t n = 0;
    int lines = 0;
    bool clean = true;
    *widest = 0;
    *highest = 0;
    const char *from = strstr(seen, "\x1b[?1049h"), *to = from ? strstr(from, "\x1b[?1049l") : NULL;
    size_t end = to ? (size_t)(to - seen) : length;
    for (size_t i = from ? (size_t)(from - seen) : end; i < end; i++) {
        char c = seen[i];
        bool home = c == '\x1b' && end - i >= 3 && seen[i + 1] == '[' && seen[i + 2] == 'H';
        if (c == '\r' || c == '\n' || home) {
            line[n] = '\0';
            char again[sizeof line];
            size_t cleaned = pc_text_clean(line, again, sizeof again);
            clean = clean && cleaned == n && memcmp(line, again, n) == 0;
            size_t width = pc_text_width(line);
            *widest = width > *widest ? width : *widest;
            n = 0;
            lines = home ? 1 : lines + (c == '\n');
            *highest = lines > *highest ? lines : *highest;
        }
        if (c == '\x1b')
            i += escape_length(seen + i, end - i) - 1;
        else if (c != '\r' && c != '\n' && c != '\a' && n + 1 < sizeof line)
            line[n++] = c;
    }
    return clean;
}

/* ---- its log ---- */

static const char *judge_log(void) {
    pc_log *log = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    const char *why = NULL;
    struct stat info;
    if (stat("b.log", &info) != 0 || info.st_size == 0) /* ended before its first line */
        return NULL;
    pc_status status = pc_log_read("b.log", &log, &errors);
    if (status != PC_OK)
        why = "its log is refused";
    else if (pc_log_damages(log) > 0)
        why = "its log is damaged";
    for (size_t i = 0; !why && i < pc_log_count(log); i++)
        if (pc_log_event(log, i)->number != (long)i + 1)
            why = "its log has a gap";
    pc_log_close(log);
    pc_errors_free(&errors);
    return why;
}

/* ---- a run ---- */

static void any_keys(void) {
    size_t n = pick(40);
    for (size_t i = 0; i < n; i++) {
        size_t how = pick(24);
        bool there = true;
        if (how == 0) {
            int wide = any_side(200);
            resize(wide, any_side(80));
            resized = true;
        } else if (how == 1) {
            char pasted[400];
            size_t size = 1 + pick(sizeof pasted - 1);
            for (size_t k = 0; k < size; k++) {
                char c = (char)(1 + pick(255));
                pasted[k] = c == 'q' || c == 0x03 ? 'd' : c;
            }
            pasted[size] = '\0';
            there = press(pasted);
        } else {
            there = press(keys[pick(COUNT(keys))]);
        }
        if (!there || !take(pick(3) ? 0.0 : 0.02))
            return;
    }
}

/* Ends the run in one of the ways there are; *sent: the signal it may die of. */
static void end_it(pid_t child, int *sent) {
    static const int kinds[] = {0, 0, 0, SIGTERM, SIGHUP, SIGINT, SIGKILL};
    *sent = kinds[pick(COUNT(kinds))];
    if (*sent != 0) {
        kill(child, *sent);
        return;
    }
    if (pick(4) == 0) {
        close(master); /* the window is closed */
        master = -1;
        *sent = SIGHUP;
    }
}

static int wait_for(pid_t child, int sent) {
    int status = -1;
    double until = now() + SECONDS;
    double ask = 0.0; /* a key within another's escape sequence is lost: it is pressed again */
    while (waitpid(child, &status, WNOHANG) == 0) {
        if (now() > until) {
            kill(child, SIGKILL);
            waitpid(child, &status, 0);
            return -1;
        }
        if (master >= 0 && sent == 0 && now() > ask) {
            press("\x1b\x03");
            ask = now() + 2.0;
        }
        if (master < 0 || !take(0.01)) {
            struct timespec nap = {0, 5000000};
            nanosleep(&nap, NULL);
        }
    }
    return status;
}

static void one_run(void) {
    const char *piece = pieces[pick(COUNT(pieces))];
    int sent = 0;
    size_t widest;
    int highest;
    unlink("b.log");
    for (int session = 0; session < 2; session++) { /* the second goes on from the first */
        columns = any_side(200);
        rows = any_side(80);
        resized = false;
        pid_t child = start(piece, pick(3) == 0);
        take(0.02 * (double)pick(10));
        any_keys();
        end_it(child, &sent);
        int status = wait_for(child, sent);
        if (status == -1)
            found("it does not end", status);
        else if (WIFSIGNALED(status) && WTERMSIG(status) != sent)
            found("ended by a signal", status);
        else if (WIFEXITED(status) && (WEXITSTATUS(status) == 2 || WEXITSTATUS(status) > 3) &&
                 !sent)
            found("an exit it must not end with", status);
        if (master >= 0) {
            take(0.0);
            close(master);
        }
        if (!measure(&widest, &highest))
            found("it writes what no terminal may get", status);
        if (!resized && highest > (rows < ROWS_LEAST ? ROWS_LEAST : rows))
            found("a frame is higher than the terminal", highest);
        if (!resized && widest > (size_t)(columns < COLUMNS_LEAST ? COLUMNS_LEAST : columns))
            found("a line is wider than the terminal", (int)widest);
        const char *why = judge_log();
        if (why)
            found(why, status);
        if (chatty)
            printf("run %ld, %d x %d: status %d, %zu bytes\n", run_number, columns, rows, status,
                   length);
        memset(seen, 0, length);
    }
}

int __wrap_main(int argc, char **argv) {
    long runs = argc > 1 ? atol(argv[1]) : SAMPLE, first = argc > 3 ? atol(argv[3]) : 0;
    unsigned long seed = argc > 2 ? strtoul(argv[2], NULL, 10) : SAMPLE_SEED;
    char folder[] = "/tmp/pourclock-keys-XXXXXX";
    chatty = getenv("PRESS_KEYS_CHATTY") != NULL;
    seen = calloc(1, SEEN_MOST + 1);
    if (!seen || !mkdtemp(folder) || chdir(folder) != 0)
        return 99;
    int probe = posix_openpt(O_RDWR | O_NOCTTY);
    if (probe < 0 || grantpt(probe) != 0 || unlockpt(probe) != 0) {
        printf("press_keys: no pseudo-terminals here: skipped\n");
        return 77;
    }
    close(probe);
    setenv("POURCLOCK_SHELF", TEST_SRCDIR "/examples/resins", 1);
    setenv("TZ", "UTC", 1);
    setenv("TERM", "xterm", 1);
    setenv("XDG_CONFIG_HOME", folder, 1);
    for (run_number = first; run_number < first + runs; run_number++) {
        state = (uint64_t)seed * 1000003u + (uint64_t)run_number;
        state = pick((size_t)-1);
        one_run();
    }
    unlink("b.log");
    rmdir(folder);
    free(seen);
    printf("%ld runs, %ld findings, seed %lu\n", runs, findings, seed);
    return findings == 0 && runs > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
