/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock bench --report LOG: planned against actual, from the log alone. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench_run.h"
#include "options.h"
#include "say.h"
#include "units.h"

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

static void collect(struct report *report) {
    report->resin_K = NAN;
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i] = pc_log_event(report->log, i);
        if (event->kind != PC_EVENT_PLAN)
            continue;
        if (strcmp(event->text, "resin_K") == 0)
            report->resin_K = event->value;
        if (strncmp(event->text, "gel ", 4) == 0 && event->part >= 0)
            snprintf(report->part[event->part], sizeof report->part[0], "%.60s", event->text + 4);
    }
    pc_actual_from_events(report->event, report->count, &report->actual, &report->first_mix_ms);
    for (size_t i = 0; i < report->count; i++)
        if (report->event[i]->elapsed_ms == report->first_mix_ms &&
            report->event[i]->kind == PC_EVENT_MIX)
            report->start_clock_s = bench_time_of_day(report->event[i]->wall_ms);
}

static void print_row(struct cli_output *out, const struct report *report, const pc_event *plan) {
    double start_s = report->start_clock_s, was_s = actual_of(report, plan);
    char word[16];
    snprintf(word, sizeof word, "%.*s", (int)strcspn(plan->text, " "), plan->text);
    out_printf(out, "%-7s %-18.18s %5.0d  %-12s %-12s", word, report->part[plan->part], plan->layer,
               units_clock(start_s, plan->value, CLI_ROUND_NEAREST).s,
               isfinite(was_s) ? units_clock(start_s, was_s, CLI_ROUND_NEAREST).s : "-");
    if (isfinite(was_s) && isfinite(plan->value))
        out_printf(out, " %s%s", was_s < plan->value ? "-" : "+",
                   units_duration(fabs(was_s - plan->value)).s);
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

static void print_happenings(struct cli_output *out, const struct report *report) {
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i];
        double at_s = (double)(event->elapsed_ms - report->first_mix_ms) / 1000.0;
        struct cli_text clock = units_clock(report->start_clock_s, at_s, CLI_ROUND_DOWN);
        switch (event->kind) {
        case PC_EVENT_NOTE:
            out_printf(out, "%s  note: ", clock.s);
            out_wrapped(out, event->text, 16, 78);
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
                           units_duration(fabs(event->value)).s);
            out_text(out, "\n");
            break;
        case PC_EVENT_START:
        case PC_EVENT_PLAN:
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
        out_printf(out, "line %ld is left out: %s\n", damage->line, damage->text);
    }
    if (pc_log_torn(report->log) > 0)
        out_printf(out, "a last line cut off by a crash (%zu bytes) is left out\n",
                   pc_log_torn(report->log));
}

static void print_report(struct cli_output *out, const struct report *report) {
    out_style(out, CLI_BOLD);
    out_wrapped(out, report->event[0]->text, 0, 78);
    out_style(out, CLI_PLAIN);
    if (report->first_mix_ms < 0)
        out_text(out, "Nothing was mixed yet.\n");
    out_text(out, "do      part               layer  planned      actual       off\n");
    for (size_t i = 0; i < report->count; i++)
        if (report->event[i]->kind == PC_EVENT_PLAN && report->event[i]->part >= 0 &&
            !repeats(report, i))
            print_row(out, report, report->event[i]);
    print_happenings(out, report);
    print_damage(out, report);
}

/* Rows a cup test takes: the resin's temperature at its mix, what stood in the cup, its time. */
static enum cli_exit write_gel_times(const struct report *report, const char *path) {
    struct cli_output csv = {.data = NULL};
    int rows = 0;
    out_text(&csv, "temperature,mass,gel_time\n");
    for (size_t i = 0; i < report->count; i++) {
        const pc_event *event = report->event[i];
        bool undone = false;
        if (event->kind != PC_EVENT_CUP_GEL || event->part < 0 || event->layer < 1)
            continue;
        for (size_t k = i + 1; k < report->count; k++)
            undone |= report->event[k]->kind == PC_EVENT_UNDO &&
                      report->event[k]->value == (double)event->number;
        double mix_s = report->actual.layer[event->part][event->layer - 1].mix_s;
        double at_s = (double)(event->elapsed_ms - report->first_mix_ms) / 1000.0;
        if (undone || !(at_s > mix_s) || !isfinite(report->resin_K))
            continue;
        out_printf(&csv, "%.2f C,%.3f g,%.1f s\n", report->resin_K - PC_ZERO_CELSIUS_K,
                   event->value, at_s - mix_s);
        rows++;
    }
    enum cli_exit code = CLI_DONE;
    if (rows == 0)
        code = say_error(CLI_FILE, "the log holds no cup gel (key c): nothing to write");
    else if (csv.failed || !out_to_file(path, csv.data, csv.size))
        code = csv.failed ? say_error(CLI_INTERNAL, "out of memory") : CLI_FILE;
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
        const char *gels = cli_value(cli, "gel-times");
        code = gels != NULL ? write_gel_times(report, gels) : CLI_DONE;
    }
    if (report != NULL)
        free(report->event);
    free(report);
    pc_log_close(log);
    return code;
}
