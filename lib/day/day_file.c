/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading of a day file, and the planning of every piece it names. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "base/try.h"
#include "day/day_dates.h"
#include "day/day_plan.h"
#include "input/fields.h"
#include "input/whole_file.h"
#include "pourclock/day.h"

#define COUNT(table) (sizeof(table) / sizeof *(table))

/* Names another section, or counts from a date of one: resolve_casting reads it. */
static pc_status read_later(const pci_at *at, void *record) {
    (void)at;
    (void)record;
    return PC_OK;
}

static pc_status read_first(const pci_at *at, void *record) {
    pci_day *day = record;
    if (pci_date_read(at->value, day->first))
        return PC_OK;
    day->first[0] = 0;
    return pci_refuse(at, PC_E_VALUE, "write the date as 2026-12-07");
}

static const char *const weekdays[] = {"mon", "tue", "wed", "thu", "fri", "sat", "sun"};

/* "mon" and what follows it; 7: it is not a weekday. */
static int read_weekday(const char *text, const char **rest) {
    int w = 0;
    while (*text == ' ')
        text++;
    for (; w < 7; w++) {
        char word[4] = {text[0], text[0] ? text[1] : '\0', text[0] && text[1] ? text[2] : '\0', 0};
        if (pci_same_word(word, weekdays[w]))
            break;
    }
    *rest = text + (w < 7 ? 3 : 0);
    return w;
}

/* "mon-thu 08:00-17:00" */
static pc_status read_weekday_hours(const pci_at *at, char *text, pci_day *day) {
    static const char expected[] = "write hours as mon-thu 08:00-17:00, fri 08:00-14:00";
    const char *rest;
    int from = read_weekday(text, &rest), until = from;
    if (from < 7 && *rest == '-')
        until = read_weekday(rest + 1, &rest);
    char *dash = strchr(text + (rest - text), '-');
    if (from == 7 || until == 7 || until < from || *rest != ' ' || !dash)
        return pci_refuse(at, PC_E_VALUE, "%s", expected);
    *dash = '\0';
    pci_day_hours hours;
    PCI_TRY(pci_read_quantity(at, rest, PC_CLOCK, &hours.from_s));
    PCI_TRY(pci_read_quantity(at, dash + 1, PC_CLOCK, &hours.until_s));
    if (!(hours.until_s > hours.from_s))
        return pci_refuse(at, PC_E_VALUE, "the day ends after it starts: %s", expected);
    for (int w = from; w <= until; w++)
        day->week[w] = hours;
    day->by_weekday = true;
    return PC_OK;
}

/* Calls read for each part of a list with commas. */
static pc_status read_list(const pci_at *at, pci_day *day,
                           pc_status (*read)(const pci_at *at, char *text, pci_day *day)) {
    char text[1000];
    if (strlen(at->value) >= sizeof text)
        return pci_refuse(at, PC_E_SIZE, "too long");
    pci_copy_text(text, sizeof text, at->value);
    pc_status status = PC_OK;
    for (char *one = text, *next; status == PC_OK && one; one = next) {
        next = strchr(one, ',');
        if (next)
            *next++ = '\0';
        status = read(at, one, day);
    }
    return status;
}

static pc_status read_hours(const pci_at *at, void *record) {
    return read_list(at, record, read_weekday_hours);
}

/* "2026-12-24 to 2026-12-31", as days since 1970: they are counted from the first day later. */
static pc_status read_holiday(const pci_at *at, char *text, pci_day *day) {
    int from[3], until[3];
    char *to = strstr(text, "to");
    if (to)
        *to = '\0';
    if (!pci_date_read(text, from) || !pci_date_read(to ? to + 2 : text, until))
        return pci_refuse(at, PC_E_VALUE, "write holidays as 2026-12-08, 2026-12-24 to 2026-12-31");
    if (day->holiday_count == PCI_DAY_HOLIDAYS_MOST)
        return pci_refuse(at, PC_E_SIZE, "more than %d holidays", PCI_DAY_HOLIDAYS_MOST);
    int *holiday = day->holiday[day->holiday_count++];
    holiday[0] = (int)pci_date_number(from);
    holiday[1] = (int)pci_date_number(until);
    return PC_OK;
}

static pc_status read_holidays(const pci_at *at, void *record) {
    return read_list(at, record, read_holiday);
}

