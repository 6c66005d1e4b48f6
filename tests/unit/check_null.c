/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every public function is called with every mixture of NULL and zeroed memory, of 0 and 1, as a
 * binding or a program in haste does: it answers with an error, or does nothing, or does what there
 * is to do. Objects that only the library can make are NULL. tests/house/fuzzed.sh sees that no
 * function is missing. */
#include "unit.h"

#include <stdlib.h>
#include <string.h>

#include "pourclock.h"

enum { ARGUMENTS_MOST = 9, ZEROED_LEAST = 4096 };

/* One bit an argument, taken in whatever order the compiler asks for them. */
static unsigned mixture;
static int taken;
static void *memory[ARGUMENTS_MOST];

static unsigned char next_bit(void) {
    ck_assert_int_lt(taken, ARGUMENTS_MOST);
    return (unsigned char)(mixture >> taken++ & 1u);
}

static void *zeroed(size_t size) {
    if (next_bit() == 0)
        return NULL;
    memory[taken - 1] = calloc(1, size > ZEROED_LEAST ? size : ZEROED_LEAST);
    ck_assert_ptr_nonnull(memory[taken - 1]);
    return memory[taken - 1];
}

#define ZERO(type) zeroed(sizeof(type))
#define ANY        next_bit()
#define COUNTED    next_bit()
#define REAL       (double)next_bit()

