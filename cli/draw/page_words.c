/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words for the page in which no clock is written: a time of the plan is named where it stands, so
 * that the page can say it of the plan as it has moved by then. */
#include "config.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "draw/page.h"
#include "draw/page_json.h"
#include "pourclock.h"

enum { NAMES_MOST = 12, TEXT_MOST = 1024 };

/* A time of a layer, by the name the page has for it, in whole seconds as it is written. */
struct named_second {
    const char *name;
    double at_s;
};

/* Where in the plan a text looks for its times first. */
struct place {
    size_t part, layer; /* layer from 0 */
};

static double safe(double early_s, double nominal_s) {
    return isnan(early_s) ? nominal_s : early_s;
}

static struct named_second by(const char *name, double at_s) {
    return (struct named_second){name, floor(at_s + 1e-6)};
}

static struct named_second from(const char *name, double at_s) {
    return (struct named_second){name, ceil(at_s - 1e-6)};
}

static size_t name_seconds(const pc_part_plan *part, size_t j,
                           struct named_second second[NAMES_MOST]) {
    const pc_layer *layer = part->layer[j];
    const struct named_second all[] = {
        by("deadline", pc_pour_deadline(part, j)),
        from("stop", layer->stop_s),
        by("set", safe(layer->set_early_s, layer->set_s)),
        by("drain", layer->drain_s),
        by("closes", pc_bond_deadline(layer)),
        from("demold", safe(part->demold_late_s, part->demold_s)),
        from("gel", layer->gel_s),
        from("mix", layer->mix_s),
        from("end", layer->pour_end_s),
        by("by", page_pot_deadline(layer)),
        by("closesAlone", layer->closes_alone_s),
    };
    memcpy(second, all, sizeof all);
    return sizeof all / sizeof *all;
}

static json_t *named(const char *name, struct place place, bool *failed) {
    json_t *word = json_object();
    cj_put_text(word, "at", name, failed);
    cj_put_count(word, "part", (long)place.part, failed);
    cj_put_count(word, "layer", (long)place.layer, failed);
    return word;
}

/* The time of a layer that a clock of this length says; NULL: none. */
static json_t *time_of(const pc_schedule *plan, struct place place, const char *clock,
                       size_t length, bool *failed) {
    struct named_second second[NAMES_MOST];
    const pc_part_plan *part = plan->part[place.part];
    size_t count = place.layer < part->layer_count ? name_seconds(part, place.layer, second) : 0;
    for (size_t k = 0; k < count; k++) {
        pc_words written = pc_say_clock(plan->start_clock_s, second[k].at_s, PC_CLOCK_NEAREST);
        if (isfinite(second[k].at_s) && strlen(written.s) == length &&
            strncmp(written.s, clock, length) == 0)
            return named(second[k].name, place, failed);
    }
    return NULL;
}

static double two_digits(const char *text) {
    return 10.0 * (text[0] - '0') + (text[1] - '0');
}

/* Length of the clock that begins here, "09:00:00" or "+1d 09:00:00"; 0: none does. */
static size_t clock_at(const char *text, double *clock_s) {
    static const char form[] = "dd:dd:dd";
    const char *at = text;
    double day = 0.0;
    if ((*at == '+' || *at == '-') && isdigit((unsigned char)at[1])) {
        char *end;
        day = strtod(at, &end);
        if (strncmp(end, "d ", 2) != 0)
            return 0;
        at = end + 2;
    }
    for (size_t i = 0; form[i] != '\0'; i++)
        if (form[i] == 'd' ? !isdigit((unsigned char)at[i]) : at[i] != form[i])
            return 0;
    *clock_s =
        PC_DAY_S * day + 3600.0 * two_digits(at) + 60.0 * two_digits(at + 3) + two_digits(at + 6);
    return (size_t)(at - text) + sizeof form - 1;
}

/* Of the layer a text is about, the one poured on it, then of any; else from the first mix. */
static json_t *word_of(const pc_schedule *plan, struct place place, const char *clock,
                       size_t length, double clock_s, bool *failed) {
    struct place next = {place.part, place.layer + 1};
    json_t *word = time_of(plan, place, clock, length, failed);
    if (word == NULL)
        word = time_of(plan, next, clock, length, failed);
    for (size_t p = 0; word == NULL && p < plan->part_count; p++)
        for (size_t j = 0; word == NULL && j < plan->part[p]->layer_count; j++)
            word = time_of(plan, (struct place){p, j}, clock, length, failed);
    if (word == NULL) {
        word = json_object();
        cj_put_number(word, "after", clock_s - plan->start_clock_s, failed);
    }
    return word;
}

static void push_text(json_t *words, const char *text, size_t length, bool *failed) {
    char piece[TEXT_MOST], clean[TEXT_MOST];
    if (length == 0)
        return;
    snprintf(piece, sizeof piece, "%.*s", (int)length, text);
    pc_text_clean(piece, clean, sizeof clean);
    cj_push(words, cj_text(clean), failed);
}

json_t *page_words(const pc_schedule *plan, const char *text, size_t part, int layer,
                   bool *failed) {
    size_t layers = part < plan->part_count ? plan->part[part]->layer_count : 0;
    struct place place = {layers > 0 ? part : 0, layer > 0    ? (size_t)layer - 1
                                                 : layers > 0 ? layers - 1
                                                              : 0};
    json_t *words = json_array();
    const char *begin = text;
    for (const char *at = text; plan->part_count > 0 && *at != '\0';) {
        double clock_s;
        size_t length = clock_at(at, &clock_s);
        if (length == 0) {
            at++;
            continue;
        }
        push_text(words, begin, (size_t)(at - begin), failed);
        cj_push(words, word_of(plan, place, at, length, clock_s, failed), failed);
        begin = at += length;
    }
    push_text(words, begin, strlen(begin), failed);
    return words;
}
