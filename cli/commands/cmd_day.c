/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock day FILE: several castings in one day. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "commands/command.h"
#include "commands/file_kind.h"
#include "commands/options.h"
#include "commands/piece_options.h"
#include "draw/gantt.h"
#include "pourclock.h"
#include "print/message.h"
#include "print/print_calendar.h"
#include "print/print_cautions.h"

enum {
    WIDTH = 92,
    CLOCKS_WIDTH = 23,
    PERSON_WIDTH = 10
}; /* "  09:00:00 - 09:05:00  ", "person 1  " */

/* "Mon 2026-12-07 09:00:00", or the clock alone where there is but one day without a date. */
static const char *moment_of(const pc_day *day, double clock_s, char *buffer, size_t size) {
    char date[32];
    if (!isfinite(clock_s))
        return "-";
    pc_day_date_text(date, sizeof date, day, clock_s);
    snprintf(buffer, size, "%s%s%s", date, date[0] ? " " : "",
             pc_say_clock(0, clock_s, PC_CLOCK_BARE).s);
    return buffer;
}

static pc_words clock_of(double clock_s) {
    return pc_say_clock(0, clock_s, PC_CLOCK_BARE);
}

/* What all castings give off in the one shop. */
static void print_air(struct cli_output *out, const pc_day *day, const pc_day_plan *plan,
                      pc_units units) {
    const pc_day_air *air = plan->air;
    char at[64];
    if (air->name[0]) {
        bool above = air->highest_fraction > air->limit_fraction;
        out_title(out, "VENTILATION (ESTIMATES)");
        out_printf(out,
                   "  %s%s: %s given off by all castings together; %s of fresh air to stay "
                   "below %.3g ppm\n",
                   air->name, air->several ? " and others" : "", pc_say_mass(air->vapor_kg).s,
                   pc_say_air_flow(units, air->air_m3_s).s, 1e6 * air->limit_fraction);
        if (isfinite(air->highest_fraction))
            out_printf(out, "  in the room stated, with its %s: %.3g ppm at most, at %s%s\n",
                       pc_say_air_flow(units, air->ventilation_m3_s).s, 1e6 * air->highest_fraction,
                       moment_of(day, air->highest_clock_s, at, sizeof at),
                       above ? ", ABOVE THE LIMIT" : "");
    }
}

static void print_day_cautions(struct cli_output *out, const pc_resin *resin, pc_units units) {
    pc_cautions cautions;
    char title[PC_NAME_SIZE + 16];
    if (pc_cautions_of_resin(resin, units, &cautions) != PC_OK)
        out->failed = true;
    snprintf(title, sizeof title, "CAUTIONS: %s", resin->name);
    out_title(out, title);
    for (size_t i = 0; i < cautions.count; i++)
        if (!cautions.item[i].always) {
            out_text(out, "  - ");
            out_wrapped(out, cautions.item[i].text, 4, WIDTH);
        }
    pc_cautions_free(&cautions);
}

/* What is due by when, and what of it is late. */
static void print_due(struct cli_output *out, const pc_day *day, const pc_day_plan *plan) {
    for (size_t i = 0; i < day->piece_count; i++) {
        const pc_day_piece *piece = day->piece[i];
        char due[64];
        size_t late = 0;
        double done_s = NAN;
        for (size_t c = 0; c < plan->count; c++)
            if (plan->casting[c]->piece == i) {
                late += plan->casting[c]->late;
                done_s = fmax(done_s, plan->casting[c]->done_s);
            }
        if (isnan(piece->due_s))
            continue;
        if (fmod(piece->due_s, PC_DAY_S) == 0) /* the end of a day is said by its date */
            pc_day_date_text(due, sizeof due, day, piece->due_s - 1);
        else
            moment_of(day, piece->due_s, due, sizeof due);
        out_printf(out, "  %s: due %s", piece->name, due);
        out_printf(out, ", done %s", moment_of(day, done_s, due, sizeof due));
        out_printf(out, late ? "; LATE: %zu of %d\n" : "\n", late, piece->copies);
    }
}

