/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log: what was acknowledged is there again after every crash that can be staged:
 * the file cut at every byte, every byte flipped, writes that fail or fall short, a full disk, a
 * sync that fails, a process killed at any moment. */
#include "unit.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "bench/event_line.h"
#include "fake_schedule.h"

#include "fake_log.h"

START_TEST(crc_is_that_of_the_standard) {
    /* Check value of CRC-32 (ISO 3309, ITU-T V.42) over "123456789". */
    ck_assert_uint_eq(pc_crc32("123456789", 9), 0xCBF43926u);
    ck_assert_uint_eq(pc_crc32("", 0), 0u);
}
END_TEST

START_TEST(a_line_reads_back_as_it_was_written) {
    char line[PC_EVENT_LINE_SIZE];
    uint64_t piece;
    pc_event back;
    for (int kind = 0; kind < PC_EVENT_KIND_COUNT; kind++) {
        pc_event event = event_of((pc_event_kind)kind, 12345, "late: \x01\x7f \\ \xc3\xa9\t\n");
        event.number = 7;
        event.value = -1.5;
        size_t length = pci_event_format(&event, PIECE, line, sizeof line);
        ck_assert_uint_gt(length, 0);
        ck_assert_int_eq(line[length - 1], '\n');
        ck_assert_ptr_eq(memchr(line, '\n', length - 1), NULL);
        assert_ok(pci_event_parse(line, length - 1, &back, &piece, NULL));
        ck_assert_uint_eq(piece, PIECE);
        ck_assert_int_eq(back.number, 7);
        ck_assert_int_eq(back.kind, kind);
        ck_assert_str_eq(back.text, event.text);
        ck_assert_int_eq(back.wall_ms, event.wall_ms);
        assert_near(back.value, -1.5, 0.0);
    }
    pc_event event = event_of(PC_EVENT_NOTE, 1, "");
    event.number = 1;
    event.value = INFINITY;
    ck_assert_uint_eq(pci_event_format(&event, PIECE, line, sizeof line), 0);
    event.value = NAN;
    ck_assert_uint_eq(pci_event_format(&event, PIECE, line, 20), 0);
    memset(event.text, 1, sizeof event.text - 1);
    ck_assert_uint_gt(pci_event_format(&event, PIECE, line, sizeof line), 0);
    ck_assert_uint_eq(pci_event_format(NULL, PIECE, line, sizeof line), 0);
}
END_TEST

/* Bug 1 of the log: an event with a number, time or part that reading refuses was written all the
 * same, so that the log called its own line damaged; the fuzzer found it. */
START_TEST(what_cannot_be_read_back_is_not_written) {
    static const struct {
        long number;
        int64_t elapsed_ms;
        int part, layer;
        bool good;
    } rows[] = {
        {1, 0, -1, 0, true},
        {0, 0, -1, 0, false},
        {1000000001, 0, -1, 0, false},
        {1, -1, -1, 0, false},
        {1, INT64_MAX, -1, 0, false},
        {1, 0, -2, 0, false},
        {1, 0, PC_PARTS_MOST, 0, false},
        {1, 0, 0, PC_LAYERS_MOST + 1, false},
    };
    char line[PC_EVENT_LINE_SIZE];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        pc_event event = event_of(PC_EVENT_NOTE, 1, "");
        event.number = rows[i].number;
        event.elapsed_ms = rows[i].elapsed_ms;
        event.part = rows[i].part;
        event.layer = rows[i].layer;
        ck_assert_int_eq(pci_event_format(&event, PIECE, line, sizeof line) > 0, rows[i].good);
    }
}
END_TEST

