/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Strict INI and CSV reading, files in and out. */
#include "unit.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/try.h"
#include "input/csv.h"
#include "input/ini.h"
#include "input/whole_file.h"

static const char GOOD[] = "; a comment\r\n"
                           "[piece]\r\n"
                           "Name = Otter, seated   ; the museum's\n"
                           "  width=3/4\"  # US\n"
                           "\n"
                           "[hollow  Body] ; one part\n"
                           "name = \"a; b # c\"\n"
                           "quoted = 'it is \"so\"' ; yes\n"
                           "last = a=b";

START_TEST(good_lines_are_read) {
    pci_ini *ini;
    assert_ok(pci_ini_parse("good.ini", GOOD, sizeof GOOD - 1, &ini, NULL));
    ck_assert_uint_eq(ini->sections, 2);
    ck_assert_uint_eq(ini->entries, 5);
    ck_assert_str_eq(pci_ini_section(ini, 0), "piece");
    ck_assert_str_eq(pci_ini_section(ini, 1), "hollow Body");
    ck_assert_int_eq(pci_ini_line(ini, "HOLLOW body", NULL), 6);
    ck_assert_int_eq(pci_ini_line(ini, "nothing", NULL), 0);
    pci_at at = pci_ini_at(ini, "Piece", "NAME", NULL);
    ck_assert_str_eq(at.value, "Otter, seated");
    ck_assert_int_eq(at.line, 3);
    ck_assert_int_eq(pci_ini_at(ini, "hollow body", "wall", NULL).line, 6); /* not given */
    ck_assert_str_eq(pci_ini_value(ini, "piece", "width"), "3/4\"");
    ck_assert_str_eq(pci_ini_value(ini, "hollow body", "name"), "a; b # c");
    ck_assert_str_eq(pci_ini_value(ini, "hollow body", "quoted"), "it is \"so\"");
    ck_assert_str_eq(pci_ini_value(ini, "hollow body", "last"), "a=b");
    ck_assert_ptr_null(pci_ini_value(ini, "piece", "last"));
    pci_ini_free(ini);
}
END_TEST

/* Bug 1 of the input: a file was parsed by way of a file in memory and /proc; where the system had
 * only one of them every file was refused, as out of memory. No file is made any more. */
START_TEST(bug_1_no_file_is_made_to_parse_one) {
    struct rlimit limit;
    ck_assert_int_eq(getrlimit(RLIMIT_NOFILE, &limit), 0);
    rlim_t whole = limit.rlim_cur;
    limit.rlim_cur = 0;
    ck_assert_int_eq(setrlimit(RLIMIT_NOFILE, &limit), 0);
    pci_ini *ini = NULL;
    pc_status status = pci_ini_parse("good.ini", GOOD, sizeof GOOD - 1, &ini, NULL);
    limit.rlim_cur = whole;
    ck_assert_int_eq(setrlimit(RLIMIT_NOFILE, &limit), 0);
    assert_ok(status);
    pci_ini_free(ini);
}
END_TEST

static char folder[] = "/tmp/pourclock-check-XXXXXX";