/* X(function, its arguments) */
#define CALLS(X)                                                                                   \
    X(pc_event_word, ((pc_event_kind)ANY))                                                         \
    X(pc_piece_fingerprint, (ZERO(pc_piece)))                                                      \
    X(pc_log_open, (ZERO(char), (uint64_t)ANY, ZERO(pc_log *), ZERO(pc_errors)))                   \
    X(pc_log_read, (ZERO(char), ZERO(pc_log *), ZERO(pc_errors)))                                  \
    X(pc_log_append, (NULL, ZERO(pc_event), ZERO(pc_errors)))                                      \
    X(pc_log_keep, (NULL, ZERO(pc_errors)))                                                        \
    X(pc_log_path, (NULL))                                                                         \
    X(pc_log_rewrites, (NULL))                                                                     \
    X(pc_log_why, (NULL))                                                                          \
    X(pc_log_taken, (NULL))                                                                        \
    X(pc_log_close, (NULL))                                                                        \
    X(pc_log_count, (NULL))                                                                        \
    X(pc_log_event, (NULL, COUNTED))                                                               \
    X(pc_log_damages, (NULL))                                                                      \
    X(pc_log_damage_at, (NULL, COUNTED))                                                           \
    X(pc_log_torn, (NULL))                                                                         \
    X(pc_log_piece, (NULL))                                                                        \
    X(pc_log_elapsed, (NULL, (uint64_t)ANY, (int64_t)ANY, (int64_t)ANY, ZERO(bool)))               \
    X(pc_actual_init, (ZERO(pc_actual)))                                                           \
    X(pc_actual_from_events, (ZERO(pc_event *), COUNTED, ZERO(pc_actual), ZERO(int64_t)))          \
    X(pc_replan, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_actual), REAL, ZERO(pc_pace),         \
                  ZERO(pc_schedule *)))                                                            \
    X(pc_pace_estimate, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_actual), REAL, ZERO(pc_pace))) \
    X(pc_crc32, (ZERO(char), COUNTED))                                                             \
    X(pc_test_word, ((pc_test_kind)ANY))                                                           \
    X(pc_tests_read, (ZERO(char), ZERO(pc_tests), ZERO(pc_errors)))                                \
    X(pc_tests_fit_run,                                                                            \
      (ZERO(pc_tests), ZERO(pc_resin), ZERO(pc_tests_how), ZERO(pc_tests_fit), ZERO(pc_errors)))   \
    X(pc_tests_fit_gel,                                                                            \
      (ZERO(pc_tests_fit), REAL, REAL, ZERO(double), ZERO(double), ZERO(double)))                  \
    X(pc_test_value, (ZERO(pc_test), ZERO(pc_resin), ZERO(double)))                                \
    X(pc_tests_free, (ZERO(pc_tests)))                                                             \
    X(pc_tests_fit_free, (ZERO(pc_tests_fit)))                                                     \
    X(pc_day_do_word, ((pc_day_do)ANY))                                                            \
    X(pc_day_read, (ZERO(char), ZERO(pc_day *), ZERO(pc_errors)))                                  \
    X(pc_day_read_in_shop, (ZERO(char), ZERO(char), ZERO(pc_day *), ZERO(pc_errors)))              \
    X(pc_day_make, (NULL, ZERO(pc_day_plan *), ZERO(pc_errors)))                                   \
    X(pc_day_free, (NULL, NULL))                                                                   \
    X(pc_day_plan_free, (NULL))                                                                    \
    X(pc_errors_add, (ZERO(pc_errors), (pc_status)ANY, (pc_place){0}, "%s", ""))                   \
    X(pc_error_format, (ZERO(pc_error), ZERO(char), COUNTED))                                      \
    X(pc_errors_free, (ZERO(pc_errors)))                                                           \
    X(pc_nearest_word, (ZERO(char), ZERO(char *)))                                                 \
    X(pc_file_write, (ZERO(char), ZERO(char), COUNTED, ZERO(pc_errors)))                           \
    X(pc_bubble_bore, (REAL, REAL))                                                                \
    X(pc_map_free, (NULL))                                                                         \
    X(pc_map_count, (NULL))                                                                        \
    X(pc_map_cell_at, (NULL, COUNTED, ZERO(pc_map_cell)))                                          \
    X(pc_mesh_read, (ZERO(char), ZERO(char), ZERO(pc_mesh), ZERO(pc_errors)))                      \
    X(pc_mesh_free, (ZERO(pc_mesh)))                                                               \
    X(pc_mesh_close_rim, (ZERO(pc_mesh), ZERO(pc_errors)))                                         \
    X(pc_mesh_survey, (ZERO(char), ZERO(char), ZERO(double), ZERO(double), ZERO(pc_errors)))       \
    X(pc_mesh_shell, (ZERO(pc_mesh), COUNTED, ZERO(double), COUNTED, ZERO(double), ZERO(double),   \
                      ZERO(double), NULL, NULL))                                                   \
    X(pc_mesh_traps, (ZERO(pc_mesh), ZERO(double), ZERO(double), REAL, COUNTED, ZERO(pc_traps)))   \
    X(pc_traps_free, (ZERO(pc_traps)))                                                             \
    X(pc_mesh_best_up, (ZERO(pc_mesh), ZERO(double), COUNTED, ZERO(double)))                       \
    X(pc_mesh_fewest_vents, (ZERO(pc_mesh), ZERO(double), REAL, COUNTED, ZERO(double)))            \
    X(pc_mesh_narrows, (ZERO(pc_mesh), REAL, REAL, COUNTED, ZERO(pc_narrows)))                     \
    X(pc_narrows_free, (ZERO(pc_narrows)))                                                         \
    X(pc_mesh_colored,                                                                             \
      (ZERO(pc_mesh), ZERO(pc_traps), ZERO(pc_narrows), ZERO(char *), ZERO(size_t)))               \
    X(pc_text_free, (NULL))                                                                        \
    X(pc_piece_defaults, (ZERO(pc_piece)))                                                         \
    X(pc_piece_read, (ZERO(char), ZERO(pc_piece), ZERO(pc_errors)))                                \
    X(pc_piece_read_in_shop, (ZERO(char), ZERO(char), ZERO(pc_piece), ZERO(pc_errors)))            \
    X(pc_piece_from_shop, (ZERO(pc_piece), ZERO(char), COUNTED))                                   \
    X(pc_piece_set, (ZERO(pc_piece), ZERO(char), ZERO(char), ZERO(char), ZERO(pc_errors)))         \
    X(pc_piece_key_at, (COUNTED, ZERO(pc_piece_key)))                                              \
    X(pc_piece_check, (ZERO(pc_piece), ZERO(pc_errors)))                                           \
    X(pc_piece_peak_limit, (ZERO(pc_piece), 0))                                                    \
    X(pc_piece_free, (ZERO(pc_piece)))                                                             \
    X(pc_piece_resin, (ZERO(pc_piece), COUNTED, (int)ANY))                                         \
    X(pc_shop_air, (ZERO(pc_shop), REAL))                                                          \
    X(pc_text_clean, (ZERO(char), ZERO(char), COUNTED))                                            \
    X(pc_text_width, (ZERO(char)))                                                                 \
    X(pc_text_fit, (ZERO(char), COUNTED))                                                          \
    X(pc_quantity_parse, (ZERO(char), (pc_dimension)ANY, ZERO(double), ZERO(char), COUNTED))       \
    X(pc_dimension_example, ((pc_dimension)ANY))                                                   \
    X(pc_number_parse, (ZERO(char), ZERO(char *)))                                                 \
    X(pc_say, ((pc_say_what)ANY, (pc_units)ANY, REAL))                                             \
    X(pc_say_clock, (REAL, REAL, COUNTED))                                                         \
    X(pc_family_word, ((pc_family)ANY))                                                            \
    X(pc_family_from_word, (ZERO(char)))                                                           \
    X(pc_resin_defaults, ((pc_family)ANY, ZERO(pc_resin)))                                         \
    X(pc_resin_anchor, (ZERO(pc_resin), ZERO(pc_errors)))                                          \
    X(pc_datum_word, (ZERO(pc_datum)))                                                             \
    X(pc_resin_disagreement, (ZERO(pc_resin), ZERO(char), COUNTED))                                \
    X(pc_resin_set_catalyst, (ZERO(pc_resin), REAL, ZERO(pc_errors)))                              \
    X(pc_resin_write, (ZERO(char), ZERO(pc_resin), ZERO(pc_errors)))                               \
    X(pc_resin_find, (ZERO(char), ZERO(char), ZERO(pc_resin), ZERO(pc_errors)))                    \
    X(pc_shelf_list, (COUNTED, ZERO(pc_shelf_resin)))                                              \
    X(pc_ventilation_of_vapor,                                                                     \
      (ZERO(pc_piece), ZERO(pc_schedule), COUNTED, ZERO(const pc_resin *), ZERO(pc_ventilation)))  \
    X(pc_standing_of, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_standing)))                      \
    X(pc_cautions_make, (ZERO(pc_piece), ZERO(pc_schedule), (pc_units)ANY, ZERO(pc_cautions)))     \
    X(pc_cautions_of_resin, (ZERO(pc_resin), (pc_units)ANY, ZERO(pc_cautions)))                    \
    X(pc_cautions_free, (ZERO(pc_cautions)))                                                       \
    X(pc_schedule_make, (ZERO(pc_piece), ZERO(pc_schedule *), ZERO(pc_errors)))                    \
    X(pc_schedule_free, (NULL))                                                                    \
    X(pc_schedule_history,                                                                         \
      (ZERO(pc_piece), ZERO(pc_schedule), COUNTED, COUNTED, ZERO(double), ZERO(pc_history_point))) \
    X(pc_step_word, ((pc_step_kind)ANY))                                                           \
    X(pc_bond_deadline, (ZERO(pc_layer)))                                                          \
    X(pc_pour_deadline, (ZERO(pc_part_plan), COUNTED))                                             \
    X(pc_shape_flat, (REAL, ZERO(pc_shape)))                                                       \
    X(pc_shape_parse, (ZERO(char), ZERO(pc_shape), ZERO(char), COUNTED))                           \
    X(pc_shape_measured, (REAL, REAL, ZERO(pc_shape)))                                             \
    X(pc_foil_area, (REAL, REAL, ZERO(char), ZERO(double)))                                        \
    X(pc_shell_volume, (ZERO(pc_shape), REAL, ZERO(double)))                                       \
    X(pc_shape_free, (ZERO(pc_shape)))                                                             \
    X(pc_status_text, ((pc_status)ANY))                                                            \
    X(pc_supply_word, ((pc_supply)ANY))                                                            \
    X(pc_order_read, (ZERO(char), ZERO(pc_order), ZERO(pc_errors)))                                \
    X(pc_prices_read, (ZERO(char), ZERO(pc_prices), ZERO(pc_errors)))                              \
    X(pc_supplies_make, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_order), ZERO(pc_prices),       \
                         ZERO(pc_supplies), ZERO(pc_errors)))                                      \
    X(pc_turn_report_make,                                                                         \
      (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_turn_report), ZERO(pc_errors)))                  \
    X(pc_turn_report_free, (ZERO(pc_turn_report)))                                                 \
    X(pc_turn_map, (ZERO(pc_turning), ZERO(pc_turned_part), COUNTED, ZERO(pc_mesh), REAL,          \
                    ZERO(pc_map *), ZERO(pc_spread)))                                              \
    X(pc_schedule_json, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(char *)))                         \
    X(pc_turn_json, (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_turn_report), ZERO(char *)))       \
    X(pc_warm_json, (ZERO(pc_piece), ZERO(pc_warm), ZERO(char *)))                                 \
    X(pc_supplies_json,                                                                            \
      (ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_order), ZERO(pc_supplies), ZERO(char *)))        \
    X(pc_day_json, (NULL, ZERO(pc_day_plan), ZERO(char *)))                                        \
    X(pc_day_need_json, (ZERO(pc_day_need), ZERO(char *)))                                         \
    X(pc_resin_json, (ZERO(pc_resin), COUNTED, ZERO(pc_resin_row), ZERO(char *)))                  \
    X(pc_shelf_json, (ZERO(char *)))                                                               \
    X(pc_tests_json, (ZERO(pc_tests), ZERO(pc_tests_fit), ZERO(char *)))                           \
    X(pc_area_json, (COUNTED, ZERO(pc_area), ZERO(char *)))                                        \
    X(pc_traps_json, (ZERO(pc_traps), ZERO(pc_traps), ZERO(pc_narrows), REAL, ZERO(char *)))       \
    X(pc_day_date_text, (ZERO(char), COUNTED, NULL, REAL))                                         \
    X(pc_day_weigh, (NULL, ZERO(pc_day_plan), ZERO(pc_day_workday), ZERO(pc_day_resin)))           \
    X(pc_version, ())                                                                              \
    X(pc_warm_run, (ZERO(pc_piece), ZERO(pc_warm_grid), ZERO(pc_warm), ZERO(pc_errors)))           \
    X(pc_warm_free, (ZERO(pc_warm)))                                                               \
    X(pc_word, ((pc_vocabulary)ANY, (int)ANY))                                                     \
    X(pc_log_look, (NULL))                                                                         \
    X(pc_map_cells, (NULL, COUNTED, COUNTED, ZERO(pc_map_cell)))                                   \
    X(pc_mesh_way_up, (ZERO(pc_mesh), ZERO(double), ANY, REAL, COUNTED, ZERO(double)))             \
    X(pc_cautions_list, ((pc_cautions_of)ANY, ZERO(pc_piece), ZERO(pc_schedule), ZERO(pc_resin),   \
                         (pc_units)ANY, ZERO(pc_cautions)))                                        \
    X(pc_resin_times, (ZERO(pc_resin), REAL, REAL, REAL, ZERO(pc_resin_row)))                      \
    X(pc_text_fits, (ZERO(char), COUNTED, ZERO(size_t)))

