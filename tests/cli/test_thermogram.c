/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The program on a job with a thermogram: what check understands, what map passes on, and input
 * that no camera ever wrote. */
#include "support/check.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <jansson.h>

#include "core/text.h"
#include "job_folder.h"
#include "program.h"

enum { COLUMNS = 64, ROWS = 48 };

/* A picture from straight above, 1.6 mm a pixel, the board's lower left corner at (1.5, 45.5). */
#define PIXEL_MM 1.6

static double board_x_mm(size_t column)
{
    return PIXEL_MM * ((double)column - 1.5);
}

static double board_y_mm(size_t row)
{
    return PIXEL_MM * (45.5 - (double)row);
}

/* Some 40 K of rise about the source of job_folder.c, fading within 20 mm. */
static double temp_c(double x_mm, double y_mm)
{
    return 25.2 + 38 * exp(-hypot(x_mm - 31.5, y_mm - 47) / 20);
}

static const char marks[] = "col,row,x_mm,y_mm\n"
                            "3.375,43.625,3,3\n"
                            "60.25,43.625,94,3\n"
                            "60.25,2.375,94,69\n"
                            "3.375,2.375,3,69\n"
                            "32.75,24.25,50,34\n";

static void lay_thermogram(const char *folder)
{
    text content = {0};
    for (size_t row = 0; row < ROWS; row++)
        for (size_t i = 0; i < COLUMNS; i++)
            text_addf(&content, "%.2f%c", temp_c(board_x_mm(i), board_y_mm(row)),
                      i + 1 < COLUMNS ? ',' : '\n');
    write_file(folder, "thermogram.csv", content.bytes);
    write_file(folder, "marks.csv", marks);
    text_clear(&content);
}

static void lay_pictured_job(char folder[PATH_BYTES])
{
    lay_job(folder);
    lay_thermogram(folder);
}

static void check_says_what_it_made_of_the_picture(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_string_equal(said.message, "");
    assert_has(said.out, "Thermogram    64 x 48 pixels, each 1.60 mm wide on the board; 100 % of "
                         "the board in view\n");
    assert_has(said.out, " show bare board, ");
    assert_has(said.out, " left out: ");
    assert_has(
        said.out,
        "Marks         5, each off by 0.0, 0.0, 0.0, 0.0, 0.0 mm; root mean square 0.0 mm\n");
    assert_has(said.out, "the thermogram is taken as already corrected for emissivity");
    ended_free(&said);
    remove_folder(folder);
}

static void four_marks_are_said_to_prove_nothing(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    change_file(folder, "marks.csv", "32.75,24.25,50,34\n", "");
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "Marks         4, which always fit: a fifth would show a slip\n");
    ended_free(&said);
    remove_folder(folder);
}

static void without_a_picture_none_is_spoken_of(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_job(folder);
    ended checked = run("check", folder), mapped = run("map", folder);
    assert_has_not(checked.out, "hermogram");
    assert_has_not(checked.out, "camera");
    assert_has_not(mapped.out, "hermogram");
    ended_free(&checked);
    ended_free(&mapped);
    remove_folder(folder);
}

static void map_tells_of_it_in_words_and_on_the_page(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    ended said = run("map", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, " pixels on bare board, marks within 0.0 mm.\n");
    char *page = bytes_of(in_folder(folder, "out/report.html"), NULL);
    assert_has(page, "thermogram of 64 \u00D7 48 pixels");
    assert_has(page, "5 marks tie it to the board");
    free(page);
    ended_free(&said);
    remove_folder(folder);
}

static json_t *told_as_json(const char *command, const char *folder)
{
    json_error_t error;
    ended said = run(command, "--json", folder);
    assert_int_equal(said.status, 0);
    json_t *found = json_loads(said.out, JSON_REJECT_DUPLICATES, &error);
    assert_non_null(found);
    ended_free(&said);
    return found;
}

static double number_of(const json_t *object, const char *name)
{
    const json_t *found = json_object_get(object, name);
    if (!json_is_number(found))
        fail_msg("no number %s", name);
    return json_number_value(found);
}

