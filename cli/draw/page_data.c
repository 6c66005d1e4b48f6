/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The schedule as data for the page's script: figures in seconds, and words ready to show, in which
 * the clocks are named instead of written, since steps move. */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "draw/page.h"
#include "draw/page_json.h"
#include "pourclock.h"

/* A time of a layer or part that a step goes by. */
struct named_time {
    const char *name;
    double at_s;
};

static double safe(double early_s, double nominal_s) {
    return isnan(early_s) ? nominal_s : early_s;
}

double page_pot_deadline(const pc_layer *layer) {
    return fmin(layer->pour_by_s, layer->pour_by_early_s);
}

static double demold_time(const pc_part_plan *part) {
    return safe(part->demold_late_s, part->demold_s);
}

static const pc_layer *layer_of(const pc_schedule *plan, const pc_step *step) {
    const pc_part_plan *part = plan->part[step->part];
    if (part->layer_count == 0)
        return NULL;
    size_t j = step->layer > 0 ? (size_t)step->layer - 1 : part->layer_count - 1;
    return j < part->layer_count ? part->layer[j] : NULL;
}

/* Which time of its layer or part a step goes by: it moves with that. */
static struct named_time anchor_of(const pc_schedule *plan, const pc_step *step) {
    const pc_layer *layer = layer_of(plan, step);
    if (layer == NULL)
        return (struct named_time){"start", 0.0};
    switch (step->kind) {
    case PC_STEP_POUR:
    case PC_STEP_BRUSH:
        return (struct named_time){"pour", layer->pour_s};
    case PC_STEP_TURN:
        if (!(step->at_s > layer->pour_end_s + 0.5))
            return (struct named_time){"end", layer->pour_end_s};
        if (isfinite(layer->drain_s))
            return (struct named_time){"drain", layer->drain_s};
        return (struct named_time){"set", safe(layer->set_early_s, layer->set_s)};
    case PC_STEP_STOP:
    case PC_STEP_WAIT:
        return (struct named_time){"stop", layer->stop_s};
    case PC_STEP_DEMOLD:
        return (struct named_time){"demold", demold_time(plan->part[step->part])};
    default:
        return (struct named_time){"mix", layer->mix_s};
    }
}

static json_t *data_step(const pc_schedule *plan, const pc_step *step, bool *failed) {
    struct named_time anchor = anchor_of(plan, step);
    json_t *o = json_object();
    cj_put_text(o, "kind", pc_step_word(step->kind), failed);
    cj_put_count(o, "part", (long)step->part, failed);
    cj_put_count(o, "layer", step->layer, failed);
    cj_put_text(o, "anchor", anchor.name, failed);
    cj_put_number(o, "offset", isfinite(anchor.at_s) ? step->at_s - anchor.at_s : step->at_s,
                  failed);
    cj_put(o, "words", page_words(plan, step->text, step->part, step->layer, failed), failed);
    return o;
}

static json_t *data_rate(const page_rate *rate, bool *failed) {
    json_t *o = json_object();
    cj_put_number(o, "pace", rate->pace, failed);
    cj_put_number(o, "late", rate->late, failed);
    return o;
}

static void put_times(json_t *o, const pc_layer *layer, bool *failed) {
    cj_put_number(o, "mix", layer->mix_s, failed);
    cj_put_number(o, "pour", layer->pour_s, failed);
    cj_put_number(o, "end", layer->pour_end_s, failed);
    cj_put_number(o, "by", page_pot_deadline(layer), failed);
    cj_put_number(o, "by_nominal", layer->pour_by_s, failed);
    cj_put_number(o, "pot_life", layer->pot_life_s, failed);
    cj_put_number(o, "drain", layer->drain_s, failed);
    cj_put_number(o, "set", layer->set_s, failed);
    cj_put_number(o, "set_early", safe(layer->set_early_s, layer->set_s), failed);
    cj_put_number(o, "gel", layer->gel_s, failed);
    cj_put_number(o, "gel_late", safe(layer->gel_late_s, layer->gel_s), failed);
    cj_put_number(o, "stop", layer->stop_s, failed);
    cj_put_number(o, "opens", layer->opens_s, failed);
    cj_put_number(o, "closes_alone", layer->closes_alone_s, failed);
    cj_put_number(o, "closes", pc_bond_deadline(layer), failed);
}

