/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/edges.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/say.h"
#include "base/text.h"
#include "base/try.h"
#include "piece/molds.h"
#include "piece/piece_file.h"

/* Two edges that meet are as long as each other, by a tape measure (judgment). */
static const double SAME_LENGTH = 1.05;

/* ---- [seam NAME] and [rim NAME] ---- */

static const char OF_EDGE[] = "an edge is 1 mm to 100 m long";
static const char *const edge_words[] = {"pour", "lay", NULL};

const pci_field pci_seam_fields[PCI_EDGE_KEYS] = {
    PCI_TEXT_FIELD("joins", pc_part, joins),
    PCI_QUANTITY_FIELD("length", PC_LENGTH, pc_part, length_m, 1e-3, 100, OF_EDGE),
    PCI_QUANTITY_FIELD("width", PC_LENGTH, pc_part, width_m, 0.5e-3, 0.1,
                       "the gap between two halves is 0.5 to 100 mm wide"),
    PCI_QUANTITY_FIELD("depth", PC_LENGTH, pc_part, depth_m, 0.5e-3, PC_WALL_MOST_M,
                       "a joint is 0.5 to 500 mm deep"),
    PCI_WORD_FIELD("method", pc_part, laid, edge_words),
    PCI_TEXT_FIELD("resin", pc_part, resin),
    PCI_TEXT_FIELD("filler", pc_part, filler),
};

const pci_field pci_rim_fields[PCI_EDGE_KEYS] = {
    PCI_TEXT_FIELD("part", pc_part, joins),
    PCI_QUANTITY_FIELD("length", PC_LENGTH, pc_part, length_m, 1e-3, 100, OF_EDGE),
    PCI_QUANTITY_FIELD("width", PC_LENGTH, pc_part, width_m, 1e-3, 1,
                       "a rim reaches 1 mm to 1 m in from the edge"),
    PCI_QUANTITY_FIELD("thickness", PC_LENGTH, pc_part, depth_m, 0.5e-3, 0.1,
                       "a rim is 0.5 to 100 mm thick on its wall"),
    PCI_WORD_FIELD("method", pc_part, laid, edge_words),
    PCI_TEXT_FIELD("resin", pc_part, resin),
    PCI_TEXT_FIELD("filler", pc_part, filler),
};

/* ---- how large ---- */

static size_t forms_of(int role) {
    return role == PC_ROLE_SEAM ? 2 : role == PC_ROLE_RIM ? 1 : 0;
}

static const char *bare_name(const pc_part *part) {
    const char *space = strchr(part->name, ' ');
    return part->kind == PC_HOLLOW && space ? space + 1 : part->name;
}

static bool find_forms(const pc_piece *piece, const pc_part *part, pci_edge *edge) {
    const char *list = part->joins;
    char name[sizeof part->name];
    size_t wanted = forms_of(part->role);
    edge->form_count = 0;
    while (edge->form_count < wanted && pci_next_name(&list, name, sizeof name)) {
        size_t *form = &edge->form[edge->form_count];
        if (pci_parts_named(piece, name, form) != 1 || piece->part[*form].kind != PC_HOLLOW ||
            !piece->part[*form].open)
            return false;
        edge->form_count++;
    }
    return edge->form_count == wanted && wanted > 0 && !pci_next_name(&list, name, sizeof name);
}

/* fmax and fmin pass over a NaN. */
bool pci_edge_of(const pc_piece *piece, const pc_part *part, pci_edge *edge) {
    double edge_m = NAN, wall_m = NAN;
    *edge = (pci_edge){.form_count = 0};
    if (!find_forms(piece, part, edge))
        return false;
    for (size_t i = 0; i < edge->form_count; i++) {
        edge_m = fmax(edge_m, piece->part[edge->form[i]].edge_m);
        wall_m = fmin(wall_m, piece->part[edge->form[i]].wall_m);
    }
    bool seam = part->role == PC_ROLE_SEAM;
    edge->length_m = isnan(part->length_m) ? edge_m : part->length_m;
    edge->width_m = isnan(part->width_m) && seam ? PCI_SEAM_WIDTH_M : part->width_m;
    edge->depth_m = isnan(part->depth_m) && seam ? wall_m : part->depth_m;
    return edge->length_m > 0.0 && edge->width_m > 0.0 && edge->depth_m > 0.0;
}

/* ---- what is wrong with one ---- */

typedef struct settling {
    pc_piece *piece;
    const pci_ini *ini;
    pc_errors *errors;
} settling;