static void print_weigh(struct cli_output *out, const pc_day *day, const pc_day_plan *plan,
                        const pc_day_workday *workday, pc_units units) {
    pc_day_resin resin[PC_DAY_PIECES_MOST];
    size_t n = pc_day_weigh(day, plan, workday, resin);
    for (size_t i = 0; i < n; i++)
        out_printf(out, "  to weigh: %s, %d batches: A %s, B %s%s%s\n", resin[i].name,
                   resin[i].batches, pc_say_mass_both(units, resin[i].part_a_kg).s,
                   pc_say_mass_both(units, resin[i].part_b_kg).s,
                   resin[i].filler_kg > 0.0 ? ", filler " : "",
                   resin[i].filler_kg > 0.0 ? pc_say_mass_both(units, resin[i].filler_kg).s : "");
}

static void print_kits(struct cli_output *out, const pc_day_plan *plan, size_t workday) {
    for (size_t i = 0; i < plan->kit_use_count; i++) {
        if (plan->kit_use[i]->workday != workday)
            continue;
        out_text(out, "  ");
        out_wrapped(out, plan->kit_use[i]->text, 4, WIDTH);
    }
}

static void print_entry(struct cli_output *out, const pc_day *day, const pc_day_entry *e) {
    out_printf(out, "  %s - %s  ", clock_of(e->from_s).s, clock_of(e->until_s).s);
    if (day->hands > 1)
        out_printf(out, "person %d  ", e->person);
    out_wrapped(out, e->text, CLOCKS_WIDTH + (day->hands > 1 ? PERSON_WIDTH : 0), WIDTH);
}

static void print_timetable(struct cli_output *out, const pc_day *day, const pc_day_plan *plan,
                            pc_units units) {
    char date[64];
    out_text(out, "\nTIMETABLE\n");
    size_t next = 0;
    for (size_t d = 0; d < plan->workday_count; d++) {
        const pc_day_workday *workday = plan->workday[d];
        pc_day_date_text(date, sizeof date, day, workday->from_s);
        if (next == plan->entry_count)
            break;
        if (date[0])
            out_printf(out, "%s%s\n", d ? "\n" : "", date);
        print_weigh(out, day, plan, workday, units);
        print_kits(out, plan, d);
        for (; next < plan->entry_count && plan->entry[next]->from_s < workday->until_s; next++)
            print_entry(out, day, plan->entry[next]);
    }
}

static void print_text(struct cli *cli, const pc_day *day, const pc_day_plan *plan) {
    struct cli_output *out = &cli->out;
    char a[64];
    out_bold(out, "%s\n", day->name[0] ? day->name : "A day's castings");
    out_printf(out, "%zu of %zu castings, done at %s", plan->count, plan->asked,
               moment_of(day, plan->finish_s, a, sizeof a));
    if (plan->proven)
        out_text(out, plan->fits ? " (no plan is done sooner)\n" : " (no plan has more)\n");
    else if (plan->fits)
        out_printf(out, " (no plan is done before %s)\n",
                   moment_of(day, plan->bound_s, a, sizeof a));
    else
        out_printf(out, " (no plan has more than %zu)\n", plan->count_bound);
    print_due(out, day, plan);
    print_timetable(out, day, plan, cli_units(cli, PC_METRIC));
    if (plan->give_count)
        out_text(out, "\nWHAT MUST GIVE (one of)\n");
    for (size_t i = 0; i < plan->give_count; i++) {
        out_text(out, "  - ");
        out_wrapped(out, plan->give[i], 4, WIDTH);
    }
    print_air(out, day, plan, cli_units(cli, PC_METRIC));
    out_text(out,
             "\nEach casting's own schedule gives grams, deadlines and cautions: print it too.\n");
    for (size_t i = 0; i < day->piece_count; i++)
        if (pc_day_first_of_resin(day, i))
            print_day_cautions(out, day->piece[i]->resin, cli_units(cli, PC_METRIC));
    print_resin_cautions(out, NULL, cli_units(cli, PC_METRIC), WIDTH);
}