#define CALL(name, arguments)                                                                      \
    static void call_##name(void) {                                                                \
        (void)name arguments;                                                                      \
    }
CALLS(CALL)

static const struct call {
    const char *name;
    void (*run)(void);
} calls[] = {
#define ROW(name, arguments) {#name, call_##name},
    CALLS(ROW)};

/* Bug 1 of NULL: with a size of 1 a checksum of NULL, an error written to NULL and a log of NULL
 * events crashed; and with a piece of zeros its air and its heat were divided by zero. A call that
 * crashes ends this test's own process, and Check says which row it was. */
START_TEST(null_and_zero_are_safe) {
    ck_assert_int_eq(strncmp(calls[_i].name, "pc_", 3), 0);
    int arguments = 0;
    for (mixture = 0; mixture < 1u << arguments || mixture == 0; mixture++) {
        taken = 0;
        calls[_i].run();
        arguments = taken;
        for (int i = 0; i < taken; i++) {
            free(memory[i]);
            memory[i] = NULL;
        }
    }
}
END_TEST

/* What a call that went well has made is nobody's here. */
void __lsan_disable(void) __attribute__((weak));

int main(void) {
    if (__lsan_disable)
        __lsan_disable();
    Suite *suite = suite_create("null");
    TCase *tcase = tcase_create("null");
    tcase_add_loop_test(tcase, null_and_zero_are_safe, 0, (int)(sizeof calls / sizeof *calls));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