START_TEST(reopened_it_goes_on_where_it_was) {
    pc_log *log;
    make_path();
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_int_eq(write_events(log, 5), 5);
    pc_log_close(log);
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_uint_eq(pc_log_count(log), 5);
    ck_assert_uint_eq(pc_log_damages(log), 0);
    ck_assert_uint_eq(pc_log_torn(log), 0);
    pc_event event = event_of(PC_EVENT_POUR, 6000, "");
    assert_ok(pc_log_append(log, &event, NULL));
    ck_assert_int_eq(event.number, 6);
    ck_assert_str_eq(pc_log_event(log, 0)->text, "event 1\tof\nthe \\ day");
    ck_assert_ptr_null(pc_log_event(log, 6));
    pc_log_close(log);
    drop_path();
}
END_TEST

START_TEST(elapsed_goes_on_at_the_right_second) {
    pc_log *log;
    bool restarted;
    make_path();
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    ck_assert_int_eq(pc_log_elapsed(log, 1, 1, 1, NULL), 0);
    write_events(log, 3);
    const pc_event *last = pc_log_event(log, 2);
    /* The same start of the machine: its own clock, whatever the wall says. */
    ck_assert_int_eq(pc_log_elapsed(log, 0xfeed, last->boot_ms + 61500, 0, &restarted), 64500);
    ck_assert(!restarted);
    /* Restarted: the wall bridges. */
    ck_assert_int_eq(pc_log_elapsed(log, 0xbeef, 100, last->wall_ms + 600000, &restarted), 603000);
    ck_assert(restarted);
    /* The wall was set back meanwhile: never backward. */
    ck_assert_int_eq(pc_log_elapsed(log, 0xbeef, 100, last->wall_ms - 600000, NULL), 3000);
    pc_log_close(log);
    drop_path();
}
END_TEST

START_TEST(second_clock_and_other_piece_are_refused) {
    pc_log *log, *other;
    pc_errors errors = PC_ERRORS_INIT;
    make_path();
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    write_events(log, 2);
    assert_status(pc_log_open(path, PIECE, &other, &errors), PC_E_FILE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "another clock"));
    pc_log_close(log);
    assert_status(pc_log_open(path, PIECE + 1, &other, &errors), PC_E_VALUE);
    ck_assert_ptr_nonnull(strstr(errors.item[1].text, "another piece"));
    assert_status(pc_log_open("/nowhere/at/all.log", PIECE, &other, &errors), PC_E_FILE);
    assert_status(pc_log_open("/tmp", PIECE, &other, &errors), PC_E_FILE);
    assert_status(pc_log_open("/dev/full", PIECE, &other, &errors), PC_E_FILE);
    assert_status(pc_log_read("/nowhere/at/all.log", &other, &errors), PC_E_FILE);
    spill("this is a letter\n", 17);
    assert_status(pc_log_open(path, PIECE, &other, &errors), PC_E_SYNTAX);
    size_t size;
    char *data = slurp(&size);
    ck_assert_uint_eq(size, 17); /* not touched */
    free(data);
    assert_status(pc_log_read(path, &other, &errors), PC_E_SYNTAX);
    spill("", 0);
    assert_status(pc_log_read(path, &other, &errors), PC_E_SYNTAX);
    pc_errors_free(&errors);
    drop_path();
}
END_TEST

/* Lines that are whole and do not belong where they stand: told again, of another piece, too many.
 */