/* "12:00-12:30" */
static pc_status read_break(const pci_at *at, char *text, pci_day *day) {
    char *dash = strchr(text, '-');
    if (!dash)
        return pci_refuse(at, PC_E_VALUE, "write breaks as 12:00-12:30, 15:00-15:15");
    *dash = '\0';
    if (day->break_count == PCI_DAY_BREAKS_MOST)
        return pci_refuse(at, PC_E_SIZE, "more than %d breaks", PCI_DAY_BREAKS_MOST);
    pc_day_break *rest = &day->rest[day->break_count];
    PCI_TRY(pci_read_quantity(at, text, PC_CLOCK, &rest->from_s));
    PCI_TRY(pci_read_quantity(at, dash + 1, PC_CLOCK, &rest->until_s));
    if (!(rest->until_s > rest->from_s))
        return pci_refuse(at, PC_E_VALUE, "a break ends after it begins, as 12:00-12:30");
    day->break_count++;
    return PC_OK;
}

static pc_status read_breaks(const pci_at *at, void *record) {
    return read_list(at, record, read_break);
}

static const char *const stays[] = {
#define WORD_(name, word) word,
    PCI_DAY_STAY_TABLE(WORD_)
#undef WORD_
        NULL};

static const pci_field day_fields[] = {
    PCI_OWN_FIELD("temperatures", read_later),
    PCI_WHOLE_FIELD("days", pci_day, days, 1, PC_DAY_DAYS_MOST, "working days: 1 to 31"),
    PCI_OWN_FIELD("first", read_first),
    PCI_OWN_FIELD("hours", read_hours),
    PCI_OWN_FIELD("holidays", read_holidays),
    PCI_TEXT_FIELD("name", pci_day, name),
    PCI_QUANTITY_FIELD("start", PC_CLOCK, pci_day, start_s, 0, PC_DAY_S, "a clock time"),
    PCI_QUANTITY_FIELD("end", PC_CLOCK, pci_day, end_s, 0, PC_DAY_S, "a clock time"),
    PCI_OWN_FIELD("breaks", read_breaks),
    PCI_WHOLE_FIELD("hands", pci_day, hands, 1, 50, "pairs of hands: a whole number, 1 to 50"),
    PCI_WHOLE_FIELD("stations", pci_day, stations, 0, 50,
                    "turning machines: a whole number, 0 to 50"),
    PCI_QUANTITY_FIELD("demold", PC_TIME, pci_day, demold_s, 60, 4 * 3600,
                       "to demold takes 1 min to 4 h of hands"),
    PCI_QUANTITY_FIELD("setup", PC_TIME, pci_day, setup_s, 0, PCI_DAY_SETUP_MOST_S,
                       "to set up takes 0 min to 4 h of hands"),
};

static const pci_field casting_fields[] = {
    PCI_TEXT_FIELD("piece", pci_day_piece, path),
    PCI_WHOLE_FIELD("copies", pci_day_piece, copies, 1, PC_DAY_CASTINGS_MOST,
                    "a whole number, 1 to 256"),
    PCI_WHOLE_FIELD("molds", pci_day_piece, molds, 1, PC_DAY_CASTINGS_MOST,
                    "a whole number, 1 to 256"),
    PCI_WORD_FIELD("overnight", pci_day_piece, stay, stays),
    PCI_OWN_FIELD("mold", read_later),
    PCI_QUANTITY_FIELD("clean", PC_TIME, pci_day_piece, clean_s, 0, PCI_DAY_SETUP_MOST_S,
                       "to clean a mold takes 0 min to 4 h of hands"),
    PCI_QUANTITY_FIELD("rest", PC_TIME, pci_day_piece, rest_s, 0, PCI_DAY_REST_MOST_S,
                       "a mold rests 0 min to 24 h"),
    PCI_WHOLE_FIELD("mold_lasts", pci_day_piece, lasts, 1, 100000, "castings: 1 to 100000"),
    PCI_WHOLE_FIELD("mold_used", pci_day_piece, used, 0, 100000, "castings: 0 to 100000"),
    PCI_OWN_FIELD("due", read_later),
};

