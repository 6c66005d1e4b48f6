/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a log says has happened, and the fingerprint that ties a log to its piece. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "pourclock/bench.h"

#include "base/text.h"

static uint64_t mix_text(uint64_t hash, const char *text) {
    /* The NUL is mixed in too, so that neighbors cannot trade letters. */
    for (const unsigned char *at = (const unsigned char *)text;; at++) {
        hash = (hash ^ *at) * 1099511628211ULL;
        if (*at == '\0')
            return hash;
    }
}

static uint64_t mix_numbers(uint64_t hash, size_t count, const double *number) {
    char text[40];
    for (size_t i = 0; i < count; i++) {
        /* A NaN may print with a sign, which says nothing. */
        pci_format(text, sizeof text, "%.9g", isnan(number[i]) ? fabs(number[i]) : number[i]);
        hash = mix_text(hash, text);
    }
    return hash;
}

uint64_t pc_piece_fingerprint(const pc_piece *piece) {
    uint64_t hash = 14695981039346656037ULL;
    if (piece == NULL)
        return 0;
    const pc_resin *resin = &piece->resin;
    const pc_data_sheet *sheet = &resin->sheet;
    hash = mix_text(mix_text(hash, piece->name), resin->name);
    double of_resin[] = {(double)resin->family, resin->density_kg_m3, resin->share_a,
                         resin->catalyst.level};
    hash = mix_numbers(hash, sizeof of_resin / sizeof *of_resin, of_resin);
    for (size_t i = 0; i < sheet->count && i < PC_DATA_MOST; i++)
        hash = mix_numbers(hash, 1, &sheet->datum[i].value);
    double of_shop[] = {
        piece->shop.air_K,          piece->shop.resin_K,        piece->shop.mold_K,
        piece->shop.mix_time_s,     piece->shop.pour_time_s,    piece->shop.largest_mix_kg,
        piece->shop.cup_loss,       piece->mold.rubber_m,       piece->mold.shell_m,
        piece->turning.outer_rad_s, piece->turning.inner_rad_s, (double)piece->turning.method};
    hash = mix_numbers(hash, sizeof of_shop / sizeof *of_shop, of_shop);
    for (size_t p = 0; p < piece->part_count && p < PC_PARTS_MOST; p++) {
        const pc_part *part = &piece->part[p];
        double of_part[] = {(double)part->kind, part->shape.area_m2,        part->wall_m,
                            part->volume_m3,    (double)part->layers_asked, part->first_layer_m};
        hash = mix_numbers(mix_text(hash, part->name), sizeof of_part / sizeof *of_part, of_part);
        if (part->mold[0])
            hash = mix_text(mix_text(hash, part->mold), part->after);
    }
    for (size_t k = 0; k < piece->pin_count && k < PC_PINS_MOST; k++)
        hash = mix_text(mix_text(hash, piece->pin[k].name), piece->pin[k].part);
    return hash;
}

static void blank(pc_actual *actual) {
    for (size_t p = 0; p < PC_PARTS_MOST; p++) {
        actual->set_s[p] = actual->demold_s[p] = NAN;
        actual->demold_late_s[p] = 0.0;
        for (size_t j = 0; j < PC_LAYERS_MOST; j++)
            actual->layer[p][j] = (pc_actual_layer){NAN, NAN, NAN, NAN, NAN, 0.0, 0};
    }
}

/* Whether a later line takes this one back. An undo can itself be undone. */
static bool taken_back(const pc_event *const *events, size_t count, size_t index) {
    for (size_t i = count; i-- > index + 1;)
        if (events[i] != NULL && events[i]->kind == PC_EVENT_UNDO &&
            events[i]->value == (double)events[index]->number && !taken_back(events, count, i))
            return true;
    return false;
}

static void apply_layer(pc_actual_layer *layer, const pc_event *event, double at_s) {
    switch (event->kind) {
    case PC_EVENT_MIX:
        layer->mix_s = at_s;
        layer->pour_end_s = NAN;
        break;
    case PC_EVENT_POUR:
        layer->pour_end_s = at_s;
        break;
    case PC_EVENT_TURN:
        layer->turn_s = at_s;
        break;
    case PC_EVENT_STOP:
        layer->stop_s = at_s;
        break;
    case PC_EVENT_GEL:
        layer->gel_s = at_s;
        break;
    case PC_EVENT_LATE:
        layer->late_s += isfinite(event->value) ? event->value : 0.0;
        break;
    case PC_EVENT_DISCARD:
        layer->mix_s = layer->pour_end_s = NAN;
        layer->discarded++;
        break;
    case PC_EVENT_START:
    case PC_EVENT_PLAN:
    case PC_EVENT_SET:
    case PC_EVENT_CUP_GEL:
    case PC_EVENT_DEMOLD:
    case PC_EVENT_NOTE:
    case PC_EVENT_UNDO:
    case PC_EVENT_RESUME:
    case PC_EVENT_SUSPEND:
    case PC_EVENT_CLOCK:
    case PC_EVENT_DAMAGE:
    case PC_EVENT_END:
    case PC_EVENT_KIND_COUNT:
        break;
    }
}

void pc_actual_from_events(const pc_event *const *events, size_t count, pc_actual *actual,
                           int64_t *first_mix_ms) {
    if (actual == NULL || first_mix_ms == NULL || (events == NULL && count > 0))
        return;
    blank(actual);
    *first_mix_ms = -1;
    for (size_t i = 0; i < count; i++) {
        const pc_event *event = events[i];
        if (event == NULL || event->kind == PC_EVENT_UNDO || taken_back(events, count, i))
            continue;
        if (event->kind == PC_EVENT_MIX && *first_mix_ms < 0)
            *first_mix_ms = event->elapsed_ms;
        double zero_ms = *first_mix_ms < 0 ? 0.0 : (double)*first_mix_ms;
        double at_s = ((double)event->elapsed_ms - zero_ms) / 1000.0;
        if (event->part < 0 || event->part >= PC_PARTS_MOST)
            continue;
        if (event->kind == PC_EVENT_SET)
            actual->set_s[event->part] = at_s;
        if (event->kind == PC_EVENT_DEMOLD)
            actual->demold_s[event->part] = at_s;
        if (event->kind == PC_EVENT_LATE && event->layer == 0)
            actual->demold_late_s[event->part] += isfinite(event->value) ? event->value : 0.0;
        if (event->layer >= 1 && event->layer <= PC_LAYERS_MOST)
            apply_layer(&actual->layer[event->part][event->layer - 1], event, at_s);
    }
}