static const char *in_folder(const char *name) {
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void make_folder(void) {
    strcpy(folder + sizeof folder - 7, "XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(folder));
}

/* What iniparser writes is read again by our scan, whatever marks a value has. */
START_TEST(written_files_are_read_again) {
    static const char *const value[] = {"plain", "3 mm", "a; b", "no#1",
                                        "'all'", "it's", "a=b",  "18 \xC2\xB0\x43"};
    make_folder();
    char path[256], key[8];
    strcpy(path, in_folder("written.ini"));
    pci_ini *ini = pci_ini_new("none"), *again;
    ck_assert_ptr_nonnull(ini);
    for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
        snprintf(key, sizeof key, "k%zu", i);
        ck_assert(pci_ini_put(ini, i < 4 ? "one" : "two words", key, value[i]));
    }
    ck_assert(pci_ini_put(ini, "two words", "quote", "5\" pipe"));
    assert_ok(pci_ini_write(ini, "a comment", path, NULL));
    assert_ok(pci_ini_read(path, &again, NULL));
    ck_assert_uint_eq(again->sections, 2);
    for (size_t i = 0; i < sizeof value / sizeof *value; i++) {
        snprintf(key, sizeof key, "k%zu", i);
        ck_assert_str_eq(pci_ini_value(again, i < 4 ? "one" : "two words", key), value[i]);
    }
    ck_assert_str_eq(pci_ini_value(again, "two words", "quote"), "5' pipe");
    assert_status(pci_ini_write(ini, "a comment", in_folder("no/such"), NULL), PC_E_FILE);
    pci_ini_free(ini);
    pci_ini_free(again);
    unlink(path);
    ck_assert_int_eq(rmdir(folder), 0);
}
END_TEST

#define BYTES(s) s, sizeof s - 1
static const struct {
    const char *text;
    size_t size;
    pc_status status;
    long line;
    const char *fragment;
} bad_ini[] = {
    {BYTES(""), PC_E_SYNTAX, 0, "is empty"},
    {BYTES("; nothing\n"), PC_E_SYNTAX, 0, "no [section]"},
    {BYTES("\xEF\xBB\xBF[a]\nb = 1\n"), PC_E_SYNTAX, 1, "byte order mark"},
    {BYTES("\xFF\xFE[\0a\0"), PC_E_SYNTAX, 1, "UTF-16"},
    {BYTES("[a]\nb = \0 1\n"), PC_E_SYNTAX, 1, "NUL"},
    {BYTES("[a]\nb = \x01 1\n"), PC_E_SYNTAX, 2, "control byte"},
    {BYTES("[a]\rb = 1\r"), PC_E_SYNTAX, 1, "control byte"},
    {BYTES("[a]\nb = 18 \xB0 C\n"), PC_E_SYNTAX, 2, "not UTF-8"},
    {BYTES("[a]\nb = \xC0\xAF\n"), PC_E_SYNTAX, 2, "not UTF-8"},
    {BYTES("[a]\nb = \xED\xA0\x80\n"), PC_E_SYNTAX, 2, "not UTF-8"},
    {BYTES("[a]\nb = \xE2\x82"), PC_E_SYNTAX, 2, "not UTF-8"},
    {BYTES("b = 1\n[a]\n"), PC_E_SYNTAX, 1, "before the first [section]"},
    {BYTES("[a]\nb = 1\nB = 2\n"), PC_E_KEY, 3, "is in line 2 already"},
    {BYTES("[a]\nb = 1\n[A]\nc = 2\n"), PC_E_KEY, 3, "is in line 1 already"},
    {BYTES("[a]\nb = red;blue\n"), PC_E_SYNTAX, 2, "touches the value"},
    {BYTES("[a]\nb = no#1 ; x\n"), PC_E_SYNTAX, 2, "touches the value"},
    {BYTES("[a]\nb = 1 \\\n"), PC_E_SYNTAX, 2, "ends in a backslash"},
    {BYTES("[a]\nb = 1\\ ; x\n"), PC_E_SYNTAX, 2, "ends in a backslash"},
    {BYTES("[a:b]\nc = 1\n"), PC_E_SYNTAX, 1, "may not contain any of"},
    {BYTES("[]\nc = 1\n"), PC_E_SYNTAX, 1, "needs a name"},
    {BYTES("[a\nc = 1\n"), PC_E_SYNTAX, 1, "the ] is missing"},
    {BYTES("[a] x\nc = 1\n"), PC_E_SYNTAX, 1, "only a comment may come after [name]"},
    {BYTES("[a]\nb\n"), PC_E_SYNTAX, 2, "neither [section] nor key = value"},
    {BYTES("[a]\nb c = 1\n"), PC_E_SYNTAX, 2, "a key is written"},
    {BYTES("[a]\n= 1\n"), PC_E_SYNTAX, 2, "a key is written"},
    {BYTES("[a]\nb =\n"), PC_E_SYNTAX, 2, "no value after \"=\""},
    {BYTES("[a]\nb = ; only\n"), PC_E_SYNTAX, 2, "no value after \"=\""},
    {BYTES("[a]\nb = \"\"\n"), PC_E_SYNTAX, 2, "no value after \"=\""},
    {BYTES("[a]\nb = \"open\n"), PC_E_SYNTAX, 2, "not closed"},
    {BYTES("[a]\nb = \"x\" y\n"), PC_E_SYNTAX, 2, "only a comment may come after a value"},
    {BYTES("[a]\nb = \"x\"#y\n"), PC_E_SYNTAX, 2, "only a comment may come after a value"},
    {BYTES("[a];x\nb = 1\n"), PC_E_SYNTAX, 1, "only a comment may come after [name]"},
};

START_TEST(bad_lines_are_refused) {
    size_t i = (size_t)_i;
    pci_ini *ini;
    pc_errors errors = PC_ERRORS_INIT;
    pc_status status = pci_ini_parse("bad.ini", bad_ini[i].text, bad_ini[i].size, &ini, &errors);
    ck_assert_msg(status == bad_ini[i].status, "row %zu gave %s", i, pci_status_name(status));
    ck_assert_ptr_null(ini);
    ck_assert_uint_ge(errors.count, 1);
    ck_assert_msg(strstr(errors.item[0].text, bad_ini[i].fragment) != NULL, "\"%s\" lacks \"%s\"",
                  errors.item[0].text, bad_ini[i].fragment);
    ck_assert_int_eq(errors.item[0].line, bad_ini[i].line);
    ck_assert_str_eq(errors.item[0].file, "bad.ini");
    pc_errors_free(&errors);
}
END_TEST

START_TEST(every_wrong_line_is_reported) {
    static const char text[] = "a = 1\n[s]\nb\nc =\n[s]\nd = 1\\\n";
    pci_ini *ini;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_ini_parse("many.ini", text, sizeof text - 1, &ini, &errors), PC_E_SYNTAX);
    ck_assert_uint_eq(errors.count, 5);
    static const long lines[] = {1, 3, 4, 5, 6};
    for (size_t i = 0; i < errors.count; i++)
        ck_assert_int_eq(errors.item[i].line, lines[i]);
    pc_errors_free(&errors);
}
END_TEST

