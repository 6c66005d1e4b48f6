/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading of a day file, and the planning of every piece it names. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "input/fields.h"
#include "input/whole_file.h"
#include "pourclock/day.h"

#define COUNT(table) (sizeof(table) / sizeof *(table))

/* "12:00-12:30, 15:00-15:15" */
static pc_status breaks(const pci_at *at, void *record) {
    pc_day *day = record;
    char text[256];
    if (strlen(at->value) >= sizeof text)
        return pci_refuse(at, PC_E_SIZE, "too long");
    pci_copy_text(text, sizeof text, at->value);
    for (char *one = text, *next; one; one = next) {
        next = strchr(one, ',');
        if (next)
            *next++ = '\0';
        char *dash = strchr(one, '-');
        if (!dash)
            return pci_refuse(at, PC_E_VALUE, "write breaks as 12:00-12:30, 15:00-15:15");
        *dash = '\0';
        if (day->break_count == PC_DAY_BREAKS_MOST)
            return pci_refuse(at, PC_E_SIZE, "more than %d breaks", PC_DAY_BREAKS_MOST);
        pc_day_break *rest = &day->rest[day->break_count];
        pc_status status = pci_read_quantity(at, one, PC_CLOCK, &rest->from_s);
        if (status == PC_OK)
            status = pci_read_quantity(at, dash + 1, PC_CLOCK, &rest->until_s);
        if (status != PC_OK)
            return status;
        if (!(rest->until_s > rest->from_s))
            return pci_refuse(at, PC_E_VALUE, "a break ends after it begins, as 12:00-12:30");
        day->break_count++;
    }
    return PC_OK;
}

static const pci_field day_fields[] = {
    PCI_TEXT_FIELD("name", pc_day, name),
    PCI_QUANTITY_FIELD("start", PC_CLOCK, pc_day, start_s, 0, 86400, "a clock time"),
    PCI_QUANTITY_FIELD("end", PC_CLOCK, pc_day, end_s, 0, 86400, "a clock time"),
    PCI_OWN_FIELD("breaks", breaks),
    PCI_WHOLE_FIELD("hands", pc_day, hands, 1, 50, "pairs of hands: a whole number, 1 to 50"),
    PCI_WHOLE_FIELD("stations", pc_day, stations, 0, 50,
                    "turning machines: a whole number, 0 to 50"),
    PCI_QUANTITY_FIELD("demold", PC_TIME, pc_day, demold_s, 60, 4 * 3600,
                       "to demold takes 1 min to 4 h of hands"),
    PCI_QUANTITY_FIELD("setup", PC_TIME, pc_day, setup_s, 0, PC_DAY_SETUP_MOST_S,
                       "to set up takes 0 min to 4 h of hands"),
};

static const pci_field casting_fields[] = {
    PCI_TEXT_FIELD("piece", pc_day_piece, path),
    PCI_WHOLE_FIELD("copies", pc_day_piece, copies, 1, PC_DAY_CASTINGS_MOST,
                    "a whole number, 1 to 128"),
    PCI_WHOLE_FIELD("molds", pc_day_piece, molds, 1, PC_DAY_CASTINGS_MOST,
                    "a whole number, 1 to 128"),
    PCI_YES_NO_FIELD("overnight", pc_day_piece, overnight),
};

static const char *const sections[] = {"day", "casting NAME", NULL};

static pc_status read_casting(const pci_ini *ini, const char *section, pc_day *day,
                              pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, "piece", errors);
    if (day->piece_count == PC_DAY_PIECES_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d pieces", PC_DAY_PIECES_MOST);
    pc_day_piece *piece = &day->piece[day->piece_count++];
    piece->copies = piece->molds = 1;
    pci_copy_text(piece->name, sizeof piece->name, section + strlen("casting "));
    PCI_TRY(pci_fields_read(ini, section, casting_fields, COUNT(casting_fields), piece, errors));
    char path[sizeof piece->path];
    if (!piece->path[0])
        return pci_refuse(&at, PC_E_KEY, "missing: the piece file, as piece = otter.ini");
    if (!pci_path_beside(piece->path, ini->file, path, sizeof path))
        return pci_refuse(&at, PC_E_SIZE, "the path is too long");
    memcpy(piece->path, path, sizeof path);
    return PC_OK;
}

static pc_status read_section(const pci_ini *ini, const char *section, pc_day *day,
                              pc_errors *errors) {
    char word[9];
    snprintf(word, sizeof word, "%.8s", section);
    if (pci_same_word(section, "day"))
        return pci_fields_read(ini, section, day_fields, COUNT(day_fields), day, errors);
    if (pci_same_word(word, "casting ") && section[8])
        return read_casting(ini, section, day, errors);
    return pci_ini_unknown_section(ini, section, sections, errors);
}

/* One job for the day, or for each hour of it where the shop's air goes by the clock. */
static pc_status plan_piece(const pc_day *day, const char *shop, pc_day_piece *entry,
                            pc_errors *errors) {
    pc_piece *piece = calloc(1, sizeof *piece);
    pc_schedule *schedule = calloc(1, sizeof *schedule);
    pc_status status = piece && schedule ? PC_OK : PC_E_MEMORY;
    if (status == PC_OK)
        status = pc_piece_read_in_shop(shop, entry->path, piece, errors);
    if (status == PC_OK)
        entry->resin = piece->resin;
    bool by_clock = status == PC_OK && piece->shop.day_count > 0;
    double hours = ceil((day->end_s - day->start_s) / 3600 - 1e-9);
    entry->job_count = by_clock ? (size_t)fmin(fmax(hours, 1), PC_DAY_SLOTS_MOST) : 1;
    for (size_t h = 0; status == PC_OK && h < entry->job_count; h++) {
        /* the middle of the hour stands for it */
        piece->shop.start_clock_s = day->start_s + (by_clock ? (double)h * 3600 + 1800 : 0);
        status = pc_schedule_make(piece, schedule, errors);
        if (status == PC_OK)
            status = pc_day_job_of(piece, schedule, day, &entry->job[h]);
        pc_schedule_free(schedule);
        memset(schedule, 0, sizeof *schedule);
    }
    if (piece)
        pc_piece_free(piece);
    free(piece);
    free(schedule);
    return status;
}

pc_status pc_day_read(const char *path, pc_day *day, pc_errors *errors) {
    return pc_day_read_in_shop(NULL, path, day, errors);
}

pc_status pc_day_read_in_shop(const char *shop, const char *path, pc_day *day, pc_errors *errors) {
    if (!path || !day)
        return PC_E_ARGUMENT;
    pc_day_defaults(day);
    pci_ini *ini = NULL;
    pc_status status = pci_ini_read(path, &ini, errors);
    for (size_t s = 0; ini && s < ini->sections; s++)
        status = pci_first(status, read_section(ini, pci_ini_section(ini, s), day, errors));
    if (status == PC_OK && !(day->end_s > day->start_s)) {
        pci_at at = pci_ini_at(ini, "day", "end", errors);
        status = pci_refuse(&at, PC_E_VALUE, "the day ends before it starts: set start and end");
    }
    pci_ini_free(ini);
    bool good = status == PC_OK;
    for (size_t i = 0; good && i < day->piece_count; i++)
        status = pci_first(status, plan_piece(day, shop, &day->piece[i], errors));
    return status;
}
