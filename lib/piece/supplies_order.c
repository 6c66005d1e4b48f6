/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading of [supplies], [strength], [pin NAME], and of price lists. */
#include "piece/supplies_order.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/csv.h"
#include "piece/metals.h"
#include "pourclock/shape.h"

#define COUNT(table) (sizeof(table) / sizeof *(table))

static const char *const supply_words[] = {
#define WORD_(name, word) word,
    PC_SUPPLY_TABLE(WORD_) NULL
#undef WORD_
};

void pci_order_defaults(pc_order *order) {
    *order = (pc_order){
        .castings = 1,
        .loss = 0.05,
        .way = PC_BLANKET,
        .box_m3 = NAN,
        .rubber_loss = 0.10,
        .rubber_kg_m3 = NAN,
        .shell_kg_m3 = NAN,
        .shell_loss = 0.10,
        .shell_halves = 2,
        .flange_m = 0.025,
        .release_m = 5e-5,
        .day_s = 8 * 3600,
        .thumb_N = PC_THUMB_N,
        .thumb_radius_m = PC_THUMB_RADIUS_M,
        .flat_m = NAN,
        .resin_strength_Pa = NAN,
        .resin_modulus_Pa = NAN,
        .handling_N = PC_HANDLING_N,
    };
}

/* "200 x 150 x 300 mm", or a solid named as in shape =. */
static pc_status box(const pci_at *at, void *record) {
    pc_order *order = record;
    char text[256], why[256];
    bool bare = pci_is_digit(at->value[0]);
    int n = snprintf(text, sizeof text, "%s%s", bare ? "box " : "", at->value);
    if (n < 0 || (size_t)n >= sizeof text)
        return pci_refuse(at, PC_E_SIZE, "too long");
    pc_shape shape = {0};
    pc_status status = pc_shape_parse(text, &shape, why, sizeof why);
    if (status != PC_OK)
        return pci_refuse(at, status, "%s", why);
    order->box_m3 = shape.volume_m3;
    pc_shape_free(&shape);
    return PC_OK;
}

static const char *const way_words[] = {"blanket", "poured", NULL};

static const pci_field supplies_fields[] = {
    PCI_WHOLE_FIELD("castings", pc_order, castings, 1, 10000, "a whole number, 1 to 10000"),
    PCI_QUANTITY_FIELD("loss", PC_SHARE, pc_order, loss, 0, 0.5, "a loss of 0 % to 50 %"),
    PCI_WORD_FIELD("mold", pc_order, way, way_words),
    PCI_OWN_FIELD("box", box),
    PCI_QUANTITY_FIELD("chunks", PC_SHARE, pc_order, chunks, 0, 0.6,
                       "chunks take 0 % to 60 % of the rubber's room (30 % is the safe practice)"),
    PCI_QUANTITY_FIELD("rubber_loss", PC_SHARE, pc_order, rubber_loss, 0, 0.5,
                       "a loss of 0 % to 50 %"),
    PCI_ABOVE_FIELD("rubber_density", PC_DENSITY, pc_order, rubber_kg_m3, 0, 5000,
                    "rubber weighs up to 5 g/cm3"),
    PCI_ABOVE_FIELD("shell_density", PC_DENSITY, pc_order, shell_kg_m3, 0, 5000,
                    "a shell weighs up to 5 g/cm3"),
    PCI_QUANTITY_FIELD("shell_loss", PC_SHARE, pc_order, shell_loss, 0, 0.5,
                       "a loss of 0 % to 50 %"),
    PCI_WHOLE_FIELD("shell_parts", pc_order, shell_halves, 1, 20, "a whole number, 1 to 20"),
    PCI_QUANTITY_FIELD("flange", PC_LENGTH, pc_order, flange_m, 0, 0.3,
                       "a flange is 0 mm to 300 mm wide"),
    PCI_QUANTITY_FIELD("release_film", PC_LENGTH, pc_order, release_m, 0, 0.002,
                       "a film of release is 0 mm to 2 mm thick"),
    PCI_ABOVE_FIELD("day", PC_TIME, pc_order, day_s, 0, PC_DAY_S,
                    "a day has more than 0 h, up to 24"),
};