START_TEST(whole_lines_out_of_place_are_named) {
    char line[4][PC_EVENT_LINE_SIZE], all[5 * PC_EVENT_LINE_SIZE] = "";
    for (int i = 0; i < 4; i++) {
        pc_event event = event_of(PC_EVENT_NOTE, 1000 * i, "a line");
        event.number = i + 1;
        ck_assert_uint_gt(
            pci_event_format(&event, i == 1 ? PIECE + 1 : PIECE, line[i], sizeof line[i]), 0);
    }
    strcat(strcat(strcat(strcat(all, line[0]), line[1]), line[0]), line[3]);
    make_path();
    spill(all, strlen(all));
    pc_log *log;
    assert_ok(pc_log_read(path, &log, NULL));
    ck_assert_uint_eq(pc_log_count(log), 2);
    ck_assert_uint_eq(pc_log_piece(log), PIECE);
    ck_assert_uint_eq(pc_log_damages(log), 3);
    ck_assert_str_eq(pc_log_damage_at(log, 0)->text, "it belongs to another piece");
    ck_assert_str_eq(pc_log_damage_at(log, 1)->text, "it repeats number 1");
    /* Bug 3 of the log: a gap in the numbers was called a line that is left out. */
    ck_assert_str_eq(pc_log_damage_at(log, 2)->text,
                     "numbers 2 to 3 are missing: lost, or never saved");
    ck_assert(pc_log_damage_at(log, 2)->gap && !pc_log_damage_at(log, 1)->gap);
    ck_assert_str_eq(pc_log_event(log, 1)->text, "a line");
    ck_assert_int_eq(pc_log_damage_at(log, 2)->line, 4);
    ck_assert_ptr_null(pc_log_damage_at(log, 3));
    ck_assert_ptr_null(pc_log_event(log, 2));
    pc_event event = event_of(PC_EVENT_NOTE, 1, "only read");
    assert_status(pc_log_append(log, &event, NULL), PC_E_ARGUMENT);
    pc_log_close(log);
    ck_assert_uint_eq(pc_log_piece(NULL), 0);
    ck_assert_int_eq(truncate(path, PC_LOG_MOST_BYTES + 1), 0);
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pc_log_read(path, &log, &errors), PC_E_SIZE);
    assert_status(pc_log_open(path, PIECE, &log, &errors), PC_E_SIZE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "too large for a file of this kind"));
    pc_errors_free(&errors);
    drop_path();
}
END_TEST

/* Cut at every byte: the whole lines before the cut are there, the rest is dropped, and the log
 * goes on. */
START_TEST(cut_at_every_byte) {
    pc_log *log;
    size_t size;
    make_path();
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    write_events(log, 6);
    pc_log_close(log);
    char *data = slurp(&size);
    for (size_t cut = 0; cut <= size; cut++) {
        size_t whole = 0;
        for (size_t i = 0; i < cut; i++)
            whole += data[i] == '\n';
        bool only_end_missing = cut < size && data[cut] == '\n';
        spill(data, cut);
        assert_ok(pc_log_open(path, PIECE, &log, NULL));
        ck_assert_uint_eq(pc_log_count(log), whole + only_end_missing);
        ck_assert_uint_eq(pc_log_damages(log), 0);
        pc_event event = event_of(PC_EVENT_POUR, 99000, "after");
        assert_ok(pc_log_append(log, &event, NULL));
        pc_log_close(log);
        assert_ok(pc_log_read(path, &log, NULL));
        ck_assert_uint_eq(pc_log_count(log), whole + only_end_missing + 1);
        ck_assert_uint_eq(pc_log_damages(log), 0);
        pc_log_close(log);
    }
    free(data);
    drop_path();
}
END_TEST

/* Every byte flipped, in three ways: at most the line it stands in (two, for a line end) is lost,
 * it is named, and nothing wrong is taken for right. */
START_TEST(every_byte_flipped) {
    static const unsigned char masks[] = {0x01, 0x80, 0x2A};
    pc_log *log;
    size_t size;
    make_path();
    assert_ok(pc_log_open(path, PIECE, &log, NULL));
    write_events(log, 5);
    pc_log_close(log);
    char *data = slurp(&size);
    for (size_t at = 0; at < size; at++) {
        for (size_t m = 0; m < sizeof masks; m++) {
            data[at] = (char)((unsigned char)data[at] ^ masks[m]);
            spill(data, size);
            assert_ok(pc_log_read(path, &log, NULL));
            size_t lost = 5 - pc_log_count(log);
            ck_assert_msg(lost <= 2, "byte %zu: %zu events lost", at, lost);
            ck_assert_msg(pc_log_damages(log) + pc_log_torn(log) > 0, "byte %zu: unnoticed", at);
            for (size_t i = 0; i < pc_log_count(log); i++) {
                const pc_event *event = pc_log_event(log, i);
                ck_assert_int_eq(event->elapsed_ms, 1000 * event->number);
            }
            pc_log_close(log);
            size_t kept;
            assert_ok(pc_log_open(path, PIECE, &log, NULL));
            pc_log_close(log);
            char *after = slurp(&kept);
            /* Nothing is rewritten: at most a torn tail is cut. */
            ck_assert_int_eq(memcmp(after, data, kept), 0);
            ck_assert(kept == size || at + 120 > size);
            free(after);
            data[at] = (char)((unsigned char)data[at] ^ masks[m]);
        }
    }
    free(data);
    drop_path();
}
END_TEST

