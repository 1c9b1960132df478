/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* All files or none: where they go, what they replace, and what they must not. */
#include "support/blocks.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

static void all_files_appear_with_their_content(void **state)
{
    (void)state;
    assert_int_equal(write_blocks(folder), SF_OK);
    check_new();
    assert_int_equal(diagnostics.count, 0);
}

static void an_earlier_result_is_replaced(void **state)
{
    (void)state;
    lay_earlier();
    write_file(folder, "notes.txt", "not ours");
    assert_int_equal(write_blocks(folder), SF_OK);
    assert_true(holds("notes.txt", "not ours", 8));
    assert_int_equal(unlink(path_of("notes.txt")), 0);
    check_new();
}

static void the_folder_and_all_above_it_are_made(void **state)
{
    (void)state;
    char deep[300];
    snprintf(deep, sizeof deep, "%s/a/desk/job/out//", folder);
    assert_int_equal(write_blocks(deep), SF_OK);
    assert_true(holds("a/desk/job/out/zones.csv", blocks[1].bytes, blocks[1].count));
}

static void a_folder_that_cannot_be_made_is_told(void **state)
{
    (void)state;
    char deep[300];
    snprintf(deep, sizeof deep, "%s/two/file/missing", folder);
    char above[300];
    snprintf(above, sizeof above, "%s/two", folder);
    assert_int_equal(mkdir(above, 0777), 0);
    write_file(above, "file", "in the way");
    assert_int_equal(write_blocks(deep), SF_ERROR_WRITE);
    assert_int_equal(entries(above), 1);
    assert_int_equal(diagnostics.count, 1);
    assert_string_equal(diagnostics.items[0].file, deep);
    assert_non_null(strstr(diagnostics.items[0].what, strerror(ENOTDIR)));
    assert_int_equal(write_blocks("/dev/null/out"), SF_ERROR_WRITE);
    assert_int_equal(write_blocks("/dev/null"), SF_ERROR_WRITE);
    assert_string_equal(diagnostics.items[2].file, "/dev/null");
    assert_non_null(strstr(diagnostics.items[2].what, "the folder cannot be made"));
    assert_int_equal(write_blocks(""), SF_ERROR_WRITE);
    assert_int_equal(diagnostics.count, 4);
}

static void a_new_file_has_the_mode_the_umask_leaves(void **state)
{
    (void)state;
    struct stat found;
    mode_t before = umask(027);
    assert_int_equal(write_blocks(folder), SF_OK);
    umask(before);
    assert_int_equal(stat(path_of("zones.csv"), &found), 0);
    assert_int_equal(found.st_mode & 07777, 0640);
}

static void an_existing_file_keeps_its_mode(void **state)
{
    (void)state;
    struct stat found;
    lay_earlier();
    assert_int_equal(chmod(path_of("parts.csv"), 0604), 0);
    assert_int_equal(write_blocks(folder), SF_OK);
    assert_int_equal(stat(path_of("parts.csv"), &found), 0);
    assert_int_equal(found.st_mode & 07777, 0604);
    check_new();
}

static void a_link_is_followed_to_the_file_it_leads_to(void **state)
{
    (void)state;
    struct stat found;
    assert_int_equal(mkdir(path_of("elsewhere"), 0777), 0);
    write_file(folder, "elsewhere/kept.csv", "earlier");
    assert_int_equal(symlink("elsewhere/kept.csv", path_of("parts.csv")), 0);
    assert_int_equal(write_blocks(folder), SF_OK);
    assert_int_equal(lstat(path_of("parts.csv"), &found), 0);
    assert_true(S_ISLNK(found.st_mode));
    assert_true(holds("elsewhere/kept.csv", blocks[0].bytes, blocks[0].count));
    char other[300];
    snprintf(other, sizeof other, "%s/elsewhere", folder);
    assert_int_equal(entries(other), 1);
}

static void a_link_that_leads_nowhere_is_replaced_by_a_usual_file(void **state)
{
    (void)state;
    struct stat found;
    assert_int_equal(symlink("gone/for.ever", path_of("zones.csv")), 0);
    assert_int_equal(write_blocks(folder), SF_OK);
    assert_int_equal(lstat(path_of("zones.csv"), &found), 0);
    assert_true(S_ISREG(found.st_mode));
    assert_int_equal(found.st_mode & 0111, 0); /* not the link's own mode */
    check_new();
}

static void a_link_into_itself_is_refused(void **state)
{
    (void)state;
    lay_earlier();
    assert_int_equal(symlink("zones.csv", path_of("zones.csv")), 0);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    assert_non_null(strstr(diagnostics.items[0].what, strerror(ELOOP)));
    assert_int_equal(unlink(path_of("zones.csv")), 0);
    check_earlier();
}

static void what_is_no_file_is_not_replaced(void **state)
{
    (void)state;
    lay_earlier();
    assert_int_equal(mkdir(path_of("zones.csv"), 0777), 0);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    assert_string_equal(diagnostics.items[0].file, path_of("zones.csv"));
    assert_int_equal(rmdir(path_of("zones.csv")), 0);
    check_earlier();
    assert_int_equal(mkfifo(path_of("zones.csv"), 0666), 0);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    assert_int_equal(unlink(path_of("zones.csv")), 0);
    check_earlier();
}

static void short_and_interrupted_writes_go_on(void **state)
{
    (void)state;
    write_in_pieces(1013);
    assert_int_equal(write_blocks(folder), SF_OK);
    write_in_pieces(0);
    check_new();
}

/* The kernel's own refusal, in the midst of a file. */
static void a_file_over_the_size_limit_leaves_the_earlier_result(void **state)
{
    (void)state;
    struct rlimit before, tight;
    lay_earlier();
    signal(SIGXFSZ, SIG_IGN);
    assert_int_equal(getrlimit(RLIMIT_FSIZE, &before), 0);
    tight = before;
    tight.rlim_cur = 4096;
    assert_int_equal(setrlimit(RLIMIT_FSIZE, &tight), 0);
    sf_status status = write_blocks(folder);
    setrlimit(RLIMIT_FSIZE, &before);
    assert_int_equal(status, SF_ERROR_WRITE);
    assert_string_equal(diagnostics.items[0].file, path_of("parts.csv"));
    assert_non_null(strstr(diagnostics.items[0].what, strerror(EFBIG)));
    check_earlier();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(all_files_appear_with_their_content),
        CASE(an_earlier_result_is_replaced),
        CASE(the_folder_and_all_above_it_are_made),
        CASE(a_folder_that_cannot_be_made_is_told),
        CASE(a_new_file_has_the_mode_the_umask_leaves),
        CASE(an_existing_file_keeps_its_mode),
        CASE(a_link_is_followed_to_the_file_it_leads_to),
        CASE(a_link_that_leads_nowhere_is_replaced_by_a_usual_file),
        CASE(a_link_into_itself_is_refused),
        CASE(what_is_no_file_is_not_replaced),
        CASE(short_and_interrupted_writes_go_on),
        CASE(a_file_over_the_size_limit_leaves_the_earlier_result),
    };
    return cmocka_run_group_tests_name("report atomic", tests, NULL, NULL);
}
