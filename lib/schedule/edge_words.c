/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "schedule/edge_words.h"

#include <string.h>

#include "base/text.h"
#include "piece/edges.h"
#include "pourclock/words.h"
#include "schedule/parts.h"

static void say_wires(const pc_piece *piece, size_t part, char *text, size_t size) {
    char names[160] = "";
    int count = 0;
    for (size_t k = 0; k < piece->pin_count && k < PC_PINS_MOST; k++) {
        size_t used = strlen(names);
        if (!pci_pin_is_of(piece, k, part))
            continue;
        pci_format(names + used, sizeof names - used, "%s%s", used > 0 ? ", " : "",
                   piece->pin[k].name);
        count += piece->pin[k].count;
    }
    text[0] = '\0';
    if (count > 0)
        pci_format(text, size, "Set %d wire%s (%s): roughened, clean and dry, clear of the wall",
                   count, count == 1 ? "" : "s", names);
}

void pci_say_ready(const pc_piece *piece, size_t part, char *text, size_t size) {
    pci_edge edge;
    say_wires(piece, part, text, size);
    size_t used = strlen(text);
    if (piece->part[part].turn_over)
        pci_format(
            text + used, size - used,
            "%sOnce what stands in the sprue, or is left in the cup, is firm: turn the mold over, "
            "clamped shut, and set it level",
            used > 0 ? ". " : "");
    used = strlen(text);
    if (piece->part[part].role == PC_ROLE_SEAM && pci_edge_of(piece, &piece->part[part], &edge))
        pci_format(text + used, size - used,
                   "%sPut %.40s and %.40s together: both edges keyed with coarse wet paper, wiped "
                   "clean and dry, clamped, one side of the joint taped%s",
                   used > 0 ? ". " : "", piece->part[edge.form[0]].name,
                   piece->part[edge.form[1]].name,
                   piece->part[part].laid ? "" : ", the joint level and its ends dammed with clay");
}

/* It rises from the lowest point, so that the air goes before it and out of the vents. */
static void say_filling(const pc_part *part, const pc_layer *layer, char *text, size_t size) {
    if (!(layer->trim_kg > 0.0))
        pci_copy_text(text, size, "Pour");
    else if (part->vents == 0)
        pci_copy_text(text, size, "Pour slowly into the sprue until it stands full");
    else
        pci_format(text, size, "Pour slowly %s until it stands in %s",
                   part->sprues > 0 ? "into the sprue, which leads to the lowest point,"
                                    : "at the lowest point",
                   part->vents > 1 ? "every vent" : "the vent");
}

void pci_say_pour(const pc_piece *piece, size_t part, const pc_layer *layer, char *text,
                  size_t size) {
    pci_edge edge;
    const pc_part *what = &piece->part[part];
    if (what->role == PC_ROLE_PLAIN || !pci_edge_of(piece, what, &edge)) {
        say_filling(what, layer, text, size);
        return;
    }
    pc_words length = pc_say_length(piece->units, edge.length_m);
    pc_words width = pc_say_length(piece->units, edge.width_m);
    pc_words depth = pc_say_length(piece->units, edge.depth_m);
    const char *word = what->laid ? "Lay" : "Pour";
    if (layer->number > 1)
        pci_format(text, size, "%s the next of it", word);
    else if (what->role == PC_ROLE_SEAM)
        pci_format(
            text, size,
            "%s it into the joint from its open side, %s long, %s wide, %s deep; wipe off what "
            "squeezes out",
            word, length.s, width.s, depth.s);
    else
        pci_format(text, size, "%s it along the edge%s, %s long, %s wide, %s thick", word,
                   what->laid ? "" : ", set level and dammed (tape or clay)", length.s, width.s, depth.s);
}
