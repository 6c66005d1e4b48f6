/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every public function is called with NULL and zeros, as a binding or a program in haste does: it
 * answers with an error, or does nothing. tests/house/fuzzed.sh sees that no function is missing.
 */
#include "unit.h"

#include <string.h>

#include "pourclock.h"

/* X(function, its arguments) */
#define CALLS(X)                                                                                   \
    X(pc_say, (PC_SAY_MASS, PC_METRIC, 0.0))                                                       \
    X(pc_say_clock, (0.0, 0.0, 0))                                                                 \
    X(pc_event_word, ((pc_event_kind)0))                                                           \
    X(pc_piece_fingerprint, (NULL))                                                                \
    X(pc_log_open, (NULL, 0, NULL, NULL))                                                          \
    X(pc_log_read, (NULL, NULL, NULL))                                                             \
    X(pc_log_append, (NULL, NULL, NULL))                                                           \
    X(pc_log_keep, (NULL, NULL))                                                                   \
    X(pc_log_path, (NULL))                                                                         \
    X(pc_log_rewrites, (NULL))                                                                     \
    X(pc_log_why, (NULL))                                                                          \
    X(pc_log_taken, (NULL))                                                                        \
    X(pc_log_close, (NULL))                                                                        \
    X(pc_log_count, (NULL))                                                                        \
    X(pc_log_event, (NULL, 0))                                                                     \
    X(pc_log_damages, (NULL))                                                                      \
    X(pc_log_damage_at, (NULL, 0))                                                                 \
    X(pc_log_torn, (NULL))                                                                         \
    X(pc_log_piece, (NULL))                                                                        \
    X(pc_log_elapsed, (NULL, 0, 0, 0, NULL))                                                       \
    X(pc_actual_init, (NULL))                                                                      \
    X(pc_actual_from_events, (NULL, 0, NULL, NULL))                                                \
    X(pc_replan, (NULL, NULL, NULL, 0.0, NULL, NULL))                                              \
    X(pc_pace_estimate, (NULL, NULL, NULL, 0.0, NULL))                                             \
    X(pc_crc32, (NULL, 0))                                                                         \
    X(pc_test_word, ((pc_test_kind)0))                                                             \
    X(pc_tests_read, (NULL, NULL, NULL))                                                           \
    X(pc_tests_fit_run, (NULL, NULL, NULL, NULL, NULL))                                            \
    X(pc_tests_fit_gel, (NULL, 0.0, 0.0, NULL, NULL, NULL))                                        \
    X(pc_test_value, (NULL, NULL, NULL))                                                           \
    X(pc_tests_free, (NULL))                                                                       \
    X(pc_tests_fit_free, (NULL))                                                                   \
    X(pc_day_do_word, ((pc_day_do)0))                                                              \
    X(pc_day_job_of, (NULL, NULL, NULL, NULL))                                                     \
    X(pc_day_defaults, (NULL))                                                                     \
    X(pc_day_read, (NULL, NULL, NULL))                                                             \
    X(pc_day_read_in_shop, (NULL, NULL, NULL, NULL))                                               \
    X(pc_day_check, (NULL, NULL))                                                                  \
    X(pc_day_make, (NULL, NULL, NULL))                                                             \
    X(pc_day_air_of, (NULL, NULL, NULL))                                                           \
    X(pc_day_plan_free, (NULL))                                                                    \
    X(pc_errors_add, (NULL, (pc_status)0, (pc_place){0}, NULL))                                    \
    X(pc_error_format, (NULL, NULL, 0))                                                            \
    X(pc_errors_free, (NULL))                                                                      \
    X(pc_nearest_word, (NULL, NULL))                                                               \
    X(pc_file_write, (NULL, NULL, 0, NULL))                                                        \
    X(pc_bubble_bore, (0.0, 0.0))                                                                  \
    X(pc_film_speed, (NULL))                                                                       \
    X(pc_turning_tilts, (NULL, NULL, NULL))                                                        \
    X(pc_turning_check, (NULL, NULL))                                                              \
    X(pc_turning_closure, (NULL, NULL, NULL))                                                      \
    X(pc_turning_coverage, (NULL, 0, 0.0, 0.0, 0, NULL))                                           \
    X(pc_map_sphere, (0.0, 0, NULL))                                                               \
    X(pc_map_facets, (0, NULL, 0, NULL))                                                           \
    X(pc_map_free, (NULL))                                                                         \
    X(pc_map_count, (NULL))                                                                        \
    X(pc_map_cell_at, (NULL, 0, NULL))                                                             \
    X(pc_map_layer_add, (NULL, NULL, NULL, NULL, 0, NULL, NULL))                                   \
    X(pc_map_spread, (NULL, NULL))                                                                 \
    X(pc_turn_judge, (NULL, NULL, NULL, 0, NULL, NULL))                                            \
    X(pc_turn_interrupt, (NULL, NULL, 0, 0, NULL))                                                 \
    X(pc_turn_search, (NULL, NULL, 0, NULL, NULL, NULL))                                           \
    X(pc_drain_plan, (NULL, 0.0, 0.0, NULL, NULL))                                                 \
    X(pc_mesh_read, (NULL, NULL, NULL, NULL))                                                      \
    X(pc_mesh_free, (NULL))                                                                        \
    X(pc_mesh_survey, (NULL, NULL, NULL, NULL, NULL))                                              \
    X(pc_mesh_shell, (NULL, 0, NULL, 0, NULL, NULL, NULL))                                         \
    X(pc_mesh_traps, (NULL, NULL, NULL, 0.0, 0, NULL))                                             \
    X(pc_traps_free, (NULL))                                                                       \
    X(pc_mesh_best_up, (NULL, NULL, 0, NULL))                                                      \
    X(pc_mesh_narrows, (NULL, 0.0, 0.0, 0, NULL))                                                  \
    X(pc_narrows_free, (NULL))                                                                     \
    X(pc_mesh_colored, (NULL, NULL, NULL, NULL, NULL))                                             \
    X(pc_mesh_text_free, (NULL))                                                                   \
    X(pc_piece_defaults, (NULL))                                                                   \
    X(pc_piece_read, (NULL, NULL, NULL))                                                           \
    X(pc_piece_read_in_shop, (NULL, NULL, NULL, NULL))                                             \
    X(pc_piece_from_shop, (NULL, NULL, 0))                                                         \
    X(pc_piece_set, (NULL, NULL, NULL, NULL, NULL))                                                \
    X(pc_piece_key_at, (0, NULL))                                                                  \
    X(pc_piece_check, (NULL, NULL))                                                                \
    X(pc_piece_peak_limit, (NULL))                                                                 \
    X(pc_piece_free, (NULL))                                                                       \
    X(pc_shop_air, (NULL, 0.0))                                                                    \
    X(pc_text_clean, (NULL, NULL, 0))                                                              \
    X(pc_text_shows, (NULL))                                                                       \
    X(pc_text_width, (NULL))                                                                       \
    X(pc_text_fit, (NULL, 0))                                                                      \
    X(pc_quantity_parse, (NULL, (pc_dimension)0, NULL, NULL, 0))                                   \
    X(pc_dimension_example, ((pc_dimension)0))                                                     \
    X(pc_number_parse, (NULL, NULL))                                                               \
    X(pc_family_word, ((pc_family)0))                                                              \
    X(pc_family_from_word, (NULL))                                                                 \
    X(pc_resin_defaults, ((pc_family)0, NULL))                                                     \
    X(pc_cup_run, (NULL, 0.0, 0.0, 0.0, NULL))                                                     \
    X(pc_cup_at, (NULL, 0.0, 0.0, 0.0, 0.0, NULL))                                                 \
    X(pc_resin_anchor, (NULL, NULL))                                                               \
    X(pc_datum_word, (NULL))                                                                       \
    X(pc_resin_disagreement, (NULL, NULL, 0))                                                      \
    X(pc_resin_film, (NULL, 0.0, 0.0, 0.0, false, NULL))                                           \
    X(pc_resin_set_catalyst, (NULL, 0.0, NULL))                                                    \
    X(pc_resin_write, (NULL, NULL, NULL))                                                          \
    X(pc_resin_find, (NULL, NULL, NULL, NULL))                                                     \
    X(pc_shelf_list, (0, NULL))                                                                    \
    X(pc_exposure_at, (0))                                                                         \
    X(pc_exposure_of, (NULL, NULL, 0))                                                             \
    X(pc_exposure_text, (NULL, NULL, 0))                                                           \
    X(pc_air_answer_word, ((pc_air_answer)0))                                                      \
    X(pc_ventilation_of, (NULL, NULL, NULL))                                                       \
    X(pc_standing_of, (NULL, NULL, NULL))                                                          \
    X(pc_cautions_make, (NULL, NULL, (pc_units)0, NULL))                                           \
    X(pc_cautions_of_resin, (NULL, (pc_units)0, NULL))                                             \
    X(pc_cautions_free, (NULL))                                                                    \
    X(pc_deferral, ())                                                                             \
    X(pc_schedule_make, (NULL, NULL, NULL))                                                        \
    X(pc_schedule_free, (NULL))                                                                    \
    X(pc_schedule_history, (NULL, NULL, 0, 0, NULL, NULL))                                         \
    X(pc_step_word, ((pc_step_kind)0))                                                             \
    X(pc_bond_deadline, (NULL))                                                                    \
    X(pc_pour_deadline, (NULL, 0))                                                                 \
    X(pc_shape_flat, (0.0, NULL))                                                                  \
    X(pc_shape_parse, (NULL, NULL, NULL, 0))                                                       \
    X(pc_shape_measured, (0.0, 0.0, NULL))                                                         \
    X(pc_foil_area, (0.0, 0.0, 0.0, NULL))                                                         \
    X(pc_shell_volume, (NULL, 0.0, NULL))                                                          \
    X(pc_shape_free, (NULL))                                                                       \
    X(pc_status_text, ((pc_status)0))                                                              \
    X(pc_supply_word, ((pc_supply)0))                                                              \
    X(pc_order_read, (NULL, NULL, NULL))                                                           \
    X(pc_prices_read, (NULL, NULL, NULL))                                                          \
    X(pc_supplies_make, (NULL, NULL, NULL, NULL, NULL, NULL))                                      \
    X(pc_turn_plan_make, (NULL, NULL, 0, NULL))                                                    \
    X(pc_turn_plan_free, (NULL))                                                                   \
    X(pc_version, ())                                                                              \
    X(pc_warm_grid_default, (NULL, NULL))                                                          \
    X(pc_warm_run, (NULL, NULL, NULL, NULL))                                                       \
    X(pc_warm_free, (NULL))                                                                        \
    X(pc_warm_cautions, (NULL, NULL))

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

/* A call that crashes ends this test's own process, and Check says which row it was. */
START_TEST(null_and_zero_are_safe) {
    ck_assert_int_eq(strncmp(calls[_i].name, "pc_", 3), 0);
    calls[_i].run();
}
END_TEST

int main(void) {
    Suite *suite = suite_create("null");
    TCase *tcase = tcase_create("null");
    tcase_add_loop_test(tcase, null_and_zero_are_safe, 0, (int)(sizeof calls / sizeof *calls));
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
