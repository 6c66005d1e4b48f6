/* SPDX-License-Identifier: GPL-3.0-or-later */
/* pourclock bench PIECE --page FILE: the casting under way, planned again from its log, as a page.
 */
#include <stdlib.h>
#include <unistd.h>

#include "bench/bench_run.h"
#include "draw/page.h"
#include "print/message.h"

/* A casting as its log has it. */
struct under_way {
    pc_log *log;
    pc_actual actual;
    pc_pace pace;
    pc_schedule *now; /* planned again */
    int64_t first_mix_wall_ms;
    bool begun;
};

static int64_t wall_of_first_mix(const pc_log *log, int64_t first_mix_ms) {
    for (size_t i = 0; i < pc_log_count(log); i++) {
        const pc_event *event = pc_log_event(log, i);
        if (event->kind == PC_EVENT_MIX && event->elapsed_ms == first_mix_ms)
            return event->wall_ms;
    }
    return -1;
}

static pc_status learn(const pc_piece *piece, const pc_schedule *plan, int64_t wall_ms,
                       struct under_way *casting) {
    size_t count = pc_log_count(casting->log);
    const pc_event **event = calloc(count + 1, sizeof *event);
    int64_t first_mix_ms = -1;
    if (event == NULL)
        return PC_E_MEMORY;
    for (size_t i = 0; i < count; i++)
        event[i] = pc_log_event(casting->log, i);
    pc_actual_from_events(event, count, &casting->actual, &first_mix_ms);
    free(event);
    casting->begun = first_mix_ms >= 0;
    if (!casting->begun)
        return PC_OK;
    casting->first_mix_wall_ms = wall_of_first_mix(casting->log, first_mix_ms);
    double now_s = (double)(wall_ms - casting->first_mix_wall_ms) / 1000.0;
    pc_status status = pc_pace_estimate(piece, plan, &casting->actual, now_s, &casting->pace);
    if (status == PC_OK)
        status = pc_replan(piece, plan, &casting->actual, now_s, &casting->pace, &casting->now);
    return status;
}

static enum cli_exit read_log(const pc_piece *piece, const pc_schedule *plan, const char *path,
                              struct under_way *casting) {
    struct bench_clock clock;
    struct bench_time time;
    pc_errors errors = PC_ERRORS_INIT;
    if (access(path, F_OK) != 0)
        return CLI_DONE; /* not begun */
    pc_status status = pc_log_read(path, &casting->log, &errors);
    if (status != PC_OK)
        return say_errors(status, &errors);
    if (pc_log_count(casting->log) > 0 && pc_log_piece(casting->log) != pc_piece_fingerprint(piece))
        return say_error(CLI_FILE,
                         "%s is the log of another piece, or of this one before its file was "
                         "changed: name another with --log",
                         path);
    bench_clock_start(&clock, 1.0);
    bench_clock_read(&clock, &time);
    status = learn(piece, plan, time.wall_ms, casting);
    return status == PC_OK ? CLI_DONE
                           : say_error(say_exit_of(status), "%s: %s", path, pc_status_text(status));
}

enum cli_exit bench_page(struct cli *cli, const pc_piece *piece, const pc_schedule *plan,
                         const char *log_path, const char *path) {
    struct under_way *casting = calloc(1, sizeof *casting);
    pc_cautions cautions = {0};
    if (casting == NULL)
        return say_error(CLI_INTERNAL, "out of memory");
    enum cli_exit code = read_log(piece, plan, log_path, casting);
    page_source source = {
        .piece = piece, .plan = plan, .cautions = &cautions, .path = cli->operand[0]};
    if (casting->begun) {
        source.plan = casting->now;
        source.log = casting->log;
        source.actual = &casting->actual;
        source.pace = &casting->pace;
        source.first_mix_wall_ms = casting->first_mix_wall_ms;
    }
    if (code == CLI_DONE) {
        pc_status status = pc_cautions_make(piece, source.plan, piece->units, &cautions);
        code = status == PC_OK
                   ? page_write(cli, path, &source)
                   : say_error(say_exit_of(status), "cautions: %s", pc_status_text(status));
    }
    pc_cautions_free(&cautions);
    pc_schedule_free(casting->now);
    pc_log_close(casting->log);
    free(casting);
    return code;
}