static const pci_field strength_fields[] = {
    PCI_ABOVE_FIELD("thumb", PC_FORCE, pc_order, thumb_N, 0, 1e5, "a press of up to 100 kN"),
    PCI_ABOVE_FIELD("thumb_radius", PC_LENGTH, pc_order, thumb_radius_m, 0, 0.1,
                    "a patch of up to 100 mm"),
    PCI_ABOVE_FIELD("flat", PC_LENGTH, pc_order, flat_m, 0, 5, "a flat place up to 5 m across"),
    PCI_ABOVE_FIELD("resin_strength", PC_STRESS, pc_order, resin_strength_Pa, 0, 1e9,
                    "a strength of up to 1 GPa"),
    PCI_ABOVE_FIELD("resin_modulus", PC_STRESS, pc_order, resin_modulus_Pa, 0, 1e11,
                    "a modulus of up to 100 GPa"),
    PCI_QUANTITY_FIELD("handling", PC_FORCE, pc_order, handling_N, 0, 1e5,
                       "a load of up to 100 kN"),
};

static pc_status metal(const pci_at *at, void *record) {
    pc_joint *pin = record;
    char list[200] = "";
    size_t used = 0;
    const pc_metal *found = pci_metal_find(at->value), *one;
    if (found && isfinite(found->E_Pa)) {
        pin->metal = found;
        return PC_OK;
    }
    for (size_t i = 0; (one = pci_metal_at(i)) && isfinite(one->E_Pa) && used < sizeof list; i++)
        used += (size_t)snprintf(list + used, sizeof list - used, "%s%s", i ? ", " : "", one->name);
    return pci_refuse(at, PC_E_VALUE, "not a metal of pins; known: %s", list);
}

static const pci_field pin_fields[] = {
    PCI_TEXT_FIELD("part", pc_joint, part),
    PCI_WHOLE_FIELD("count", pc_joint, count, 1, 100, "a whole number, 1 to 100"),
    PCI_ABOVE_FIELD("wire", PC_LENGTH, pc_joint, wire_m, 1e-5, 0.1,
                    "a wire of more than 0.01 mm, up to 100 mm"),
    PCI_ABOVE_FIELD("free", PC_LENGTH, pc_joint, free_m, 1e-5, 2,
                    "a free length of more than 0.01 mm, up to 2 m"),
    PCI_ABOVE_FIELD("socket", PC_LENGTH, pc_joint, socket_m, 1e-5, 1,
                    "a socket more than 0.01 mm, up to 1 m deep"),
    PCI_ABOVE_FIELD("leg", PC_LENGTH, pc_joint, leg_m, 1e-5, 2,
                    "a leg more than 0.01 mm, up to 2 m thick"),
    PCI_OWN_FIELD("metal", metal),
};

static bool is_pin(const char *name) {
    char word[4] = {name[0], name[0] ? name[1] : 0, name[0] && name[1] ? name[2] : 0, 0};
    return pci_same_word(word, "pin") && (name[3] == ' ' || name[3] == '\0');
}

bool pci_order_section_is(const char *name) {
    return pci_same_word(name, "supplies") || pci_same_word(name, "strength") || is_pin(name);
}

static pc_status missing(const pci_ini *ini, const char *section, const char *key, const char *text,
                         pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, key, errors);
    return pci_refuse(&at, PC_E_KEY, "missing: %s", text);
}

static pc_status read_pin(const pci_ini *ini, const char *section, pc_order *order,
                          pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, NULL, errors);
    if (order->pin_count == PC_PINS_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d pins", PC_PINS_MOST);
    pc_joint *pin = &order->pin[order->pin_count++];
    *pin = (pc_joint){.count = 1, .wire_m = NAN, .free_m = NAN, .socket_m = NAN, .leg_m = NAN};
    pin->metal = pci_metal_find("steel");
    pci_copy_text(pin->name, sizeof pin->name, section);
    PCI_TRY(pci_fields_read(ini, section, pin_fields, COUNT(pin_fields), pin, errors));
    pc_status status = PC_OK;
    if (isnan(pin->leg_m))
        status = missing(ini, section, "leg",
                         "the thickness of the leg around the wire, as leg = 20 mm", errors);
    if (status == PC_OK && isnan(pin->free_m))
        status = missing(ini, section, "free",
                         "the wire's length between its sockets, as free = 5 mm", errors);
    return status;
}

pc_status pci_order_section(const pci_ini *ini, const char *section, pc_order *order,
                            pc_errors *errors) {
    if (is_pin(section))
        return read_pin(ini, section, order, errors);
    if (pci_same_word(section, "supplies"))
        return pci_fields_read(ini, section, supplies_fields, COUNT(supplies_fields), order,
                               errors);
    return pci_fields_read(ini, section, strength_fields, COUNT(strength_fields), order, errors);
}

pc_status pc_order_read(const char *path, pc_order *order, pc_errors *errors) {
    if (!path || !order)
        return PC_E_ARGUMENT;
    pci_order_defaults(order);
    if (!path[0] || strcmp(path, "-") == 0)
        return PC_OK;
    pci_ini *ini = NULL;
    pc_status status = pci_ini_read(path, &ini, errors);
    for (size_t s = 0; ini && s < ini->sections; s++) {
        const char *section = pci_ini_section(ini, s);
        if (pci_order_section_is(section))
            status = pci_first(status, pci_order_section(ini, section, order, errors));
    }
    pci_ini_free(ini);
    return status;
}

