/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Every allocation behind a request fails once: the page answers as if nothing had been, or that
 * memory is short; the files are as they were or as they were to be, nothing hidden is left, and
 * nothing is leaked (seen by the sanitizer). What libgd and libexif take for themselves is theirs.
 */
#include "support/check.h"

#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <gd.h>
#include <gsl/gsl_errno.h>

#include "page/handle.h"
#include "page/view.h"

/* Linked with --wrap: the library's calls come here. */
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

/* Calls of this thread that succeed still; below 0: all. Other threads are the planner's. */
static _Thread_local long calls_left = -1;
static _Thread_local bool has_failed;

static bool fails(void)
{
    if (calls_left < 0)
        return false;
    bool now = calls_left == 0;
    calls_left--;
    has_failed = has_failed || now;
    return now;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails() ? NULL : __real_realloc(block, size);
}

static void *allocate_json(size_t size)
{
    return fails() ? NULL : malloc(size);
}

/* --- the job --- */

static char folder[256], results[256];
static session *opened;
static void *photo;
static int photo_size;

/* A small board, so that its grid is a small text. */
static const char *const files[][2] = {
    {"board.csv", "key,value,unit\nwidth,24,mm\nheight,18,mm\nambient,21.5,C\nrun_hours,43000,h\n"
                  "made,1999,\nsurveyed,2019-06-01,\n"},
    {"parts.csv", "# invented\nref;x_mm;y_mm;rated_c\nC7;12,5;11;105\nC9;17,25;4,5;85\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method\nr3,4,7,48.5,C,infrared\n"
                     "r5,19,11,33.5,C,infrared\n"},
    {"photo-marks.csv", "mark,column_px,row_px,x_mm,y_mm\n1,1,17,0,0\n2,24,18,24,0\n3,23,1,24,18\n"
                        "4,0,0,0,18\n5,11,8,12,9.5\n"},
};

static void empty_folder(void)
{
    DIR *listed = opendir(folder);
    assert_non_null(listed);
    for (struct dirent *entry; (entry = readdir(listed));)
        if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0)
            unlinkat(dirfd(listed), entry->d_name, 0);
    closedir(listed);
}

static void lay_job(void)
{
    char path[512];
    empty_folder();
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        write_file(folder, files[i][0], files[i][1]);
    snprintf(path, sizeof path, "%s/photo.png", folder);
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(photo, 1, (size_t)photo_size, file), photo_size);
    fclose(file);
}

/* All files of the job one after another, "-" for one that is not there. */
static char *snapshot(void)
{
    text made = {0};
    for (size_t file = 0; file < JOB_FILES; file++) {
        char path[512], bytes[8192];
        snprintf(path, sizeof path, "%s/%s", folder, job_files[file].name);
        FILE *in = fopen(path, "rb");
        size_t size = in ? fread(bytes, 1, sizeof bytes, in) : 0;
        text_addf(&made, "=== %s%s\n", job_files[file].name, in ? "" : " -");
        text_add_bytes(&made, bytes, size);
        if (in)
            fclose(in);
    }
    return text_take(&made);
}

static void assert_nothing_hidden(void)
{
    DIR *listed = opendir(folder);
    assert_non_null(listed);
    for (struct dirent *entry; (entry = readdir(listed));)
        if (entry->d_name[0] == '.' && strcmp(entry->d_name, ".") != 0 &&
            strcmp(entry->d_name, "..") != 0 && strcmp(entry->d_name, HISTORY_NAME) != 0)
            fail_msg("%s is left", entry->d_name);
    closedir(listed);
}

/* --- requests --- */

typedef struct request {
    const char *method, *path, *body; /* body NULL: the photo */
    const char *before[3];            /* edits, or the names "undo" and "redo", that go ahead */
    bool changes; /* files or history: the job is laid down anew for each failure */
    bool anew;    /* the field is not made beforehand */
    long stride;  /* of the calls that fail; 1 but where there are thousands */
} request;

static reply ask(const char *method, const char *path, const char *body, size_t size)
{
    has_failed = false;
    reply made = handle(opened, method, path, body, size);
    calls_left = -1;
    return made;
}

static void reply_clear(reply *discarded)
{
    if (discarded->owned)
        free((void *)(uintptr_t)discarded->bytes);
}

static void prepare(const request *of)
{
    session_free(opened);
    lay_job();
    opened = session_new(folder, results);
    assert_non_null(opened);
    for (size_t i = 0; i < 3 && of->before[i]; i++) {
        bool step = of->before[i][0] != '{';
        reply done = ask("POST", step ? of->before[i] : "edit", step ? "" : of->before[i],
                         step ? 0 : strlen(of->before[i]));
        assert_int_equal(done.status, 200);
        reply_clear(&done);
    }
    if (!of->anew && !of->changes)
        session_live(opened);
}

