/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Files of a folder as bytes: what is no regular file, and how long one may be. */
#include "support/check.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "page/folder_file.h"

/* What reading a name of the folder answers, and whether it counts as not there. */
static sf_status read_name(const char *name, size_t most, bool *absent)
{
    text into = {0};
    sf_status status = folder_file_read(test_folder, name, most, &into, absent);
    text_clear(&into);
    return status;
}

static void check_refused(const char *name)
{
    bool absent = true;
    assert_int_equal(read_name(name, 512, &absent), SF_ERROR_MISSING);
    assert_false(absent);
}

static void a_file_may_be_as_long_as_is_said_and_no_longer(void **state)
{
    (void)state;
    bool absent = true;
    write_file(test_folder, "parts.csv", "ref,x_mm,y_mm\n"); /* 14 bytes */
    assert_int_equal(read_name("parts.csv", 14, &absent), SF_OK);
    assert_false(absent);
    assert_int_equal(read_name("parts.csv", 13, &absent), SF_ERROR_DATA);
}

static void only_a_name_that_is_not_there_counts_as_none(void **state)
{
    (void)state;
    char path[300];
    bool absent = false;
    assert_int_equal(read_name("parts.csv", 512, &absent), SF_OK);
    assert_true(absent);
    write_file(test_folder, "board.csv", "key,value\n");
    check_refused("board.csv/parts.csv"); /* ENOTDIR */
    snprintf(path, sizeof path, "%s/round", test_folder);
    assert_int_equal(symlink("round", path), 0);
    check_refused("round"); /* ELOOP */
}

static void neither_a_device_nor_a_folder_nor_a_pipe_is_read(void **state)
{
    (void)state;
    char path[300];
    snprintf(path, sizeof path, "%s/pipe", test_folder);
    assert_int_equal(mkfifo(path, 0600), 0);
    alarm(20); /* a pipe that is waited for ends the test */
    check_refused("pipe");
    alarm(0);
    snprintf(path, sizeof path, "%s/nothing", test_folder);
    assert_int_equal(symlink("/dev/null", path), 0);
    check_refused("nothing");
    check_refused(".");
}

int main(void)
{
#define WITH_FOLDER(test) cmocka_unit_test_setup_teardown(test, folder_set_up, folder_tear_down)
    const struct CMUnitTest tests[] = {
        WITH_FOLDER(a_file_may_be_as_long_as_is_said_and_no_longer),
        WITH_FOLDER(only_a_name_that_is_not_there_counts_as_none),
        WITH_FOLDER(neither_a_device_nor_a_folder_nor_a_pipe_is_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
