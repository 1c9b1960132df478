/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Another program saves a file of the job while the page changes it: at each call of the system
 * that the page makes on the way, and again and again beside two clients. Nothing of either is
 * lost. And new content is on the disk before it gets its name. */
#include "support/check.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"
#include "served.h"

/* --- the system; linked with --wrap, so that the library's calls come here --- */

static long calls_left = -1; /* until the other program saves; below 0 never */
static void (*other_saves)(void);
static bool no_exchange, no_link;

enum { FILES_MOST = 64 };
static ino_t on_disk[FILES_MOST]; /* files whose content was waited for, and not written to since */
static size_t on_disk_count, renamed_early, renamed;

static void pass(void)
{
    if (calls_left >= 0 && calls_left-- == 0)
        other_saves();
}

static void forget_file(ino_t file)
{
    for (size_t i = 0; i < on_disk_count; i++)
        if (on_disk[i] == file)
            on_disk[i] = 0;
}

static bool reached_disk(const char *name)
{
    struct stat about;
    bool found = false;
    for (size_t i = 0; stat(name, &about) == 0 && i < on_disk_count; i++)
        found = found || on_disk[i] == about.st_ino;
    return found;
}

/* Every name that a file of new content is given later comes by here. */
static void watch_name(const char *from)
{
    size_t length = strlen(from);
    if (length < 4 || strcmp(from + length - 4, ".new") != 0)
        return;
    renamed++;
    renamed_early += !reached_disk(from);
}

#define WRAPS(answers, name, takes)                                                                \
    answers __real_##name takes;                                                                   \
    answers __wrap_##name takes;                                                                   \
    answers __wrap_##name takes

WRAPS(ssize_t, write, (int to, const void *bytes, size_t count))
{
    struct stat about;
    pass();
    if (fstat(to, &about) == 0)
        forget_file(about.st_ino);
    return __real_write(to, bytes, count);
}

WRAPS(int, fsync, (int of))
{
    struct stat about;
    pass();
    int status = __real_fsync(of);
    if (status == 0 && fstat(of, &about) == 0 && on_disk_count < FILES_MOST)
        on_disk[on_disk_count++] = about.st_ino;
    return status;
}

WRAPS(int, close, (int of))
{
    int status = __real_close(of);
    pass();
    return status;
}

WRAPS(int, rename, (const char *from, const char *to))
{
    pass();
    watch_name(from);
    return __real_rename(from, to);
}

WRAPS(int, renameat2, (int one, const char *from, int other, const char *to, unsigned how))
{
    pass();
    watch_name(from);
    if (!no_exchange)
        return __real_renameat2(one, from, other, to, how);
    errno = ENOSYS;
    return -1;
}

WRAPS(int, link, (const char *from, const char *to))
{
    pass();
    watch_name(from);
    if (!no_link)
        return __real_link(from, to);
    errno = EPERM;
    return -1;
}

WRAPS(int, unlink, (const char *name))
{
    pass();
    return __real_unlink(name);
}

/* --- the other program --- */

static const char added[] = "C5;1,5;2,5;new\n";

/* As `echo >>` does. */
static void save_by_adding(void)
{
    int file = open(fixture_path("parts.csv"), O_WRONLY | O_APPEND);
    assert_true(file >= 0);
    assert_int_equal(__real_write(file, added, sizeof added - 1), sizeof added - 1);
    __real_close(file);
}

