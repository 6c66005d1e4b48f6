/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The bench's log: any bytes as a log; any event as a line, read back as it was. */
#include "bench/event_line.h"
#include "fuzz_bytes.h"
#include "fuzz_text.h"
#include "pourclock.h"

static void look(const pc_log *log) {
    size_t count = pc_log_count(log);
    const pc_event **list = malloc((count + 1) * sizeof *list);
    FUZZ_PROMISE(list);
    for (size_t i = 0; i < count; i++) {
        list[i] = pc_log_event(log, i);
        FUZZ_PROMISE(list[i] && memchr(list[i]->text, '\0', PC_EVENT_TEXT_SIZE));
    }
    FUZZ_PROMISE(!pc_log_event(log, count));
    for (size_t i = 0; i < pc_log_damages(log); i++)
        FUZZ_PROMISE(pc_log_damage_at(log, i)->line > 0);
    static pc_actual actual;
    int64_t first;
    pc_actual_init(&actual);
    pc_actual_from_events(list, count, &actual, &first);
    bool restarted;
    int64_t last = count ? list[count - 1]->elapsed_ms : 0;
    FUZZ_PROMISE(pc_log_elapsed(log, pc_log_piece(log), last, INT64_MAX, &restarted) >= last);
    FUZZ_PROMISE(pc_log_elapsed(log, 1, INT64_MIN, INT64_MIN, NULL) >= last);
    free(list);
}

static bool whole_log(const uint8_t *data, size_t size) {
    pc_log *log = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    int here = fuzz_text_enter(data, size);
    pc_status status = pc_log_read("/dev/stdin", &log, &errors);
    fuzz_text_leave(here);
    FUZZ_PROMISE((status == PC_OK) == (log != NULL) && (status == PC_OK || errors.count > 0));
    if (log) {
        look(log);
        pc_event event = {.kind = PC_EVENT_NOTE, .part = -1, .value = NAN};
        FUZZ_PROMISE(pc_log_append(log, &event, &errors) == PC_E_ARGUMENT);
        FUZZ_PROMISE(pc_log_torn(log) <= size);
    }
    pc_log_close(log);
    pc_errors_free(&errors);
    return status == PC_OK;
}

/* Opened to go on with, a log holds one event more afterwards. */
static bool open_log(const uint8_t *data, size_t size) {
    pc_log *log = NULL;
    pc_event event = {.kind = PC_EVENT_NOTE, .part = -1, .value = NAN, .text = "otter"};
    int here = fuzz_text_enter(data, size);
    bool good = pc_log_open("/dev/stdin", 77, &log, NULL) == PC_OK;
    size_t count = good ? pc_log_count(log) : 0;
    if (good) {
        event.elapsed_ms = count ? pc_log_event(log, count - 1)->elapsed_ms : 0;
        good = pc_log_append(log, &event, NULL) == PC_OK;
        FUZZ_PROMISE(pc_log_keep(log, NULL) == PC_OK && pc_log_rewrites(log) == 0);
        FUZZ_PROMISE(!strcmp(pc_log_path(log), "/dev/stdin") && !*pc_log_why(log));
        FUZZ_PROMISE(!pc_log_taken(log));
        pc_log_close(log);
    }
    if (good) {
        FUZZ_PROMISE(pc_log_read("/dev/stdin", &log, NULL) == PC_OK);
        FUZZ_PROMISE(pc_log_count(log) == count + 1);
        FUZZ_PROMISE(!strcmp(pc_log_event(log, count)->text, "otter"));
        pc_log_close(log);
    }
    fuzz_text_leave(here);
    return good;
}

static bool any_event(fuzz_bytes *b) {
    pc_event event = {.number = (long)(take_raw(b) > 0 ? take_pair(b) : take_pair(b) * 65536L)};
    double raw[4] = {take_raw(b), take_raw(b), take_raw(b), take_raw(b)};
    memcpy(&event.elapsed_ms, &raw[0], sizeof(int64_t));
    memcpy(&event.boot_ms, &raw[1], sizeof(int64_t));
    memcpy(&event.wall_ms, &raw[2], sizeof(int64_t));
    memcpy(&event.boot, &raw[3], sizeof(uint64_t));
    event.kind = (pc_event_kind)(take_byte(b) % (PC_EVENT_KIND_COUNT + 1));
    event.part = (int)take_size(b, 20) - 1;
    event.layer = (int)take_size(b, 20);
    event.value = take_number(b, -1e4, 1e4);
    for (size_t i = 0, n = take_byte(b) % PC_EVENT_TEXT_SIZE; i < n; i++)
        event.text[i] = (char)take_byte(b);
    char line[PC_EVENT_LINE_SIZE];
    size_t room = take_byte(b) & 7 ? sizeof line : take_pair(b) % sizeof line;
    size_t length = pci_event_format(&event, 77, line, room);
    FUZZ_PROMISE(length < sizeof line);
    if (length == 0)
        return false;
    pc_event back;
    uint64_t piece;
    const char *why = NULL;
    FUZZ_PROMISE(pci_event_parse(line, length - 1, &back, &piece, &why) == PC_OK);
    FUZZ_PROMISE(piece == 77 && back.number == event.number && back.kind == event.kind);
    FUZZ_PROMISE(back.elapsed_ms == event.elapsed_ms && back.boot == event.boot);
    FUZZ_PROMISE(back.part == event.part && back.layer == event.layer);
    FUZZ_PROMISE(isnan(back.value) == isnan(event.value) && !strcmp(back.text, event.text));
    line[take_pair(b) % (length - 1)] ^= 1;
    FUZZ_PROMISE(pci_event_parse(line, length - 1, &back, &piece, &why) == PC_E_SYNTAX && why);
    return true;
}

bool fuzz_accepts(const uint8_t *data, size_t size) {
    if (size > 0 && data[0] == 0xff) {
        fuzz_bytes b = {data + 1, size - 1};
        return any_event(&b);
    }
    pc_crc32(data, size);
    open_log(data, size);
    return whole_log(data, size);
}

FUZZ_ENTRY
