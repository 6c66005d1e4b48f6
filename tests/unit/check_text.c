/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text from outside: what of it is shown, how wide it is, where it is cut. */
#include "unit.h"

#include <string.h>

#include "base/text.h"
#include "pourclock.h"

static const struct row {
    const char *text, *clean;
    size_t width;
} rows[] = {
    {"", "", 0},
    {"Otter, seated", "Otter, seated", 13},
    {"\xd0\x92\xd1\x8b\xd0\xb4\xd1\x80\xd0\xb0 \xd1\x83 \xd0\xbc\xd0\xbe\xd1\x80\xd1\x8f",
     "\xd0\x92\xd1\x8b\xd0\xb4\xd1\x80\xd0\xb0 \xd1\x83 \xd0\xbc\xd0\xbe\xd1\x80\xd1\x8f", 12},
    {"e\xcc\x81t\xcc\x81", "e\xcc\x81t\xcc\x81", 2},             /* marks */
    {"\xe6\xb5\xb7\xe7\x8d\xba", "\xe6\xb5\xb7\xe7\x8d\xba", 4}, /* wide */
    {"\xed\x95\x9c\xea\xb5\xad", "\xed\x95\x9c\xea\xb5\xad", 4}, /* Hangul */
    {"\xe1\x84\x92\xe1\x85\xa1\xe1\x86\xab", "\xe1\x84\x92\xe1\x85\xa1\xe1\x86\xab", 2}, /* jamo */
    {"\xf0\x9f\xa6\xa6", "\xf0\x9f\xa6\xa6", 2}, /* an otter */
    {"\xe0\xa4\x95\xe2\x80\x8d\xe0\xa4\xb7", "\xe0\xa4\x95\xe2\x80\x8d\xe0\xa4\xb7",
     2}, /* joined */
    {"tab\tline\nend\r\n", "tab line end  ", 14},
    {"a\xe2\x80\xa8"
     "b\xe2\x80\xa9",
     "a b ", 4},                         /* line and paragraph separators */
    {"\x1b[31mred\x07", "?[31mred?", 9}, /* C0 */
    {"del\x7f", "del?", 4},
    {"\xc2\x9b"
     "31m",
     "?31m", 4}, /* C1 as UTF-8: CSI */
    {"\x9b"
     "31m\x85",
     "?31m?", 5}, /* C1 as raw bytes */
    {"\xe2\x80\xae"
     "ini.exe",
     "?ini.exe", 8},                                /* right-to-left override */
    {"\xe2\x80\x8e\xe2\x80\x8f\xd8\x9c", "???", 3}, /* direction marks */
    {"\xe2\x81\xa6x\xe2\x81\xa9", "?x?", 3},        /* isolates */
    {"a\xe2\x80\x8b"
     "b\xef\xbb\xbf",
     "a?b?", 4},                                            /* zero width space, byte order mark */
    {"\xf3\xa0\x81\xa1\xf3\xa0\x80\xa0", "??", 2},          /* tags */
    {"\xef\xb7\x90\xef\xbf\xbf\xf4\x8f\xbf\xbe", "???", 3}, /* non-characters */
    {"\xed\xa0\x80", "???", 3},                             /* a surrogate */
    {"\xc0\xaf\xff\xfe", "????", 4},                        /* overlong, no UTF-8 */
    {"\xf5\x80\x80\x80", "????", 4},                        /* above U+10FFFF */
    {"abc\xd0", "abc", 3},                                  /* cut within a letter */
    {"abc\xe6\xb5", "abc", 3},
    {"\xd0x", "?x", 2},
    {"soft\xc2\xadhyphen", "soft\xc2\xadhyphen", 11},
};

START_TEST(every_class_of_text_is_shown_or_replaced) {
    const struct row *row = &rows[_i];
    char clean[128];
    ck_assert_uint_eq(pc_text_clean(row->text, clean, sizeof clean), strlen(row->clean));
    ck_assert_str_eq(clean, row->clean);
    ck_assert_uint_eq(pc_text_width(clean), row->width);
    ck_assert_int_eq(pci_text_shows(row->text), strcmp(row->text, row->clean) == 0);
    ck_assert(pci_text_shows(clean));
    /* In every size of buffer it is a start of the whole, ends in a NUL, and is shown. */
    for (size_t size = 1; size <= strlen(row->clean) + 1; size++) {
        char part[128];
        memset(part, 'x', sizeof part);
        size_t n = pc_text_clean(row->text, part, size);
        ck_assert_uint_lt(n, size);
        ck_assert_uint_eq(strlen(part), n);
        ck_assert_int_eq(strncmp(part, row->clean, n), 0);
        ck_assert(pci_text_shows(part));
        ck_assert_int_eq(part[size], 'x');
    }
    /* Cut to any width it is no wider, and one more letter would not have fitted. */
    for (size_t columns = 0; columns <= row->width; columns++) {
        char part[128];
        size_t n = pc_text_fit(clean, columns);
        memcpy(part, clean, n);
        part[n] = '\0';
        ck_assert(pci_text_shows(part));
        ck_assert_uint_le(pc_text_width(part), columns);
        ck_assert_uint_ge(pc_text_width(part) + 1, columns);
    }
    ck_assert_uint_eq(pc_text_fit(clean, row->width), strlen(clean));
}
END_TEST

