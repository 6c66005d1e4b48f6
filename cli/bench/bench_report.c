/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock bench --report LOG: planned against actual, from the log alone. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench/bench_gels.h"
#include "bench/bench_run.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/print_cautions.h"

enum { WIDTH = 78 };

struct report {
    const pc_log *log;
    const pc_event **event;
    size_t count;
    pc_actual actual;
    int64_t first_mix_ms;
    double start_clock_s, resin_K;
    char part[PC_PARTS_MOST][64];
};

static double actual_of(const struct report *report, const pc_event *plan) {
    if (plan->part < 0)
        return NAN;
    if (strcmp(plan->text, "demold") == 0)
        return report->actual.demold_s[plan->part];
    if (plan->layer < 1)
        return NAN;
    const pc_actual_layer *was = &report->actual.layer[plan->part][plan->layer - 1];
    if (strcmp(plan->text, "mix") == 0)
        return was->mix_s;
    if (strcmp(plan->text, "pour") == 0)
        return was->pour_end_s;
    if (strcmp(plan->text, "turn") == 0)
        return was->turn_s;
    if (strcmp(plan->text, "stop") == 0)
        return was->stop_s;
    return strncmp(plan->text, "gel", 3) == 0 ? was->gel_s : NAN;
}

static bool is_first_mix(const struct report *report, const pc_event *event) {
    return event->kind == PC_EVENT_MIX && event->elapsed_ms == report->first_mix_ms;
}

/* The clock of the first mix; of a log without one, the start that was planned. */
static void find_start(struct report *report) {
    report->start_clock_s = bench_time_of_day(report->event[0]->wall_ms);
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i];
        if (is_first_mix(report, event))
            report->start_clock_s = bench_time_of_day(event->wall_ms);
        else if (report->first_mix_ms < 0 && event->kind == PC_EVENT_PLAN && event->part < 0 &&
                 strcmp(event->text, "start_clock_s") == 0)
            report->start_clock_s = event->value;
    }
    report->start_clock_s = floor(report->start_clock_s); /* as the screen had it */
}

static void collect(struct report *report) {
    report->resin_K = NAN;
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i] = pc_log_event(report->log, i);
        if (event->kind != PC_EVENT_PLAN)
            continue;
        if (strcmp(event->text, "resin_K") == 0 && event->part < 0)
            report->resin_K = event->value;
        if (strncmp(event->text, "gel ", 4) == 0 && event->part >= 0)
            snprintf(report->part[event->part], sizeof report->part[0], "%.60s", event->text + 4);
    }
    pc_actual_from_events(report->event, report->count, &report->actual, &report->first_mix_ms);
    find_start(report);
}

static void print_row(struct cli_output *out, const struct report *report, const pc_event *plan) {
    double start_s = report->start_clock_s, was_s = actual_of(report, plan);
    char word[16];
    snprintf(word, sizeof word, "%.*s", (int)strcspn(plan->text, " "), plan->text);
    out_printf(out, "%-7s ", word);
    out_column(out, report->part[plan->part], 18, 18);
    out_printf(out, " %5.0d  %-12s %-12s", plan->layer,
               pc_say_clock(start_s, plan->value, PC_CLOCK_NEAREST).s,
               isfinite(was_s) ? pc_say_by(start_s, was_s).s : "-");
    double off_s = was_s - plan->value;
    if (isfinite(off_s))
        out_printf(out, " %s%s",
                   off_s <= -0.5  ? "-"
                   : off_s >= 0.5 ? "+"
                                  : "",
                   pc_say_duration(fabs(off_s)).s);
    out_text(out, "\n");
}

/* A layer's second turn line only says that it sets. */
static bool repeats(const struct report *report, size_t index) {
    const pc_event *plan = report->event[index];
    for (size_t i = 0; i < index; i++) {
        const pc_event *other = report->event[i];
        if (other->kind == PC_EVENT_PLAN && other->part == plan->part &&
            other->layer == plan->layer && strcmp(other->text, plan->text) == 0)
            return true;
    }
    return false;
}

/* On the clock of the first mix; before there is one, as the wall had it. */
static pc_words clock_of(const struct report *report, const pc_event *event) {
    if (report->first_mix_ms < 0)
        return pc_say_by(bench_time_of_day(event->wall_ms), 0.0);
    double at_s = (double)(event->elapsed_ms - report->first_mix_ms) / 1000.0;
    return pc_say_by(report->start_clock_s, at_s);
}

