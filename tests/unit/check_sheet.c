/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sheet: what poppler's tools read back from it, its margins, its bytes, and what it
 * does with pieces no page was made for. */
#include "unit.h"

#include <cairo.h>
#include <stdint.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "draw/sheet.h"
#include "draw/sheet_pen.h"
#include "fake_schedule.h"
#include "print/fnv.h"

#define SAMPLES 200

static const char *const cautions[] = {
    "Left standing in the cup, 251 g of this mix reaches 120 C in 7 min.",
    "Follow the maker's safety data sheet and local codes; licensed practice decides.",
};

typedef struct drawn {
    pc_piece piece;
    pc_schedule *schedule;
    sheet_page page;
    double time_s[SAMPLES];
} drawn;

static drawn *make_drawn(size_t parts, int layers) {
    drawn *it = calloc(1, sizeof *it);
    ck_assert_ptr_nonnull(it);
    fake_piece(&it->piece);
    it->schedule = fake_schedule_many(parts, layers);
    it->page.piece = &it->piece;
    it->page.schedule = it->schedule;
    it->page.caution = cautions;
    it->page.caution_count = 2;
    for (int i = 0; i < SAMPLES; i++)
        it->time_s[i] = it->schedule->demold_s * i / (SAMPLES - 1.0);
    for (size_t p = 0; p < it->schedule->part_count; p++) {
        size_t count = SAMPLES * it->schedule->part[p]->layer_count;
        pc_history_point *point = calloc(count > 0 ? count : 1, sizeof *point);
        ck_assert_ptr_nonnull(point);
        fake_history(it->schedule, p, SAMPLES, it->time_s, point);
        it->page.history[p] = (sheet_history){SAMPLES, it->time_s, point};
    }
    return it;
}

static void free_drawn(drawn *it) {
    for (size_t p = 0; p < PC_PARTS_MOST; p++)
        free(it->page.history[p].point);
    pc_schedule_free(it->schedule);
    free(it);
}

static unsigned char *render(const drawn *it, sheet_format format, size_t *size) {
    unsigned char *bytes = NULL;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = sheet_render(&it->page, format, &bytes, size, &errors);
    ck_assert_msg(status == PC_OK, "%s", errors.count > 0 ? errors.item[0].text : "failed");
    ck_assert_uint_gt(*size, 1000);
    return bytes;
}

typedef struct reading {
    const unsigned char *bytes;
    size_t left;
} reading;

static cairo_status_t give(void *context, unsigned char *data, unsigned int length) {
    reading *from = context;
    if (from->left < length)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(data, from->bytes, length);
    from->bytes += length;
    from->left -= length;
    return CAIRO_STATUS_SUCCESS;
}

/* Share of inked pixels inside the margins; none may lie outside (9 mm of the 10, for the width of
 * strokes). */
static double ink_share(const unsigned char *png, size_t size) {
    reading from = {png, size};
    cairo_surface_t *image = cairo_image_surface_create_from_png_stream(give, &from);
    ck_assert_int_eq(cairo_surface_status(image), CAIRO_STATUS_SUCCESS);
    int w = cairo_image_surface_get_width(image), h = cairo_image_surface_get_height(image);
    ck_assert_int_eq(w, 1241);
    ck_assert_int_eq(h % 1650, 0); /* pages one above the other */
    const unsigned char *data = cairo_image_surface_get_data(image);
    int stride = cairo_image_surface_get_stride(image), margin = (int)(9.0 / 25.4 * 150.0);
    long inked = 0, outside = 0;
    for (int y = 0; y < h; y++) {
        for (int x = 0; x < w; x++) {
            uint32_t pixel;
            memcpy(&pixel, data + (size_t)y * (size_t)stride + (size_t)x * 4, 4);
            bool white = (pixel & 0xFFFFFF) == 0xFFFFFF;
            inked += !white;
            int down = y % 1650;
            outside +=
                !white && (x < margin || down < margin || x >= w - margin || down >= 1650 - margin);
        }
    }
    cairo_surface_destroy(image);
    ck_assert_msg(outside == 0, "%ld pixels are inked in the margin", outside);
    return (double)inked / ((double)w * h);
}

