/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench without a terminal: keys as lines on stdin, one line an event on stdout. */
#include <errno.h>
#include <math.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "bench/bench_gels.h"
#include "bench/bench_run.h"
#include "bench/bench_screen.h"
#include "pourclock.h"
#include "print/message.h"

#define LINE_MOST 512 /* with its line end and the NUL behind it */
#define TICK_MS   500

/* Clock and text; false when stdout is gone. */
static bool tell(const struct bench_session *session, const char *kind, const char *text) {
    char clean[1024];
    pc_text_clean(text, clean, sizeof clean);
    printf("%s %s%s\n", pc_say_by(bench_session_clock(session), 0.0).s, kind, clean);
    return fflush(stdout) == 0;
}

static bool tell_next(const struct bench_session *session) {
    const pc_step *next = bench_session_next(session, 0);
    char what[256], text[400];
    if (next == NULL)
        return true;
    bench_step_text(session, next, what, sizeof what);
    snprintf(text, sizeof text, "%s at %s", what, bench_step_clock(session, next).s);
    return tell(session, "next: ", text);
}

static bool tell_alarms(const struct bench_session *session, int fresh) {
    for (size_t i = session->alarm_count - (size_t)fresh; i < session->alarm_count; i++) {
        char text[680];
        snprintf(text, sizeof text, "%s%s%s", session->alarm[i].text,
                 session->alarm[i].remedy[0] != '\0' ? " " : "", session->alarm[i].remedy);
        if (!tell(session, "ALARM ", text))
            return false;
    }
    return true;
}

static bool tick(struct bench_session *session, const char *alarm_command) {
    int fresh = bench_session_tick(session);
    if (fresh > 0)
        bench_alarm_command(session, alarm_command);
    return tell_alarms(session, fresh);
}

/* Rest of a line behind its first word. */
static const char *argument(const char *line) {
    line += strcspn(line, " ");
    return line + strspn(line, " ");
}

static double duration_of(const char *text) {
    double seconds = NAN;
    const char *end;
    double minutes = pc_number_parse(text, &end);
    if (*end == '\0' && end != text)
        return minutes * 60.0; /* a bare number: minutes, as one says it */
    return pc_quantity_parse(text, PC_TIME, &seconds, NULL, 0) == PC_OK ? seconds : NAN;
}

/* One key as a line. Returns false to quit. */
static bool obey(struct bench_session *session, const char *line) {
    const char *rest = argument(line);
    switch (line[0]) {
    case 'd':
        bench_done(session);
        return true;
    case 'g':
        bench_gelled(session);
        return true;
    case 'c':
        bench_cup_gelled(session, pc_number_parse(rest, NULL));
        return true;
    case 'l':
        bench_late(session, duration_of(rest));
        return true;
    case 'x':
        bench_thrown_away(session);
        return true;
    case 'n':
        if (!bench_note(session, rest) && rest[0] == '\0')
            bench_say(session, "A note needs words: n TEXT.");
        return true;
    case 'u':
        bench_undo(session);
        return true;
    case 'p':
        bench_pause(session);
        return true;
    case 's':
        bench_acknowledge(session);
        bench_say(session, "Seen.");
        return true;
    case 'q':
        bench_say(session, "Quit. Start it again to go on: the log has everything.");
        return false;
    default:
        bench_say(session, "\"%.40s\" is no key; d g c l x n u s q are.", line);
        return true;
    }
}

/* A scripted clock moves second by second, so that alarms come when they should. */
static bool move_clock(struct bench_session *session, double seconds, const char *alarm_command) {
    struct bench_clock *clock = session->clock;
    double from = (double)(clock->at.boot_ms - clock->base.boot_ms) / 1000.0;
    for (double at = floor(from) + 1.0; at < seconds && at < from + 1e6; at += 1.0) {
        bench_clock_set(clock, at);
        if (!tick(session, alarm_command))
            return false;
    }
    bench_clock_set(clock, seconds);
    return tick(session, alarm_command);
}

/* What reading one line leads to. */
enum line_end { LINE_GO_ON, LINE_QUIT, LINE_LOST };

static enum line_end take_line(struct bench_session *session, char *line,
                               const char *alarm_command) {
    line[strcspn(line, "\r\n")] = '\0';
    line += strspn(line, " \t");
    if (line[0] == '@' && session->clock->scripted) {
        const char *end;
        double seconds = pc_number_parse(line + 1, &end);
        if (!(seconds >= 0.0 && seconds < 1e7))
            return LINE_GO_ON;
        if (!move_clock(session, seconds, alarm_command))
            return LINE_LOST;
        line = line + (end - line) + strspn(end, " \t");
    } else if (!tick(session, alarm_command)) {
        return LINE_LOST;
    }
    if (line[0] == '\0')
        return LINE_GO_ON;
    bool go_on = obey(session, line);
    if (!tell(session, "", session->message) || !tell_next(session) ||
        !tick(session, alarm_command))
        return LINE_LOST;
    return go_on && !session->ended ? LINE_GO_ON : LINE_QUIT;
}

