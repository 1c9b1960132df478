/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* All files or none while a call of the system, or an allocation, fails on the way. */
#include "support/blocks.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Each call of a kind fails in turn, until a run meets no failure any more. */
static void sweep(call which, int error)
{
    int nth = 1;
    for (;; nth++) {
        lay_earlier();
        assert_int_equal(chmod(path_of("report.html"), 0600), 0);
        fail_at(which, nth, error, false);
        sf_status status = write_blocks(folder);
        bool failed = has_failed(which);
        fail_none();
        if (!failed) {
            assert_int_equal(status, SF_OK);
            break;
        }
        assert_int_equal(status, SF_ERROR_WRITE);
        assert_int_equal(diagnostics.count, 1);
        assert_non_null(strstr(diagnostics.items[0].what, strerror(error)));
        sf_diagnostics_clear(&diagnostics);
        check_earlier();
    }
    assert_true(nth > 1);
    check_new();
}

static void any_write_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    sweep(CALL_WRITE, ENOSPC);
}

static void any_fsync_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    sweep(CALL_FSYNC, EIO);
}

static void any_fchmod_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    sweep(CALL_FCHMOD, EPERM);
}

static void any_rename_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    sweep(CALL_RENAME, EACCES);
}

/* Some of the space may run out only at close. The last close is of the folder, and too late. */
static void any_close_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    for (int nth = 1; nth <= BLOCKS; nth++) {
        lay_earlier();
        fail_at(CALL_CLOSE, nth, EDQUOT, false);
        assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
        assert_non_null(strstr(diagnostics.items[0].what, strerror(EDQUOT)));
        sf_diagnostics_clear(&diagnostics);
        check_earlier();
    }
}

static void a_close_that_is_interrupted_is_a_close(void **state)
{
    (void)state;
    fail_at(CALL_CLOSE, 2, EINTR, false);
    assert_int_equal(write_blocks(folder), SF_OK);
    check_new();
}

static void a_file_system_without_fsync_will_do(void **state)
{
    (void)state;
    fail_at(CALL_FSYNC, 1, EINVAL, true);
    assert_int_equal(write_blocks(folder), SF_OK);
    check_new();
}

static void a_file_system_without_hard_links_will_do(void **state)
{
    (void)state;
    lay_earlier();
    fail_at(CALL_LINK, 1, EPERM, true);
    assert_int_equal(write_blocks(folder), SF_OK);
    check_new();
}

static void without_hard_links_a_failed_rename_is_undone_too(void **state)
{
    (void)state;
    for (int nth = 1;; nth++) {
        lay_earlier();
        fail_at(CALL_LINK, 1, EPERM, true);
        fail_at(CALL_RENAME, nth, EACCES, false);
        sf_status status = write_blocks(folder);
        bool failed = has_failed(CALL_RENAME);
        fail_none();
        sf_diagnostics_clear(&diagnostics);
        if (!failed)
            break;
        assert_int_equal(status, SF_ERROR_WRITE);
        check_earlier();
    }
    check_new();
}

/* When even putting back fails, nothing is lost, and the diagnostic says where it is. */
static void what_cannot_be_put_back_is_kept_and_told(void **state)
{
    (void)state;
    lay_earlier();
    fail_at(CALL_RENAME, 3, EIO, true);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    fail_none();
    bool told = false;
    for (size_t i = 0; i < diagnostics.count; i++) {
        if (!strstr(diagnostics.items[i].what, "could not be put back"))
            continue;
        const char *name = strrchr(diagnostics.items[i].file, '/') + 1;
        told = told || holds(name, "earlier parts", 13);
    }
    assert_true(told);
}

static void a_failure_removes_the_folders_it_made(void **state)
{
    (void)state;
    char deep[300];
    snprintf(deep, sizeof deep, "%s/job/out", folder);
    fail_at(CALL_RENAME, 3, EIO, false);
    assert_int_equal(write_blocks(deep), SF_ERROR_WRITE);
    assert_int_equal(entries(folder), 0);
}

static void a_name_left_by_a_killed_run_is_no_hindrance(void **state)
{
    (void)state;
    char name[64];
    snprintf(name, sizeof name, ".zones.csv.%ld-0.new", (long)getpid());
    write_file(folder, name, "half");
    assert_int_equal(write_blocks(folder), SF_OK);
    assert_true(holds(name, "half", 4));
    assert_int_equal(unlink(path_of(name)), 0);
    check_new();
}

static void a_name_too_long_for_a_hidden_file_is_told(void **state)
{
    (void)state;
    char name[251];
    memset(name, 'n', sizeof name - 1);
    name[sizeof name - 1] = '\0';
    file_block block = {name, "content", 7};
    assert_int_equal(atomic_write(folder, &block, 1, &diagnostics), SF_ERROR_WRITE);
    assert_non_null(strstr(diagnostics.items[0].what, strerror(ENAMETOOLONG)));
    assert_int_equal(entries(folder), 0);
}

static void a_new_folder_without_memory_is_not_left(void **state)
{
    (void)state;
    char deep[300];
    snprintf(deep, sizeof deep, "%s/job/out", folder);
    for (int nth = 1;; nth++) {
        fail_at(CALL_ALLOCATE, nth, ENOMEM, false);
        sf_status status = write_blocks(deep);
        bool failed = has_failed(CALL_ALLOCATE);
        fail_none();
        sf_diagnostics_clear(&diagnostics);
        if (!failed)
            break;
        assert_int_equal(status, SF_ERROR_MEMORY);
        assert_int_equal(entries(folder), 0);
    }
    assert_int_equal(entries(deep), BLOCKS);
}

static void any_allocation_that_fails_leaves_the_earlier_result(void **state)
{
    (void)state;
    for (int nth = 1;; nth++) {
        lay_earlier();
        fail_at(CALL_ALLOCATE, nth, ENOMEM, false);
        sf_status status = write_blocks(folder);
        bool failed = has_failed(CALL_ALLOCATE);
        fail_none();
        sf_diagnostics_clear(&diagnostics);
        if (!failed)
            break;
        assert_int_equal(status, SF_ERROR_MEMORY);
        check_earlier();
    }
    check_new();
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CASE(any_write_that_fails_leaves_the_earlier_result),
        CASE(any_fsync_that_fails_leaves_the_earlier_result),
        CASE(any_fchmod_that_fails_leaves_the_earlier_result),
        CASE(any_rename_that_fails_leaves_the_earlier_result),
        CASE(any_close_that_fails_leaves_the_earlier_result),
        CASE(a_close_that_is_interrupted_is_a_close),
        CASE(a_file_system_without_fsync_will_do),
        CASE(a_file_system_without_hard_links_will_do),
        CASE(without_hard_links_a_failed_rename_is_undone_too),
        CASE(what_cannot_be_put_back_is_kept_and_told),
        CASE(a_failure_removes_the_folders_it_made),
        CASE(a_name_left_by_a_killed_run_is_no_hindrance),
        CASE(a_name_too_long_for_a_hidden_file_is_told),
        CASE(a_new_folder_without_memory_is_not_left),
        CASE(any_allocation_that_fails_leaves_the_earlier_result),
    };
    return cmocka_run_group_tests_name("atomic, failing calls", tests, NULL, NULL);
}