START_TEST(sizes_are_limited) {
    char *big = malloc(PCI_INI_BYTES_MOST + 2);
    ck_assert_ptr_nonnull(big);
    pci_ini *ini;
    pc_errors errors = PC_ERRORS_INIT;
    strcpy(big, "[a]\nb = ");
    memset(big + 8, 'x', 1200);
    assert_status(pci_ini_parse("f", big, 1208, &ini, &errors), PC_E_SIZE);
    ck_assert_int_eq(errors.item[0].line, 2);
    memset(big, 'x', PCI_INI_BYTES_MOST + 1);
    assert_status(pci_ini_parse("f", big, PCI_INI_BYTES_MOST + 1, &ini, &errors), PC_E_SIZE);
    size_t used = 4;
    strcpy(big, "[a]\n");
    for (int i = 0; i <= PCI_INI_ENTRIES_MOST; i++)
        used += (size_t)sprintf(big + used, "k%d = 1\n", i);
    assert_status(pci_ini_parse("f", big, used, &ini, &errors), PC_E_SIZE);
    free(big);
    pc_errors_free(&errors);
}
END_TEST

START_TEST(lines_of_1000_bytes_are_read) {
    char text[1100] = "[a]\nb = ";
    memset(text + 8, 'x', 996);
    pci_ini *ini;
    assert_ok(pci_ini_parse("f", text, 1004, &ini, NULL));
    ck_assert_uint_eq(strlen(pci_ini_value(ini, "a", "b")), 996);
    pci_ini_free(ini);
}
END_TEST

START_TEST(unknown_names_get_the_nearest) {
    static const char text[] = "[shop]\ntemprature = 1\nzzzzzz = 2\n[shap]\nx = 1\n";
    static const char *const keys[] = {"temperature", "mix_time", NULL};
    static const char *const names[] = {"shop", "mold", NULL};
    pci_ini *ini;
    pc_errors errors = PC_ERRORS_INIT;
    assert_ok(pci_ini_parse("f", text, sizeof text - 1, &ini, NULL));
    assert_status(pci_ini_unknown_keys(ini, "shop", keys, &errors), PC_E_KEY);
    assert_status(pci_ini_unknown_section(ini, "shap", names, &errors), PC_E_KEY);
    ck_assert_uint_eq(errors.count, 3);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "did you mean temperature?"));
    ck_assert_ptr_nonnull(strstr(errors.item[1].text, "the keys are temperature, mix_time"));
    ck_assert_ptr_nonnull(strstr(errors.item[2].text, "did you mean [shop]?"));
    pc_errors_free(&errors);
    pci_ini_free(ini);
}
END_TEST