/* What has been read and not yet taken. */
struct line_reader {
    char buffer[LINE_MOST];
    size_t used;
    bool too_long; /* the line that is being read does not fit: none of it is taken */
};

/* Half of a long note must not be obeyed as a key. */
static enum line_end refuse_line(struct bench_session *session) {
    bench_say(session, "A line of more than %d bytes: nothing of it was taken.", LINE_MOST - 2);
    return tell(session, "", session->message) ? LINE_GO_ON : LINE_LOST;
}

/* Takes whole lines out of what was read. */
static enum line_end take_bytes(struct bench_session *session, struct line_reader *reader,
                                const char *alarm_command) {
    char *end;
    while ((end = memchr(reader->buffer, '\n', reader->used)) != NULL) {
        char line[LINE_MOST];
        size_t length = (size_t)(end - reader->buffer) + 1;
        memcpy(line, reader->buffer, length);
        line[length - 1] = '\0';
        reader->used -= length;
        memmove(reader->buffer, end + 1, reader->used);
        enum line_end ended =
            reader->too_long ? refuse_line(session) : take_line(session, line, alarm_command);
        reader->too_long = false;
        if (ended != LINE_GO_ON)
            return ended;
    }
    if (reader->used == LINE_MOST - 1) {
        reader->too_long = true;
        reader->used = 0;
    }
    return LINE_GO_ON;
}

/* The end of standard input ends the clock, after a last line without its end. */
static enum line_end take_end(struct bench_session *session, struct line_reader *reader,
                              const char *alarm_command) {
    enum line_end ended = LINE_GO_ON;
    if (reader->used > 0) {
        reader->buffer[reader->used++] = '\n';
        ended = take_bytes(session, reader, alarm_command);
    }
    if (ended != LINE_GO_ON)
        return ended;
    bench_say(session, "Standard input has ended, and the clock with it. Start it again to go on: "
                       "the log has everything.");
    return tell(session, "", session->message) ? LINE_QUIT : LINE_LOST;
}

static enum line_end read_lines(struct bench_session *session, struct line_reader *reader,
                                const char *alarm_command) {
    struct pollfd wait = {.fd = STDIN_FILENO, .events = POLLIN};
    if (poll(&wait, 1, TICK_MS) <= 0)
        return tick(session, alarm_command) ? LINE_GO_ON : LINE_LOST;
    ssize_t got = read(STDIN_FILENO, reader->buffer + reader->used, LINE_MOST - 1 - reader->used);
    if (got < 0 && (errno == EINTR || errno == EAGAIN))
        return LINE_GO_ON;
    if (got <= 0)
        return take_end(session, reader, alarm_command);
    reader->used += (size_t)got;
    return take_bytes(session, reader, alarm_command);
}

enum cli_exit bench_end_code(const struct bench_session *session) {
    if (session->taken)
        return say_error(CLI_FILE, "%s", session->unsaved);
    if (session->pending_count > 0)
        return say_error(CLI_FILE, "%zu events could not be saved: %s", session->pending_count,
                         session->unsaved);
    return CLI_DONE;
}

enum cli_exit bench_run_lines(struct bench_session *session, const char *alarm_command) {
    struct line_reader reader = {.used = 0};
    enum line_end ended = LINE_GO_ON;
    if (session->message[0] != '\0' && !tell(session, "", session->message))
        ended = LINE_LOST;
    if (ended == LINE_GO_ON && !tell_next(session))
        ended = LINE_LOST;
    while (ended == LINE_GO_ON && !session->ended && !session->taken)
        ended = read_lines(session, &reader, alarm_command);
    if (ended == LINE_LOST)
        return say_error(CLI_FILE, "standard output: %s", strerror(errno));
    enum cli_exit code = bench_end_code(session);
    reader.buffer[reader.used] = '\0';
    if (code == CLI_DONE && session->ended && session->clock->speed <= 1.0 &&
        !bench_offer_gels(session->log, session->piece, reader.buffer))
        code = CLI_FILE;
    return code;
}

enum cli_exit bench_run(struct bench_session *session, const char *alarm_command) {
    if (isatty(STDIN_FILENO) && isatty(STDOUT_FILENO))
        return bench_run_terminal(session, alarm_command);
    return bench_run_lines(session, alarm_command);
}
