/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words of a day's timetable, as the text, JSON and the calendar say them. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "day/day_dates.h"
#include "pourclock/day.h"
#include "pourclock/words.h"

/* One line of the timetable: whose and when it is, and what of the job it says. */
typedef struct line {
    const pci_day *day;
    const pc_day_casting *casting;
    const pci_day_job *job;
    const pc_day_entry *entry;
} line;

/* Setting up is one job with the first mix, which must not begin before it is done. */
static bool sets_up(const line *l) {
    return l->day->setup_s > 0.0 && l->entry->from_s <= l->casting->start_s;
}

/* Of several parts each is named; a solid is poured, not layered. */
static void say_which(const pci_day_job *job, size_t part, int layer, char *text, size_t size) {
    bool known = part < job->part_count;
    const char *word = known && job->solid[part] ? "pour" : "layer";
    if (known && job->part_count > 1)
        snprintf(text, size, "%s, %s %d: ", job->part_name[part], word, layer);
    else
        snprintf(text, size, "%s %d: ", word, layer);
}

static bool is_laid_by(const pci_day_job *job, size_t part, int layer, pc_coat_method method) {
    return part < job->part_count && !job->solid[part] && layer >= 1 && layer <= PC_LAYERS_MOST &&
           job->laid_by[part][layer - 1] == method;
}

static bool is_drained(const pci_day_job *job, size_t part, int layer) {
    return is_laid_by(job, part, layer, PC_COAT_DRAIN) ||
           (job->method == PC_DRAIN && !is_laid_by(job, part, layer, PC_COAT_BRUSH));
}

/* How a batch goes where it belongs, after it is mixed. */
static const char *say_laying(const line *l, size_t part, int layer) {
    const pci_day_job *job = l->job;
    if (part >= job->part_count || job->solid[part])
        return l->casting->station && part >= job->part_count ? "pour, onto the machine" : "pour";
    if (is_laid_by(job, part, layer, PC_COAT_BRUSH))
        return "brush it on";
    if (is_drained(job, part, layer))
        return "pour, swirl";
    if (l->casting->station)
        return "pour, onto the machine";
    return job->method == PC_HAND ? "pour, turn by hand until gelled" : "pour";
}

/* stopped: what of the same part is stopped between mixing and pouring, or NULL. */
static void say_pour(const line *l, size_t part, int layer, bool first, const pci_day_act *stopped,
                     char *text, size_t size) {
    char which[64], mix[40] = "mix";
    say_which(l->job, part, layer, which, sizeof which);
    if (first && sets_up(l)) {
        snprintf(mix, sizeof mix, "mix at %s",
                 pc_say_clock(l->casting->start_s, l->day->setup_s, PC_CLOCK_BARE).s);
    }
    if (stopped) {
        snprintf(text, size, "%s%s; at %s stop turning layer %d, unplug and %s", which, mix,
                 pc_say_clock(l->casting->start_s, stopped->at_s, PC_CLOCK_BARE).s, stopped->layer,
                 say_laying(l, part, layer));
    } else {
        snprintf(text, size, "%s%s and %s", which, mix, say_laying(l, part, layer));
    }
}

static void say_stop(const line *l, size_t part, int layer, char *text, size_t size) {
    char which[64];
    say_which(l->job, part, layer, which, sizeof which);
    snprintf(text, size, "%s%s", which,
             is_drained(l->job, part, layer) ? "pour out, hole down" : "stop turning, unplug");
}

/* The acts of the entry's task: *count of them. */
static const pci_day_act *acts_of(const line *l, size_t *count) {
    const pci_day_job *job = l->job;
    double from_s = l->entry->from_s - l->casting->start_s;
    size_t t = 0, i = 0;
    while (t < job->task_count && !(fabs(job->task[t].from_s - from_s) < 1e-3))
        t++;
    while (i < job->act_count && job->act[i].task != t)
        i++;
    for (*count = 0; i + *count < job->act_count && job->act[i + *count].task == t;)
        ++*count;
    return job->act + i;
}

/* One act, and the stop that comes between mixing and pouring of the next layer: how many. */
static size_t say_act(const line *l, const pci_day_act *act, size_t i, size_t count, char *text,
                      size_t size) {
    const pci_day_act *is = act + i, *next = i + 1 < count ? is + 1 : NULL;
    int used = 0;
    if (i > 0)
        used = snprintf(text, size, "at %s ",
                        pc_say_clock(l->casting->start_s, is->at_s, PC_CLOCK_BARE).s);
    text += used;
    size -= (size_t)used;
    if (is->what == PC_DAY_STOP) {
        say_stop(l, is->part, is->layer, text, size);
        return 1;
    }
    bool stops = next && next->what == PC_DAY_STOP && next->part == is->part &&
                 next->layer + 1 == is->layer && l->job->method == PC_MACHINE;
    say_pour(l, is->part, is->layer, i == 0, stops ? next : NULL, text, size);
    return stops ? 2 : 1;
}

/* All that is done in one go, as far as it has room. */
static void say_acts(const line *l, const pci_day_act *act, size_t count, char *text, size_t size) {
    static const char rest[] = "; then as its own schedule says";
    size_t used = 0;
    for (size_t i = 0; i < count;) {
        char one[160];
        size_t said = say_act(l, act, i, count, one, sizeof one);
        bool last = i + said >= count;
        size_t needed = strlen(one) + 2 + (last ? 0 : sizeof rest);
        if (i > 0 && used + needed >= size) {
            snprintf(text + used, size - used, "%s", rest);
            return;
        }
        int n = snprintf(text + used, size - used, "%s%s", i > 0 ? "; " : "", one);
        used = n > 0 && used + (size_t)n < size ? used + (size_t)n : size - 1;
        i += said;
    }
}