static void print_happenings(struct cli_output *out, const struct report *report) {
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i];
        pc_words clock = clock_of(report, event);
        switch (event->kind) {
        case PC_EVENT_NOTE:
            out_printf(out, "%s  note: ", clock.s);
            out_wrapped(out, event->text, (int)strlen(clock.s) + 8, WIDTH);
            break;
        case PC_EVENT_RESUME:
        case PC_EVENT_SUSPEND:
        case PC_EVENT_CLOCK:
        case PC_EVENT_LATE:
        case PC_EVENT_CUP_GEL:
        case PC_EVENT_DISCARD:
        case PC_EVENT_UNDO:
            out_printf(out, "%s  %s", clock.s, pc_event_word(event->kind));
            if (event->kind == PC_EVENT_UNDO)
                out_printf(out, " of line %.0f", event->value);
            else if (event->kind == PC_EVENT_CUP_GEL)
                out_printf(out, ", %g g", event->value);
            else if (isfinite(event->value))
                out_printf(out, " %s%s", event->value < 0.0 ? "-" : "",
                           pc_say_duration(fabs(event->value)).s);
            out_text(out, "\n");
            break;
        case PC_EVENT_START:
        case PC_EVENT_PLAN:
        case PC_EVENT_SET:
        case PC_EVENT_MIX:
        case PC_EVENT_POUR:
        case PC_EVENT_TURN:
        case PC_EVENT_STOP:
        case PC_EVENT_GEL:
        case PC_EVENT_DEMOLD:
        case PC_EVENT_DAMAGE:
        case PC_EVENT_END:
        case PC_EVENT_KIND_COUNT:
            break;
        }
    }
}

static void print_damage(struct cli_output *out, const struct report *report) {
    for (size_t i = 0; i < pc_log_damages(report->log); i++) {
        const pc_log_damage *damage = pc_log_damage_at(report->log, i);
        out_printf(out, damage->gap ? "gap before line %ld: %s\n" : "line %ld is left out: %s\n",
                   damage->line, damage->text);
    }
    if (pc_log_torn(report->log) > 0)
        out_printf(out, "a last line cut off by a crash (%zu bytes) is left out\n",
                   pc_log_torn(report->log));
}

/* A planned step, not a figure. */
static bool is_row(const pc_event *event) {
    size_t length = strlen(event->text);
    return event->kind == PC_EVENT_PLAN && event->part >= 0 && strcmp(event->text, "thick") != 0 &&
           !(length > 2 && strcmp(event->text + length - 2, "_K") == 0 &&
             strncmp(event->text, "gel ", 4) != 0);
}

/* Of the resin's family, which the log names; a log of an older tool does not. */
static void print_family_cautions(struct cli_output *out, const struct report *report) {
    int family = pc_family_from_word(bench_kind_word(report->event, report->count, "family "));
    pc_resin resin;
    bool known = family >= 0 && pc_resin_defaults((pc_family)family, &resin) == PC_OK;
    if (known)
        out_wrapped(out,
                    "The cautions are those of the resin's family, its figures of a usual resin of "
                    "it: name the piece file after --report LOG for those of this piece.",
                    0, WIDTH);
    print_resin_cautions(out, known ? &resin : NULL, PC_METRIC, WIDTH);
}

static void print_report(struct cli_output *out, const struct report *report) {
    out_style(out, CLI_BOLD);
    out_wrapped(out, report->event[0]->text, 0, WIDTH);
    out_style(out, CLI_PLAIN);
    if (report->first_mix_ms < 0)
        out_text(out, "Nothing was mixed yet.\n");
    out_text(out, "do      part               layer  planned      actual       off\n");
    for (size_t i = 0; i < report->count; i++)
        if (is_row(report->event[i]) && !repeats(report, i))
            print_row(out, report, report->event[i]);
    print_happenings(out, report);
    print_damage(out, report);
}