/* ---- disks that fail ---- */

typedef struct bad_disk {
    int calls, fail_from, fail_count; /* which calls fail */
    int error;
    bool on_sync, short_write, no_truncate;
} bad_disk;

static bool fails(bad_disk *disk) {
    int call = disk->calls++;
    return call >= disk->fail_from && call < disk->fail_from + disk->fail_count;
}

static ssize_t bad_write(void *context, int fd, const void *data, size_t size) {
    bad_disk *disk = context;
    if (disk->on_sync || !fails(disk))
        return write(fd, data, size);
    if (disk->short_write && size > 1) {
        disk->short_write = false;
        disk->calls--; /* and the rest of it fails */
        return write(fd, data, size / 2);
    }
    errno = disk->error;
    return -1;
}

static int bad_sync(void *context, int fd) {
    bad_disk *disk = context;
    if (!disk->on_sync || !fails(disk))
        return fdatasync(fd);
    errno = disk->error;
    return -1;
}

static int bad_truncate(void *context, int fd, off_t size) {
    bad_disk *disk = context;
    if (!disk->no_truncate)
        return ftruncate(fd, size);
    errno = EIO;
    return -1;
}

START_TEST(failing_disk_loses_nothing_acknowledged) {
    for (int variant = 0; variant < 16; variant++) {
        for (int from = 0; from < 6; from++) {
            bad_disk disk = {0,           from,        2,          variant & 8 ? EIO : ENOSPC,
                             variant & 1, variant & 2, variant & 4};
            pci_log_io io = {bad_write, bad_sync, bad_truncate, &disk};
            pc_log *log;
            pc_errors errors = PC_ERRORS_INIT;
            make_path();
            assert_ok(pci_log_open_by(path, PIECE, &io, &log, NULL));
            int acknowledged = 0;
            bool told = false;
            for (int i = 0; i < 6; i++) {
                pc_event event = event_of(PC_EVENT_NOTE, 1000 * (i + 1), "x");
                /* As the clock does: again until it is on the disk. */
                int tries = 0;
                while (pc_log_append(log, &event, &errors) != PC_OK && ++tries < 5)
                    told = true;
                acknowledged += tries < 5;
            }
            ck_assert_int_eq(acknowledged, 6);
            ck_assert(told);
            ck_assert_ptr_nonnull(strstr(errors.item[0].text, strerror(disk.error)));
            pc_log_close(log);
            assert_ok(pc_log_open(path, PIECE, &log, NULL));
            /* Each of the six is there (one may be there twice: not acknowledged, yet kept). */
            for (int i = 0; i < 6; i++) {
                bool there = false;
                for (size_t k = 0; k < pc_log_count(log); k++)
                    there |= pc_log_event(log, k)->elapsed_ms == 1000 * (i + 1);
                ck_assert_msg(there, "variant %d, from %d: event %d is lost", variant, from, i);
            }
            if (!disk.no_truncate) {
                ck_assert_uint_eq(pc_log_count(log), 6);
                ck_assert_uint_eq(pc_log_damages(log), 0);
            }
            pc_log_close(log);
            pc_errors_free(&errors);
            drop_path();
        }
    }
}
END_TEST