static const pci_field kit_fields[] = {
    PCI_ABOVE_FIELD("holds", PC_MASS, pci_day_kit, holds_kg, 0, 10000, "A and B of a kit: to 10 t"),
    PCI_QUANTITY_FIELD("left", PC_MASS, pci_day_kit, left_kg, 0, 10000,
                       "A and B left: 0 g to 10 t"),
    PCI_OWN_FIELD("opened", read_later),
    PCI_WHOLE_FIELD("open_days", pci_day_kit, open_days, 1, 3650, "days: 1 to 3650"),
};

static const char *const sections[] = {"day", "casting NAME", "kit RESIN", NULL};

static pc_status read_casting(const pci_ini *ini, const char *section, pci_day *day,
                              pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, "piece", errors);
    if (day->piece_count == PC_DAY_PIECES_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d pieces", PC_DAY_PIECES_MOST);
    pci_day_piece *piece = &day->piece[day->piece_count++];
    piece->copies = piece->molds = 1;
    piece->due_s = NAN;
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

static pc_status read_kit(const pci_ini *ini, const char *section, pci_day *day,
                          pc_errors *errors) {
    pci_at at = pci_ini_at(ini, section, "holds", errors);
    if (day->kit_count == PCI_DAY_KITS_MOST)
        return pci_refuse(&at, PC_E_SIZE, "more than %d kits", PCI_DAY_KITS_MOST);
    pci_day_kit *kit = &day->kit[day->kit_count++];
    PCI_TRY(pci_fields_read(ini, section, kit_fields, COUNT(kit_fields), kit, errors));
    if (!(kit->holds_kg > 0))
        return pci_refuse(&at, PC_E_KEY, "missing: A and B of a new kit together, as holds = 8 kg");
    pc_resin resin;
    PCI_TRY(pc_resin_find(section + strlen("kit "), ini->file, &resin, errors));
    pci_copy_text(kit->resin, sizeof kit->resin, resin.name);
    return PC_OK;
}

static pc_status read_section(const pci_ini *ini, const char *section, pci_day *day,
                              pc_errors *errors) {
    char word[9];
    snprintf(word, sizeof word, "%.8s", section);
    if (pci_same_word(section, "day"))
        return pci_fields_read(ini, section, day_fields, COUNT(day_fields), day, errors);
    if (pci_same_word(word, "casting ") && section[8])
        return read_casting(ini, section, day, errors);
    snprintf(word, sizeof word, "%.4s", section);
    if (pci_same_word(word, "kit ") && section[4])
        return read_kit(ini, section, day, errors);
    return pci_ini_unknown_section(ini, section, sections, errors);
}

/* Hours, holidays and dates counted from the first day; the earliest and latest hour of a week. */
static pc_status resolve_days(const pci_ini *ini, pci_day *day, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, "day", "first", errors);
    if (!day->first[0] && (day->by_weekday || day->holiday_count))
        return pci_refuse(&at, PC_E_KEY,
                          "missing: hours and holidays need it, as first = "
                          "2026-12-07");
    for (size_t i = 0; i < day->holiday_count; i++)
        for (int end = 0; end < 2; end++)
            day->holiday[i][end] -= (int)pci_date_number(day->first);
    for (int w = 0, any = 0; w < 7 && day->by_weekday; w++) {
        if (day->week[w].until_s == 0)
            continue;
        day->start_s = any ? fmin(day->start_s, day->week[w].from_s) : day->week[w].from_s;
        day->end_s = any ? fmax(day->end_s, day->week[w].until_s) : day->week[w].until_s;
        any = 1;
    }
    return PC_OK;
}

/* "2026-12-11" or "2026-12-11 14:00" */
static pc_status resolve_due(const pci_at *at, const pci_day *day, pci_day_piece *piece) {
    int date[3];
    char text[11];
    double clock_s = PC_DAY_S;
    snprintf(text, sizeof text, "%.10s", at->value);
    if (!day->first[0])
        return pci_refuse(at, PC_E_KEY, "a due date needs the date of the first day: [day] first");
    if (!pci_date_read(text, date))
        return pci_refuse(at, PC_E_VALUE, "write it as 2026-12-11, or 2026-12-11 14:00");
    if (strlen(at->value) > 10)
        PCI_TRY(pci_read_quantity(at, at->value + 10, PC_CLOCK, &clock_s));
    piece->due_s =
        (double)(pci_date_number(date) - pci_date_number(day->first)) * PC_DAY_S + clock_s;
    return PC_OK;
}