START_TEST(page_is_inked_within_its_margins) {
    static const struct {
        size_t parts;
        int layers;
        pc_units units;
    } cases[] = {{1, 1, PC_METRIC}, {1, 3, PC_METRIC}, {1, 3, PC_US},
                 {1, 12, PC_US},    {3, 6, PC_METRIC}, {8, 6, PC_US}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        drawn *it = make_drawn(cases[i].parts, cases[i].layers);
        it->piece.units = cases[i].units;
        size_t size;
        unsigned char *png = render(it, SHEET_PNG, &size);
        double share = ink_share(png, size);
        ck_assert_msg(share > 0.03 && share < 0.6, "%g of the page is inked", share);
        free(png);
        free_drawn(it);
    }
}
END_TEST

/* FNV-1a of a render in a child: the drawing library's caches, warm from earlier renders, may
 * number glyphs otherwise, and a run of the tool starts cold. */
static uint64_t fingerprint_of_render(const drawn *it, sheet_format format) {
    int ends[2];
    uint64_t hash = 0;
    ck_assert_int_eq(pipe(ends), 0);
    pid_t child = fork();
    if (child == 0) {
        size_t size = 0;
        unsigned char *bytes = NULL;
        if (sheet_render(&it->page, format, &bytes, &size, NULL) != PC_OK)
            _exit(1);
        hash = fnv_1a(FNV_START, bytes, size);
        free(bytes);
        _exit(write(ends[1], &hash, sizeof hash) == sizeof hash ? 0 : 1);
    }
    int status = -1;
    ck_assert_int_gt(child, 0);
    ck_assert_int_eq(waitpid(child, &status, 0), child);
    ck_assert_int_eq(status, 0);
    ck_assert_int_eq(read(ends[0], &hash, sizeof hash), sizeof hash);
    close(ends[0]);
    close(ends[1]);
    return hash;
}

START_TEST(equal_input_gives_equal_bytes) {
    drawn *it = make_drawn(1, 3);
    for (int format = SHEET_PDF; format <= SHEET_PNG; format++) {
        uint64_t first = fingerprint_of_render(it, (sheet_format)format);
        ck_assert_uint_eq(first, fingerprint_of_render(it, (sheet_format)format));
        /* Another clock is another page: the fingerprint is not blind. */
        it->schedule->start_clock_s += 60.0;
        ck_assert_uint_ne(first, fingerprint_of_render(it, (sheet_format)format));
        it->schedule->start_clock_s -= 60.0;
    }
    free_drawn(it);
}
END_TEST

/* Runs a tool on the bytes; NULL (and says so) where the tool is missing. */
static char *tool_reads(const char *tool, const char *command, const unsigned char *bytes,
                        size_t size) {
    char path[] = "/tmp/pourclock-sheet-XXXXXX", line[256];
    snprintf(line, sizeof line, "command -v %s >/dev/null 2>&1", tool);
    if (system(line) != 0) {
        printf("check_sheet: %s is not here: skipped\n", tool);
        return NULL;
    }
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, bytes, size), (ssize_t)size);
    close(fd);
    snprintf(line, sizeof line, command, path);
    FILE *pipe = popen(line, "r");
    ck_assert_ptr_nonnull(pipe);
    char *text = calloc(1, 1 << 20);
    ck_assert_ptr_nonnull(text);
    size_t length = fread(text, 1, (1 << 20) - 1, pipe);
    text[length] = '\0';
    int status = pclose(pipe);
    unlink(path);
    ck_assert_msg(status == 0, "%s: exit status %d", line, status);
    return text;
}

