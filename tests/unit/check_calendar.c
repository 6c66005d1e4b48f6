/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The calendar: its octets against RFC 5545, its times, and what another reader makes of it. */
#include "unit.h"

#include <libical/ical.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "day/day_plan.h"
#include "fake_schedule.h"
#include "print/print_calendar.h"

static const int a_day[3] = {2026, 3, 14};

static char *render(const pc_schedule *schedule) {
    char *text = NULL;
    assert_ok(calendar_render(schedule, a_day, &text));
    ck_assert_ptr_nonnull(text);
    return text;
}

static int count(const char *text, const char *what) {
    int found = 0;
    for (const char *at = text; (at = strstr(at, what)) != NULL; at += strlen(what))
        found++;
    return found;
}

static void zone(const char *name) {
    setenv("TZ", name, 1);
    tzset();
}

/* RFC 5545 section 3.1: lines of at most 75 octets, ended by CRLF; no bare CR or LF, no other
 * control characters; UTF-8, and never cut within a character. */
static void check_octets(const char *text) {
    size_t line = 0;
    for (const char *at = text; *at != '\0'; at++) {
        unsigned char c = (unsigned char)*at;
        if (c == '\r') {
            ck_assert_int_eq(at[1], '\n');
            continue;
        }
        if (c == '\n') {
            ck_assert(at > text && at[-1] == '\r');
            ck_assert_msg(line <= 75, "a line of %zu octets", line);
            line = 0;
            ck_assert_msg(((unsigned char)at[1] & 0xC0) != 0x80, "a character is cut by a fold");
            if (at[1] == ' ')
                ck_assert_msg(((unsigned char)at[2] & 0xC0) != 0x80, "a character is cut");
            continue;
        }
        ck_assert_msg(c >= 0x20 || c == '\t', "octet %d", c);
        line++;
        int more = c >= 0xF0 ? 3 : c >= 0xE0 ? 2 : c >= 0xC0 ? 1 : 0;
        ck_assert_msg(c < 0x80 || more > 0, "octet %d begins no character", c);
        for (; more > 0; more--, line++)
            ck_assert_msg(((unsigned char)*++at & 0xC0) == 0x80, "a character is cut");
    }
    ck_assert_int_eq(strncmp(text, "BEGIN:VCALENDAR\r\n", 17), 0);
    size_t length = strlen(text);
    ck_assert_str_eq(text + length - 15, "END:VCALENDAR\r\n");
}

START_TEST(octets_are_as_the_standard_asks) {
    static const char *const names[] = {
        "Otter, seated",
        "",
        "Otter; \"x\" \\ , :",
        ("\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9"
         "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9\xc3"
         "\xa9"),
        "\xff\x80 BEGIN:VEVENT\r\nX",
        "a\nEND:VCALENDAR"};
    zone("UTC");
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        pc_schedule *schedule = fake_schedule();
        snprintf(schedule->piece, sizeof schedule->piece, "%s", names[i]);
        snprintf(schedule->part[0]->name, sizeof schedule->part[0]->name, "%s", names[i]);
        snprintf(schedule->step[0]->text, sizeof schedule->step[0]->text, "%s", names[i]);
        char *text = render(schedule);
        check_octets(text);
        int events = count(text, "BEGIN:VEVENT\r\n");
        ck_assert_int_gt(events, 3);
        ck_assert_int_eq(count(text, "END:VEVENT\r\n"), events);
        ck_assert_int_eq(count(text, "BEGIN:VALARM\r\n"), events);
        ck_assert_int_eq(count(text, "ACTION:DISPLAY\r\n"), events);
        ck_assert_int_eq(count(text, "\r\nUID:"), events);
        ck_assert_int_eq(count(text, "\r\nDTSTAMP:20260314T000000Z\r\n"), events);
        ck_assert_int_eq(count(text, "METHOD"), 0);
        free(text);
        pc_schedule_free(schedule);
    }
}
END_TEST

/* Bug 1 of the calendar: the title of many actions at once was cut where it was full, in the middle
 * of a letter of two octets, and did not say that there was more. */