/* A child appends and tells each acknowledged number through a pipe; it is killed at a random
 * moment, every other time not before its first (on a slow disk the pause alone saw none).
 * Acknowledged is a subset of recovered, every time. POURCLOCK_KILLS sets how many. */
START_TEST(killed_at_random) {
    const char *asked = getenv("POURCLOCK_KILLS");
    int kills = asked != NULL ? atoi(asked) : 25;
    unsigned seed = 12345;
    make_path();
    long acknowledged_ever = 0, in_all = 0;
    for (int k = 0; k < kills; k++) {
        int ends[2];
        ck_assert_int_eq(pipe(ends), 0);
        pid_t child = fork();
        if (child == 0) {
            pc_log *log;
            if (pc_log_open(path, PIECE, &log, NULL) != PC_OK)
                _exit(1);
            for (;;) {
                pc_event event = event_of(PC_EVENT_NOTE, 1000 + (int64_t)pc_log_count(log), "");
                if (pc_log_append(log, &event, NULL) != PC_OK ||
                    write(ends[1], &event.number, sizeof event.number) < 0)
                    _exit(1);
            }
        }
        close(ends[1]);
        long number, last = acknowledged_ever;
        if (k % 2 == 0 && read(ends[0], &number, sizeof number) == (ssize_t)sizeof number)
            last = number;
        seed = seed * 1103515245u + 12345u;
        struct timespec pause = {0, 1000000L + (long)(seed >> 16) % 8000000L};
        nanosleep(&pause, NULL);
        kill(child, SIGKILL);
        int status;
        ck_assert_int_eq(waitpid(child, &status, 0), child);
        ck_assert_msg(WIFSIGNALED(status), "the child stopped by itself");
        while (read(ends[0], &number, sizeof number) == (ssize_t)sizeof number)
            last = number;
        close(ends[0]);
        ck_assert_int_ge(last, acknowledged_ever);
        in_all += last - acknowledged_ever;
        acknowledged_ever = last;
        pc_log *log;
        assert_ok(pc_log_open(path, PIECE, &log, NULL));
        ck_assert_uint_eq(pc_log_damages(log), 0);
        ck_assert_int_ge((long)pc_log_count(log), acknowledged_ever);
        for (size_t i = 0; i < pc_log_count(log); i++)
            ck_assert_int_eq(pc_log_event(log, i)->number, (long)i + 1);
        pc_log_close(log);
        struct stat st;
        if (stat(path, &st) == 0 && st.st_size > 1000000) {
            unlink(path);
            acknowledged_ever = 0;
        }
    }
    ck_assert_int_gt(in_all, kills / 2);
    drop_path();
}
END_TEST

START_TEST(what_happened_is_told_from_the_events) {
    pc_event line[8];
    const pc_event *events[8];
    static const pc_event_kind kinds[] = {PC_EVENT_START, PC_EVENT_MIX,   PC_EVENT_POUR,
                                          PC_EVENT_GEL,   PC_EVENT_UNDO,  PC_EVENT_STOP,
                                          PC_EVENT_LATE,  PC_EVENT_DEMOLD};
    for (int i = 0; i < 8; i++) {
        line[i] = event_of(kinds[i], 10000 * (i + 1), "");
        line[i].number = i + 1;
        events[i] = &line[i];
    }
    line[4].value = 4.0; /* the gel was pressed by mistake */
    line[6].value = 120.0;
    pc_actual *actual = malloc(sizeof *actual);
    ck_assert_ptr_nonnull(actual);
    int64_t first_ms;
    pc_actual_from_events(events, 8, actual, &first_ms);
    ck_assert_int_eq(first_ms, 20000);
    assert_near(actual->layer[0][0].mix_s, 0.0, 1e-9);
    assert_near(actual->layer[0][0].pour_end_s, 10.0, 1e-9);
    ck_assert(isnan(actual->layer[0][0].gel_s));
    assert_near(actual->layer[0][0].stop_s, 40.0, 1e-9);
    assert_near(actual->layer[0][0].late_s, 120.0, 1e-9);
    assert_near(actual->demold_s[0], 60.0, 1e-9);
    ck_assert(isnan(actual->layer[0][1].mix_s));
    free(actual);
}
END_TEST

