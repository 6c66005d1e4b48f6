/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "bench/bench_screen.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "pourclock.h"

/* What goes first when there is no room. */
enum rank { RANK_ALWAYS, RANK_NEEDED, RANK_USEFUL, RANK_NICE };

struct draft {
    struct bench_screen *screen;
    enum rank rank[BENCH_LINES_MOST];
};

static void put_line(struct draft *draft, const char *text, size_t length, enum rank rank,
                     enum bench_style style) {
    struct bench_screen *screen = draft->screen;
    if (screen->count == BENCH_LINES_MOST)
        return;
    draft->rank[screen->count] = rank;
    struct bench_line *line = &screen->line[screen->count++];
    line->style = style;
    if (length > BENCH_BYTES_MOST) /* heaps of marks on letters */
        length = 0;
    snprintf(line->text, sizeof line->text, "%.*s", (int)length, text);
}

/* Breaks at blanks; a word wider than the screen is cut through. */
PC_PRINTF(4, 5)
static void put(struct draft *draft, enum rank rank, enum bench_style style, const char *format,
                ...) {
    char text[1024], clean[1024];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    size_t width = (size_t)draft->screen->columns;
    pc_text_clean(text, clean, sizeof clean);
    for (const char *at = clean; *at != '\0';) {
        size_t length = pc_text_fit(at, width), fits = length;
        while (at[fits] != '\0' && length > 0 && at[length] != ' ')
            length--;
        if (length == 0)
            length = fits > 0 ? fits : strlen(at);
        put_line(draft, at, length, rank, style);
        at += length;
        while (*at == ' ')
            at++;
    }
}

/* Drops lines of the least rank, from the bottom, until the rest fits. */
static void fit_rows(struct draft *draft) {
    struct bench_screen *screen = draft->screen;
    for (int rank = RANK_NICE; rank >= RANK_ALWAYS && screen->count > (size_t)screen->rows;
         rank--) {
        for (size_t i = screen->count; i-- > 0 && screen->count > (size_t)screen->rows;) {
            if (draft->rank[i] != (enum rank)rank)
                continue;
            memmove(&screen->line[i], &screen->line[i + 1],
                    (screen->count - i - 1) * sizeof screen->line[0]);
            memmove(&draft->rank[i], &draft->rank[i + 1],
                    (screen->count - i - 1) * sizeof draft->rank[0]);
            screen->count--;
        }
    }
}

/* "3:20", "1:03:20"; late ones with a sign. */
static void countdown(double seconds, char *text, size_t size) {
    long whole = lround(fmin(fabs(seconds), 1e7));
    const char *sign = seconds < -0.5 ? "-" : "";
    if (whole >= 3600)
        snprintf(text, size, "%s%ld:%02ld:%02ld", sign, whole / 3600, whole / 60 % 60, whole % 60);
    else
        snprintf(text, size, "%s%ld:%02ld", sign, whole / 60, whole % 60);
}

static const char *word_of(pc_step_kind kind) {
    switch (kind) {
    case PC_STEP_SET:
        return "SET";
    case PC_STEP_MIX:
        return "MIX";
    case PC_STEP_POUR:
        return "POUR";
    case PC_STEP_BRUSH:
        return "BRUSH";
    case PC_STEP_TURN:
        return "TURN";
    case PC_STEP_STOP:
        return "STOP";
    case PC_STEP_WAIT:
        return "WAIT";
    case PC_STEP_DEMOLD:
        return "DEMOLD";
    }
    return "";
}

void bench_step_text(const struct bench_session *session, const pc_step *step, char *text,
                     size_t size) {
    const char *part =
        step->part < session->now->part_count ? session->now->part[step->part]->name : "";
    if (step->layer > 0 && step->part < session->now->part_count)
        snprintf(text, size, "%s %.90s, %s %d", word_of(step->kind), part,
                 pc_layer_word(session->now->part[step->part]->kind), step->layer);
    else
        snprintf(text, size, "%s %.90s", word_of(step->kind), part);
}

/* What to press when it is done. */
static const char *done_when(pc_step_kind kind) {
    switch (kind) {
    case PC_STEP_SET:
        return "d when it is ready";
    case PC_STEP_MIX:
        return "d when you start mixing";
    case PC_STEP_POUR:
        return "d when the last of it is in";
    case PC_STEP_BRUSH:
        return "d when the last of it is on";
    case PC_STEP_TURN:
        return "d when it starts to turn";
    case PC_STEP_STOP:
        return "d when you stop it, g when it gelled";
    case PC_STEP_WAIT:
        return "";
    case PC_STEP_DEMOLD:
        return "d when it is out";
    }
    return "";
}

static void put_alarms(struct draft *draft, const struct bench_session *session) {
    for (size_t i = 0; i < session->alarm_count; i++) {
        const struct bench_alarm *alarm = &session->alarm[i];
        enum bench_style style = alarm->acknowledged ? BENCH_BOLD : BENCH_LOUD;
        put(draft, RANK_ALWAYS, style, "%s", alarm->text);
        if (alarm->remedy[0] != '\0')
            put(draft, RANK_NEEDED, BENCH_PLAIN, "%s", alarm->remedy);
    }
    if (!bench_quiet(session))
        put(draft, RANK_NEEDED, BENCH_LOUD, "space: I have seen it");
}