/* The answer as a text in which no stamp stands. */
static char *words_of(const reply *of)
{
    char *words = malloc(of->size + 1);
    assert_non_null(words);
    memcpy(words, of->bytes, of->size);
    words[of->size] = '\0';
    char *stamp = strstr(words, "\"stamp\":\"");
    if (stamp && strlen(stamp) > 25)
        memset(stamp + 9, '-', 16);
    return words;
}

static void assert_answer(const request *of, long call, const reply *got, unsigned status,
                          const char *expected, size_t size)
{
    char *words = words_of(got);
    bool short_memory = got->status >= 400 && strstr(words, sf_status_text(SF_ERROR_MEMORY));
    bool same = got->status == status && got->size == size && memcmp(words, expected, size) == 0;
    size_t at = 0;
    while (at < size && words[at] == expected[at] && words[at])
        at++;
    if (!same && !short_memory)
        fail_msg("%s, call %ld: status %u, from byte %zu on: %.300s", of->path, call, got->status,
                 at, words + at);
    free(words);
}

static void assert_files(const request *of, long call, const char *before, const char *after)
{
    char *now = snapshot();
    if (strcmp(now, before) != 0 && strcmp(now, after) != 0)
        fail_msg("%s, call %ld: the files are neither as before nor as after:\n%s", of->path, call,
                 now);
    free(now);
    assert_nothing_hidden();
}

static void fail_each(const request *of)
{
    const char *body = of->body ? of->body : photo;
    size_t size = of->body ? strlen(of->body) : (size_t)photo_size;
    prepare(of);
    char *before = snapshot();
    reply whole = ask(of->method, of->path, body, size);
    char *expected = words_of(&whole), *after = snapshot();
    long call = 0;
    for (bool failed = true; failed; call += of->stride) {
        if (of->changes || of->anew)
            prepare(of);
        calls_left = call;
        reply got = ask(of->method, of->path, body, size);
        failed = has_failed;
        assert_answer(of, call, &got, whole.status, expected, whole.size);
        assert_files(of, call, before, after);
        reply_clear(&got);
    }
    assert_true(call > of->stride);
    reply_clear(&whole);
    free(before);
    free(expected);
    free(after);
}

#define EDIT(ops) "{\"label\": \"edit\", \"ops\": [" ops "]}"
#define MOVE                                                                                       \
    "{\"file\": \"parts.csv\", \"op\": \"set\", \"row\": 7, \"expect\": {\"ref\": \"C9\"},"        \
    "\"set\": {\"x_mm\": \"18.75\", \"year\": \"1987\"}}"
#define ADD                                                                                        \
    "{\"file\": \"sources.csv\", \"op\": \"insert\", \"set\": {\"ref\": \"R=1\", \"x_mm\": "       \
    "\"3\"}}"
#define REMOVE                                                                                     \
    "{\"file\": \"readings.csv\", \"op\": \"delete\", \"row\": 0, \"expect\": {\"id\": \"r3\"}}"

