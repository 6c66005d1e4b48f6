/* SPDX-License-Identifier: GPL-3.0-or-later */
/* `pourclock day --json`, format 1: the plan, and what a number of castings needs. */
#include <math.h>

#include "json/json_value.h"

static json_t *castings(const pc_day *day, const pc_day_plan *plan, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < plan->count; i++) {
        const pc_day_casting *c = plan->casting[i];
        json_t *o = json_object();
        pci_json_text(o, "piece", day->piece[c->piece]->name, failed);
        pci_json_count(o, "copy", c->copy, failed);
        pci_json_count(o, "mold", c->mold, failed);
        pci_json_put(o, "station", c->station ? json_integer(c->station) : json_null(), failed);
        pci_json_number(o, "start_clock_s", c->start_s, failed);
        pci_json_number(o, "station_from_clock_s", c->station ? c->station_from_s : NAN, failed);
        pci_json_number(o, "station_until_clock_s", c->station ? c->station_until_s : NAN, failed);
        pci_json_number(o, "ready_clock_s", c->ready_s, failed);
        pci_json_number(o, "demold_clock_s", c->demold_s, failed);
        pci_json_number(o, "done_clock_s", c->done_s, failed);
        pci_json_number(o, "due_clock_s", day->piece[c->piece]->due_s, failed);
        pci_json_bool(o, "late", c->late, failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *kits_json(const pc_day_plan *plan, size_t workday, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i < plan->kit_use_count; i++) {
        const pc_day_kit_use *use = plan->kit_use[i];
        if (use->workday != workday)
            continue;
        json_t *o = json_object();
        pci_json_text(o, "resin", use->resin, failed);
        pci_json_number(o, "used_kg", use->used_kg, failed);
        pci_json_number(o, "discarded_kg", use->discarded_kg, failed);
        pci_json_count(o, "opened", use->opened, failed);
        pci_json_number(o, "left_kg", use->left_kg, failed);
        pci_json_number(o, "use_by_clock_s", use->use_by < 0 ? NAN : 86400.0 * (use->use_by + 1),
                        failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

/* The working days, each with what to weigh. */
static json_t *days_json(const pc_day *day, const pc_day_plan *plan, bool *failed) {
    json_t *list = json_array();
    for (size_t d = 0; d < plan->workday_count; d++) {
        const pc_day_workday *workday = plan->workday[d];
        pc_day_resin resin[PC_DAY_PIECES_MOST];
        size_t n = pc_day_weigh(day, plan, workday, resin);
        json_t *o = json_object(), *weigh = json_array();
        char date[64];
        pc_day_date_text(date, sizeof date, day, workday->from_s);
        pci_json_put(o, "date", day->first[0] ? pci_json_string(date + 4) : json_null(), failed);
        pci_json_number(o, "from_clock_s", workday->from_s, failed);
        pci_json_number(o, "until_clock_s", workday->until_s, failed);
        for (size_t i = 0; i < n; i++) {
            json_t *one = json_object();
            pci_json_text(one, "resin", resin[i].name, failed);
            pci_json_count(one, "batches", resin[i].batches, failed);
            pci_json_number(one, "part_a_kg", resin[i].part_a_kg, failed);
            pci_json_number(one, "part_b_kg", resin[i].part_b_kg, failed);
            if (resin[i].filler_kg > 0.0)
                pci_json_number(one, "filler_kg", resin[i].filler_kg, failed);
            pci_json_push(weigh, one, failed);
        }
        pci_json_put(o, "weigh", weigh, failed);
        pci_json_put(o, "kits", kits_json(plan, d, failed), failed);
        pci_json_push(list, o, failed);
    }
    return list;
}

static json_t *air_json(const pc_day_air *air, bool *failed) {
    json_t *o = json_object();
    pci_json_text(o, "volatile", air->name, failed);
    pci_json_number(o, "vapor_estimate_kg", air->name[0] ? air->vapor_kg : NAN, failed);
    pci_json_number(o, "limit_fraction", air->limit_fraction, failed);
    pci_json_number(o, "mixing", air->name[0] ? air->mixing : NAN, failed);
    pci_json_number(o, "room_m3", air->room_m3, failed);
    pci_json_number(o, "ventilation_m3_s", air->ventilation_m3_s, failed);
    pci_json_number(o, "air_estimate_m3_s", air->air_m3_s, failed);
    pci_json_number(o, "highest_estimate_fraction", air->highest_fraction, failed);
    pci_json_number(o, "highest_at_clock_s", air->highest_clock_s, failed);
    return o;
}

/* Those of each resin, then those of every piece, once. */
static json_t *cautions_json(const pc_day *day, bool *failed) {
    json_t *list = json_array();
    for (size_t i = 0; i <= day->piece_count; i++) {
        bool last = i == day->piece_count;
        pc_cautions cautions;
        if (!last && !pc_day_first_of_resin(day, i))
            continue;
        if (pc_cautions_of_resin(last ? NULL : day->piece[i]->resin, PC_METRIC, &cautions) != PC_OK)
            *failed = true;
        for (size_t k = 0; k < cautions.count; k++)
            if (last || !cautions.item[k].always)
                pci_json_push(list, pci_json_string(cautions.item[k].text), failed);
        pc_cautions_free(&cautions);
    }
    return list;
}

static json_t *timetable(const pc_day_plan *plan, bool *failed) {
    json_t *entries = json_array();
    for (size_t i = 0; i < plan->entry_count; i++) {
        const pc_day_entry *e = plan->entry[i];
        json_t *entry = json_object();
        pci_json_number(entry, "from_clock_s", e->from_s, failed);
        pci_json_number(entry, "until_clock_s", e->until_s, failed);
        pci_json_text(entry, "clock", pc_say_clock(0, e->from_s, PC_CLOCK_BARE).s, failed);
        pci_json_text(entry, "do", pc_day_do_word(e->what), failed);
        pci_json_count(entry, "casting", (long)e->casting + 1, failed);
        pci_json_count(entry, "layer", e->layer, failed);
        pci_json_count(entry, "person", e->person, failed);
        pci_json_text(entry, "text", e->text, failed);
        pci_json_push(entries, entry, failed);
    }
    return entries;
}

pc_status pc_day_json(const pc_day *day, const pc_day_plan *plan, char **text) {
    if (!day || !plan || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *o = json_object(), *give = json_array();
    pci_json_count(o, "format", 1, &failed);
    pci_json_text(o, "day", day->name, &failed);
    pci_json_bool(o, "feasible", plan->fits, &failed);
    pci_json_count(o, "asked", (long)plan->asked, &failed);
    pci_json_count(o, "placed", (long)plan->count, &failed);
    pci_json_count(o, "placed_bound", (long)plan->count_bound, &failed);
    pci_json_bool(o, "proven", plan->proven, &failed);
    pci_json_number(o, "finish_clock_s", plan->finish_s, &failed);
    pci_json_number(o, "finish_bound_clock_s", plan->bound_s, &failed);
    pci_json_count(o, "late", (long)plan->late_count, &failed);
    pci_json_put(o, "castings", castings(day, plan, &failed), &failed);
    pci_json_put(o, "days", days_json(day, plan, &failed), &failed);
    pci_json_put(o, "timetable", timetable(plan, &failed), &failed);
    for (size_t i = 0; i < plan->give_count; i++)
        pci_json_push(give, pci_json_string(plan->give[i]), &failed);
    pci_json_put(o, "must_give", give, &failed);
    pci_json_put(o, "air", air_json(plan->air, &failed), &failed);
    pci_json_text(o, "caution", PC_DEFERRAL, &failed);
    pci_json_put(o, "cautions", cautions_json(day, &failed), &failed);
    return pci_json_finish(o, failed, text);
}

pc_status pc_day_need_json(const pc_day_need *need, char **text) {
    if (!need || !text)
        return PC_E_ARGUMENT;
    bool failed = false;
    json_t *o = json_object(), *changes = json_array(), *remedies = json_array();
    pci_json_count(o, "format", 1, &failed);
    pci_json_count(o, "castings", need->castings, &failed);
    pci_json_bool(o, "meets_date", need->change[0].meets, &failed);
    pci_json_number(o, "date_clock_s", need->date_s, &failed);
    pci_json_number(o, "finish_bound_clock_s", need->bound_s, &failed);
    for (size_t i = 0; i < need->change_count; i++) {
        const pc_day_change *c = &need->change[i];
        json_t *one = json_object();
        pci_json_text(one, "change", c->text, &failed);
        pci_json_count(one, "working_days", c->workdays, &failed);
        pci_json_number(one, "finish_clock_s", c->finish_s, &failed);
        pci_json_number(one, "saved_s", c->saved_s, &failed);
        pci_json_bool(one, "meets_date", c->meets, &failed);
        pci_json_push(changes, one, &failed);
    }
    for (size_t i = 0; i < need->remedy_count; i++)
        pci_json_push(remedies, pci_json_string(need->remedy[i]), &failed);
    pci_json_put(o, "changes", changes, &failed);
    pci_json_put(o, "to_meet_the_date", remedies, &failed);
    return pci_json_finish(o, failed, text);
}
