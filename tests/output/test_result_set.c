/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* One run or another, never both; and never in the place of what somebody else has put there. */
#include "output/result_set.h"
#include "support/blocks.h"

#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

/* --- sets that tell which run they are of --- */

enum { FILES = 3, BYTES = 40 };
static const char *const names[FILES] = {"parts.csv", "heat.png", "report.html"};
static const char header[] = "ref,x_mm,y_mm,temp_c,temp_sd_k\n";

static char results[300]; /* "out" in the folder */

static int set_up_results(void **state)
{
    set_up(state);
    snprintf(results, sizeof results, "%s/out", folder);
    return 0;
}

#define WITH_RESULTS(name) cmocka_unit_test_setup_teardown(name, set_up_results, tear_down)

/* Each file of the run ends with its letter. */
static sf_status write_run(char run)
{
    char bytes[FILES][BYTES];
    file_block set[FILES];
    for (size_t i = 0; i < FILES; i++) {
        int length = snprintf(bytes[i], BYTES, "%s%c", i == 0 ? header : "", run);
        set[i] = (file_block){names[i], bytes[i], (size_t)length};
    }
    return result_set_write(results, set, FILES, &diagnostics);
}

/* Last letter of a file of an open folder; 0 where it is not there. */
static char letter_of(int directory, const char *name)
{
    char bytes[BYTES] = "";
    int file = openat(directory, name, O_RDONLY);
    ssize_t count = file < 0 ? 0 : read(file, bytes, sizeof bytes);
    if (file >= 0)
        close(file);
    return count > 0 ? bytes[count - 1] : '\0';
}

/* The letter that all files of the folder have, 0 where one of them has gone meanwhile with its
 * folder; fails the test where they are of two runs. */
static char run_of(const char *path)
{
    int directory = open(path, O_RDONLY | O_DIRECTORY);
    assert_true(directory >= 0);
    char run = letter_of(directory, names[0]);
    for (size_t i = 1; i < FILES; i++) {
        char other = letter_of(directory, names[i]);
        if (run != '\0' && other != '\0' && other != run)
            fail_msg("%s is of run %c, %s of run %c", names[0], run, names[i], other);
        run = other == '\0' ? other : run;
    }
    close(directory);
    return run;
}

static void lay(const char *name, const char *content)
{
    write_file(results, name, content);
}

static bool stands(const char *name, const char *content)
{
    char below[64];
    snprintf(below, sizeof below, "out/%s", name);
    return holds(below, content, strlen(content));
}

/* --- what is no result --- */

static void a_run_replaces_the_one_before_and_leaves_the_rest(void **state)
{
    (void)state;
    struct stat found;
    assert_int_equal(write_run('a'), SF_OK);
    lay("notes.txt", "mine");
    assert_int_equal(chmod(results, 0750), 0);
    assert_int_equal(write_run('b'), SF_OK);
    assert_int_equal(run_of(results), 'b');
    assert_true(stands("notes.txt", "mine"));
    assert_int_equal(stat(results, &found), 0);
    assert_int_equal(found.st_mode & 07777, 0750);
    assert_int_equal(entries(results), FILES + 1);
    assert_int_equal(entries(folder), 1);
    assert_int_equal(diagnostics.count, 0);
}

static void refused_untouched(const char *told)
{
    assert_int_equal(write_run('b'), SF_ERROR_WRITE);
    assert_int_equal(diagnostics.count, 1);
    assert_non_null(strstr(diagnostics.items[0].what, told));
    assert_int_equal(entries(folder), 1);
    sf_diagnostics_clear(&diagnostics);
}

/* A job's parts, such as somebody keeps them beside others. */
static void a_table_of_somebody_else_is_not_replaced(void **state)
{
    (void)state;
    static const char theirs[] = "ref,x_mm,y_mm,diameter_mm\nC1,33,47,10\n";
    assert_int_equal(mkdir(results, 0777), 0);
    lay("parts.csv", theirs);
    refused_untouched("is not a result of an earlier run");
    assert_true(stands("parts.csv", theirs));
    assert_int_equal(entries(results), 1);
    lay("parts.csv", "");
    refused_untouched("is not a result of an earlier run");
    assert_int_equal(entries(results), 1);
}