static void expect_refused(const char *path, size_t most, pc_status expected,
                           const char *fragment) {
    pci_file_bytes bytes;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_file_read(path, most, &bytes, &errors), expected);
    ck_assert_ptr_null(bytes.data);
    ck_assert_msg(strstr(errors.item[0].text, fragment) != NULL, "\"%s\" lacks \"%s\"",
                  errors.item[0].text, fragment);
    pc_errors_free(&errors);
}

START_TEST(what_is_not_a_file_is_refused_at_once) {
    make_folder();
    expect_refused(folder, 100, PC_E_FILE, "is a directory");
    expect_refused(in_folder("missing"), 100, PC_E_FILE, "No such file");
    expect_refused("/dev/zero", 100, PC_E_FILE, "pipe or a device");
    ck_assert_int_eq(mkfifo(in_folder("fifo"), 0600), 0);
    expect_refused(in_folder("fifo"), 100, PC_E_FILE, "pipe or a device"); /* nobody writes to it */
    unlink(in_folder("fifo"));
    int fd = open(in_folder("sparse"), O_WRONLY | O_CREAT | O_EXCL, 0600);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(ftruncate(fd, (off_t)1 << 30), 0); /* one line of 1 GB */
    close(fd);
    expect_refused(in_folder("sparse"), PCI_INI_BYTES_MOST, PC_E_SIZE, "too large");
    unlink(in_folder("sparse"));
    rmdir(folder);
    assert_status(pci_file_read(NULL, 1, NULL, NULL), PC_E_ARGUMENT);
}
END_TEST

START_TEST(files_are_written_whole) {
    make_folder();
    pc_errors errors = PC_ERRORS_INIT;
    pci_file_bytes bytes;
    char path[256];
    strcpy(path, in_folder("out.txt"));
    assert_ok(pc_file_write(path, "one\n", 4, &errors));
    ck_assert_int_eq(chmod(path, 0640), 0);
    assert_ok(pc_file_write(path, "second\n", 7, &errors));
    assert_ok(pci_file_read(path, 100, &bytes, &errors));
    ck_assert_uint_eq(bytes.size, 7);
    ck_assert_str_eq(bytes.data, "second\n");
    pci_file_free(&bytes);
    struct stat info;
    ck_assert_int_eq(stat(path, &info), 0);
    ck_assert_uint_eq(info.st_mode & 0777, 0640);
    ck_assert_uint_eq(errors.count, 0);
    assert_status(pc_file_write(folder, "x", 1, &errors), PC_E_FILE);
    assert_status(pc_file_write(in_folder("no/such"), "x", 1, &errors), PC_E_FILE);
    ck_assert_uint_eq(errors.count, 2);
    unlink(path);
    ck_assert_int_eq(rmdir(folder), 0); /* nothing temporary was left */
    pc_errors_free(&errors);
}
END_TEST

START_TEST(paths_start_beside_the_file) {
    char path[64], small[4];
    ck_assert(pci_path_beside("otter.stl", "a/b/piece.ini", path, sizeof path));
    ck_assert_str_eq(path, "a/b/otter.stl");
    ck_assert(pci_path_beside("/otter.stl", "a/b/piece.ini", path, sizeof path));
    ck_assert_str_eq(path, "/otter.stl");
    ck_assert(pci_path_beside("otter.stl", "-", path, sizeof path));
    ck_assert_str_eq(path, "otter.stl");
    ck_assert(pci_path_beside("otter.stl", NULL, path, sizeof path));
    ck_assert_str_eq(path, "otter.stl");
    ck_assert(!pci_path_beside("otter.stl", "a/b", small, sizeof small));
}
END_TEST