/* As editors do that write a second file and give it the name. */
static void save_by_renaming(void)
{
    size_t size = 0;
    char path[512], *now = fixture_bytes("parts.csv", &size);
    snprintf(path, sizeof path, "%s", fixture_path("parts.csv"));
    FILE *file = fopen(fixture_path("parts.csv~"), "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(now, 1, size, file), size);
    assert_int_equal(fwrite(added, 1, sizeof added - 1, file), sizeof added - 1);
    fclose(file);
    assert_int_equal(__real_rename(fixture_path("parts.csv~"), path), 0);
    free(now);
}

static const char begun_sources[] = "ref,x_mm,y_mm\nR7,31,17\n";

/* A file that was not there. */
static void begin_sources(void)
{
    int file = open(fixture_path("sources.csv"), O_WRONLY | O_CREAT | O_EXCL, 0666);
    if (file < 0) { /* the page was first */
        file = open(fixture_path("sources.csv"), O_WRONLY | O_APPEND);
        assert_int_equal(__real_write(file, "R7,31,17\n", 9), 9);
    } else {
        assert_int_equal(__real_write(file, begun_sources, sizeof begun_sources - 1),
                         sizeof begun_sources - 1);
    }
    __real_close(file);
}

static bool stands(const char *name, const char *words)
{
    size_t size = 0;
    char *now = fixture_bytes(name, &size);
    bool found = strstr(now, words) != NULL;
    free(now);
    return found;
}

/* --- at each call --- */

static long sweep(void (*saves)(void), const char *edit, const char *name, const char *own,
                  const char *others)
{
    long nth = 0;
    for (;; nth++) {
        session *of = fixture_open();
        other_saves = saves;
        calls_left = nth;
        sf_status status = fixture_edit(of, edit);
        bool met = calls_left < 0;
        calls_left = -1;
        assert_int_equal(status, SF_OK);
        bool kept = stands(name, own) && (!met || stands(name, others));
        if (!kept)
            fail_msg("lost at call %ld", nth);
        fixture_close(of);
        if (!met)
            return nth;
    }
}

static const char set_c9[] = "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 1,"
                             "\"expect\": {\"ref\": \"C9\"}, \"set\": {\"x_mm\": \"18.75\"}}]}";

static void what_is_added_to_the_file_at_any_moment_stays(void **state)
{
    (void)state;
    assert_true(sweep(save_by_adding, set_c9, "parts.csv", "C9;18,75", added) > 10);
}

static void a_file_that_is_renamed_into_place_at_any_moment_stays(void **state)
{
    (void)state;
    assert_true(sweep(save_by_renaming, set_c9, "parts.csv", "C9;18,75", added) > 10);
}

static void a_file_that_appears_at_any_moment_stays(void **state)
{
    (void)state;
    const char insert[] = "{\"ops\": [{\"file\": \"sources.csv\", \"op\": \"insert\","
                          "\"set\": {\"ref\": \"R9\", \"x_mm\": \"11.5\"}}]}";
    assert_true(sweep(begin_sources, insert, "sources.csv", "R9,11.5", "R7,31,17") > 10);
}

/* Where the system cannot exchange two names, what is written in place stays all the same. */
static void without_exchange_what_is_added_at_any_moment_stays(void **state)
{
    (void)state;
    no_exchange = true;
    assert_true(sweep(save_by_adding, set_c9, "parts.csv", "C9;18,75", added) > 10);
    no_link = true;
    session *of = fixture_open();
    assert_int_equal(fixture_edit(of, move_c9), SF_OK);
    assert_file("parts.csv", moved_parts);
    fixture_close(of);
    no_exchange = no_link = false;
}

static void save_and_again(void)
{
    save_by_adding();
    calls_left = 1;
}

static void a_program_that_never_rests_is_told_of_and_its_file_left(void **state)
{
    (void)state;
    session *of = fixture_open();
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL, *edit = json_loads(set_c9, 0, NULL);
    other_saves = save_and_again;
    calls_left = 0;
    assert_int_equal(session_edit(of, edit, &conflict, &diagnostics), SF_ERROR_DATA);
    calls_left = -1;
    assert_string_equal(json_string_value(json_object_get(conflict, "file")), "parts.csv");
    assert_string_equal(json_string_value(json_object_get(conflict, "why")),
                        "another program keeps changing the file");
    assert_false(stands("parts.csv", "18,75"));
    json_decref(conflict);
    json_decref(edit);
    fixture_close(of);
}

static void new_content_is_on_the_disk_before_it_gets_its_name(void **state)
{
    (void)state;
    for (int round = 0; round < 2; round++) {
        session *of = fixture_open();
        no_exchange = round > 0;
        on_disk_count = renamed = renamed_early = 0;
        assert_int_equal(fixture_edit(of, move_c9), SF_OK);
        assert_true(renamed >= 4); /* parts, history, and the two files that a job needs */
        assert_int_equal(renamed_early, 0);
        fixture_close(of);
    }
    no_exchange = false;
}

/* --- again and again --- */

/* The clients go on until the editor has met them often enough, however fast the machine is. */
enum { CLIENTS = 2, EDITS = 40, EDITS_MOST = 4000, OTHERS_LEAST = 11, OTHERS_MOST = 10000 };

static _Atomic bool clients_done;
static _Atomic int others_kept;

typedef struct tab {
    pthread_t thread;
    int number, made, refused;
} tab;

static void *edit_on(void *argument)
{
    tab *of = argument;
    for (int i = 0; i < EDITS || (i < EDITS_MOST && others_kept < OTHERS_LEAST); i++) {
        char body[512];
        int size = snprintf(body, sizeof body,
                            "{\"ops\": [{\"file\": \"parts.csv\", \"op\": \"insert\", \"set\":"
                            "{\"ref\": \"T%d-%d-\", \"x_mm\": \"37.5\", \"y_mm\": \"21.5\"}}]}",
                            of->number, i);
        answer got = served_ask("edit", body, (size_t)size);
        of->made++;
        of->refused += got.status != 200;
        answer_clear(&got);
    }
    return NULL;
}

/* Adds a row where the file still is the one that was opened; else it tries again, as whoever
 * watches for that does. */
static void add_row(const char *path, int number)
{
    char row[64];
    struct stat opened, named;
    int size = snprintf(row, sizeof row, "E0-%d-,12,13\n", number);
    for (bool kept = false; !kept;) {
        int file = open(path, O_WRONLY | O_APPEND);
        kept = file >= 0 && __real_write(file, row, (size_t)size) == size &&
               fstat(file, &opened) == 0 && stat(path, &named) == 0 &&
               opened.st_ino == named.st_ino;
        if (file >= 0)
            __real_close(file);
    }
}

static void *save_on(void *argument)
{
    unsigned seed = 71;
    for (others_kept = 0; !clients_done && others_kept < OTHERS_MOST; others_kept++) {
        seed = seed * 1103515245u + 12345u; /* 50 to 300 ms: no two saves fall alike */
        nanosleep(&(struct timespec){.tv_nsec = 50000000 + (long)(seed >> 8) % 250000000}, NULL);
        add_row(argument, others_kept);
    }
    return NULL;
}

static int lost_rows(const char *form, int number, int count)
{
    size_t size = 0;
    char name[32];
    int lost = 0;
    snprintf(fixture_folder, sizeof fixture_folder, "%s", served_folder);
    char *now = fixture_bytes("parts.csv", &size);
    for (int i = 0; i < count; i++) {
        snprintf(name, sizeof name, form, number, i);
        lost += strstr(now, name) == NULL;
    }
    free(now);
    return lost;
}

static void two_tabs_and_an_editor_lose_nothing_of_each_other(void **state)
{
    (void)state;
    char path[sizeof served_folder + 16];
    tab tabs[CLIENTS] = {{.number = 0}, {.number = 1}};
    pthread_t editor;
    snprintf(path, sizeof path, "%s/parts.csv", served_folder);
    clients_done = false;
    assert_int_equal(pthread_create(&editor, NULL, save_on, path), 0);
    for (int i = 0; i < CLIENTS; i++)
        assert_int_equal(pthread_create(&tabs[i].thread, NULL, edit_on, &tabs[i]), 0);
    for (int i = 0; i < CLIENTS; i++)
        pthread_join(tabs[i].thread, NULL);
    clients_done = true;
    pthread_join(editor, NULL);
    for (int i = 0; i < CLIENTS; i++) {
        assert_int_equal(tabs[i].refused, 0);
        assert_int_equal(lost_rows("\nT%d-%d-", i, tabs[i].made), 0);
    }
    assert_true(others_kept >= OTHERS_LEAST);
    assert_int_equal(lost_rows("\nE%d-%d-", 0, others_kept), 0);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_added_to_the_file_at_any_moment_stays),
        cmocka_unit_test(a_file_that_is_renamed_into_place_at_any_moment_stays),
        cmocka_unit_test(a_file_that_appears_at_any_moment_stays),
        cmocka_unit_test(without_exchange_what_is_added_at_any_moment_stays),
        cmocka_unit_test(a_program_that_never_rests_is_told_of_and_its_file_left),
        cmocka_unit_test(new_content_is_on_the_disk_before_it_gets_its_name),
        WITH_PAGE(two_tabs_and_an_editor_lose_nothing_of_each_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