typedef struct columns {
    long item, name, part_a, part_b, price, resin;
} columns;

static const char *cell(const pci_csv *csv, size_t row, long column) {
    return column < 0 ? "" : pci_csv_cell(csv, row, (size_t)column);
}

/* An amount more than nothing; an empty part B is none. */
static pc_status amount(pci_at *at, const char *key, const char *text, pc_supply item,
                        double *value) {
    at->key = key;
    at->value = text;
    pc_status status =
        pci_read_quantity(at, text, item == PC_SUPPLY_WIRE ? PC_LENGTH : PC_MASS, value);
    if (status == PC_OK && !(*value > 0))
        status = pci_refuse(at, PC_E_VALUE, "a kit holds more than nothing");
    return status;
}

static pc_status read_kit(const pci_csv *csv, const columns *at_column, size_t row, pc_kit *kit,
                          pc_errors *errors) {
    pci_at at = {csv->file, csv->line[row], NULL, "item", cell(csv, row, at_column->item), errors};
    int item = 0;
    while (item < PC_SUPPLY_COUNT && !pci_same_word(supply_words[item], at.value))
        item++;
    if (item == PC_SUPPLY_COUNT) {
        const char *near = pci_nearest_word(at.value, supply_words);
        return pci_refuse(&at, PC_E_KEY,
                          "unknown item%s%s%s; known: resin, rubber, shell, release, wire",
                          near ? ", did you mean " : "", near ? near : "", near ? "?" : "");
    }
    *kit = (pc_kit){.item = (pc_supply)item, .line = csv->line[row]};
    pci_copy_text(kit->name, sizeof kit->name, cell(csv, row, at_column->name));
    pci_copy_text(kit->resin, sizeof kit->resin, cell(csv, row, at_column->resin));
    if (kit->resin[0] && kit->item != PC_SUPPLY_RESIN) {
        at.key = "resin";
        at.value = kit->resin;
        return pci_refuse(&at, PC_E_VALUE, "only a kit of resin is of a resin: leave it empty");
    }
    pc_status status =
        amount(&at, "part_a", cell(csv, row, at_column->part_a), kit->item, &kit->part_a);
    const char *b = cell(csv, row, at_column->part_b);
    if (b[0])
        status = pci_first(status, amount(&at, "part_b", b, kit->item, &kit->part_b));
    else if (kit->item == PC_SUPPLY_RESIN)
        status = pci_first(status, pci_refuse(&at, PC_E_VALUE, "a resin kit has a part_b as well"));
    at.key = "price";
    at.value = cell(csv, row, at_column->price);
    pc_status read = pci_read_quantity(&at, at.value, PC_NUMBER, &kit->price);
    if (read == PC_OK && !(kit->price >= 0))
        read = pci_refuse(&at, PC_E_VALUE, "a price is not negative");
    return pci_first(status, read);
}

pc_status pc_prices_read(const char *path, pc_prices *prices, pc_errors *errors) {
    if (!path || !prices)
        return PC_E_ARGUMENT;
    memset(prices, 0, sizeof *prices);
    pci_csv csv = {0};
    pc_status status = pci_csv_read(path, &csv, errors);
    pci_copy_text(prices->file, sizeof prices->file, csv.file);
    columns at = {-1, -1, -1, -1, -1, -1};
    if (status == PC_OK) {
        at = (columns){pci_csv_column(&csv, "item"), pci_csv_column(&csv, "name"),
                       pci_csv_column(&csv, "part_a"), pci_csv_column(&csv, "part_b"),
                       pci_csv_column(&csv, "price"), pci_csv_column(&csv, "resin")};
        if (at.item < 0 || at.part_a < 0 || at.price < 0)
            status = pc_errors_add(errors, PC_E_KEY,
                                   (pc_place){.file = csv.file, .line = csv.header_line},
                                   "a price list needs the columns item,part_a,price (and "
                                   "name,part_b where wanted)");
        else if (csv.rows > PC_PRICES_MOST)
            status = pc_errors_add(errors, PC_E_SIZE, (pc_place){.file = csv.file},
                                   "more than %d kits", PC_PRICES_MOST);
    }
    bool good = status == PC_OK;
    for (size_t row = 0; good && row < csv.rows; row++)
        status = pci_first(status, read_kit(&csv, &at, row, &prices->kit[row], errors));
    if (good)
        prices->count = csv.rows;
    pci_csv_free(&csv);
    return status;
}
