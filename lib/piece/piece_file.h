/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sections of a piece file, for reading and for single keys. */
#ifndef PCI_PIECE_PIECE_FILE_H
#define PCI_PIECE_PIECE_FILE_H

#include "input/fields.h"
#include "pourclock/piece.h"

typedef enum pci_section_kind {
    PCI_SECTION_PIECE,
    PCI_SECTION_HOLLOW,
    PCI_SECTION_SOLID,
    PCI_SECTION_MOLD,
    PCI_SECTION_TURNING,
    PCI_SECTION_SHOP,
    PCI_SECTION_MARGINS,
    PCI_SECTION_LAYER,
    PCI_SECTION_SEAM,
    PCI_SECTION_RIM,
    PCI_SECTION_KINDS
} pci_section_kind;

/* Fields of a kind of section: offsets into pc_part for parts, into pc_piece for the others. */
const pci_field *pci_section_fields(pci_section_kind kind, size_t *count);

/* Kind of a section by its name: "hollow body" is PCI_SECTION_HOLLOW; -1 when unknown. */
int pci_section_kind_of(const char *name);
/* Whether a kind of section is a part's. */
bool pci_section_is_part(int kind);
/* The names of all kinds, NULL-ended. */
const char *const *pci_section_names(void);

void pci_part_defaults(pc_part_kind kind, pc_part *part);

/* Purpose:  make a part's shape from the one source of its area (and volume) stated.
 * Given:    part with its statements; at: where to report. Returned: PC_OK or an error's status. */
pc_status pci_part_shape(pc_part *part, const pci_at *at);

/* Purpose:  volume of round runs, each of a bore and a length: of sprues or vents.
 * Returned: m3; 0 where count is 0; NaN for a number that is none. */
double pci_runs_m3(int count, double bore_m, double length_m);

/* Volume of all sprues and vents of a part. */
double pci_trim_m3(const pc_part *part);

/* Reads the temperature of a shop: -10 C to 45 C. */
pc_status pci_read_air(const pci_at *at, double *T_K);

/* After any key of [shop] was set: what follows the air where it is not stated. */
void pci_shop_settle(pc_shop *shop);

/* Purpose:  take the piece's resin to the level of catalyst that the shop states, once both are
 * known. Given:    at: where the level is stated; no value where it is the shop file's. */
pc_status pci_catalyst_settle(pc_piece *piece, const pci_at *at);

/* Purpose:  stir the piece's filler into its resin, once both are known.
 * Given:    at: where the filler is stated. */
pc_status pci_filler_settle(pc_piece *piece, const pci_at *at);

/* Purpose:  as pc_piece_check, with the lines of the file that the piece is from.
 * Given:    ini: NULL where it is from none. */
pc_status pci_piece_check(const pc_piece *piece, const pci_ini *ini, pc_errors *errors);

/* Reads one section of a piece file. */
pc_status pci_piece_section(const pci_ini *ini, const char *section, pc_piece *piece,
                            pc_errors *errors);

/* As pc_piece_read, from bytes under a name. */
pc_status pci_piece_parse(const char *file, const char *data, size_t size, pc_piece *piece,
                          pc_errors *errors);

/* Word of a method, "brush"; "" outside the table. */
const char *pci_coat_word(int method);

/* A piece with every default and no part. */
void pci_piece_defaults(pc_piece *piece);

#endif
