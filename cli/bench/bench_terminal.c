/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench at a terminal. */
#include <errno.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "bench/bench_gels.h"
#include "bench/bench_run.h"
#include "bench/bench_screen.h"
#include "print/message.h"
#include "print/output.h"

#define TICK_MS     250
#define BELL_EVERY  8 /* ticks: every two seconds until it is seen */
#define TYPED_MOST  120
#define FRAME_BYTES (BENCH_LINES_MOST * (BENCH_BYTES_MOST + 64))

/* Set by signals alone: the only way to tell a loop about one. */
static volatile sig_atomic_t stop_asked, resized;

static void on_signal(int number) {
    if (number == SIGWINCH)
        resized = 1;
    else
        stop_asked = 1;
}

/* What is being typed at the foot: a note, a number. */
struct typing {
    char key; /* 'n', 'l', 'c'; 0: nothing */
    char text[TYPED_MOST + 1];
    size_t length;
};

/* Where a key that sends several bytes is: ESC [ ... letter, ESC O letter. */
enum escape { ESCAPE_NONE, ESCAPE_BEGUN, ESCAPE_LETTER, ESCAPE_NUMBERS };

struct terminal {
    struct termios before;
    struct sigaction old[4];
    struct bench_session *session;
    struct typing typing;
    enum escape escape;
    int bell_ticks;
    bool lost;
};

static const int signals[] = {SIGINT, SIGTERM, SIGHUP, SIGWINCH};

static bool write_text(const char *text) {
    return out_write_all(STDOUT_FILENO, text, strlen(text));
}

static void window_size(int *columns, int *rows) {
    struct winsize size;
    *columns = 80;
    *rows = 24;
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 && size.ws_row > 0) {
        *columns = size.ws_col;
        *rows = size.ws_row;
    }
}

static const char *prompt_of(char key) {
    return key == 'n' ? "note: " : key == 'l' ? "late by (minutes): " : "grams left in the cup: ";
}

static bool draw(struct terminal *terminal, bool ring) {
    struct bench_screen *screen = malloc(sizeof *screen);
    char *frame = malloc(FRAME_BYTES), prompt[TYPED_MOST + 40];
    int columns, rows;
    bool good = false;
    if (screen != NULL && frame != NULL) {
        window_size(&columns, &rows);
        snprintf(prompt, sizeof prompt, "%s%s", prompt_of(terminal->typing.key),
                 terminal->typing.text);
        bench_screen_draw(terminal->session, columns, rows,
                          terminal->typing.key != 0 ? prompt : NULL, screen);
        size_t used = (size_t)snprintf(frame, FRAME_BYTES, "%s\033[H", ring ? "\a" : "");
        for (size_t i = 0; i < screen->count && used < FRAME_BYTES - BENCH_BYTES_MOST - 64; i++) {
            const struct bench_line *line = &screen->line[i];
            const char *on = line->style == BENCH_LOUD   ? "\033[7;1m"
                             : line->style == BENCH_BOLD ? "\033[1m"
                                                         : "";
            used += (size_t)snprintf(frame + used, FRAME_BYTES - used, "%s%s\033[0m\033[K%s", on,
                                     line->text, i + 1 < screen->count ? "\r\n" : "");
        }
        used += (size_t)snprintf(frame + used, FRAME_BYTES - used, "\033[J");
        good = out_write_all(STDOUT_FILENO, frame, used);
    }
    free(frame);
    free(screen);
    return good;
}

static void finish_typing(struct terminal *terminal) {
    struct typing *typing = &terminal->typing;
    const char *end;
    double number = pc_number_parse(typing->text, &end);
    bool whole = end != typing->text && *end == '\0';
    if (typing->key == 'n')
        bench_note(terminal->session, typing->text);
    else if (typing->key == 'l')
        bench_late(terminal->session, whole ? number * 60.0 : NAN);
    else
        bench_cup_gelled(terminal->session, whole ? number : NAN);
    memset(typing, 0, sizeof *typing);
}

static void type(struct terminal *terminal, unsigned char byte) {
    struct typing *typing = &terminal->typing;
    if (byte == '\r' || byte == '\n') {
        finish_typing(terminal);
    } else if (byte == 0x1B || byte == 0x03) {
        memset(typing, 0, sizeof *typing); /* escape alone, or the head of an arrow key */
    } else if ((byte == 0x7F || byte == 0x08) && typing->length > 0) {
        while (typing->length > 0 &&
               ((unsigned char)typing->text[typing->length - 1] & 0xC0) == 0x80)
            typing->length--; /* the rest of a letter of several bytes */
        typing->length -= typing->length > 0;
        typing->text[typing->length] = '\0';
    } else if (byte >= 0x20 && byte != 0x7F && typing->length < TYPED_MOST) {
        typing->text[typing->length++] = (char)byte;
    }
}

/* Arrow and function keys begin with ESC and some end in "d": not keys of ours. True where the byte
 * is part of one. */