static pci_at place_of(const settling *s, const pc_part *part, const char *key) {
    char section[128];
    if (part->role == PC_ROLE_PLAIN) {
        pci_copy_text(section, sizeof section, part->name);
    } else {
        snprintf(section, sizeof section, "%s %s", pc_role_word(part->role), part->name);
    }
    for (size_t i = 0; s->ini && i < s->ini->sections; i++) {
        const char *name = pci_ini_section(s->ini, i);
        if (pci_same_word(name, section) || pci_same_word(name, part->name))
            return pci_ini_at(s->ini, name, key, s->errors);
    }
    return (pci_at){s->piece->path, 0, part->name, key, NULL, s->errors};
}

/* One of the names is not an open form's. */
static pc_status refuse_form(const settling *s, const pci_at *at, const char *name) {
    size_t form, count = pci_parts_named(s->piece, name, &form);
    if (count == 0)
        return pci_refuse(at, PC_E_VALUE,
                          "no part is called \"%.60s\": name one by its section, [hollow NAME]",
                          name);
    if (count > 1)
        return pci_refuse(at, PC_E_VALUE, "%zu parts go by \"%.60s\": give each a name of its own",
                          count, name);
    if (s->piece->part[form].kind != PC_HOLLOW || !s->piece->part[form].open)
        return pci_refuse(at, PC_E_VALUE,
                          "\"%.60s\" has no edge that is open: a seam joins two open halves, a rim "
                          "is of one ([hollow %.60s] with open = yes)",
                          name, name);
    return PC_OK;
}

static pc_status judge_forms(const settling *s, const pc_part *part) {
    bool seam = part->role == PC_ROLE_SEAM;
    pci_at at = place_of(s, part, seam ? "joins" : "part");
    const char *list = part->joins;
    char name[sizeof part->name];
    size_t count = 0, form[2] = {0, 0};
    while (pci_next_name(&list, name, sizeof name)) {
        PCI_TRY(refuse_form(s, &at, name));
        if (count < 2)
            pci_parts_named(s->piece, name, &form[count]);
        count++;
    }
    if (count != forms_of(part->role))
        return pci_refuse(&at, count == 0 ? PC_E_KEY : PC_E_VALUE,
                          seam ? "a seam joins two halves: write both, joins = front, back"
                               : "a rim is of one open form: write which, part = front");
    if (seam && form[0] == form[1])
        return pci_refuse(&at, PC_E_VALUE,
                          "a half is joined to another, not to itself: joins = front, back");
    return PC_OK;
}

static pc_status judge_sizes(const settling *s, const pc_part *part, const pci_edge *edge) {
    if (part->role == PC_ROLE_RIM && isnan(part->width_m)) {
        pci_at at = place_of(s, part, "width");
        return pci_refuse(&at, PC_E_KEY,
                          "missing: how far the rim reaches in from the edge, width = 15 mm");
    }
    if (part->role == PC_ROLE_RIM && isnan(part->depth_m)) {
        pci_at at = place_of(s, part, "thickness");
        return pci_refuse(&at, PC_E_KEY,
                          "missing: how thick the rim lies on its wall, thickness = 4 mm");
    }
    if (isnan(edge->depth_m)) {
        pci_at at = place_of(s, part, "depth");
        return pci_refuse(&at, PC_E_KEY, "missing: depth = 3 mm, or the wall of its halves");
    }
    pci_at at = place_of(s, part, "length");
    if (!(edge->length_m > 0.0))
        return pci_refuse(&at, PC_E_KEY,
                          "missing: length = 1200 mm, or seam = 1200 mm in [%s], which is the "
                          "length of its edge",
                          s->piece->part[edge->form[0]].name);
    double first_m = s->piece->part[edge->form[0]].edge_m;
    double other_m = s->piece->part[edge->form[edge->form_count - 1]].edge_m;
    double ratio = first_m > other_m ? first_m / other_m : other_m / first_m;
    if (isnan(part->length_m) && ratio > SAME_LENGTH) {
        at = place_of(s, &s->piece->part[edge->form[1]], "seam");
        return pci_refuse(&at, PC_E_VALUE,
                          "the edges of its two halves are %s and %s long and cannot meet: correct "
                          "one of the two, or state length",
                          pc_say_length(s->piece->units, first_m).s,
                          pc_say_length(s->piece->units, other_m).s);
    }
    return PC_OK;
}

/* ---- whether it fits its forms ---- */

/* A rim that reaches in farther, against its thickness, is a floor; one that stands higher, against
 * its width, a wall (judgment). */