/* All cautions of the piece, planned for when it was begun. */
static pc_status make_cautions(struct cli *cli, const struct report *report, pc_piece *piece,
                               pc_cautions *cautions, pc_errors *errors) {
    char shop[1024];
    pc_schedule *plan = NULL;
    pc_status status = pc_piece_read_in_shop(cli_shop_file(cli, shop, sizeof shop), cli->operand[0],
                                             piece, errors);
    if (status == PC_OK && pc_log_piece(report->log) != pc_piece_fingerprint(piece))
        status = pc_errors_add(errors, PC_E_VALUE, (pc_place){.file = cli->operand[0]},
                               "this log is of another piece, or of this one before its file was "
                               "changed: leave the piece out");
    if (status == PC_OK) {
        piece->shop.start_clock_s = report->start_clock_s;
        status = pc_schedule_make(piece, &plan, errors);
    }
    if (status == PC_OK)
        status = pc_cautions_make(piece, plan, piece->units, cautions);
    pc_schedule_free(plan);
    return status;
}

static enum cli_exit print_piece_cautions(struct cli *cli, const struct report *report) {
    pc_errors errors = PC_ERRORS_INIT;
    pc_cautions cautions = {0};
    pc_piece *piece = calloc(1, sizeof *piece);
    if (piece == NULL)
        return say_error(CLI_INTERNAL, "out of memory");
    pc_status status = make_cautions(cli, report, piece, &cautions, &errors);
    if (status == PC_OK)
        print_cautions(&cli->out, &cautions, WIDTH);
    enum cli_exit code = status == PC_OK ? CLI_DONE : say_errors(status, &errors);
    pc_errors_free(&errors);
    pc_cautions_free(&cautions);
    pc_piece_free(piece);
    free(piece);
    return code;
}

/* Rows that pourclock cuptest takes. */
static size_t gel_rows(struct cli_output *csv, const struct report *report) {
    struct bench_gel gel[BENCH_GELS_MOST];
    size_t rows = bench_gels(report->event, report->count, gel);
    out_text(csv, "kind,time,temperature,mass,air,thickness,laid,mold,rubber,rubber_kind,shell,"
                  "shell_kind\n");
    for (size_t i = 0; i < rows; i++) {
        const struct bench_gel *g = &gel[i];
        if (!g->film) {
            out_printf(csv, "cup-gel,%.1f s,%.2f C,%.3f g,%.2f C,,,,,,,\n", g->time_s, g->resin_C,
                       g->mass_g, g->air_C);
            continue;
        }
        out_printf(csv, "film,%.1f s,%.2f C,,%.2f C,%.3f mm,%.1f s,%.2f C,%.3f mm,%s,", g->time_s,
                   g->resin_C, g->air_C, g->thick_mm, g->laid_s, g->mold_C, g->rubber_mm,
                   g->rubber);
        if (isfinite(g->shell_mm))
            out_printf(csv, "%.3f mm,%s\n", g->shell_mm, g->shell);
        else
            out_text(csv, ",none\n");
    }
    return rows;
}

static enum cli_exit write_gel_times(const struct report *report, const char *path) {
    struct cli_output csv = {.data = NULL};
    enum cli_exit code = CLI_DONE;
    if (gel_rows(&csv, report) == 0 || !isfinite(report->resin_K))
        code = say_error(CLI_FILE, "the log has no gel of a cup (key c) or of a first layer "
                                   "(key g): nothing to write");
    else if (csv.failed)
        code = say_error(CLI_INTERNAL, "out of memory");
    else if (!out_to_file(path, csv.data, csv.size))
        code = CLI_FILE;
    out_free(&csv);
    return code;
}

enum cli_exit bench_report(struct cli *cli, const char *path) {
    pc_log *log = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pc_log_read(path, &log, &errors);
    if (status != PC_OK)
        return say_errors(status, &errors);
    struct report *report = calloc(1, sizeof *report);
    enum cli_exit code = CLI_INTERNAL;
    if (report != NULL) {
        report->log = log;
        report->count = pc_log_count(log);
        report->event = calloc(report->count, sizeof *report->event);
    }
    if (report == NULL || report->event == NULL) {
        say_error(CLI_INTERNAL, "out of memory");
    } else {
        collect(report);
        print_report(&cli->out, report);
        code = CLI_DONE;
        if (cli->operand_count > 0)
            code = print_piece_cautions(cli, report);
        else
            print_family_cautions(&cli->out, report);
        const char *gels = cli_value(cli, "gel-times");
        if (code == CLI_DONE && gels != NULL)
            code = write_gel_times(report, gels);
    }
    if (report != NULL)
        free(report->event);
    free(report);
    pc_log_close(log);
    return code;
}