START_TEST(fingerprint_tells_pieces_apart) {
    pc_piece *piece = malloc(sizeof *piece);
    ck_assert_ptr_nonnull(piece);
    fake_piece(piece);
    uint64_t first = pc_piece_fingerprint(piece);
    ck_assert_uint_eq(first, pc_piece_fingerprint(piece));
    piece->part[0].wall_m *= 1.01;
    ck_assert_uint_ne(first, pc_piece_fingerprint(piece));
    fake_piece(piece);
    piece->name[0] = 'A';
    ck_assert_uint_ne(first, pc_piece_fingerprint(piece));
    fake_piece(piece);
    piece->shop.air_K += 1.0;
    ck_assert_uint_ne(first, pc_piece_fingerprint(piece));
    ck_assert_uint_eq(pc_piece_fingerprint(NULL), 0);
    /* Of what is not known no sign is told: a log must not hang on how a compiler makes a NaN. */
    fake_piece(piece);
    piece->part[0].first_layer_m = copysign(NAN, 1.0);
    first = pc_piece_fingerprint(piece);
    piece->part[0].first_layer_m = copysign(NAN, -1.0);
    ck_assert_uint_eq(first, pc_piece_fingerprint(piece));
    free(piece);
}
END_TEST

/* Bug 2 of the log: the clock on the wall was subtracted from another without room for it. */
START_TEST(bug_2_clocks_far_apart) {
    char place[] = "/tmp/pourclock-log-XXXXXX";
    int fd = mkstemp(place);
    ck_assert_int_ge(fd, 0);
    close(fd);
    pc_log *log = NULL;
    assert_ok(pc_log_open(place, PIECE, &log, NULL));
    pc_event event = event_of(PC_EVENT_NOTE, 1, "");
    event.elapsed_ms = 5000;
    event.boot = 3;
    event.wall_ms = 1700000000000;
    assert_ok(pc_log_append(log, &event, NULL));
    ck_assert_int_eq(pc_log_elapsed(log, 4, 0, INT64_MIN, NULL), 5000);
    event.elapsed_ms = 6000;
    event.wall_ms = -1700000000000;
    assert_ok(pc_log_append(log, &event, NULL));
    ck_assert_int_eq(pc_log_elapsed(log, 4, 0, INT64_MAX, NULL), INT64_MAX);
    pc_log_close(log);
    unlink(place);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("log");
    TCase *tcase = tcase_create("log");
    tcase_set_timeout(tcase, 120.0);
    tcase_add_test(tcase, crc_is_that_of_the_standard);
    tcase_add_test(tcase, a_line_reads_back_as_it_was_written);
    tcase_add_test(tcase, bug_2_clocks_far_apart);
    tcase_add_test(tcase, what_cannot_be_read_back_is_not_written);
    tcase_add_test(tcase, reopened_it_goes_on_where_it_was);
    tcase_add_test(tcase, elapsed_goes_on_at_the_right_second);
    tcase_add_test(tcase, second_clock_and_other_piece_are_refused);
    tcase_add_test(tcase, whole_lines_out_of_place_are_named);
    tcase_add_test(tcase, cut_at_every_byte);
    tcase_add_test(tcase, every_byte_flipped);
    tcase_add_test(tcase, failing_disk_loses_nothing_acknowledged);
    tcase_add_test(tcase, killed_at_random);
    tcase_add_test(tcase, what_happened_is_told_from_the_events);
    tcase_add_test(tcase, fingerprint_tells_pieces_apart);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