START_TEST(pdf_has_its_letters_inside) {
    static const size_t parts[] = {1, 15};
    for (int i = 0; i < 2; i++) {
        drawn *it = make_drawn(parts[i], i == 0 ? 3 : 12);
        size_t size;
        unsigned char *pdf = render(it, SHEET_PDF, &size);
        char *info = tool_reads("pdfinfo", "pdfinfo %s", pdf, size);
        if (info != NULL) {
            ck_assert(strstr(info, "Pages:           1\n") ? i == 0 : i == 1);
            ck_assert_ptr_nonnull(strstr(info, "Page size:       595.276 x 792 pts"));
            ck_assert_ptr_nonnull(strstr(info, "Pour-and-turn sheet: Otter, seated"));
        }
        char *fonts = tool_reads("pdffonts", "pdffonts %s | tail -n +3", pdf, size);
        int count = 0;
        for (char *line = fonts ? strtok(fonts, "\n") : NULL; line; line = strtok(NULL, "\n")) {
            /* Columns from the right: object, generation, uni, sub, emb. */
            ck_assert_msg(strstr(line, "yes yes yes") != NULL, "font not embedded: %s", line);
            count++;
        }
        if (fonts != NULL)
            ck_assert_int_ge(count, 2);
        free(info);
        free(fonts);
        free(pdf);
        free_drawn(it);
    }
}
END_TEST

/* Height of a word's box in the output of pdftotext -bbox, in points; 0 where it is not there. */
static double word_height(const char *bbox, const char *word) {
    char tail[64];
    snprintf(tail, sizeof tail, "\">%s</word>", word);
    const char *at = strstr(bbox, tail);
    if (at == NULL)
        return 0.0;
    const char *open = at;
    while (open > bbox && strncmp(open, "<word", 5) != 0)
        open--;
    double x0, y0, x1, y1;
    if (sscanf(open, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"", &x0, &y0, &x1,
               &y1) != 4)
        return 0.0;
    return y1 - y0;
}

START_TEST(clocks_and_words_are_legible_at_arms_length) {
    for (int layers = 1; layers <= 6; layers++) {
        drawn *it = make_drawn(1, layers);
        size_t size;
        unsigned char *pdf = render(it, SHEET_PDF, &size);
        char *bbox = tool_reads("pdftotext", "pdftotext -bbox %s -", pdf, size);
        static const char *const words[] = {"MIX", "DEMOLD", "126", "09:02:42"};
        for (size_t i = 0; bbox != NULL && i < sizeof words / sizeof *words; i++) {
            double height = word_height(bbox, words[i]);
            /* A word's box is a little higher than its letters' nominal size; limits 0.92 of it. */
            ck_assert_msg(height >= 14.0, "%s is %g pt high with %d layers", words[i], height,
                          layers);
        }
        free(bbox);
        free(pdf);
        free_drawn(it);
    }
}
END_TEST

START_TEST(text_of_the_sheet_is_complete) {
    drawn *it = make_drawn(1, 3);
    size_t size;
    unsigned char *pdf = render(it, SHEET_PDF, &size);
    char *text = tool_reads("pdftotext", "pdftotext -layout %s -", pdf, size);
    static const char *const wanted[] = {"Otter, seated",
                                         "Fast urethane",
                                         "shop 18",
                                         "demold from 10:47",
                                         "A 126 g + B 113 g",
                                         "A 239 g + B",
                                         "hollow body, layer 2",
                                         "actual",
                                         "by 09:02:42",
                                         "limit 80",
                                         "target 4.8 mm",
                                         "Viscosity",
                                         "DEMOLD",
                                         "not before",
                                         "reaches 120 C",
                                         "two stages",
                                         "licensed"};
    for (size_t i = 0; text != NULL && i < sizeof wanted / sizeof *wanted; i++)
        ck_assert_msg(strstr(text, wanted[i]) != NULL, "\"%s\" is missing", wanted[i]);
    free(text);
    free(pdf);
    free_drawn(it);
}
END_TEST