static void put_step(struct draft *draft, const struct bench_session *session, const pc_step *step,
                     bool first) {
    char what[256], in[32];
    double start_s = session->now->start_clock_s, left_s = step->at_s - bench_session_now(session);
    bool started = bench_session_started(session);
    pc_words clock = bench_step_clock(session, step);
    bench_step_text(session, step, what, sizeof what);
    countdown(left_s, in, sizeof in);
    enum rank rank = first ? RANK_ALWAYS : RANK_USEFUL;
    enum bench_style style = first ? BENCH_BOLD : BENCH_PLAIN;
    if (!started && first)
        put(draft, rank, style, "%s  first, when you are ready", what);
    else if (left_s < -0.5)
        put(draft, rank, style, "%s  %s late (%s)", what, in + 1, clock.s);
    else
        put(draft, rank, style, "%s  in %s  at %s", what, in, clock.s);
    const pc_layer *layer = bench_session_layer(session, step);
    if (layer != NULL && step->kind == PC_STEP_MIX) {
        int cups = layer->cups > 1 ? layer->cups : 1;
        bool filled = layer->filler_kg > 0.0;
        put(draft, first ? RANK_NEEDED : RANK_USEFUL, BENCH_PLAIN, "  weigh%s A %s, B %s%s%s",
            cups > 1 ? " for each cup" : "", pc_say_mass(layer->part_a_kg / cups).s,
            pc_say_mass(layer->part_b_kg / cups).s, filled ? ", filler " : "",
            filled ? pc_say_mass(layer->filler_kg / cups).s : "");
    }
    double deadline_s = bench_session_deadline(session, step);
    if (first && started && isfinite(deadline_s)) {
        countdown(deadline_s - bench_session_now(session), in, sizeof in);
        put(draft, RANK_NEEDED, BENCH_PLAIN, "  %s %s (%s)",
            step->kind == PC_STEP_STOP ? "next layer in by" : "all in by",
            pc_say_by(start_s, deadline_s).s, in);
    }
    if (first)
        put(draft, RANK_USEFUL, BENCH_PLAIN, "  %s", done_when(step->kind));
}

/* The caution of the moment. */
static void put_caution(struct draft *draft, const struct bench_session *session,
                        const pc_step *next) {
    const pc_layer *layer = bench_session_layer(session, next);
    if (next->kind == PC_STEP_MIX || next->kind == PC_STEP_POUR || next->kind == PC_STEP_BRUSH)
        put(draft, RANK_NICE, BENCH_PLAIN,
            "Gloves, goggles, air moving. Left standing this cup may reach %s: never throw it away "
            "warm.",
            pc_say_degrees(session->piece->units, layer != NULL ? layer->cup_peak_K : NAN).s);
    else if (next->kind == PC_STEP_TURN || next->kind == PC_STEP_STOP)
        put(draft, RANK_NICE, BENCH_PLAIN,
            "Hair, sleeves and gloves clear of the machine; switch it off before reaching in.");
    else
        put(draft, RANK_NICE, BENCH_PLAIN,
            "Gelled is not cured: gloves until it is hard. Follow the safety data sheet.");
}

void bench_screen_draw(const struct bench_session *session, int columns, int rows,
                       const char *prompt, struct bench_screen *screen) {
    struct draft draft = {.screen = screen};
    char since[32];
    screen->columns = columns < 10 ? 10 : columns > BENCH_COLUMN_MOST ? BENCH_COLUMN_MOST : columns;
    screen->rows = rows < 4 ? 4 : rows > BENCH_LINES_MOST ? BENCH_LINES_MOST : rows;
    screen->count = 0;
    double now_s = bench_session_now(session);
    countdown(now_s, since, sizeof since);
    put(&draft, RANK_ALWAYS, BENCH_BOLD, "%s  %s%s", pc_say_by(bench_session_clock(session), 0.0).s,
        bench_session_started(session) ? "+" : "not begun ", since);
    put(&draft, RANK_USEFUL, BENCH_PLAIN, "%s%s", session->now->piece,
        bench_clock_is_real(session->clock) ? "" : "  (REHEARSAL: not a real run)");
    put_alarms(&draft, session);
    const pc_step *next = bench_session_next(session, 0);
    for (size_t i = 0; i < 4; i++) {
        const pc_step *step = bench_session_next(session, i);
        if (step != NULL)
            put_step(&draft, session, step, i == 0);
    }
    if (next == NULL)
        put(&draft, RANK_ALWAYS, BENCH_BOLD, "Nothing left to do.");
    else
        put_caution(&draft, session, next);
    if (session->pace.observations > 0)
        put(&draft, RANK_NICE, BENCH_PLAIN,
            "Resin today: %.2f times its data sheet's speed, +-%.0f %%", exp(session->pace.ln_s),
            bench_pace_percent(session));
    if (session->replan_failed)
        put(&draft, RANK_NEEDED, BENCH_BOLD, "The rest could not be planned anew: times are old.");
    if (session->message[0] != '\0')
        put(&draft, RANK_NEEDED, BENCH_PLAIN, "%s", session->message);
    if (prompt != NULL)
        put(&draft, RANK_ALWAYS, BENCH_BOLD, "%s_", prompt);
    put(&draft, RANK_USEFUL, BENCH_PLAIN,
        "d done  g gelled  c cup gelled  l late  x thrown away  n note  u undo  q quit");
    fit_rows(&draft);
}