static json_t *data_layer(const page_source *source, size_t part, size_t j, bool *failed) {
    const pc_layer *layer = source->plan->part[part]->layer[j];
    const page_rates *rate = &source->rate[part][j];
    pc_units units = source->piece->units;
    int cups = layer->cups > 1 ? layer->cups : 1;
    json_t *o = json_object(), *rates = json_object();
    cj_put_count(o, "number", layer->number, failed);
    cj_put_count(o, "cups", cups, failed);
    cj_put_text(o, "a", pc_say_mass(layer->part_a_kg / cups).s, failed);
    cj_put_text(o, "b", pc_say_mass(layer->part_b_kg / cups).s, failed);
    if (layer->filler_kg > 0.0)
        cj_put_text(o, "filler", pc_say_mass(layer->filler_kg / cups).s, failed);
    cj_put_text(o, "batch", pc_say_mass(layer->batch_kg).s, failed);
    cj_put_text(o, "thick", pc_say_thickness(units, layer->thickness_m).s, failed);
    cj_put_number(o, "thick_mm", layer->thickness_m * 1e3, failed);
    cj_put_text(o, "cup_peak", pc_say_degrees(units, layer->cup_peak_K).s, failed);
    cj_put_text(o, "missed_bond", pc_missed_bond(source->piece, source->plan, part, j), failed);
    put_times(o, layer, failed);
    cj_put(rates, "pot", data_rate(&rate->pot, failed), failed);
    cj_put(rates, "set", data_rate(&rate->set, failed), failed);
    cj_put(rates, "gel", data_rate(&rate->gel, failed), failed);
    cj_put(rates, "closes", data_rate(&rate->closes, failed), failed);
    cj_put(o, "rates", rates, failed);
    return o;
}

/* Names are shown as text wherever they stand; control characters are shown as '?'. */
static void put_clean(json_t *o, const char *key, const char *text, bool *failed) {
    char clean[1024];
    pc_text_clean(text, clean, sizeof clean);
    cj_put_text(o, key, clean, failed);
}

static json_t *data_part(const page_source *source, size_t part, bool *failed) {
    const pc_part_plan *plan = source->plan->part[part];
    json_t *o = json_object(), *layers = json_array(), *waits = json_array();
    put_clean(o, "name", plan->name, failed);
    for (size_t k = 0; k < source->plan->part_count; k++)
        if (plan->waits_for >> k & 1u)
            cj_push(waits, json_integer((json_int_t)k), failed);
    cj_put(o, "waits", waits, failed);
    cj_put_number(o, "ready", plan->ready_s, failed);
    cj_put_text(o, "word", pc_layer_word(plan->kind), failed);
    cj_put_bool(o, "hollow", plan->kind == PC_HOLLOW, failed);
    cj_put_count(o, "below", plan->on_part, failed);
    cj_put_number(o, "demold", plan->demold_s, failed);
    cj_put_number(o, "demold_late", demold_time(plan), failed);
    cj_put(o, "demold_rate", data_rate(&source->demold[part], failed), failed);
    for (size_t j = 0; j < plan->layer_count; j++)
        cj_push(layers, data_layer(source, part, j, failed), failed);
    cj_put(o, "layers", layers, failed);
    return o;
}

static json_t *data_warnings(const pc_schedule *plan, bool *failed) {
    json_t *list = json_array();
    for (int limits = 1; limits >= 0; limits--)
        for (size_t i = 0; i < plan->warning_count; i++) {
            const pc_warning *w = plan->warning[i];
            if (w->breaks != (limits == 1))
                continue;
            json_t *o = json_object();
            cj_put_bool(o, "limit", w->breaks, failed);
            cj_put(o, "text", page_words(plan, w->text, w->part, w->layer, failed), failed);
            cj_put(o, "remedy", page_words(plan, w->remedy, w->part, w->layer, failed), failed);
            cj_push(list, o, failed);
        }
    return list;
}

static const char *mold_word(pc_mold_kind kind) {
    static const char *const words[] = {
#define MOLD_WORD(name, word, k, rho, cp) word,
        PC_MOLD_TABLE(MOLD_WORD)
#undef MOLD_WORD
    };
    return (unsigned)kind < PC_MOLD_KIND_COUNT ? words[kind] : "";
}

/* The mold in the columns of a film test: its temperature, rubber and shell. */
static void put_film_mold(json_t *top, const page_source *source, bool *failed) {
    const pc_mold *mold = &source->piece->mold;
    char text[160], shell[64] = ",none";
    if (mold->has_shell)
        snprintf(shell, sizeof shell, "%.3f mm,%s", mold->shell_m * 1e3,
                 mold_word(mold->shell_kind));
    snprintf(text, sizeof text, "%.2f C,%.3f mm,%s,%s", source->plan->mold_K - PC_ZERO_CELSIUS_K,
             mold->rubber_m * 1e3, mold_word(mold->rubber_kind), shell);
    cj_put_text(top, "film_mold", text, failed);
}