static const double WIDE_MOST = 20.0, HIGH_MOST = 3.0;

static pc_status judge_length(const settling *s, const pc_part *part, const pci_edge *edge) {
    const pc_part *form = &s->piece->part[edge->form[0]];
    for (size_t i = 1; i < edge->form_count; i++) /* NaN: not stated */
        if (!(s->piece->part[edge->form[i]].edge_m <= form->edge_m))
            form = &s->piece->part[edge->form[i]];
    if (!(edge->length_m > SAME_LENGTH * form->edge_m))
        return PC_OK;
    pci_at at = place_of(s, part, "length");
    return pci_refuse(&at, PC_E_VALUE,
                      "%s is longer than the edge it lies along, %s (seam in [%s]): shorten it, or "
                      "correct the edge",
                      pc_say_length(s->piece->units, edge->length_m).s,
                      pc_say_length(s->piece->units, form->edge_m).s, form->name);
}

/* Of a form at its edge: the wall, and the thickest rim on it. */
static double edge_thickness(const pc_piece *piece, size_t form) {
    double rim_m = 0.0;
    pci_edge edge;
    for (size_t i = 0; i < piece->part_count; i++)
        if (piece->part[i].role == PC_ROLE_RIM && pci_edge_of(piece, &piece->part[i], &edge) &&
            edge.form[0] == form)
            rim_m = fmax(rim_m, edge.depth_m);
    return piece->part[form].wall_m + rim_m;
}

static pc_status judge_depth(const settling *s, const pc_part *part, const pci_edge *edge) {
    double most_m = fmax(edge_thickness(s->piece, edge->form[0]), /* passes over NaN */
                         edge_thickness(s->piece, edge->form[1]));
    if (!(edge->depth_m > most_m * (1.0 + 1e-9)))
        return PC_OK;
    pci_at at = place_of(s, part, "depth");
    return pci_refuse(&at, PC_E_VALUE,
                      "%s is deeper than the wall it joins, %s at its edge: leave out depth, or "
                      "correct one of the two",
                      pc_say_length(s->piece->units, edge->depth_m).s,
                      pc_say_length(s->piece->units, most_m).s);
}

static pc_status judge_band(const settling *s, const pc_part *part, const pci_edge *edge) {
    double form_m2 = s->piece->part[edge->form[0]].shape.area_m2;
    pc_words width = pc_say_length(s->piece->units, edge->width_m);
    pc_words thickness = pc_say_length(s->piece->units, edge->depth_m);
    pci_at of_width = place_of(s, part, "width"), of_height = place_of(s, part, "thickness");
    if (edge->width_m > WIDE_MOST * edge->depth_m)
        return pci_refuse(&of_width, PC_E_VALUE,
                          "%s is more than %g times the rim's thickness, %s: check both and their "
                          "units; a floor is a part of its own, [solid NAME]",
                          width.s, WIDE_MOST, thickness.s);
    if (edge->width_m * edge->length_m > form_m2)
        return pci_refuse(&of_width, PC_E_VALUE,
                          "a rim %s wide covers more than all of its form: check its width and "
                          "length, and their units",
                          width.s);
    if (edge->depth_m > HIGH_MOST * edge->width_m)
        return pci_refuse(
            &of_height, PC_E_VALUE,
            "%s is more than %g times the rim's width, %s: check both and their units", thickness.s,
            HIGH_MOST, width.s);
    return PC_OK;
}

static pc_status judge_fit(const settling *s, const pc_part *part, const pci_edge *edge) {
    PCI_TRY(judge_length(s, part, edge));
    return part->role == PC_ROLE_SEAM ? judge_depth(s, part, edge) : judge_band(s, part, edge);
}

/* ---- making it ---- */

/* Heat leaves a seam through both edges, a rim through its wall alone. */
static pc_status shape_edge(const settling *s, pc_part *part, const pci_edge *edge) {
    bool seam = part->role == PC_ROLE_SEAM;
    double across_m = seam ? 2.0 * edge->depth_m : edge->width_m;
    double volume_m3 = edge->length_m * edge->width_m * edge->depth_m;
    pc_shape shape = {0};
    pci_at at = place_of(s, part, "length");
    if (!(volume_m3 >= 1e-9) || pc_shape_flat(edge->length_m * across_m, &shape) != PC_OK)
        return pci_refuse(&at, PC_E_VALUE,
                          "this is less than 1 mm3 of resin: check the sizes and their units");
    shape.volume_m3 = volume_m3;
    pc_shape_free(&part->shape);
    part->shape = shape;
    part->volume_m3 = volume_m3;
    part->form = PC_SLAB;
    return PC_OK;
}