static void print_csv(struct cli_output *out, const pc_day *day, const pc_day_plan *plan) {
    out_text(out, "clock,do,text,piece,from_clock_s,until_clock_s,casting,copy,mold,layer,person,"
                  "days_after_first\r\n");
    for (size_t i = 0; i < plan->entry_count; i++) {
        const pc_day_entry *e = plan->entry[i];
        const pc_day_casting *c = plan->casting[e->casting];
        out_csv_text(out, clock_of(e->from_s).s);
        out_printf(out, ",%s,", pc_day_do_word(e->what));
        out_csv_text(out, e->text);
        out_text(out, ",");
        out_csv_text(out, day->piece[c->piece]->name);
        const double number[] = {
            e->from_s, e->until_s, (double)e->casting + 1,     c->copy, c->mold,
            e->layer,  e->person,  floor(e->from_s / PC_DAY_S)};
        out_csv_numbers(out, number, sizeof number / sizeof number[0]);
    }
}

static enum cli_exit answer(struct cli *cli, const pc_day *day, const pc_day_plan *plan) {
    char *text = NULL;
    if (cli->json)
        out_json(&cli->out, pc_day_json(day, plan, &text), &text);
    else if (cli->csv)
        print_csv(&cli->out, day, plan);
    else
        print_text(cli, day, plan);
    if (cli_has(cli, "sheet")) {
        enum cli_exit code = print_gantt(cli_value(cli, "sheet"), day, plan);
        if (code != CLI_DONE)
            return code;
    }
    enum cli_exit code = print_day_calendar(cli, day, plan);
    if (code != CLI_DONE)
        return code;
    return plan->fits && plan->late_count == 0 ? CLI_DONE : CLI_LIMIT;
}

static void print_need_text(struct cli_output *out, const pc_day *day, const pc_day_need *need) {
    char a[64], b[64];
    const pc_day_change *now = &need->change[0];
    out_printf(out, "%d castings, %sin time: what is due when, and all by %s\n", need->castings,
               now->meets ? "" : "NOT ", moment_of(day, need->date_s, a, sizeof a));
    out_printf(out, "as it is: %d working days, done %s (no plan is done before %s)\n\n",
               now->workdays, moment_of(day, now->finish_s, a, sizeof a),
               moment_of(day, need->bound_s, b, sizeof b));
    out_printf(out, "%-40s %5s  %-24s %s\n", "ONE CHANGE", "days", "done", "saves (working time)");
    for (size_t i = 1; i < need->change_count; i++) {
        const pc_day_change *c = &need->change[i];
        double saved_min = isfinite(c->saved_s) ? round(c->saved_s / 60) : 0;
        out_printf(out, "%-40s %5d  %-24s ", c->text, c->workdays,
                   moment_of(day, c->finish_s, a, sizeof a));
        if (saved_min > 0)
            out_printf(out, "%.0fh%02.0fm%s\n", floor(saved_min / 60), fmod(saved_min, 60),
                       c->meets && !now->meets ? ", meets the date" : "");
        else
            out_text(out, "nothing\n");
    }
    if (!now->meets)
        out_text(out, need->remedy_count ? "\nTO MEET THE DATE (one of)\n"
                                         : "\nNo one or two of these changes meet the date.\n");
    for (size_t i = 0; i < need->remedy_count; i++) {
        out_text(out, "  - ");
        out_wrapped(out, need->remedy[i], 4, WIDTH);
    }
}

static void print_need_csv(struct cli_output *out, const pc_day_need *need) {
    out_text(out, "change,working_days,finish_clock_s,saved_s,meets_date\r\n");
    for (size_t i = 0; i < need->change_count; i++) {
        const pc_day_change *c = &need->change[i];
        const double number[] = {c->workdays, c->finish_s, c->saved_s, c->meets};
        out_csv_text(out, c->text);
        out_csv_numbers(out, number, sizeof number / sizeof number[0]);
    }
}