/* Bug 1 of this file's kind: a name that is not UTF-8 put the drawing library into an error state
 * and the whole page was lost. */
START_TEST(hostile_input_still_gives_a_page) {
    static const char *const names[] = {
        "",
        "\xff\xfe\x80 otter",
        "Otter \xc3\xa9t\xc3\xa9 \xe2\x82",
        "\xed\xa0\x80\xf4\x90\x80\x80",
        "a\tb\nc\x1b[31m",
        ("WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
         "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW")};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        drawn *it = make_drawn(1, 2);
        snprintf(it->schedule->piece, sizeof it->schedule->piece, "%s", names[i]);
        snprintf(it->schedule->resin, sizeof it->schedule->resin, "%s", names[i]);
        snprintf(it->schedule->part[0]->name, sizeof it->schedule->part[0]->name, "%.90s",
                 names[i]);
        snprintf(it->schedule->warning[0]->text, sizeof it->schedule->warning[0]->text, "%s",
                 names[i]);
        it->schedule->feasible = false;
        size_t size;
        unsigned char *png = render(it, SHEET_PNG, &size);
        ck_assert(ink_share(png, size) > 0.05);
        free(png);
        free_drawn(it);
    }
}
END_TEST

/* Left and right of the word of pdftotext -bbox that ends at `at`. */
static bool word_box(const char *at, const char *all, double *x0, double *x1) {
    while (at != NULL && at > all && strncmp(at, "<word", 5) != 0)
        at--;
    return at != NULL && sscanf(at, "<word xMin=\"%lf\" yMin=\"%*f\" xMax=\"%lf\"", x0, x1) == 2;
}

/* Bug 2 of this file's kind: a deadline past midnight stood on the sheet without its day. */
START_TEST(bug_2_a_deadline_of_the_next_day_says_so) {
    drawn *it = make_drawn(1, 3);
    char clock[32];
    it->schedule->start_clock_s = 9.0 * 3600.0;
    sheet_clock(&it->page, 15.0 * 3600.0 - 1.0, true, clock, sizeof clock);
    ck_assert_str_eq(clock, "23:59:59");
    sheet_clock(&it->page, 15.0 * 3600.0 - 1.0, false, clock, sizeof clock);
    ck_assert_str_eq(clock, "+1d 00:00"); /* to the nearest minute */
    sheet_clock(&it->page, 9998.0 * 86400.0, true, clock, sizeof clock);
    ck_assert_str_eq(clock, "+9998d 09:00:00");
    it->schedule->start_clock_s = 86400.0 - 30.0; /* the first pour is still today */
    size_t size;
    unsigned char *pdf = render(it, SHEET_PDF, &size);
    char *text = tool_reads("pdftotext", "pdftotext -layout %s -", pdf, size);
    if (text != NULL) {
        ck_assert_ptr_nonnull(strstr(text, "by +1d 00:02:12"));
        ck_assert_ptr_nonnull(strstr(text, "demold from +1d 01:47"));
    }
    free(text);
    /* Beside the clock its day ran into the word of what to do. */
    char *bbox = tool_reads("pdftotext", "pdftotext -bbox %s -", pdf, size);
    double word_x0, day_x0, day_x1, unused;
    int seen = 0;
    if (bbox != NULL)
        ck_assert(word_box(strstr(bbox, "\">POUR</word>"), bbox, &word_x0, &unused));
    for (const char *at = bbox; at != NULL && (at = strstr(at, "\">+1d</word>")) != NULL; at++) {
        ck_assert(word_box(at, bbox, &day_x0, &day_x1));
        if (day_x0 > word_x0 + 60.0)
            continue; /* of a deadline */
        ck_assert_double_ge(word_x0, day_x1);
        seen++;
    }
    ck_assert(bbox == NULL || seen > 5);
    free(bbox);
    free(pdf);
    free_drawn(it);
}
END_TEST