static void what_is_only_looked_at(void **state)
{
    (void)state;
    static const request all[] = {
        {.method = "GET", .path = "job", .body = "", .stride = 1},
        {.method = "GET", .path = "live", .body = "", .stride = 1},
        {.method = "GET", .path = "stamp", .body = "", .stride = 1},
        {.method = "GET", .path = "photo", .body = "", .stride = 1},
        {.method = "GET", .path = "straight", .body = "", .stride = 1},
        {.method = "GET", .path = "circles", .body = "", .stride = 1},
        {.method = "POST",
         .path = "what-if",
         .body = "{\"air_k\": 3, \"hours\": 700}",
         .stride = 1},
        {.method = "POST",
         .path = "marks",
         .body = "{\"marks\": [{\"column_px\": 1, \"row_px\": 90, \"x_mm\": 0, \"y_mm\": 0},"
                 "{\"column_px\": 110, \"row_px\": 85, \"x_mm\": 24, \"y_mm\": 0}]}",
         .stride = 1},
        {.method = "POST", .path = "marks", .body = "{\"marks\": [7]}", .stride = 1},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        fail_each(&all[i]);
}

static void what_is_changed(void **state)
{
    (void)state;
    static const request all[] = {
        {.method = "POST", .path = "edit", .body = EDIT(MOVE), .changes = true, .stride = 1},
        {.method = "POST", .path = "edit", .body = EDIT(ADD), .changes = true, .stride = 1},
        {.method = "POST", .path = "edit", .body = EDIT(REMOVE), .changes = true, .stride = 1},
        {.method = "POST",
         .path = "edit",
         .body = EDIT(MOVE "," REMOVE "," REMOVE), /* a conflict: nothing is done */
         .changes = true,
         .stride = 1},
        {.method = "POST", .path = "edit", .body = "{", .changes = true, .stride = 1},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        fail_each(&all[i]);
}

static void what_is_taken_back_and_done_again(void **state)
{
    (void)state;
    static const request all[] = {
        {.method = "POST",
         .path = "undo",
         .body = "",
         .before = {EDIT(MOVE), EDIT(MOVE "," REMOVE)},
         .changes = true,
         .stride = 1},
        {.method = "POST",
         .path = "redo",
         .body = "",
         .before = {EDIT(MOVE), EDIT(ADD), "undo"},
         .changes = true,
         .stride = 1},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        fail_each(&all[i]);
}

static void a_photo_that_is_given(void **state)
{
    (void)state;
    static const request given = {.method = "POST", .path = "photo", .changes = true, .stride = 1};
    fail_each(&given);
}

/* The rooms behind have tests of their own: here every so many of their thousands of calls. */
static void field_and_results_made_anew(void **state)
{
    (void)state;
    static const request all[] = {
        {.method = "GET", .path = "live", .body = "", .anew = true, .stride = 89},
        {.method = "POST", .path = "export", .body = "", .anew = true, .stride = 997},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        fail_each(&all[i]);
}

/* Before the first reading it holds what is to be expected as well. */
static void a_plan_that_is_shown(void **state)
{
    (void)state;
    static const request looked = {.method = "GET", .path = "plan", .body = "", .stride = 1};
    const struct timespec pause = {.tv_nsec = 20000000};
    prepare(&looked);
    write_file(folder, "readings.csv", "id,x_mm,y_mm,value,unit,method\n");
    for (bool thinking = true; thinking;) {
        json_t *plan = view_plan(opened);
        thinking = json_is_true(json_object_get(plan, "thinking"));
        json_decref(plan);
        nanosleep(&pause, NULL);
    }
    reply whole = ask("GET", "plan", "", 0);
    char *expected = words_of(&whole);
    assert_int_equal(whole.status, 200);
    long call = 0;
    for (bool failed = true; failed; call++) {
        calls_left = call;
        reply got = ask("GET", "plan", "", 0);
        failed = has_failed;
        assert_answer(&looked, call, &got, 200, expected, whole.size);
        reply_clear(&got);
    }
    assert_true(call > 30);
    free(expected);
    reply_clear(&whole);
}

/* As the server refuses it. */
static void a_call_that_no_route_takes(void **state)
{
    (void)state;
    static const request none = {.before = {NULL}};
    static char long_body[64 * 1024 + 1];
    prepare(&none);
    reply got = ask("PUT", "job", "", 0);
    assert_int_equal(got.status, 405);
    got = ask("POST", "edit", long_body, sizeof long_body);
    assert_int_equal(got.status, 413);
    got = ask("POST", "edit", long_body, sizeof long_body - 1);
    assert_int_equal(got.status, 400); /* no JSON */
    reply_clear(&got);
}

/* The page is started while memory is short: it ends, or starts with all it had, or says that it
 * could not read the history and leaves it alone. */
static void a_session_that_is_opened(void **state)
{
    (void)state;
    static const request edited = {.before = {EDIT(MOVE), EDIT(ADD)}, .anew = true};
    prepare(&edited);
    long call = 0;
    for (bool failed = true; failed; call++) {
        session_free(opened);
        has_failed = false;
        calls_left = call;
        opened = session_new(folder, results);
        failed = has_failed;
        calls_left = -1;
        if (!opened)
            assert_true(failed);
        else if (opened->history.done != 2 && (opened->history.outlives || !opened->history.note))
            fail_msg("call %ld: %zu steps", call, opened->history.done);
    }
    assert_true(call > 20);
}

static int begin(void **state)
{
    (void)state;
    gdImagePtr drawn = gdImageCreateTrueColor(25, 19);
    assert_non_null(drawn);
    for (int i = 0; i < 25 * 19; i++)
        gdImageSetPixel(drawn, i % 25, i / 25, gdTrueColor(i * 37 % 251, i * 11 % 241, i % 239));
    photo = gdImagePngPtr(drawn, &photo_size);
    gdImageDestroy(drawn);
    /* in memory where the system has a folder for that: thousands of files are written */
    snprintf(folder, sizeof folder, "/dev/shm/spotfield-memory-XXXXXX");
    if (!mkdtemp(folder))
        snprintf(folder, sizeof folder, "%s", fresh_folder());
    snprintf(results, sizeof results, "%s", fresh_folder());
    return photo ? 0 : -1;
}

static int end(void **state)
{
    (void)state;
    session_free(opened);
    gdFree(photo);
    remove_folder(folder);
    remove_folder(results);
    return 0;
}

int main(void)
{
    gsl_set_error_handler_off();
    json_set_alloc_funcs(allocate_json, free);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_only_looked_at),
        cmocka_unit_test(what_is_changed),
        cmocka_unit_test(what_is_taken_back_and_done_again),
        cmocka_unit_test(a_photo_that_is_given),
        cmocka_unit_test(field_and_results_made_anew),
        cmocka_unit_test(a_plan_that_is_shown),
        cmocka_unit_test(a_call_that_no_route_takes),
        cmocka_unit_test(a_session_that_is_opened),
    };
    return cmocka_run_group_tests_name("page: memory", tests, begin, end);
}
