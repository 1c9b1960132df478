/* All files or none, whatever fails on the way. */
#include "support/check.h"

#include <dirent.h>
#include <errno.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

#include "report/atomic.h"
#include "report/failing.h"

/* The files of a result: three, the first of which is longer than a block of the disk. */
enum { BLOCKS = 3, LONG_BYTES = 9437 };

static char long_bytes[LONG_BYTES];
static const file_block blocks[BLOCKS] = {{"parts.csv", long_bytes, sizeof long_bytes},
                                          {"zones.csv", "hot,61.7\n", 9},
                                          {"report.html", "<p>\0</p>", 8}};

static char folder[256];
static sf_complaints complaints;

static int set_up(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof long_bytes; i++)
        long_bytes[i] = (char)(i * 31 + i / 97);
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    fail_none();
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    fail_none();
    sf_complaints_clear(&complaints);
    remove_folder(folder);
    return 0;
}

static const char *path_of(const char *name)
{
    static char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static bool holds(const char *name, const void *bytes, size_t count)
{
    char read[LONG_BYTES + 1];
    FILE *file = fopen(path_of(name), "rb");
    if (!file)
        return false;
    size_t found = fread(read, 1, sizeof read, file);
    fclose(file);
    return found == count && memcmp(read, bytes, count) == 0;
}

static size_t entries(const char *of)
{
    size_t count = 0;
    DIR *listing = opendir(of);
    assert_non_null(listing);
    for (struct dirent *entry; (entry = readdir(listing));)
        count += strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0;
    closedir(listing);
    return count;
}

static void check_new(void)
{
    for (size_t i = 0; i < BLOCKS; i++)
        assert_true(holds(blocks[i].name, blocks[i].bytes, blocks[i].count));
    assert_int_equal(entries(folder), BLOCKS);
}

/* An earlier result, in which one of the files is missing. */
static void lay_earlier(void)
{
    write_file(folder, "parts.csv", "earlier parts");
    write_file(folder, "report.html", "earlier report");
}

static void check_earlier(void)
{
    assert_true(holds("parts.csv", "earlier parts", 13));
    assert_true(holds("report.html", "earlier report", 14));
    assert_int_equal(entries(folder), 2);
}

static sf_status write_blocks(const char *into)
{
    return atomic_write(into, blocks, BLOCKS, &complaints);
}

static void all_files_appear_with_their_content(void **state)
{
    (void)state;
    assert_int_equal(write_blocks(folder), SF_OK);
    check_new();
    assert_int_equal(complaints.count, 0);
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
    assert_int_equal(complaints.count, 1);
    assert_string_equal(complaints.items[0].file, deep);
    assert_non_null(strstr(complaints.items[0].what, strerror(ENOTDIR)));
    assert_int_equal(write_blocks("/dev/null/out"), SF_ERROR_WRITE);
    assert_int_equal(write_blocks("/dev/null"), SF_ERROR_WRITE);
    assert_int_equal(write_blocks(""), SF_ERROR_WRITE);
    assert_int_equal(complaints.count, 4);
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
    assert_true(holds("elsewhere/kept.csv", long_bytes, sizeof long_bytes));
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
    assert_non_null(strstr(complaints.items[0].what, strerror(ELOOP)));
    assert_int_equal(unlink(path_of("zones.csv")), 0);
    check_earlier();
}

static void what_is_no_file_is_not_replaced(void **state)
{
    (void)state;
    lay_earlier();
    assert_int_equal(mkdir(path_of("zones.csv"), 0777), 0);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    assert_string_equal(complaints.items[0].file, path_of("zones.csv"));
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
    assert_string_equal(complaints.items[0].file, path_of("parts.csv"));
    assert_non_null(strstr(complaints.items[0].what, strerror(EFBIG)));
    check_earlier();
}

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
        assert_int_equal(complaints.count, 1);
        assert_non_null(strstr(complaints.items[0].what, strerror(error)));
        sf_complaints_clear(&complaints);
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
        assert_non_null(strstr(complaints.items[0].what, strerror(EDQUOT)));
        sf_complaints_clear(&complaints);
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
        sf_complaints_clear(&complaints);
        if (!failed)
            break;
        assert_int_equal(status, SF_ERROR_WRITE);
        check_earlier();
    }
    check_new();
}

/* When even putting back fails, nothing is lost, and the complaint says where it is. */
static void what_cannot_be_put_back_is_kept_and_told(void **state)
{
    (void)state;
    lay_earlier();
    fail_at(CALL_RENAME, 3, EIO, true);
    assert_int_equal(write_blocks(folder), SF_ERROR_WRITE);
    fail_none();
    bool told = false;
    for (size_t i = 0; i < complaints.count; i++) {
        if (!strstr(complaints.items[i].what, "could not be put back"))
            continue;
        const char *name = strrchr(complaints.items[i].file, '/') + 1;
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
    assert_int_equal(atomic_write(folder, &block, 1, &complaints), SF_ERROR_WRITE);
    assert_non_null(strstr(complaints.items[0].what, strerror(ENAMETOOLONG)));
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
        sf_complaints_clear(&complaints);
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
        sf_complaints_clear(&complaints);
        if (!failed)
            break;
        assert_int_equal(status, SF_ERROR_MEMORY);
        check_earlier();
    }
    check_new();
}

#define CASE(name) cmocka_unit_test_setup_teardown(name, set_up, tear_down)

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
    return cmocka_run_group_tests_name("report atomic", tests, NULL, NULL);
}