static void a_picture_or_page_alone_is_somebody_elses(void **state)
{
    (void)state;
    assert_int_equal(mkdir(results, 0777), 0);
    for (size_t i = 1; i < FILES; i++) {
        lay(names[i], "theirs");
        refused_untouched("is not a result of an earlier run");
        assert_true(stands(names[i], "theirs"));
        char path[320];
        snprintf(path, sizeof path, "%s/%s", results, names[i]);
        assert_int_equal(unlink(path), 0);
    }
}

static void a_result_of_another_version_with_more_columns_is_replaced(void **state)
{
    (void)state;
    assert_int_equal(mkdir(results, 0777), 0);
    lay("parts.csv", "ref,x_mm,y_mm,temp_c,life_h\n");
    assert_int_equal(write_run('b'), SF_OK);
    assert_int_equal(run_of(results), 'b');
}

static void a_link_to_a_job_is_refused(void **state)
{
    (void)state;
    write_file(folder, "board.csv", "key,value\n");
    write_file(folder, "parts.csv", "ref,x_mm,y_mm,diameter_mm\n");
    assert_int_equal(symlink(".", results), 0);
    assert_int_equal(write_run('b'), SF_ERROR_WRITE);
    assert_non_null(strstr(diagnostics.items[0].what, "a job is in this folder"));
    assert_true(holds("parts.csv", "ref,x_mm,y_mm,diameter_mm\n", 26));
    assert_int_equal(entries(folder), 3);
}

static void a_link_to_a_file_of_a_job_is_refused(void **state)
{
    (void)state;
    write_file(folder, "parts.csv", "ref,x_mm,y_mm,diameter_mm\n");
    assert_int_equal(mkdir(results, 0777), 0);
    assert_int_equal(symlink("../parts.csv", path_of("out/parts.csv")), 0);
    assert_int_equal(write_run('b'), SF_ERROR_WRITE);
    assert_true(holds("parts.csv", "ref,x_mm,y_mm,diameter_mm\n", 26));
}

/* --- where the folder cannot be exchanged --- */

static void folders_of_somebody_else_stay(void **state)
{
    (void)state;
    assert_int_equal(write_run('a'), SF_OK);
    assert_int_equal(mkdir(path_of("out/photos"), 0777), 0);
    write_file(folder, "out/photos/top.jpg", "a photo");
    assert_int_equal(write_run('b'), SF_OK);
    assert_int_equal(run_of(results), 'b');
    assert_true(holds("out/photos/top.jpg", "a photo", 7));
    assert_int_equal(entries(results), FILES + 1);
}

/* A shell that stands in the folder would be left in one that is gone. */
static void the_folder_we_stand_in_stays_the_same(void **state)
{
    (void)state;
    struct stat before, after;
    char here[1024];
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(write_run('a'), SF_OK);
    assert_int_equal(stat(results, &before), 0);
    assert_int_equal(chdir(results), 0);
    sf_status status = write_run('b');
    assert_int_equal(chdir(here), 0);
    assert_int_equal(status, SF_OK);
    assert_int_equal(stat(results, &after), 0);
    assert_true(before.st_ino == after.st_ino);
    assert_int_equal(run_of(results), 'b');
}

static void a_folder_behind_a_link_is_written_and_the_link_stays(void **state)
{
    (void)state;
    struct stat found;
    assert_int_equal(mkdir(path_of("elsewhere"), 0777), 0);
    assert_int_equal(symlink("elsewhere", results), 0);
    assert_int_equal(write_run('a'), SF_OK);
    assert_int_equal(write_run('b'), SF_OK);
    assert_int_equal(lstat(results, &found), 0);
    assert_true(S_ISLNK(found.st_mode));
    assert_int_equal(run_of(path_of("elsewhere")), 'b');
    assert_int_equal(entries(folder), 2);
}

/* --- killed, and at once --- */

/* Runs in a process of its own, which ends at that call; answers its exit status. */
static int write_and_die(char run, int nth)
{
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        die_at(nth);
        _exit(write_run(run) == SF_OK ? 0 : 1);
    }
    int ended = 0;
    assert_int_equal(waitpid(child, &ended, 0), child);
    assert_true(WIFEXITED(ended));
    return WEXITSTATUS(ended);
}

