/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One event, one checked line. */
#include <inttypes.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "bench/event_line.h"
#include "pourclock/bench.h"

#define FIELDS 11

/* Bit by bit: a line is short and a table would only be longer. Polynomial of ISO 3309. */
uint32_t pc_crc32(const void *data, size_t size) {
    const unsigned char *at = data;
    uint32_t crc = 0xFFFFFFFFu;
    for (size_t i = 0; at && i < size; i++) {
        crc ^= at[i];
        for (int bit = 0; bit < 8; bit++)
            crc = (crc >> 1) ^ (crc & 1u ? 0xEDB88320u : 0u);
    }
    return ~crc;
}

/* A control character, DEL or backslash becomes \xNN: a line end within a note must not end the
 * line. */
static bool escape(const char *text, char *buffer, size_t size) {
    size_t used = 0;
    for (const unsigned char *at = (const unsigned char *)text; *at != '\0'; at++) {
        bool plain = *at >= 0x20 && *at != 0x7F && *at != '\\';
        if (used + (plain ? 1 : 4) >= size)
            return false;
        if (plain)
            buffer[used++] = (char)*at;
        else
            used += (size_t)snprintf(buffer + used, size - used, "\\x%02x", *at);
    }
    buffer[used] = '\0';
    return true;
}

static int hex_digit(char c) {
    return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

static bool unescape(const char *text, size_t length, char *buffer, size_t size) {
    size_t used = 0;
    for (size_t i = 0; i < length; i++) {
        if (used + 1 >= size)
            return false;
        if (text[i] != '\\') {
            buffer[used++] = text[i];
            continue;
        }
        if (i + 3 >= length || text[i + 1] != 'x' || hex_digit(text[i + 2]) < 0 ||
            hex_digit(text[i + 3]) < 0)
            return false;
        buffer[used++] = (char)(hex_digit(text[i + 2]) * 16 + hex_digit(text[i + 3]));
        i += 3;
    }
    buffer[used] = '\0';
    return memchr(buffer, '\0', used) == NULL;
}

/* What a line can hold. Reading and writing ask the same, so that what is written is read back. */
static bool fits_a_line(const pc_event *event) {
    const int64_t most = 999999999999999999; /* 18 digits */
    return event->number >= 1 && event->number <= 1000000000 && event->elapsed_ms >= 0 &&
           event->elapsed_ms <= most && event->boot_ms >= -most && event->boot_ms <= most &&
           event->wall_ms >= -most && event->wall_ms <= most && event->part >= -1 &&
           event->part < PC_PARTS_MOST && event->layer >= 0 && event->layer <= PC_LAYERS_MOST;
}

size_t pci_event_format(const pc_event *event, uint64_t piece, char *buffer, size_t size) {
    char text[4 * PC_EVENT_TEXT_SIZE], value[32] = "-";
    if (event == NULL || buffer == NULL || (unsigned)event->kind >= PC_EVENT_KIND_COUNT ||
        !fits_a_line(event) || memchr(event->text, '\0', sizeof event->text) == NULL ||
        !escape(event->text, text, sizeof text))
        return 0;
    /* Whole thousandths, so that no locale writes a comma. */
    if (!isnan(event->value)) {
        if (!(fabs(event->value) < 1e12))
            return 0;
        snprintf(value, sizeof value, "%" PRId64, (int64_t)llround(event->value * 1000.0));
    }
    int length =
        snprintf(buffer, size,
                 "%ld\t%" PRId64 "\t%" PRId64 "\t%" PRId64 "\t%016" PRIx64 "\t%016" PRIx64
                 "\t%s\t%d\t%d\t%s\t%s\t*",
                 event->number, event->elapsed_ms, event->boot_ms, event->wall_ms, event->boot,
                 piece, pc_event_word(event->kind), event->part, event->layer, value, text);
    if (length < 0 || (size_t)length + 10 > size)
        return 0;
    uint32_t crc = pc_crc32(buffer, (size_t)length);
    length += snprintf(buffer + length, size - (size_t)length, "%08" PRIx32 "\n", crc);
    return (size_t)length;
}

static bool read_integer(const char *text, size_t length, int64_t *value) {
    bool negative = length > 1 && text[0] == '-';
    size_t i = negative ? 1 : 0;
    int64_t sum = 0;
    if (length == 0 || length - i > 18)
        return false;
    for (; i < length; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        sum = sum * 10 + (text[i] - '0');
    }
    *value = negative ? -sum : sum;
    return true;
}

static bool read_hex(const char *text, size_t length, uint64_t *value) {
    *value = 0;
    if (length != 16)
        return false;
    for (size_t i = 0; i < length; i++) {
        if (hex_digit(text[i]) < 0)
            return false;
        *value = *value << 4 | (uint64_t)hex_digit(text[i]);
    }
    return true;
}

static bool read_kind(const char *text, size_t length, pc_event_kind *kind) {
    for (int k = 0; k < PC_EVENT_KIND_COUNT; k++) {
        const char *word = pc_event_word((pc_event_kind)k);
        if (strlen(word) == length && memcmp(word, text, length) == 0) {
            *kind = (pc_event_kind)k;
            return true;
        }
    }
    return false;
}

/* The CRC is right: what is left to find is a line another program (or a later version) wrote. */
static bool read_fields(const char *const field[], const size_t length[], pc_event *event,
                        uint64_t *piece) {
    int64_t number, part, layer, value = 0;
    bool none = length[9] == 1 && field[9][0] == '-';
    if (!read_integer(field[0], length[0], &number) ||
        !read_integer(field[1], length[1], &event->elapsed_ms) ||
        !read_integer(field[2], length[2], &event->boot_ms) ||
        !read_integer(field[3], length[3], &event->wall_ms) ||
        !read_hex(field[4], length[4], &event->boot) || !read_hex(field[5], length[5], piece) ||
        !read_kind(field[6], length[6], &event->kind) ||
        !read_integer(field[7], length[7], &part) || !read_integer(field[8], length[8], &layer) ||
        !(none || read_integer(field[9], length[9], &value)) ||
        !unescape(field[10], length[10], event->text, sizeof event->text))
        return false;
    if (number > INT_MAX || part < INT_MIN || part > INT_MAX || layer < INT_MIN || layer > INT_MAX)
        return false;
    event->number = (long)number;
    event->part = (int)part;
    event->layer = (int)layer;
    event->value = none ? (double)NAN : (double)value / 1000.0;
    return fits_a_line(event);
}

pc_status pci_event_parse(const char *line, size_t length, pc_event *event, uint64_t *piece,
                          const char **why) {
    const char *field[FIELDS], *reason = "it does not end with a checksum";
    size_t field_length[FIELDS], count = 0;
    pc_event read = {.value = NAN};
    uint64_t read_piece = 0, crc = 0;
    if (line == NULL || event == NULL || piece == NULL)
        return PC_E_ARGUMENT;
    bool ended = length >= 10 && line[length - 9] == '*' && line[length - 10] == '\t';
    for (size_t i = ended ? length - 8 : length; ended && i < length; i++) {
        ended = hex_digit(line[i]) >= 0;
        crc = crc << 4 | (uint64_t)(unsigned)(hex_digit(line[i]) & 15);
    }
    bool good = ended && pc_crc32(line, length - 8) == (uint32_t)crc;
    if (ended && !good)
        reason = "its checksum does not match";
    if (good) {
        reason = "it has a field this version does not know";
        const char *start = line, *end = line + length - 9;
        for (const char *at = line; at < end && count < FIELDS; at++) {
            if (*at != '\t')
                continue;
            field[count] = start;
            field_length[count++] = (size_t)(at - start);
            start = at + 1;
        }
        good =
            count == FIELDS && start == end && read_fields(field, field_length, &read, &read_piece);
    }
    if (why != NULL)
        *why = good ? "" : reason;
    if (!good)
        return PC_E_SYNTAX;
    *event = read;
    *piece = read_piece;
    return PC_OK;
}