START_TEST(bug_1_a_title_is_not_cut_within_a_letter) {
    pc_schedule *schedule = fake_schedule();
    zone("UTC");
    for (size_t letters = 20; letters < 44; letters++) {
        schedule->part[0]->name[0] = '\0';
        for (size_t i = 0; i < letters; i++)
            strcat(schedule->part[0]->name, "\xc3\xa9");
        for (size_t i = 0; i < schedule->step_count; i++)
            schedule->step[i]->at_s = 0.0;
        char *text = render(schedule);
        check_octets(text);
        ck_assert_int_eq(count(text, "BEGIN:VEVENT"), 1);
        ck_assert_ptr_nonnull(strstr(text, " ..."));
        free(text);
    }
    pc_schedule_free(schedule);
}
END_TEST

START_TEST(starts_are_whole_minutes_rounded_early) {
    pc_schedule *schedule = fake_schedule();
    zone("UTC");
    char *text = render(schedule);
    /* 09:00:00 mix, 09:01:00 pour, 09:01:30 turn: within two minutes, one event. */
    ck_assert_ptr_nonnull(strstr(text, "DTSTART:20260314T090000Z\r\nDTEND:20260314T090200Z\r\n"));
    ck_assert_ptr_nonnull(strstr(text, "SUMMARY:09:00:00 mix"));
    ck_assert_int_eq(count(text, "DTSTART:20260314T0901"), 0);
    /* The stop at 09:16:34 joins the mix at 09:16:04: ring at 09:16, true seconds in the title. */
    ck_assert_ptr_nonnull(strstr(text, "DTSTART:20260314T091600Z\r\n"));
    for (const char *at = text; (at = strstr(at, "DTSTART:")) != NULL; at += 8)
        ck_assert_int_eq(strncmp(at + 21, "00Z\r\n", 5), 0);
    free(text);
    pc_schedule_free(schedule);
}
END_TEST

START_TEST(local_time_becomes_utc_in_winter_and_summer) {
    static const struct {
        const char *zone;
        int month;
        const char *start;
    } cases[] = {{"UTC", 7, "DTSTART:20260714T090000Z"},
                 {"EST5EDT,M3.2.0,M11.1.0", 1, "DTSTART:20260114T140000Z"},
                 {"EST5EDT,M3.2.0,M11.1.0", 7, "DTSTART:20260714T130000Z"},
                 {"CET-1CEST,M3.5.0,M10.5.0/3", 7, "DTSTART:20260714T070000Z"},
                 {"<+1245>-12:45", 7, "DTSTART:20260713T201500Z"}};
    pc_schedule *schedule = fake_schedule();
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char *text = NULL;
        zone(cases[i].zone);
        assert_ok(calendar_render(schedule, (const int[]){2026, cases[i].month, 14}, &text));
        ck_assert_msg(strstr(text, cases[i].start) != NULL, "%s: no %s", cases[i].zone,
                      cases[i].start);
        free(text);
    }
    pc_schedule_free(schedule);
}
END_TEST

static void collect_uids(const char *text, char uid[][64], int *n) {
    *n = 0;
    for (const char *at = text; (at = strstr(at, "\r\nUID:")) != NULL && *n < 64; at += 6)
        snprintf(uid[(*n)++], 64, "%.36s", at + 6);
}

START_TEST(uids_differ_and_outlive_a_new_plan) {
    static char first[64][64], second[64][64];
    int n, m;
    pc_schedule *schedule = fake_schedule();
    zone("UTC");
    char *text = render(schedule), *again = render(schedule);
    ck_assert_str_eq(text, again);
    collect_uids(text, first, &n);
    for (int i = 0; i < n; i++) {
        /* RFC 9562: version 8, variant 10. */
        ck_assert_int_eq(first[i][14], '8');
        ck_assert_ptr_nonnull(strchr("89ab", first[i][19]));
        for (int k = 0; k < i; k++)
            ck_assert_str_ne(first[i], first[k]);
    }
    free(again);
    for (size_t i = 0; i < schedule->step_count; i++)
        schedule->step[i]->at_s += 7.0;
    again = render(schedule);
    collect_uids(again, second, &m);
    ck_assert_int_eq(n, m);
    for (int i = 0; i < n; i++)
        ck_assert_str_eq(first[i], second[i]);
    free(again);
    assert_ok(calendar_render(schedule, (const int[]){2026, 3, 15}, &again));
    collect_uids(again, second, &m);
    ck_assert_str_ne(first[0], second[0]);
    free(again);
    free(text);
    pc_schedule_free(schedule);
}
END_TEST