static bool skip_escape(struct terminal *terminal, unsigned char byte) {
    enum escape was = terminal->escape;
    terminal->escape = byte == 0x1B ? ESCAPE_BEGUN : ESCAPE_NONE;
    if (byte == 0x1B || byte == 0x03)
        return false;
    if (was == ESCAPE_BEGUN && (byte == '[' || byte == 'O'))
        terminal->escape = byte == '[' ? ESCAPE_NUMBERS : ESCAPE_LETTER;
    else if (was == ESCAPE_NUMBERS && !(byte >= 0x40 && byte <= 0x7E))
        terminal->escape = ESCAPE_NUMBERS;
    return terminal->escape != ESCAPE_NONE || was > ESCAPE_BEGUN;
}

/* Returns false to quit. */
static bool press(struct terminal *terminal, unsigned char byte) {
    struct bench_session *session = terminal->session;
    if (terminal->typing.key != 0) {
        type(terminal, byte);
        return true;
    }
    switch (byte) {
    case 'd':
        bench_done(session);
        break;
    case 'g':
        bench_gelled(session);
        break;
    case 'x':
        bench_thrown_away(session);
        break;
    case 'u':
        bench_undo(session);
        break;
    case 'p':
        bench_pause(session);
        break;
    case ' ':
    case '\r':
    case '\n':
        bench_acknowledge(session);
        break;
    case 'n':
    case 'l':
    case 'c':
        terminal->typing.key = (char)byte;
        break;
    case 'q':
    case 0x03:
        return false;
    default:
        break;
    }
    return true;
}

/* terminal->before is known. After false, too, leave() puts everything back. */
static bool enter(struct terminal *terminal) {
    struct termios raw = terminal->before;
    raw.c_lflag &= ~(tcflag_t)(ICANON | ECHO | ISIG);
    raw.c_iflag &= ~(tcflag_t)(IXON | ICRNL);
    raw.c_cc[VMIN] = 0;
    raw.c_cc[VTIME] = 0;
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = on_signal;
    sigemptyset(&action.sa_mask);
    stop_asked = resized = 0;
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++)
        sigaction(signals[i], &action, &terminal->old[i]);
    /* Not flushed: a key pressed while the plan was made is a key. */
    return tcsetattr(STDIN_FILENO, TCSADRAIN, &raw) == 0 &&
           write_text("\033[?1049h\033[?25l\033[2J");
}

static void leave(struct terminal *terminal) {
    write_text("\033[?25h\033[?1049l");
    tcsetattr(STDIN_FILENO, TCSAFLUSH, &terminal->before);
    for (size_t i = 0; i < sizeof signals / sizeof *signals; i++)
        sigaction(signals[i], &terminal->old[i], NULL);
}

/* Reads what keys there are; false to quit. */
static bool read_keys(struct terminal *terminal) {
    unsigned char bytes[64];
    ssize_t got = read(STDIN_FILENO, bytes, sizeof bytes);
    if (got == 0 || (got < 0 && errno != EINTR && errno != EAGAIN)) {
        terminal->lost = true; /* the terminal was closed: the log has everything */
        return false;
    }
    for (ssize_t i = 0; i < got; i++)
        if (!skip_escape(terminal, bytes[i]) && !press(terminal, bytes[i]))
            return false;
    return true;
}

enum cli_exit bench_run_terminal(struct bench_session *session, const char *alarm_command) {
    static const char refused[] = "the terminal cannot be set up: %s";
    struct terminal terminal = {.session = session};
    if (tcgetattr(STDIN_FILENO, &terminal.before) != 0)
        return say_error(CLI_FILE, refused, strerror(errno));
    if (!enter(&terminal)) {
        int why = errno; /* leaving sets it anew */
        leave(&terminal);
        return say_error(CLI_FILE, refused, strerror(why));
    }
    bool go_on = true;
    int undrawn = 0; /* the errno of it */
    while (go_on && !stop_asked) {
        int fresh = bench_session_tick(session);
        if (session->taken)
            break;
        if (fresh > 0)
            bench_alarm_command(session, alarm_command);
        bool loud = !bench_quiet(session);
        terminal.bell_ticks = loud ? terminal.bell_ticks + 1 : 0;
        if (!draw(&terminal, loud && (fresh > 0 || terminal.bell_ticks % BELL_EVERY == 1))) {
            undrawn = errno;
            break;
        }
        struct pollfd wait = {.fd = STDIN_FILENO, .events = POLLIN};
        int ready = poll(&wait, 1, TICK_MS);
        if (resized) {
            resized = 0;
            write_text("\033[2J");
        }
        if (ready > 0)
            go_on = read_keys(&terminal);
    }
    leave(&terminal);
    enum cli_exit code = bench_end_code(session);
    if (code != CLI_DONE)
        return code;
    /* A terminal that was closed cannot be drawn on either: that is no failure. */
    if (undrawn != 0 && undrawn != EIO && !stop_asked)
        return say_error(CLI_FILE, "the screen cannot be drawn: %s", strerror(undrawn));
    if (session->ended) {
        printf("Finished. pourclock bench --report LOG shows planned against actual.\n");
        if (session->clock->speed <= 1.0 && !terminal.lost &&
            !bench_offer_gels(session->log, session->piece, ""))
            return CLI_FILE;
    }
    if (!session->ended && !terminal.lost)
        printf("The resin goes on. Start pourclock bench again to go on where it was.\n");
    return CLI_DONE;
}