static void the_json_has_the_numbers_of_it(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    json_t *found = told_as_json("map", folder);
    const json_t *told = json_object_get(found, "thermogram");
    assert_close(number_of(told, "columns"), 64, 0, 0);
    assert_close(number_of(told, "rows"), 48, 0, 0);
    assert_close(number_of(told, "pixel_mm"), 1.6, 1e-9, 0);
    assert_close(number_of(told, "covered"), 1, 0, 0);
    assert_close(number_of(told, "marks"), 5, 0, 0);
    assert_close(number_of(told, "marks_rms_mm"), 0, 0, 1e-9);
    assert_close(number_of(told, "pixels") + number_of(told, "blank") +
                     number_of(told, "off_board") + number_of(told, "on_bodies"),
                 COLUMNS * ROWS, 0, 0);
    /* 2 K as the half width of a rectangle: 1.155 K, and a little of what the board mirrors */
    assert_close(number_of(told, "offset_sd_k"), 1.16, 0, 0.03);
    assert_true(json_is_false(json_object_get(told, "from_below")));
    json_decref(found);
    remove_folder(folder);
    lay_job(folder);
    found = told_as_json("map", folder);
    assert_true(json_is_null(json_object_get(found, "thermogram")));
    json_decref(found);
    remove_folder(folder);
}

static void without_readings_check_says_so(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    assert_int_equal(unlink(in_folder(folder, "readings.csv")), 0);
    ended said = run("check", folder);
    assert_int_equal(said.status, 0);
    assert_has(said.out, "\nReadings      none\nThermogram    64 x 48 pixels");
    ended_free(&said);
    remove_folder(folder);
}

/* The hottest board in the picture is beside the source at (31.5, 47), and so it is on the map. */
static void a_thermogram_alone_makes_a_map(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    assert_int_equal(unlink(in_folder(folder, "readings.csv")), 0);
    json_t *found = told_as_json("map", folder);
    const json_t *zone = json_array_get(json_object_get(found, "zones"), 0);
    assert_close(number_of(zone, "peak_x_mm"), 31.5, 0, 11);
    assert_close(number_of(zone, "peak_y_mm"), 47, 0, 6);
    const json_t *parts = json_object_get(found, "parts");
    /* Two standard uncertainties of the camera are 2.3 K, and of 20 K of rise 1.3 K more by the
     * emissivity; near the source the slope is 1 K a millimetre besides. C14, then C12. */
    assert_close(number_of(json_array_get(parts, 3), "temp_c"), 31.5 + temp_c(83.5, 52.5) - 23.6, 0,
                 2.5);
    assert_close(number_of(json_array_get(parts, 1), "temp_c"), 31.5 + temp_c(44, 40.5) - 23.6, 0,
                 4.5);
    json_decref(found);
    remove_folder(folder);
}

/* What the camera saw leaves less to be told by readings. */
static void a_plan_starts_from_the_picture(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    assert_int_equal(unlink(in_folder(folder, "readings.csv")), 0);
    json_t *pictured = told_as_json("plan", folder);
    assert_int_equal(unlink(in_folder(folder, "thermogram.csv")), 0);
    assert_int_equal(unlink(in_folder(folder, "marks.csv")), 0);
    json_t *unseen = told_as_json("plan", folder);
    assert_true(number_of(pictured, "loss") < number_of(unseen, "loss"));
    json_decref(pictured);
    json_decref(unseen);
    remove_folder(folder);
}

/* --- hostile input --- */

typedef struct hostile {
    const char *file, *content;
} hostile;

static const hostile files[] = {
    {"thermogram.csv", ""},
    {"thermogram.csv", "\n \n\t\n"},
    {"thermogram.csv", "no,picture\nat,all\n"},
    {"thermogram.csv", "1,2,3\n4,5\n6,7,8,9\n"},
    {"thermogram.csv", "1\n2\n3\n"},
    {"thermogram.csv", "nan,inf\n1e300,-1e300\n"},
    {"thermogram.csv", "\"1,2\n3,4\n"},
    {"thermogram.csv", "1,\"2\"3\n4,5\n"},
    {"thermogram.csv", "%n%s,\033[2J\n1,2\n"},
    {"thermogram.csv", "\x89PNG\r\n\x1A\n"},
    {"thermogram.csv", "1,2\xC0\xAF\n3,4\n"},
    {"thermogram.csv", "sep=|\n1|2\n"},
    {"marks.csv", ""},
    {"marks.csv", "col,row,x_mm,y_mm\n"},
    {"marks.csv", "col,row,x_mm,y_mm\n3,43,3,3\n60,43,94,3\n60,2,94,69\n"},
    {"marks.csv", "col,row,x_mm,y_mm\n3,3,3,3\n6,6,6,6\n12,12,12,12\n24,24,24,24\n"},
    {"marks.csv", "col,row,x_mm,y_mm\n3,3,3,3\n3,3,3,3\n3,3,3,3\n3,3,3,3\n"},
    {"marks.csv", "col,row,x_mm,y_mm\n3,43,1e300,3\n60,43,94,nan\n60,2,94,69\n3,2,3,69\n"},
    {"marks.csv", "col,row,x_mm,y_mm\n3,43,3,3\n60,43,94,3\n6000,2,94,69\n3,2,3,69\n"},
    /* two marks taken for each other */
    {"marks.csv", "col,row,x_mm,y_mm\n3,43,3,3\n60,43,94,3\n60,2,3,69\n3,2,94,69\n"},
    {"board.csv", "key,value,unit\nwidth,90,mm\nheight,70,mm\nambient,20,C\ncamera_unit,R,\n"},
    {"board.csv", "key,value,unit\nwidth,90,mm\nheight,70,mm\nambient,20,C\n"
                  "camera_emissivity,0,\n"},
};