START_TEST(csv_is_read) {
    static const char text[] = "# day\r\nclock, Temperature\r\n09:00,18 C\r\n\r\n"
                               "\"10:00\" , \"a \"\"b\"\", c\"\n11:00,";
    pci_csv csv;
    assert_ok(pci_csv_parse("d.csv", text, sizeof text - 1, &csv, NULL));
    ck_assert_uint_eq(csv.columns, 2);
    ck_assert_uint_eq(csv.rows, 3);
    ck_assert_int_eq((int)pci_csv_column(&csv, "temperature"), 1);
    ck_assert_int_eq((int)pci_csv_column(&csv, "x"), -1);
    ck_assert_str_eq(pci_csv_cell(&csv, 0, 1), "18 C");
    ck_assert_str_eq(pci_csv_cell(&csv, 1, 0), "10:00");
    ck_assert_str_eq(pci_csv_cell(&csv, 1, 1), "a \"b\", c");
    ck_assert_str_eq(pci_csv_cell(&csv, 2, 1), "");
    ck_assert_int_eq(csv.line[1], 5);
    pci_csv_free(&csv);
    pci_csv_free(&csv);
}
END_TEST

START_TEST(csv_sizes_are_limited) {
    enum { ROWS = PCI_CSV_ROWS_MOST + 1 };
    char *text = malloc(256 + 4 * (size_t)ROWS);
    ck_assert_ptr_nonnull(text);
    pci_csv csv;
    pc_errors errors = PC_ERRORS_INIT;
    size_t used = 0;
    for (int i = 0; i <= PCI_CSV_COLUMNS_MOST; i++)
        used += (size_t)sprintf(text + used, "%sc%d", i ? ", " : "", i);
    assert_status(pci_csv_parse("f", text, used, &csv, &errors), PC_E_SIZE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "more than 32 columns"));
    pci_csv_free(&csv);
    pc_errors_free(&errors);
    used = (size_t)sprintf(text, "a,b\n");
    for (int i = 0; i < ROWS; i++)
        used += (size_t)sprintf(text + used, "1,2\n");
    assert_status(pci_csv_parse("f", text, used, &csv, &errors), PC_E_SIZE);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "more than 20000 rows"));
    pci_csv_free(&csv);
    pc_errors_free(&errors);
    free(text);
}
END_TEST

/* Standard input becomes a pipe out of which so many bytes come. */
static void feed(size_t size) {
    int end[2];
    ck_assert_int_eq(pipe(end), 0);
    if (fork() == 0) {
        close(end[0]);
        char block[4096];
        memset(block, 'x', sizeof block);
        for (size_t left = size; left > 0;) {
            ssize_t n = write(end[1], block, left < sizeof block ? left : sizeof block);
            if (n <= 0)
                break;
            left -= (size_t)n;
        }
        _exit(0);
    }
    close(end[1]);
    ck_assert_int_eq(dup2(end[0], STDIN_FILENO), STDIN_FILENO);
    close(end[0]);
}

START_TEST(standard_input_is_read_and_bounded) {
    pci_file_bytes bytes;
    int kept = dup(STDIN_FILENO);
    feed(100000); /* more than the first block */
    assert_ok(pci_file_read("-", 200000, &bytes, NULL));
    ck_assert_uint_eq(bytes.size, 100000);
    ck_assert_int_eq(bytes.data[100000], '\0');
    pci_file_free(&bytes);
    pci_file_free(NULL);
    feed(100000);
    expect_refused("-", 99999, PC_E_SIZE, "more than 99999 bytes");
    int fd = open("/dev/null", O_WRONLY); /* can be judged, not read */
    ck_assert_int_eq(dup2(fd, STDIN_FILENO), STDIN_FILENO);
    close(fd);
    expect_refused("-", 100, PC_E_FILE, "cannot be read: ");
    close(STDIN_FILENO);
    expect_refused("-", 100, PC_E_FILE, "cannot be read: ");
    if (kept >= 0) {
        dup2(kept, STDIN_FILENO);
        close(kept);
    }
}
END_TEST

/* A disk that is full, played by a bound on the size of files: the old file stays, no other does.
 */