/* Bug 3 of this file's kind: the row of a mix did not say which batch it was. */
START_TEST(bug_3_a_mix_names_its_batch) {
    drawn *it = make_drawn(1, 12);
    size_t size;
    it->schedule->start_clock_s = 9.0 * 3600.0;
    unsigned char *pdf = render(it, SHEET_PDF, &size);
    char *text = tool_reads("pdftotext", "pdftotext -layout %s -", pdf, size);
    for (int layer = 1; text != NULL && layer <= 12; layer++) {
        char name[64];
        int seen = 0;
        snprintf(name, sizeof name, "hollow body, layer %d of 12", layer);
        for (const char *at = text; (at = strstr(at, name)) != NULL; at++)
            seen++;
        ck_assert_int_eq(seen, 2); /* of its mix and its pour */
    }
    free(text);
    free(pdf);
    free_drawn(it);
}
END_TEST

START_TEST(figures_unknown_or_infinite_still_give_a_page) {
    static const double odd[] = {(double)NAN, (double)INFINITY, -(double)INFINITY, 1e300, -1e300};
    for (size_t i = 0; i < sizeof odd / sizeof *odd; i++) {
        drawn *it = make_drawn(1, 3);
        pc_layer *layer = it->schedule->part[0]->layer[1];
        layer->set_s = layer->gel_s = layer->stop_s = layer->closes_s = layer->pour_by_s = odd[i];
        layer->pour_by_early_s = layer->gel_late_s = layer->closes_early_s = layer->peak_K = odd[i];
        layer->mix_s = layer->pour_s = layer->pour_end_s = layer->pot_life_s = odd[i];
        layer->part_a_kg = layer->thickness_m = it->schedule->air_K = odd[i];
        it->schedule->part[0]->wall_m = it->piece.resin.peak_limit_K = odd[i];
        it->schedule->demold_s = it->schedule->demold_late_s = odd[i];
        for (size_t k = 0; k < it->schedule->step_count; k += 2)
            it->schedule->step[k]->at_s = odd[i];
        for (int k = 0; k < SAMPLES; k += 7)
            it->page.history[0].point[k].mu_Pa_s = it->page.history[0].point[k].hottest_K = odd[i];
        size_t size;
        unsigned char *png = render(it, SHEET_PNG, &size);
        ck_assert(ink_share(png, size) > 0.05);
        free(png);
        free_drawn(it);
    }
}
END_TEST

START_TEST(nothing_to_do_still_gives_a_page) {
    drawn *it = make_drawn(1, 2);
    const pc_schedule whole = *it->schedule; /* what is freed in the end */
    size_t size;
    it->schedule->part_count = it->schedule->step_count = it->schedule->warning_count = 0;
    it->page.caution_count = 0;
    unsigned char *png = render(it, SHEET_PNG, &size);
    ck_assert(ink_share(png, size) > 0.005);
    *it->schedule = whole;
    free(png);
    free_drawn(it);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("sheet");
    TCase *tcase = tcase_create("sheet");
    tcase_set_timeout(tcase, 60.0);
    tcase_add_test(tcase, page_is_inked_within_its_margins);
    tcase_add_test(tcase, equal_input_gives_equal_bytes);
    tcase_add_test(tcase, pdf_has_its_letters_inside);
    tcase_add_test(tcase, clocks_and_words_are_legible_at_arms_length);
    tcase_add_test(tcase, text_of_the_sheet_is_complete);
    tcase_add_test(tcase, hostile_input_still_gives_a_page);
    tcase_add_test(tcase, bug_2_a_deadline_of_the_next_day_says_so);
    tcase_add_test(tcase, bug_3_a_mix_names_its_batch);
    tcase_add_test(tcase, figures_unknown_or_infinite_still_give_a_page);
    tcase_add_test(tcase, nothing_to_do_still_gives_a_page);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