static void a_run_killed_at_any_call_leaves_one_run(void **state)
{
    (void)state;
    bool seen_old = false, seen_new = false;
    assert_int_equal(write_run('a'), SF_OK);
    lay("notes.txt", "mine");
    int nth = 1;
    for (;; nth++) {
        char before = run_of(results), run = (char)('a' + nth % 26);
        int status = write_and_die(run, nth);
        if (status != KILLED) {
            assert_int_equal(status, 0);
            break;
        }
        char after = run_of(results);
        assert_true(after == before || after == run);
        assert_true(stands("notes.txt", "mine"));
        seen_old = seen_old || after == before;
        seen_new = seen_new || after == run;
        /* the next run clears away what this one has left */
        assert_int_equal(write_run('A'), SF_OK);
        assert_int_equal(run_of(results), 'A');
        assert_int_equal(entries(folder), 1);
        assert_int_equal(entries(results), FILES + 1);
        assert_int_equal(diagnostics.count, 0);
    }
    assert_true(seen_old && seen_new);
    assert_true(nth > 10);
}

static void two_runs_at_once_and_a_reader_never_meet_a_mixed_set(void **state)
{
    (void)state;
    enum { ROUNDS = 60 };
    pid_t writers[2];
    assert_int_equal(write_run('a'), SF_OK);
    for (int i = 0; i < 2; i++) {
        writers[i] = fork();
        assert_true(writers[i] >= 0);
        for (int round = 0; writers[i] == 0 && round < ROUNDS; round++)
            if (write_run((char)('b' + i)) != SF_OK)
                _exit(1);
        if (writers[i] == 0)
            _exit(0);
    }
    int whole = 0, ended = 0, left = 2;
    while (left > 0) {
        whole += run_of(results) != '\0';
        pid_t child = waitpid(-1, &ended, WNOHANG);
        if (child > 0) {
            left--;
            assert_int_equal(ended, 0);
        }
    }
    assert_true(whole > 0);
    assert_int_not_equal(run_of(results), '\0');
    assert_int_equal(entries(results), FILES);
    assert_int_equal(entries(folder), 1);
}

/* Another run holds the folder for a while. */
static void a_run_waits_for_another(void **state)
{
    (void)state;
    assert_int_equal(write_run('a'), SF_OK);
    int held = open(results, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    assert_int_equal(flock(held, LOCK_EX), 0);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(held);
        _exit(write_run('b') == SF_OK ? 0 : 1);
    }
    struct timespec wait = {.tv_nsec = 200 * 1000000L};
    nanosleep(&wait, NULL);
    assert_int_equal(run_of(results), 'a');
    close(held);
    int ended = 0;
    assert_int_equal(waitpid(child, &ended, 0), child);
    assert_int_equal(ended, 0);
    assert_int_equal(run_of(results), 'b');
}

static void what_a_killed_run_left_with_files_of_somebody_else_stays_and_is_told(void **state)
{
    (void)state;
    assert_int_equal(write_run('a'), SF_OK);
    assert_int_equal(mkdir(path_of(".out.4194305.spotfield"), 0777), 0);
    write_file(folder, ".out.4194305.spotfield/parts.csv", "half");
    write_file(folder, ".out.4194305.spotfield/photo.jpg", "the only one");
    assert_int_equal(write_run('b'), SF_OK);
    assert_int_equal(run_of(results), 'b');
    assert_true(holds(".out.4194305.spotfield/photo.jpg", "the only one", 12));
    assert_int_equal(entries(path_of(".out.4194305.spotfield")), 1);
    assert_int_equal(diagnostics.warning_count, 1);
    assert_non_null(strstr(diagnostics.items[0].file, ".out.4194305.spotfield"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_RESULTS(a_run_replaces_the_one_before_and_leaves_the_rest),
        WITH_RESULTS(a_table_of_somebody_else_is_not_replaced),
        WITH_RESULTS(a_picture_or_page_alone_is_somebody_elses),
        WITH_RESULTS(a_result_of_another_version_with_more_columns_is_replaced),
        WITH_RESULTS(a_link_to_a_job_is_refused),
        WITH_RESULTS(a_link_to_a_file_of_a_job_is_refused),
        WITH_RESULTS(folders_of_somebody_else_stay),
        WITH_RESULTS(the_folder_we_stand_in_stays_the_same),
        WITH_RESULTS(a_folder_behind_a_link_is_written_and_the_link_stays),
        WITH_RESULTS(a_run_killed_at_any_call_leaves_one_run),
        WITH_RESULTS(two_runs_at_once_and_a_reader_never_meet_a_mixed_set),
        WITH_RESULTS(a_run_waits_for_another),
        WITH_RESULTS(what_a_killed_run_left_with_files_of_somebody_else_stays_and_is_told),
    };
    return cmocka_run_group_tests_name("result set", tests, NULL, NULL);
}
