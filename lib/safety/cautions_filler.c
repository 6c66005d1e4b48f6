/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The dust of a filler, by what it is. */
#include <string.h>

#include "safety/caution_list.h"

static bool has_word(const char *name, const char *const word[]) {
    for (size_t i = 0; word[i]; i++)
        if (strcasestr(name, word[i]))
            return true;
    return false;
}

/* What a name gives away, whatever the file says of its dust: silica and a powder that explodes are
 * never passed over. */
static pc_dust dust_of(const pc_filler *filler) {
    static const char *const silica[] = {"quartz", "silica", "sand",   "granite",      "slate",
                                         "flint",  "stone",  "cement", "cristobalite", NULL};
    static const char *const glassy[] = {"fumed", "amorphous", "colloidal", NULL};
    static const char *const explosive[] = {"aluminum", "aluminium", "magnesium", "titanium",
                                            "zinc",     "wood",      NULL};
    static const char *const inert[] = {"hydroxide", "trihydrate", "oxide", NULL};
    const char *name = filler->name;
    if (has_word(name, silica) && !has_word(name, glassy))
        return PC_DUST_SILICA;
    if (has_word(name, explosive) && !has_word(name, inert))
        return PC_DUST_COMBUSTIBLE;
    return (unsigned)filler->dust < PC_DUST_COUNT ? (pc_dust)filler->dust : PC_DUST_NUISANCE;
}

static const char *dust_text(pc_dust dust) {
    switch (dust) {
    case PC_DUST_SILICA:
        return "crystalline silica: its finest dust scars the lungs for good (silicosis) and "
               "causes "
               "lung cancer, and is not seen. NIOSH 0.05 mg/m3 of it. Where another filler serves "
               "use that; else under extraction, with the particulate respirator the safety data "
               "sheet names, and never sand or grind it dry.";
    case PC_DUST_METAL:
        return "metal powder: fine, it burns, and a cloud of it can explode; its dust is not "
               "breathed. No flame, spark or static; an extinguisher for metals (class D) or dry "
               "sand at hand, never water on burning metal.";
    case PC_DUST_COMBUSTIBLE:
        return "a cloud of its dust explodes at a spark: pour it slowly, vessels grounded, no "
               "flame, "
               "no switch, no vacuum cleaner that is not made for it. Damp metal powder gives off "
               "hydrogen: keep it dry. Extinguisher for metals (class D) or dry sand for metal, "
               "never water on burning metal.";
    case PC_DUST_GLASS:
        return "hollow glass: so light that a breath lifts it, and it stays in the air; broken, it "
               "is "
               "sharp dust. Scoop it below the rim, lid on, no draft, no dry sweeping.";
    case PC_DUST_FIBERS:
        return "fibers: they pierce skin, eyes and lungs: gloves, sleeves taped, goggles; carbon "
               "conducts: away from electrics.";
    case PC_DUST_NUISANCE:
    case PC_DUST_COUNT:
        break;
    }
    return "its dust is breathed while it is scooped, weighed and stirred: pour it slowly, no dry "
           "sweeping, no compressed air.";
}

void pci_cautions_of_filler(pci_caution_list *w, const pc_resin *mix) {
    if (!(mix->fill.parts > 0.0))
        return;
    pci_caution_add(
        w, "filler",
        "Filler (%.60s): %s Particulate respirator and goggles until it is wet. The heat "
        "is that of the mix: with less filler cup and wall get hotter.",
        mix->fill.of.name[0] ? mix->fill.of.name : "not named", dust_text(dust_of(&mix->fill.of)));
}
