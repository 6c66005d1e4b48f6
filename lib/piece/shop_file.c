/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "piece/shop_file.h"

#include <string.h>

#include "base/text.h"
#include "base/try.h"

/* Sections of a shop file in the order of pc_piece.from_shop. */
static const struct {
    pci_section_kind kind;
    const char *name;
} rooms[PC_SHOP_SECTIONS] = {
    {PCI_SECTION_PIECE, "piece"},
    {PCI_SECTION_MOLD, "mold"},
    {PCI_SECTION_TURNING, "turning"},
    {PCI_SECTION_SHOP, "shop"},
};

static pc_status refuse_section(const pci_ini *ini, const char *section, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, NULL, errors);
    return pci_refuse(&at, PC_E_KEY,
                      "a shop file has [mold], [turning], [shop] and, in [piece], units: this "
                      "belongs in the piece file");
}

/* Of [piece] a shop has its units alone. */
static pc_status judge_piece(const pci_ini *ini, const char *section, pc_errors *errors) {
    static const char *const known[] = {"units", NULL};
    return pci_ini_unknown_keys(ini, section, known, errors);
}

static pc_status judge_section(const pci_ini *ini, const char *section, pc_errors *errors) {
    int kind = pci_section_kind_of(section);
    if (kind == PCI_SECTION_PIECE)
        return judge_piece(ini, section, errors);
    bool known =
        kind == PCI_SECTION_MOLD || kind == PCI_SECTION_TURNING || kind == PCI_SECTION_SHOP;
    return known ? PC_OK : refuse_section(ini, section, errors);
}

pc_status pci_shop_file_read(const char *path, pc_piece *piece, pci_ini **ini, pc_errors *errors) {
    PCI_TRY(pci_ini_read(path, ini, errors));
    size_t from = errors ? errors->count : 0;
    pc_status status = PC_OK;
    pci_copy_text(piece->path, sizeof piece->path, (*ini)->file);
    for (size_t s = 0; s < (*ini)->sections; s++)
        status = pci_first(status, judge_section(*ini, pci_ini_section(*ini, s), errors));
    for (size_t s = 0; status == PC_OK && s < (*ini)->sections; s++)
        status = pci_piece_section(*ini, pci_ini_section(*ini, s), piece, errors);
    pci_shop_settle(&piece->shop);
    pci_errors_by_line(errors, from);
    piece->path[0] = '\0';
    return status;
}

/* Two keys of which the last one holds: stating either is stating both. */
static const char *other_name(const char *key) {
    if (strcmp(key, "temperature") == 0)
        return "temperatures";
    return strcmp(key, "temperatures") == 0 ? "temperature" : key;
}

void pci_shop_file_note(const pci_ini *shop, const pci_ini *stated, pc_piece *piece) {
    memset(piece->from_shop, 0, sizeof piece->from_shop);
    for (size_t r = 0; shop && r < PC_SHOP_SECTIONS; r++) {
        size_t count;
        const pci_field *field = pci_section_fields(rooms[r].kind, &count);
        for (size_t i = 0; i < count; i++) {
            bool given = pci_ini_value(shop, rooms[r].name, field[i].key) != NULL;
            bool own = stated && (pci_ini_value(stated, rooms[r].name, field[i].key) ||
                                  pci_ini_value(stated, rooms[r].name, other_name(field[i].key)));
            if (given && !own)
                piece->from_shop[r] |= UINT32_C(1) << i;
        }
    }
}

void pci_shop_file_override(pci_section_kind kind, const char *key, pc_piece *piece) {
    for (size_t r = 0; r < PC_SHOP_SECTIONS; r++) {
        size_t count;
        const pci_field *field = pci_section_fields(rooms[r].kind, &count);
        for (size_t i = 0; rooms[r].kind == kind && i < count; i++)
            if (pci_same_word(field[i].key, key) || pci_same_word(other_name(field[i].key), key))
                piece->from_shop[r] &= ~(UINT32_C(1) << i);
    }
}

void pc_piece_from_shop(const pc_piece *piece, char *buffer, size_t size) {
    if (!buffer || size == 0)
        return;
    buffer[0] = '\0';
    for (size_t r = 0; piece && r < PC_SHOP_SECTIONS; r++) {
        size_t count;
        const pci_field *field = pci_section_fields(rooms[r].kind, &count);
        bool first = true;
        for (size_t i = 0; i < count; i++) {
            if (!(piece->from_shop[r] & UINT32_C(1) << i))
                continue;
            size_t used = strlen(buffer);
            const char *between = used == 0 ? "" : first ? "; " : ", ";
            if (first)
                pci_format(buffer + used, size - used, "%s[%s] %s", between, rooms[r].name,
                           field[i].key);
            else
                pci_format(buffer + used, size - used, "%s%s", between, field[i].key);
            first = false;
        }
    }
}