static void put_log(json_t *top, const page_source *source, bool *failed) {
    json_t *events = json_array();
    for (size_t i = 0; source->log != NULL && i < pc_log_count(source->log); i++) {
        const pc_event *event = pc_log_event(source->log, i);
        json_t *o = json_object();
        cj_put_count(o, "number", event->number, failed);
        cj_put_text(o, "kind", pc_event_word(event->kind), failed);
        cj_put_count(o, "part", event->part, failed);
        cj_put_count(o, "layer", event->layer, failed);
        cj_put_number(o, "elapsed_ms", (double)event->elapsed_ms, failed);
        cj_put_number(o, "value", event->value, failed);
        cj_push(events, o, failed);
    }
    cj_put(top, "log", events, failed);
    cj_put_number(top, "first_mix_ms",
                  source->log != NULL ? (double)source->first_mix_wall_ms : (double)NAN, failed);
}

static void put_made(json_t *top, const page_source *source, bool *failed) {
    char made[32] = "";
    time_t at = (time_t)(source->made_ms / 1000);
    struct tm local;
    if (localtime_r(&at, &local) != NULL)
        strftime(made, sizeof made, "%Y-%m-%d %H:%M", &local);
    cj_put_text(top, "made", made, failed);
    cj_put_number(top, "made_ms", (double)source->made_ms, failed);
    char id[24];
    snprintf(id, sizeof id, "%016llx", (unsigned long long)pc_piece_fingerprint(source->piece));
    cj_put_text(top, "fingerprint", id, failed);
    bool file = source->path != NULL && strcmp(source->path, "-") != 0;
    const char *slash = file ? strrchr(source->path, '/') : NULL;
    put_clean(top, "file", file ? slash != NULL ? slash + 1 : source->path : "", failed);
}

static void put_head(json_t *top, const page_source *source, bool *failed) {
    const pc_schedule *plan = source->plan;
    pc_units units = source->piece->units;
    char shop[256];
    snprintf(shop, sizeof shop, "shop %s, resin %s, mold %s",
             pc_say(PC_SAY_DEGREES_FINE, units, plan->air_K).s,
             pc_say(PC_SAY_DEGREES_FINE, units, plan->resin_K).s,
             pc_say(PC_SAY_DEGREES_FINE, units, plan->mold_K).s);
    put_clean(top, "piece", plan->piece[0] ? plan->piece : "Piece", failed);
    put_clean(top, "resin", plan->resin, failed);
    cj_put_text(top, "shop", shop, failed);
    cj_put_number(top, "resin_C", plan->resin_K - PC_ZERO_CELSIUS_K, failed);
    cj_put_number(top, "air_C", plan->air_K - PC_ZERO_CELSIUS_K, failed);
    cj_put_number(top, "mold_C", plan->mold_K - PC_ZERO_CELSIUS_K, failed);
    cj_put_text(top, "total", pc_say(PC_SAY_MASS_BOTH, units, plan->resin_kg).s, failed);
    cj_put_bool(top, "feasible", plan->feasible, failed);
    cj_put_text(top, "do_not_pour", plan->do_not_pour, failed);
    cj_put_bool(top, "shop_changes", source->piece->shop.day_count > 0, failed);
    cj_put_number(top, "start_clock", plan->start_clock_s, failed);
    cj_put_number(top, "pace_error", source->pace_error, failed);
    cj_put_number(top, "pace_known", source->pace != NULL ? source->pace->ln_s : 0.0, failed);
    cj_put_bool(top, "rates_known", source->rates_known, failed);
}

json_t *page_data(const page_source *source) {
    const pc_schedule *plan = source->plan;
    bool failed = false;
    json_t *top = json_object(), *parts = json_array(), *steps = json_array();
    json_t *cautions = json_array();
    cj_put_count(top, "format", 1, &failed);
    put_head(top, source, &failed);
    put_made(top, source, &failed);
    put_film_mold(top, source, &failed);
    for (size_t p = 0; p < plan->part_count; p++)
        cj_push(parts, data_part(source, p, &failed), &failed);
    for (size_t i = 0; i < plan->step_count; i++)
        cj_push(steps, data_step(plan, plan->step[i], &failed), &failed);
    for (size_t i = 0; i < source->cautions->count; i++)
        cj_push(cautions, page_words(plan, source->cautions->item[i].text, 0, 0, &failed), &failed);
    cj_put(top, "parts", parts, &failed);
    cj_put(top, "steps", steps, &failed);
    cj_put(top, "warnings", data_warnings(plan, &failed), &failed);
    cj_put(top, "cautions", cautions, &failed);
    put_log(top, source, &failed);
    if (failed) {
        json_decref(top);
        return NULL;
    }
    return top;
}