START_TEST(a_write_that_fails_leaves_the_old_file) {
    make_folder();
    char path[256], block[8192] = {0};
    pc_errors errors = PC_ERRORS_INIT;
    pci_file_bytes bytes;
    strcpy(path, in_folder("out.txt"));
    assert_ok(pc_file_write(path, "old\n", 4, &errors));
    signal(SIGXFSZ, SIG_IGN);
    struct rlimit limit;
    ck_assert_int_eq(getrlimit(RLIMIT_FSIZE, &limit), 0);
    rlim_t whole = limit.rlim_cur;
    limit.rlim_cur = 4096;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    assert_status(pc_file_write(path, block, sizeof block, &errors), PC_E_FILE);
    limit.rlim_cur = whole;
    ck_assert_int_eq(setrlimit(RLIMIT_FSIZE, &limit), 0);
    ck_assert_ptr_nonnull(strstr(errors.item[0].text, "cannot be written: "));
    assert_ok(pci_file_read(path, 100, &bytes, &errors));
    ck_assert_str_eq(bytes.data, "old\n");
    pci_file_free(&bytes);
    unlink(path);
    ck_assert_int_eq(rmdir(folder), 0); /* nothing else was left in it */
    pc_errors_free(&errors);
}
END_TEST

static const struct {
    const char *text;
    pc_status status;
    long line;
    const char *fragment;
} bad_csv[] = {
    {"", PC_E_SYNTAX, 0, "is empty"},
    {"a,b\n", PC_E_SYNTAX, 0, "without rows"},
    {"a,b\n1\n", PC_E_SYNTAX, 2, "1 cells, the header has 2"},
    {"a,b\n1,2,3\n", PC_E_SYNTAX, 2, "3 cells"},
    {"a,A\n1,2\n", PC_E_KEY, 1, "same name"},
    {"a,\n1,2\n", PC_E_SYNTAX, 1, "no name"},
    {"a,b\n1,\"2\n", PC_E_SYNTAX, 2, "not closed"},
    {"a,b\n1,\"2\"x\n", PC_E_SYNTAX, 2, "after a closing quote"},
    {"a,b\n1,2\"\n", PC_E_SYNTAX, 2, "inside a cell"},
    {"a,b\n1,\x02\n", PC_E_SYNTAX, 2, "control byte"},
};

START_TEST(bad_csv_is_refused) {
    size_t i = (size_t)_i;
    pci_csv csv;
    pc_errors errors = PC_ERRORS_INIT;
    assert_status(pci_csv_parse("d.csv", bad_csv[i].text, strlen(bad_csv[i].text), &csv, &errors),
                  bad_csv[i].status);
    ck_assert_uint_ge(errors.count, 1);
    ck_assert_msg(strstr(errors.item[0].text, bad_csv[i].fragment) != NULL, "\"%s\" lacks \"%s\"",
                  errors.item[0].text, bad_csv[i].fragment);
    ck_assert_int_eq(errors.item[0].line, bad_csv[i].line);
    pci_csv_free(&csv);
    pc_errors_free(&errors);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("input");
    TCase *tcase = tcase_create("input");
    tcase_add_test(tcase, good_lines_are_read);
    tcase_add_test(tcase, bug_1_no_file_is_made_to_parse_one);
    tcase_add_test(tcase, written_files_are_read_again);
    tcase_add_loop_test(tcase, bad_lines_are_refused, 0, sizeof bad_ini / sizeof bad_ini[0]);
    tcase_add_test(tcase, every_wrong_line_is_reported);
    tcase_add_test(tcase, sizes_are_limited);
    tcase_add_test(tcase, lines_of_1000_bytes_are_read);
    tcase_add_test(tcase, unknown_names_get_the_nearest);
    tcase_add_test(tcase, what_is_not_a_file_is_refused_at_once);
    tcase_add_test(tcase, files_are_written_whole);
    tcase_add_test(tcase, paths_start_beside_the_file);
    tcase_add_test(tcase, csv_is_read);
    tcase_add_test(tcase, csv_sizes_are_limited);
    tcase_add_test(tcase, standard_input_is_read_and_bounded);
    tcase_add_test(tcase, a_write_that_fails_leaves_the_old_file);
    tcase_add_loop_test(tcase, bad_csv_is_refused, 0, sizeof bad_csv / sizeof bad_csv[0]);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