START_TEST(every_code_point_comes_out_as_text) {
    for (unsigned point = 1; point < 0x110000; point++) {
        char text[5] = "", clean[8];
        if (point < 0x80)
            text[0] = (char)point;
        else if (point < 0x800)
            text[0] = (char)(0xC0 | point >> 6), text[1] = (char)(0x80 | (point & 63));
        else if (point < 0x10000)
            text[0] = (char)(0xE0 | point >> 12), text[1] = (char)(0x80 | (point >> 6 & 63)),
            text[2] = (char)(0x80 | (point & 63));
        else
            text[0] = (char)(0xF0 | point >> 18), text[1] = (char)(0x80 | (point >> 12 & 63)),
            text[2] = (char)(0x80 | (point >> 6 & 63)), text[3] = (char)(0x80 | (point & 63));
        pc_text_clean(text, clean, sizeof clean);
        ck_assert(pci_text_shows(clean));
        bool no_character = (point >= 0xFDD0 && point <= 0xFDEF) || (point & 0xFFFE) == 0xFFFE;
        bool control = point < 0x20 || (point >= 0x7F && point < 0xA0);
        bool direction = point == 0x61C || point == 0x200E || point == 0x200F ||
                         (point >= 0x202A && point <= 0x202E) ||
                         (point >= 0x2066 && point <= 0x2069);
        if (control || direction || no_character)
            ck_assert_msg(!pci_text_shows(text), "U+%04X is shown", point);
        ck_assert_uint_le(pc_text_width(clean), 3); /* of a surrogate: three "?" */
    }
}
END_TEST

START_TEST(nothing_and_heaps_are_safe) {
    char buffer[64], heap[4001];
    ck_assert_uint_eq(pc_text_clean(NULL, buffer, sizeof buffer), 0);
    ck_assert_str_eq(buffer, "");
    ck_assert_uint_eq(pc_text_clean("otter", NULL, 10), 0);
    ck_assert_uint_eq(pc_text_clean("otter", buffer, 0), 0);
    ck_assert(!pci_text_shows(NULL));
    ck_assert_uint_eq(pc_text_width(NULL), 0);
    ck_assert_uint_eq(pc_text_fit(NULL, 10), 0);
    /* 2000 marks on one letter are not one letter. */
    for (size_t i = 0; i < 4000; i += 2)
        memcpy(heap + i, "\xcc\x81", 2);
    heap[0] = heap[1] = 'e';
    heap[4000] = '\0';
    size_t n = pc_text_clean(heap, buffer, sizeof buffer);
    ck_assert(n > 16 && pci_text_shows(buffer));
    ck_assert_uint_eq(pc_text_width(heap), 2);
}
END_TEST

/* An error's text, place and value may come from a file. */
START_TEST(errors_are_clean) {
    pc_errors errors = PC_ERRORS_INIT;
    char line[800];
    pc_errors_add(&errors, PC_E_VALUE,
                  (pc_place){.file = "a\nb\xc2\x9b.ini",
                             .section = "solid \xe2\x80\xae",
                             .key = "k\x1b",
                             .value = "v\x9b"},
                  "\"%s\" is wrong", "v\x1b[2J\xff");
    const pc_error *error = &errors.item[0];
    ck_assert_str_eq(error->file, "a b?.ini");
    ck_assert_str_eq(error->section, "solid ?");
    ck_assert_str_eq(error->key, "k?");
    ck_assert_str_eq(error->value, "v?");
    ck_assert_str_eq(error->text, "\"v?[2J?\" is wrong");
    pc_error_format(error, line, sizeof line);
    ck_assert(pci_text_shows(line));
    pc_errors_free(&errors);
}
END_TEST

/* Names that no output can show are refused where they are read. */
START_TEST(names_that_cannot_be_shown_are_refused) {
    static const char *const bad[] = {"\xe2\x80\xae"
                                      "x",
                                      "\xc2\x9b"
                                      "31m",
                                      "\x1b[2J",
                                      "\xff",
                                      "\xef\xbf\xbf",
                                      "a\nb"};
    pc_piece *piece = calloc(1, sizeof *piece);
    ck_assert_ptr_nonnull(piece);
    pc_piece_defaults(piece);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        pc_errors errors = PC_ERRORS_INIT;
        assert_status(pc_piece_set(piece, "piece", "name", bad[i], &errors), PC_E_VALUE);
        ck_assert_ptr_nonnull(strstr(errors.item[0].text, "no output can show"));
        pc_errors_free(&errors);
    }
    assert_ok(pc_piece_set(piece, "piece", "name",
                           "\xd0\x92\xd1\x8b\xd0\xb4\xd1\x80\xd0\xb0 \xd1\x83 "
                           "\xd0\xbc\xd0\xbe\xd1\x80\xd1\x8f",
                           NULL));
    pc_piece_free(piece);
    free(piece);
}
END_TEST

START_TEST(a_cut_parts_no_letter_from_its_marks) {
    char buffer[8];
    pci_copy_text(buffer, sizeof buffer, "abe\xcc\x81\xcc\x81otter");
    ck_assert_str_eq(buffer, "ab...");
    ck_assert_uint_eq(pci_text_cut("e\xcc\x81t", 3), 3);
    ck_assert_uint_eq(pci_text_cut("e\xcc\x81t", 2), 0);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("text");
    TCase *tcase = tcase_create("text");
    tcase_set_timeout(tcase, 60.0);
    tcase_add_loop_test(tcase, every_class_of_text_is_shown_or_replaced, 0,
                        (int)(sizeof rows / sizeof *rows));
    tcase_add_test(tcase, every_code_point_comes_out_as_text);
    tcase_add_test(tcase, nothing_and_heaps_are_safe);
    tcase_add_test(tcase, errors_are_clean);
    tcase_add_test(tcase, names_that_cannot_be_shown_are_refused);
    tcase_add_test(tcase, a_cut_parts_no_letter_from_its_marks);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