START_TEST(no_such_day_is_refused) {
    static const int dates[][3] = {{2026, 2, 29}, {2026, 13, 1}, {2026, 0, 1},
                                   {2026, 4, 31}, {1, 1, 1},     {2026, 1, 0}};
    pc_schedule *schedule = fake_schedule();
    char *text;
    for (size_t i = 0; i < sizeof dates / sizeof *dates; i++)
        assert_status(calendar_render(schedule, dates[i], &text), PC_E_ARGUMENT);
    schedule->start_clock_s = NAN;
    assert_status(calendar_render(schedule, a_day, &text), PC_E_ARGUMENT);
    assert_status(calendar_render(NULL, a_day, &text), PC_E_ARGUMENT);
    schedule->start_clock_s = 0.0;
    for (size_t i = 0; i < schedule->step_count; i++)
        schedule->step[i]->at_s = NAN;
    assert_ok(calendar_render(schedule, a_day, &text));
    ck_assert_int_eq(count(text, "VEVENT"), 0);
    free(text);
    pc_schedule_free(schedule);
}
END_TEST

/* What ical.js (npm) reads, one line an event; false where it is not there: POURCLOCK_NODE_DIR
 * names the folder it is installed in. */
static bool another_reads(const char *text, char *read, size_t size) {
    const char *folder = getenv("POURCLOCK_NODE_DIR");
    if (folder == NULL || system("command -v node >/dev/null 2>&1") != 0) {
        printf("check_calendar: no Node, or POURCLOCK_NODE_DIR is not set: ical.js skipped\n");
        return false;
    }
    char path[] = "/tmp/pourclock-ics-XXXXXX", line[1024];
    int fd = mkstemp(path);
    ck_assert_int_ge(fd, 0);
    ck_assert_int_eq(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    snprintf(line, sizeof line, "cd '%s' && node '%s/tests/unit/read_calendar.mjs' %s", folder,
             TEST_SRCDIR, path);
    FILE *pipe = popen(line, "r");
    ck_assert_ptr_nonnull(pipe);
    size_t length = fread(read, 1, size - 1, pipe);
    read[length] = '\0';
    int status = pclose(pipe);
    unlink(path);
    ck_assert_msg(WIFEXITED(status) && WEXITSTATUS(status) == 0, "ical.js: status %d", status);
    ck_assert_int_eq(count(read, "\n"), count(text, "BEGIN:VEVENT"));
    ck_assert_int_eq(count(read, "Z\t1\t"), count(text, "BEGIN:VEVENT"));
    return true;
}

START_TEST(another_reader_understands_it) {
    pc_schedule *schedule = fake_schedule();
    zone("EST5EDT,M3.2.0,M11.1.0");
    snprintf(schedule->part[0]->name, sizeof schedule->part[0]->name,
             "body; \"caf\xc3\xa9\", \\ big");
    char *text = render(schedule), read[16384];
    /* 14 March 2026 is summer time there already: 09:00 is 13:00 UTC. */
    if (another_reads(text, read, sizeof read))
        ck_assert_ptr_nonnull(strstr(read,
                                     "\t2026-03-14T13:00:00.000Z\t2026-03-14T13:02:00.000Z\t1\t"
                                     "09:00:00 mix, body; \"caf\xc3\xa9\", \\ big, layer 1"));
    free(text);
    pc_schedule_free(schedule);
}
END_TEST

/* A day by hand: two castings of an otter, one pair of hands and then two, the last demold past
 * midnight. */
static pc_day *fake_day(pc_day_plan *plan) {
    static pci_day held;
    static pc_day_casting casting[2], *castings[] = {&casting[0], &casting[1]};
    static pc_day_entry entry[4], *entries[] = {&entry[0], &entry[1], &entry[2], &entry[3]};
    pci_day *day = &held;
    memset(plan, 0, sizeof *plan);
    snprintf(day->name, sizeof day->name, "Harbor; \"museum\", a day\\");
    day->start_s = 8.5 * 3600;
    day->hands = 2;
    day->piece_count = 1;
    snprintf(day->piece[0].name, sizeof day->piece[0].name, "otter, seated; caf\xc3\xa9");
    casting[0] = (pc_day_casting){.copy = 1, .mold = 1, .station = 1};
    casting[1] = (pc_day_casting){.copy = 2, .mold = 1, .station = 1};
    entry[0] = (pc_day_entry){30600, 30990, PC_DAY_POUR, 0, 0, 1, 1, ""};
    entry[1] = (pc_day_entry){33244, 33364, PC_DAY_POUR, 0, 0, 2, 1, ""};
    entry[2] = (pc_day_entry){41760, 42360, PC_DAY_DEMOLD, 0, 0, 0, 2, ""};
    entry[3] = (pc_day_entry){87000, 87600, PC_DAY_DEMOLD, 1, 0, 0, 1, ""};
    plan->count = 2;
    plan->casting = castings;
    plan->entry_count = 4;
    plan->entry = entries;
    for (size_t i = 0; i < 4; i++)
        pci_day_entry_text(entry[i].text, sizeof entry[i].text, day, plan, &entry[i]);
    pc_day *made = pci_day_hand_out(day);
    ck_assert_ptr_nonnull(made);
    return made;
}

struct read_event {
    const char *start, *end, *title, *words; /* words: in the description */
};

/* Reads a calendar back with libical's parser; libical's own rules (RFC 5546) find no fault. */
static void check_read(const char *text, const struct read_event *expected, int n) {
    icalcomponent *all = icalparser_parse_string(text);
    ck_assert_ptr_nonnull(all);
    ck_assert_int_eq(icalcomponent_count_errors(all), 0);
    ck_assert_int_eq(icalcomponent_count_components(all, ICAL_VEVENT_COMPONENT), n);
    icalcomponent *event = icalcomponent_get_first_component(all, ICAL_VEVENT_COMPONENT);
    for (int i = 0; i < n; i++) {
        const struct read_event *e = &expected[i];
        icalcomponent *alarm = icalcomponent_get_first_component(event, ICAL_VALARM_COMPONENT);
        struct icaltimetype start = icalcomponent_get_dtstart(event),
                            end = icalcomponent_get_dtend(event);
        ck_assert(icaltime_is_utc(start) && icaltime_is_utc(end));
        ck_assert_str_eq(icaltime_as_ical_string(start), e->start);
        ck_assert_str_eq(icaltime_as_ical_string(end), e->end);
        ck_assert_str_eq(icalcomponent_get_summary(event), e->title);
        ck_assert_msg(strstr(icalcomponent_get_description(event), e->words) != NULL, "%s: no %s",
                      icalcomponent_get_description(event), e->words);
        ck_assert_ptr_nonnull(alarm);
        event = icalcomponent_get_next_component(all, ICAL_VEVENT_COMPONENT);
    }
    icalcomponent_free(all);
}

START_TEST(a_day_reads_back) {
    static const struct read_event expected[] = {
        {"20260314T133000Z", "20260314T133700Z",
         "08:30:00 otter, seated; caf\xc3\xa9, casting 1 (mold 1): layer 1: mix and pour, onto the "
         "machine",
         "Person 1. Until 08:36:30"},
        {"20260314T141400Z", "20260314T141700Z",
         "09:14:04 otter, seated; caf\xc3\xa9, casting 1 (mold 1): layer 2: mix and pour, onto the "
         "machine",
         "Person 1. Until 09:16:04"},
        {"20260314T163600Z", "20260314T164600Z",
         "11:36:00 otter, seated; caf\xc3\xa9, casting 1 (mold 1): demold", "Person 2."},
        {"20260315T051000Z", "20260315T052000Z",
         "00:10:00 otter, seated; caf\xc3\xa9, casting 2 (mold 1): demold", "Until 00:20:00"}};
    pc_day_plan fake, *plan = &fake;
    pc_day *day = fake_day(plan);
    char *text = NULL, read[16384];
    zone("EST5"); /* 5 h behind, no summer time */
    assert_ok(day_calendar_render(day, plan, a_day, &text));
    check_octets(text);
    check_read(text, expected, 4);
    ck_assert_int_eq(count(text, "DTSTAMP:20260314T050000Z"), 4);
    if (another_reads(text, read, sizeof read))
        ck_assert_ptr_nonnull(
            strstr(read, "\t2026-03-15T05:10:00.000Z\t2026-03-15T05:20:00.000Z\t1\t"
                         "00:10:00 otter, seated; caf\xc3\xa9, casting 2 (mold 1): demold"));
    free(text);
    day->hands = 1; /* nobody to tell apart */
    assert_ok(day_calendar_render(day, plan, a_day, &text));
    ck_assert_int_eq(count(text, "erson"), 0);
    free(text);
    pc_day_free(day, NULL);
}
END_TEST

START_TEST(a_day_imported_twice_replaces_itself) {
    static char first[64][64], second[64][64];
    int n, m;
    pc_day_plan fake, *plan = &fake;
    pc_day *day = fake_day(plan);
    char *text = NULL, *again = NULL;
    zone("UTC");
    assert_ok(day_calendar_render(day, plan, a_day, &text));
    assert_ok(day_calendar_render(day, plan, a_day, &again));
    ck_assert_str_eq(text, again);
    free(again);
    collect_uids(text, first, &n);
    ck_assert_int_eq(n, 4);
    for (int i = 0; i < n; i++)
        for (int k = 0; k < i; k++)
            ck_assert_str_ne(first[i], first[k]);
    for (size_t i = 0; i < plan->entry_count; i++) { /* planned again: later, by somebody else */
        plan->entry[i]->from_s += 600;
        plan->entry[i]->until_s += 700;
        plan->entry[i]->person = 3 - plan->entry[i]->person;
    }
    assert_ok(day_calendar_render(day, plan, a_day, &again));
    collect_uids(again, second, &m);
    ck_assert_int_eq(m, n);
    for (int i = 0; i < n; i++)
        ck_assert_str_eq(first[i], second[i]);
    free(again);
    assert_ok(day_calendar_render(day, plan, (const int[]){2026, 3, 15}, &again));
    collect_uids(again, second, &m);
    ck_assert_str_ne(first[0], second[0]);
    free(again);
    day->name = "another";
    assert_ok(day_calendar_render(day, plan, a_day, &again));
    collect_uids(again, second, &m);
    ck_assert_str_ne(first[0], second[0]);
    free(again);
    free(text);
    pc_day_free(day, NULL);
}
END_TEST

START_TEST(a_day_of_nonsense_is_refused) {
    pc_day_plan fake, *plan = &fake;
    pc_day *day = fake_day(plan);
    char *text = NULL;
    zone("UTC");
    assert_status(day_calendar_render(day, plan, (const int[]){2026, 2, 29}, &text), PC_E_ARGUMENT);
    assert_status(day_calendar_render(NULL, plan, a_day, &text), PC_E_ARGUMENT);
    assert_status(day_calendar_render(day, NULL, a_day, &text), PC_E_ARGUMENT);
    plan->entry[3]->until_s = NAN; /* rings nowhere */
    assert_ok(day_calendar_render(day, plan, a_day, &text));
    ck_assert_int_eq(count(text, "BEGIN:VEVENT"), 3);
    free(text);
    day->start_s = NAN;
    assert_status(day_calendar_render(day, plan, a_day, &text), PC_E_ARGUMENT);
    pc_day_free(day, NULL);
}
END_TEST

int main(void) {
    Suite *suite = suite_create("calendar");
    TCase *tcase = tcase_create("calendar");
    tcase_add_test(tcase, octets_are_as_the_standard_asks);
    tcase_add_test(tcase, bug_1_a_title_is_not_cut_within_a_letter);
    tcase_add_test(tcase, starts_are_whole_minutes_rounded_early);
    tcase_add_test(tcase, local_time_becomes_utc_in_winter_and_summer);
    tcase_add_test(tcase, uids_differ_and_outlive_a_new_plan);
    tcase_add_test(tcase, no_such_day_is_refused);
    tcase_add_test(tcase, another_reader_understands_it);
    tcase_add_test(tcase, a_day_reads_back);
    tcase_add_test(tcase, a_day_imported_twice_replaces_itself);
    tcase_add_test(tcase, a_day_of_nonsense_is_refused);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
