/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What to say of limits that do not hold. */
#include <math.h>
#include <stdio.h>

#include "base/text.h"
#include "base/try.h"
#include "pourclock/words.h"
#include "schedule/build.h"

static void say_limit(const pci_case *c, const pci_limit *limit, pc_warning *w) {
    pc_units units = c->piece->units;
    const char *name = c->part->name;
    const char *word = pc_layer_word(c->part->kind);
    int layer = limit->layer;
    switch (limit->kind) {
    case PCI_LIMIT_PEAK:
        pci_format(w->text, sizeof w->text, "%s: %s %d peaks at %s, the limit is %s", name, word,
                   layer, pc_say_degrees(units, limit->is).s,
                   pc_say_degrees(units, limit->may_be).s);
        break;
    case PCI_LIMIT_POT_LIFE:
        pci_format(w->text, sizeof w->text,
                   "%s: %s %d takes %s to mix and pour, 0.8 of its pot life is %s", name, word,
                   layer, pc_say_duration(limit->is).s, pc_say_duration(limit->may_be).s);
        break;
    case PCI_LIMIT_MIX:
        pci_format(w->text, sizeof w->text, "%s: %s %d needs %s in one cup, the largest mix is %s",
                   name, word, layer, pc_say_mass(limit->is).s, pc_say_mass(limit->may_be).s);
        break;
    case PCI_LIMIT_THIN:
        pci_format(w->text, sizeof w->text, "%s: layer %d is %s thin, the least that covers is %s",
                   name, layer, pc_say_thickness(units, limit->is).s,
                   pc_say_thickness(units, limit->may_be).s);
        break;
    case PCI_LIMIT_FIRST:
        pci_format(w->text, sizeof w->text,
                   "%s: the first layer is %s thick, more than %s hides bubbles against the mold",
                   name, pc_say_thickness(units, limit->is).s,
                   pc_say_thickness(units, limit->may_be).s);
        break;
    case PCI_LIMIT_TURNS:
        pci_format(w->text, sizeof w->text,
                   "%s: layer %d makes %.1f turns of the slower axis between set and gel, %.0f are "
                   "needed for an even wall",
                   name, layer, limit->is, limit->may_be);
        break;
    case PCI_LIMIT_DRAIN:
        pci_format(w->text, sizeof w->text,
                   "%s: layer %d is to be %s thick, drained it keeps %s at %s", name, layer,
                   pc_say_thickness(units, limit->is).s, pc_say_thickness(units, limit->may_be).s,
                   limit->is < limit->may_be ? "least" : "most");
        break;
    case PCI_LIMIT_CURE:
        pci_format(w->text, sizeof w->text, "%s does not cure within %s", name,
                   pc_say_duration(limit->may_be).s);
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
    char remedy[sizeof schedule->warning->remedy];
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