static enum cli_exit answer_need(struct cli *cli, const pc_day *day, const pc_day_need *need) {
    char *text = NULL;
    if (cli->json)
        out_json(&cli->out, pc_day_need_json(need, &text), &text);
    else if (cli->csv)
        print_need_csv(&cli->out, need);
    else
        print_need_text(&cli->out, day, need);
    return need->change[0].meets ? CLI_DONE : CLI_LIMIT;
}

/* The number of castings needed; 0: it is not asked for; -1: it is not a number of castings. */
static int needed(const struct cli *cli) {
    const char *text = cli_value(cli, "need");
    char *end;
    if (!text)
        return 0;
    long castings = strtol(text, &end, 10);
    return *text && !*end && castings >= 1 && castings <= PC_DAY_CASTINGS_MOST ? (int)castings : -1;
}

/* What the day itself finds wrong, as a break outside its hours, lies in the day's file too. */
static void name_file(const struct cli *cli, pc_errors *errors) {
    bool dash = strcmp(cli->operand[0], "-") == 0;
    for (size_t i = 0; i < errors->count; i++)
        if (!errors->item[i].file[0] && errors->item[i].section[0])
            snprintf(errors->item[i].file, sizeof errors->item[i].file, "%s",
                     dash ? "standard input" : cli->operand[0]);
}

static enum cli_exit run(struct cli *cli) {
    int date[3];
    enum cli_exit code = calendar_options(cli, date);
    if (code != CLI_DONE)
        return code;
    code = cli_expect_kind(cli->operand[0], CLI_FILE_DAY);
    if (code != CLI_DONE)
        return code;
    int need = needed(cli);
    if (need < 0)
        return say_error(CLI_USAGE, "--need: a number of castings, 1 to %d, as --need 20",
                         PC_DAY_CASTINGS_MOST);
    if (need > 0 && (cli_has(cli, "sheet") || cli_has(cli, "calendar")))
        return say_error(CLI_USAGE, "--need prints a table: plan the days it says for a --sheet or "
                                    "--calendar");
    pc_day *day = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    pc_day_plan *plan = NULL;
    pc_day_need table;
    char path[1024];
    const char *shop = cli_shop_file(cli, path, sizeof path);
    if (shop != NULL)
        say_note(cli, "every piece is read over your shop.ini (--no-shop leaves it out)");
    pc_status status = pc_day_read_in_shop(shop, cli->operand[0], &day, &errors);
    if (status == PC_OK)
        status =
            need ? pc_day_need_of(day, need, &table, &errors) : pc_day_make(day, &plan, &errors);
    if (status != PC_OK)
        name_file(cli, &errors);
    code = say_errors(status, &errors);
    if (code == CLI_DONE)
        code = need ? answer_need(cli, day, &table) : answer(cli, day, plan);
    pc_day_free(day, plan);
    return code;
}

/* clang-format off */
static const struct cli_option options[] = {
    {"sheet", 0, "FILE", "draw the day as a Gantt sheet too: .pdf or .svg", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"need", 0, "N", "castings needed: the fewest days, and what one change would save", CLI_KIND_NONE, NULL, false, NULL, NULL},
    {"calendar", 0, "FILE", "write the timetable as a calendar that rings (.ics)", CLI_KIND_FILE, NULL, false, NULL, NULL},
    {"date", 0, "DAY", "day of the calendar, such as 2026-03-14 (default: today)", CLI_KIND_NONE, NULL, false, NULL, NULL},
    CLI_SHOP_OPTION,
    CLI_OPTIONS_END,
};
/* clang-format on */

const struct cli_command cmd_day = {
    .name = "day",
    .operands = "FILE",
    .summary = "Several castings, one shop: a day's timetable",
    .example = "pourclock day tuesday.ini --sheet tuesday.pdf",
    .about = "FILE names the pieces, copies and molds, hands, machines, hours and breaks; see\n"
             "pourclock-day(1). The answer says before when no plan can be done.",
    .options = options,
    .takes = CLI_TAKES_JSON | CLI_TAKES_CSV | CLI_TAKES_UNITS, /* its words have no units */
    .operands_least = 1,
    .operands_most = 1,
    .operand_kind = CLI_KIND_FILE,
    .run = run,
};