static void what_is_no_picture_is_refused_with_the_name_of_the_file(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        char folder[PATH_BYTES];
        lay_pictured_job(folder);
        write_file(folder, files[i].file, files[i].content);
        ended check = run("check", folder), map = run("map", folder);
        if (check.status != 65 || map.status != 65)
            fail_msg("file %zu, %s, ends with %d and %d:\n%s", i, files[i].file, check.status,
                     map.status, map.message);
        assert_has(map.message, files[i].file);
        assert_has_not(map.message, "\033");
        assert_has(check.message, files[i].file);
        assert_int_not_equal(access(in_folder(folder, "out"), F_OK), 0);
        ended_free(&check);
        ended_free(&map);
        remove_folder(folder);
    }
}

/* A job that is refused has no part that a reading could be told of. */
static void a_refused_picture_leaves_no_reading_to_be_told(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method,spot,part\nr1,19,55,61,C,infrared,part,C11\n");
    write_file(folder, "marks.csv",
               "col,row,x_mm,y_mm\n3,3,3,3\n6,6,6,6\n12,12,12,12\n24,24,24,24\n");
    ended check = run("check", "--json", folder);
    assert_int_equal(check.status, 65);
    assert_has(check.out, "\"readings\": []");
    ended_free(&check);
    remove_folder(folder);
}

static void a_picture_of_blank_cells_alone_is_refused(void **state)
{
    (void)state;
    char folder[PATH_BYTES], blanks[ROWS * COLUMNS + 1];
    lay_pictured_job(folder);
    for (size_t i = 0; i < ROWS * COLUMNS; i++)
        blanks[i] = (i + 1) % COLUMNS ? ',' : '\n';
    blanks[ROWS * COLUMNS] = '\0';
    write_file(folder, "thermogram.csv", blanks);
    assert_ends(65, "thermogram.csv: no pixel shows bare board", "map", folder);
    remove_folder(folder);
}

static void faults_of_readings_and_of_the_picture_come_in_one_run(void **state)
{
    (void)state;
    char folder[PATH_BYTES];
    lay_pictured_job(folder);
    write_file(folder, "marks.csv",
               "col,row,x_mm,y_mm\n3,3,3,3\n6,6,6,6\n12,12,12,12\n24,24,24,24\n");
    write_file(folder, "readings.csv",
               "id,x_mm,y_mm,value,unit,method,emissivity,reflected_c\n"
               "q,31,37,-30,C,infrared,0.1,90\n");
    ended said = run("check", folder);
    assert_int_equal(said.status, 65);
    assert_has(said.message, "readings.csv:2: ");
    assert_has(said.message, "marks.csv: the 4 marks do not fix the perspective");
    ended_free(&said);
    remove_folder(folder);
}

int main(int count, char **words)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_says_what_it_made_of_the_picture),
        cmocka_unit_test(four_marks_are_said_to_prove_nothing),
        cmocka_unit_test(without_a_picture_none_is_spoken_of),
        cmocka_unit_test(map_tells_of_it_in_words_and_on_the_page),
        cmocka_unit_test(the_json_has_the_numbers_of_it),
        cmocka_unit_test(without_readings_check_says_so),
        cmocka_unit_test(a_thermogram_alone_makes_a_map),
        cmocka_unit_test(a_plan_starts_from_the_picture),
        cmocka_unit_test(what_is_no_picture_is_refused_with_the_name_of_the_file),
        cmocka_unit_test(a_refused_picture_leaves_no_reading_to_be_told),
        cmocka_unit_test(a_picture_of_blank_cells_alone_is_refused),
        cmocka_unit_test(faults_of_readings_and_of_the_picture_come_in_one_run),
    };
    if (count != 2)
        return 64;
    program_path = words[1];
    return cmocka_run_group_tests_name("thermogram", tests, NULL, NULL);
}