/* A rim is poured into the mold of its form, which has a name of its own from then on. */
static void share_mold(pc_piece *piece, pc_part *rim, pc_part *form) {
    if (!form->mold[0]) {
        const char *name = bare_name(form);
        for (size_t i = 0; i < piece->part_count; i++)
            if (pci_same_word(piece->part[i].mold, bare_name(form)))
                name = form->name;
        pci_copy_text(form->mold, sizeof form->mold, name);
    }
    pci_copy_text(rim->mold, sizeof rim->mold, form->mold);
}

static pc_status settle_edge(const settling *s, pc_part *part) {
    pci_edge edge;
    PCI_TRY(judge_forms(s, part));
    if (!pci_edge_of(s->piece, part, &edge) || part->role == PC_ROLE_SEAM)
        PCI_TRY(judge_sizes(s, part, &edge));
    PCI_TRY(judge_fit(s, part, &edge));
    PCI_TRY(shape_edge(s, part, &edge));
    pci_copy_text(part->after, sizeof part->after, part->joins);
    if (part->role == PC_ROLE_RIM)
        share_mold(s->piece, part, &s->piece->part[edge.form[0]]);
    return PC_OK;
}

/* ---- a seam that only the edge of its halves speaks of ---- */

static const pc_part *unjoined_edge(const pc_piece *piece, bool *taken) {
    const pc_part *edge = NULL;
    *taken = false;
    for (size_t i = 0; i < piece->part_count; i++) {
        const pc_part *part = &piece->part[i];
        *taken = *taken || part->role != PC_ROLE_PLAIN;
        if (part->kind == PC_HOLLOW && part->edge_m > 0.0)
            edge = part;
        if (part->role == PC_ROLE_SEAM)
            return NULL;
    }
    return edge;
}

static pc_status refuse_edge(const settling *s, const pc_part *part, size_t open_forms) {
    pci_at at = place_of(s, part, "seam");
    if (!part->open)
        return pci_refuse(&at, PC_E_KEY,
                          "a seam is the edge of an open half: add open = yes, or drop it");
    if (open_forms < 2)
        return pci_refuse(&at, PC_E_KEY,
                          "this edge meets no other: add its other half, [hollow NAME] with open = "
                          "yes, or drop it");
    if (open_forms > 2)
        return pci_refuse(&at, PC_E_KEY,
                          "%zu forms are open: say which two meet, [seam NAME] with joins = front, "
                          "back",
                          open_forms);
    return pci_refuse(&at, PC_E_SIZE, "its seam would be one part more than %d", PC_PARTS_MOST);
}

static pc_status add_seam(const settling *s) {
    pc_piece *piece = s->piece;
    size_t open[2] = {0, 0}, count = 0;
    bool taken;
    const pc_part *edge = unjoined_edge(piece, &taken);
    if (!edge)
        return PC_OK;
    for (size_t i = 0; i < piece->part_count; i++)
        if (piece->part[i].kind == PC_HOLLOW && piece->part[i].open && count++ < 2)
            open[count - 1] = i;
    if (edge->open && count == 1 && taken) /* it is the length of a rim */
        return PC_OK;
    if (!edge->open || count != 2 || piece->part_count == PC_PARTS_MOST)
        return refuse_edge(s, edge, count);
    pc_part *seam = &piece->part[piece->part_count++];
    pci_part_defaults(PC_SOLID, seam);
    seam->role = PC_ROLE_SEAM;
    seam->laid = 1;
    pci_copy_text(seam->name, sizeof seam->name, "seam");
    snprintf(seam->joins, sizeof seam->joins, "%s, %s", bare_name(&piece->part[open[0]]),
             bare_name(&piece->part[open[1]]));
    return PC_OK;
}

pc_status pci_edges_settle(pc_piece *piece, const pci_ini *ini, pc_errors *errors) {
    const settling s = {piece, ini, errors};
    pc_status status = add_seam(&s);
    for (size_t i = 0; i < piece->part_count; i++) {
        const pc_part *part = &piece->part[i];
        if (part->kind == PC_HOLLOW && !part->open && part->edge_m > 0.0 && status == PC_OK)
            status = refuse_edge(&s, part, 0);
        if (part->role != PC_ROLE_PLAIN)
            status = pci_first(status, settle_edge(&s, &piece->part[i]));
    }
    return status;
}