static void say_job(const line *l, char *text, size_t size) {
    size_t count;
    const pci_day_act *act = acts_of(l, &count);
    if (count > 0)
        say_acts(l, act, count, text, size);
    else if (l->entry->what == PC_DAY_STOP)
        say_stop(l, l->entry->part, l->entry->layer, text, size);
    else
        say_pour(l, l->entry->part, l->entry->layer, true, NULL, text, size);
}

void pci_day_entry_text(char *text, size_t size, const pci_day *day, const pc_day_plan *plan,
                        const pc_day_entry *e) {
    if (!text || size == 0)
        return;
    text[0] = '\0';
    if (!day || !plan || !e || e->casting >= plan->count)
        return;
    const pc_day_casting *c = plan->casting[e->casting];
    line l = {day, c, &day->piece[c->piece].job[c->job], e};
    int n = snprintf(text, size, "%.80s, casting %d (mold %d): ", day->piece[c->piece].name,
                     c->copy, c->mold);
    size_t used = n > 0 && (size_t)n < size ? (size_t)n : size - 1;
    char *rest = text + used;
    size -= used;
    switch (e->what) {
    case PC_DAY_SETUP:
        snprintf(rest, size, "set up");
        break;
    case PC_DAY_POUR:
    case PC_DAY_STOP:
        used = l.entry->what == PC_DAY_POUR && sets_up(&l) ? strlen("set up; ") : 0;
        snprintf(rest, size, "%s", used ? "set up; " : "");
        if (used < size)
            say_job(&l, rest + used, size - used);
        break;
    case PC_DAY_DEMOLD:
        snprintf(rest, size, "demold");
        break;
    }
}

void pci_day_date_text(char *text, size_t size, const pci_day *day, double clock_s) {
    if (!text || size == 0)
        return;
    text[0] = '\0';
    if (!day)
        return;
    static const char *const weekday[] = {"Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};
    int date[3],
        offset = isfinite(clock_s) ? (int)fmin(fmax(0, floor(clock_s / PC_DAY_S)), 9999) : 0;
    if (day->first[0]) {
        pci_date_after(day->first, offset, date);
        snprintf(text, size, "%s %04d-%02d-%02d", weekday[pci_date_weekday(date)], date[0], date[1],
                 date[2]);
    } else if (day->days > 1) {
        snprintf(text, size, "Day %d", offset + 1);
    }
}

static void add_batch(const char *name, const pci_day_act *act, pc_day_resin *resin,
                      size_t *count) {
    size_t i = 0;
    while (i < *count && strcmp(resin[i].name, name) != 0)
        i++;
    if (i == *count)
        resin[(*count)++] = (pc_day_resin){.name = name};
    resin[i].part_a_kg += act->part_a_kg;
    resin[i].part_b_kg += act->part_b_kg;
    resin[i].filler_kg += act->filler_kg;
    resin[i].batches++;
}

size_t pci_day_weigh(const pci_day *day, const pc_day_plan *plan, const pc_day_workday *workday,
                     pc_day_resin *resin) {
    size_t count = 0;
    if (!day || !plan || !workday || !resin)
        return 0;
    for (size_t c = 0; c < plan->count; c++) {
        const pc_day_casting *casting = plan->casting[c];
        const pci_day_piece *piece = &day->piece[casting->piece];
        const pci_day_job *job = &piece->job[casting->job];
        for (size_t a = 0; a < job->act_count; a++) {
            double at_s = casting->start_s + job->act[a].at_s;
            if (job->act[a].what == PC_DAY_POUR && at_s >= workday->from_s - 1 &&
                at_s < workday->until_s + 1)
                add_batch(job->act[a].resin > 0 ? job->other_resin[job->act[a].resin - 1]
                                                : piece->resin.name,
                          &job->act[a], resin, &count);
        }
    }
    return count;
}

void pci_day_kit_text(char *text, size_t size, const pci_day *day, const pc_day_kit_use *use) {
    if (!text || size == 0)
        return;
    text[0] = '\0';
    if (!day || !use || use->kit >= day->kit_count)
        return;
    const pci_day_kit *kit = &day->kit[use->kit];
    char date[32];
    int n = snprintf(text, size, "kits: %.80s", kit->resin);
    size_t used = n > 0 && (size_t)n < size ? (size_t)n : size - 1;
    const char *mark = ": ";
    if (use->discarded_kg > 0 && used < size) {
        used +=
            (size_t)snprintf(text + used, size - used, "%s%s is past its %d days: not to be used",
                             mark, pc_say_mass(use->discarded_kg).s, kit->open_days);
        mark = "; ";
    }
    if (use->opened > 0 && used < size) {
        used += (size_t)snprintf(text + used, size - used, "%sopen %d of %s", mark, use->opened,
                                 pc_say_mass(kit->holds_kg).s);
        mark = "; ";
    }
    if (used < size)
        used += (size_t)snprintf(text + used, size - used, "%s%s left at the end", mark,
                                 pc_say_mass(use->left_kg).s);
    if (use->use_by >= 0 && used < size) {
        pci_day_date_text(date, sizeof date, day, use->use_by * PC_DAY_S);
        snprintf(text + used, size - used, ", to be used by %s", date);
    }
}
