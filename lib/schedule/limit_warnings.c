/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to say of limits that do not hold. */
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "pourclock/words.h"
#include "schedule/build.h"

static pc_words say_value(const pci_case *c, pci_limit_kind kind, double value) {
    pc_units units = c->piece->units;
    pc_words turns;
    switch (kind) {
    case PCI_LIMIT_PEAK:
        return pc_say_degrees(units, value);
    case PCI_LIMIT_POT_LIFE:
    case PCI_LIMIT_CURE:
        return pc_say_duration(value);
    case PCI_LIMIT_MIX:
        return pc_say_mass(value);
    case PCI_LIMIT_TURNS:
        pci_format(turns.s, sizeof turns.s, "%.1f", value);
        return turns;
    case PCI_LIMIT_NONE:
    case PCI_LIMIT_THIN:
    case PCI_LIMIT_FIRST:
    case PCI_LIMIT_DRAIN:
        break;
    }
    return pc_say_thickness(units, value);
}

/* What is a shade past its limit would read like it: "just under 0.8 mm, the least is 0.8 mm". */
static pc_words say_past(const pci_case *c, const pci_limit *limit) {
    pc_words is = say_value(c, limit->kind, limit->is),
             may = say_value(c, limit->kind, limit->may_be);
    if (strcmp(is.s, may.s) == 0)
        pci_format(is.s, sizeof is.s, "just %s %s", limit->is < limit->may_be ? "under" : "over",
                   may.s);
    return is;
}

static void say_limit(const pci_case *c, const pci_limit *limit, pc_warning *w) {
    pc_words past = say_past(c, limit), limits = say_value(c, limit->kind, limit->may_be);
    const char *is = past.s, *may = limits.s;
    const char *name = c->part->name;
    const char *word = pc_layer_word(c->part->kind);
    int layer = limit->layer;
    switch (limit->kind) {
    case PCI_LIMIT_PEAK:
        pci_format(w->text, sizeof w->text, "%s: %s %d peaks at %s, the limit is %s", name, word,
                   layer, is, may);
        break;
    case PCI_LIMIT_POT_LIFE:
        pci_format(w->text, sizeof w->text,
                   "%s: %s %d takes %s to mix and pour, 0.8 of its pot life is %s", name, word,
                   layer, is, may);
        break;
    case PCI_LIMIT_MIX:
        pci_format(w->text, sizeof w->text, "%s: %s %d needs %s in one cup, the largest mix is %s",
                   name, word, layer, is, may);
        break;
    case PCI_LIMIT_THIN:
        pci_format(w->text, sizeof w->text,
                   "%s: layer %d is %s thick, the minimum that covers is %s", name, layer, is, may);
        break;
    case PCI_LIMIT_FIRST:
        pci_format(w->text, sizeof w->text,
                   "%s: the first layer is %s thick, more than %s hides bubbles against the mold",
                   name, is, may);
        break;
    case PCI_LIMIT_TURNS:
        pci_format(w->text, sizeof w->text,
                   "%s: layer %d makes %s turns of the slower axis between set and gel, %.0f are "
                   "needed for an even wall",
                   name, layer, is, limit->may_be);
        break;
    case PCI_LIMIT_DRAIN:
        pci_format(w->text, sizeof w->text,
                   "%s: layer %d is to be %s thick, drained it keeps %s at %s", name, layer, is,
                   may, limit->is < limit->may_be ? "least" : "most");
        break;
    case PCI_LIMIT_CURE:
        pci_format(w->text, sizeof w->text, "%s does not cure within %s", name, may);
        break;
    case PCI_LIMIT_NONE:
        break;
    }
}

/* The worst of a kind stands for all of it. */
static const pci_limit *worst_of(const pci_limits *limits, pci_limit_kind kind) {
    const pci_limit *worst = NULL;
    for (size_t i = 0; i < limits->count; i++)
        if (limits->item[i].kind == kind && (!worst || limits->item[i].excess > worst->excess))
            worst = &limits->item[i];
    return worst;
}

pc_status pci_limit_warnings(const pci_case *c, double start_s, const pci_limits *limits,
                             pc_schedule *schedule) {
    if (limits->count == 0)
        return PC_OK;
    char remedy[sizeof((pc_warning *)0)->remedy];
    PCI_TRY(pci_remedies(c, start_s, limits, remedy, sizeof remedy));
    for (int kind = PCI_LIMIT_NONE + 1; kind <= PCI_LIMIT_CURE; kind++) {
        const pci_limit *limit = worst_of(limits, (pci_limit_kind)kind);
        if (!limit)
            continue;
        pc_warning *w = pci_add_warning(schedule, pci_limit_code(limit->kind), true);
        if (!w)
            return PC_E_MEMORY;
        say_limit(c, limit, w);
        pci_format(w->remedy, sizeof w->remedy, "%s", remedy);
    }
    return PC_OK;
}