/* What is left was opened on a day: counted from the first. */
static pc_status resolve_kit(const pci_ini *ini, const char *section, const pci_day *day,
                             pci_day_kit *kit, pc_errors *errors) {
    int date[3];
    pci_at at = pci_ini_at(ini, section, "opened", errors);
    if (!at.value && kit->left_kg > 0 && kit->open_days > 0)
        return pci_refuse(&at, PC_E_KEY,
                          "missing: when the kit with something left was opened, as opened = "
                          "2026-12-01");
    if (!at.value)
        return PC_OK;
    if (!day->first[0])
        return pci_refuse(&at, PC_E_KEY, "a date needs the date of the first day: [day] first");
    if (!pci_date_read(at.value, date))
        return pci_refuse(&at, PC_E_VALUE, "write the date as 2026-12-01");
    kit->opened = (int)(pci_date_number(date) - pci_date_number(day->first));
    if (kit->opened > 0)
        return pci_refuse(&at, PC_E_VALUE, "opened after the first day: left = 0 g where none is");
    return PC_OK;
}

static pc_status resolve_kits(const pci_ini *ini, pci_day *day, pc_errors *errors) {
    size_t kit = 0;
    for (size_t s = 0; s < ini->sections; s++) {
        char word[5];
        snprintf(word, sizeof word, "%.4s", pci_ini_section(ini, s));
        if (pci_same_word(word, "kit "))
            PCI_TRY(resolve_kit(ini, pci_ini_section(ini, s), day, &day->kit[kit++], errors));
    }
    return PC_OK;
}

static pc_status resolve_casting(const pci_ini *ini, size_t number, pci_day *day,
                                 pc_errors *errors) {
    pci_day_piece *piece = &day->piece[number];
    char section[PC_NAME_SIZE + 16];
    snprintf(section, sizeof section, "casting %s", piece->name);
    pci_at due = pci_ini_at(ini, section, "due", errors);
    pci_at mold = pci_ini_at(ini, section, "mold", errors);
    if (due.value)
        PCI_TRY(resolve_due(&due, day, piece));
    if (!mold.value)
        return PC_OK;
    for (size_t i = 0; i < day->piece_count; i++)
        if (i != number && pci_same_word(day->piece[i].name, mold.value)) {
            piece->mold_of = i + 1;
            return PC_OK;
        }
    return pci_refuse(&mold, PC_E_VALUE,
                      "no casting of that name: mold = NAME of the [casting NAME] whose molds it "
                      "is poured in");
}

static pc_status read_air(const pci_ini *ini, pci_day *day, pc_errors *errors) {
    pci_at at = pci_ini_at(ini, "day", "temperatures", errors);
    return at.value ? pci_day_read_air(&at, day) : PC_OK;
}

pc_status pci_day_read(const char *shop, const char *path, pci_day *day, pc_errors *errors) {
    if (!path || !day)
        return PC_E_ARGUMENT;
    pci_day_defaults(day);
    if (shop && strlen(shop) >= sizeof day->shop)
        return pc_errors_add(errors, PC_E_SIZE, (pc_place){.file = shop}, "the path is too long");
    pci_copy_text(day->shop, sizeof day->shop, shop ? shop : "");
    pci_ini *ini = NULL;
    pc_status status = pci_ini_read(path, &ini, errors);
    for (size_t s = 0; ini && s < ini->sections; s++)
        status = pci_first(status, read_section(ini, pci_ini_section(ini, s), day, errors));
    if (status == PC_OK && !(day->end_s > day->start_s)) {
        pci_at at = pci_ini_at(ini, "day", "end", errors);
        status = pci_refuse(&at, PC_E_VALUE, "the day ends before it starts: set start and end");
    }
    if (status == PC_OK)
        status = resolve_days(ini, day, errors);
    for (size_t i = 0; ini && status == PC_OK && i < day->piece_count; i++)
        status = resolve_casting(ini, i, day, errors);
    if (status == PC_OK)
        status = resolve_kits(ini, day, errors);
    if (status == PC_OK)
        status = read_air(ini, day, errors);
    pci_ini_free(ini);
    return status == PC_OK ? pci_day_plan_pieces(day, NULL, errors) : status;
}
