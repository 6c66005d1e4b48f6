/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock resin without a name: what is on the shelf. */
#include "config.h"

#include "commands/resin_shelf.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "commands/options.h"
#include "pourclock.h"
#include "print/message.h"

enum { SHELF_MOST = 256 };

struct shelf {
    size_t count;
    pc_shelf_resin place[SHELF_MOST];
    pc_resin resin[SHELF_MOST];
    bool read[SHELF_MOST]; /* false: its file is wrong */
};

static void fill(struct shelf *shelf) {
    shelf->count = pc_shelf_list(SHELF_MOST, shelf->place);
    if (shelf->count > SHELF_MOST)
        shelf->count = SHELF_MOST;
    for (size_t i = 0; i < shelf->count; i++) {
        pc_errors errors = PC_ERRORS_INIT;
        shelf->read[i] =
            pc_resin_find(shelf->place[i].name, NULL, &shelf->resin[i], &errors) == PC_OK;
        pc_errors_free(&errors);
    }
}

static const char *place_of(const pc_shelf_resin *place) {
    return place->built_in ? "built in" : place->folder;
}

/* Pot life of the cup that data sheets speak of, whether the sheet states it or not. */
static const double CUP_KG = 0.1;

static double pot_life(const pc_resin *resin) {
    pc_resin_row row;
    return pc_resin_times(resin, PC_SHEET_K, CUP_KG, 0.0, &row) == PC_OK ? row.cup.pot_life_s
                                                                         : (double)NAN;
}

static void print_row(struct cli_output *out, pc_units units, const pc_shelf_resin *place,
                      const pc_resin *resin) {
    out_printf(out, "%-20s %-16s %8s  %s at %s\n", place->name, pc_family_word(resin->family),
               pc_say_duration(pot_life(resin)).s, pc_say_mass(CUP_KG).s,
               pc_say_degrees(units, PC_SHEET_K).s);
}

static void print_table(struct cli_output *out, pc_units units, const struct shelf *shelf) {
    out_bold(out, "%-20s %-16s %8s\n", "resin", "family", "pot life");
    for (size_t i = 0; i < shelf->count; i++)
        if (shelf->read[i])
            print_row(out, units, &shelf->place[i], &shelf->resin[i]);
        else
            out_printf(out, "%-20s its file has errors: pourclock resin %s\n", shelf->place[i].name,
                       shelf->place[i].name);
    for (size_t i = 0; i < shelf->count; i++) {
        bool again =
            i > 0 && strcmp(place_of(&shelf->place[i]), place_of(&shelf->place[i - 1])) == 0;
        if (!again)
            out_printf(out, "\n%s: %s", place_of(&shelf->place[i]), shelf->place[i].name);
        else
            out_printf(out, ", %s", shelf->place[i].name);
    }
    out_text(out, "\n\nOne of them in full: pourclock resin NAME. Those shipped are generic and "
                  "invented: put\nyour own data sheets on a shelf of your own, see "
                  "pourclock-files(5).\n");
}

static void print_csv(struct cli_output *out, const struct shelf *shelf) {
    out_text(out, "resin,name,family,folder,pot_life_s,pot_life_mass_kg,pot_life_T_K\r\n");
    for (size_t i = 0; i < shelf->count; i++) {
        bool read = shelf->read[i];
        out_csv_text(out, shelf->place[i].name);
        out_text(out, ",");
        out_csv_text(out, read ? shelf->resin[i].name : "");
        out_text(out, ",");
        out_csv_text(out, read ? pc_family_word(shelf->resin[i].family) : "");
        out_text(out, ",");
        out_csv_text(out, shelf->place[i].built_in ? "" : shelf->place[i].folder);
        const double number[] = {read ? pot_life(&shelf->resin[i]) : (double)NAN, CUP_KG,
                                 PC_SHEET_K};
        out_csv_numbers(out, number, sizeof number / sizeof *number);
    }
}

enum cli_exit cli_resin_shelf(struct cli *cli) {
    char *text = NULL;
    if (cli->json) {
        out_json(&cli->out, pc_shelf_json(&text), &text);
        return CLI_DONE;
    }
    struct shelf *shelf = calloc(1, sizeof *shelf);
    if (!shelf)
        return say_error(CLI_INTERNAL, "out of memory");
    fill(shelf);
    if (cli->csv)
        print_csv(&cli->out, shelf);
    else
        print_table(&cli->out, cli_units(cli, PC_METRIC), shelf);
    free(shelf);
    return CLI_DONE;
}
