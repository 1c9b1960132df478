/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Readings by contact in no-touch areas: refused unless their note says why. */
#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>

#include "fixture.h"
#include "page/view.h"

static const char areas[] = "ring,x_mm,y_mm,reason\n3,10,20,mains\n3,30,20,\n3,30,50,\n3,10,50,\n";
static const char two_readings[] =
    "id;x_mm;y_mm;value;unit;method;note\nr3;44,5;27;51,5;C;thermocouple-K;\n"
    "r4;17,5;31,5;61,5;C;infrared;gun\n";

static session *open_with(const char *keepout, const char *readings)
{
    session *of = fixture_open();
    if (keepout)
        write_file(fixture_folder, "keepout.csv", keepout);
    write_file(fixture_folder, "readings.csv", readings);
    return of;
}

/* The first diagnostic that an edit met with; the caller frees it. NULL where it was kept. */
static char *told_of(session *of, const char *words)
{
    sf_diagnostics diagnostics = {0};
    json_t *conflict = NULL, *made = json_loads(words, 0, NULL);
    assert_non_null(made);
    sf_status status = session_edit(of, made, &conflict, &diagnostics);
    char *told = diagnostics.count > 0 ? sf_diagnostic_text(&diagnostics.items[0]) : NULL;
    assert_int_equal(status, told ? SF_ERROR_DATA : SF_OK);
    assert_null(conflict);
    json_decref(made);
    sf_diagnostics_clear(&diagnostics);
    return told;
}

static const char *insert(const char *x_mm, const char *method, const char *note)
{
    static char words[512];
    snprintf(words, sizeof words,
             "{\"ops\": [{\"file\": \"readings.csv\", \"op\": \"insert\", \"set\": {\"id\": \"r5\","
             "\"x_mm\": \"%s\", \"y_mm\": \"37.5\", \"value\": \"57.5\", \"unit\": \"C\","
             "\"method\": \"%s\", \"note\": \"%s\"}}]}",
             x_mm, method, note);
    return words;
}

static const char *set_row(int row, const char *id, const char *cells)
{
    static char words[512];
    snprintf(words, sizeof words,
             "{\"ops\": [{\"file\": \"readings.csv\", \"op\": \"set\", \"row\": %d,"
             "\"expect\": {\"id\": \"%s\"}, \"set\": {%s}}]}",
             row, id, cells);
    return words;
}

static void assert_refused(session *of, const char *edit)
{
    char *told = told_of(of, edit);
    assert_non_null(told);
    assert_non_null(strstr(told, "is in no-touch area 3 (mains), where voltage can kill"));
    assert_non_null(strstr(told, "says why contact is safe there"));
    free(told);
}

static void assert_kept(session *of, const char *edit)
{
    char *told = told_of(of, edit);
    if (told)
        fail_msg("refused: %s", told);
}

static void contact_inside_an_area_is_refused_and_nothing_is_written(void **state)
{
    (void)state;
    session *of = open_with(areas, two_readings);
    assert_refused(of, insert("17.5", "thermocouple-K", ""));
    assert_refused(of, insert("17,5", "thermocouple-J", "near the reservoir"));
    assert_refused(of, insert("17.5", "", ""));
    assert_refused(of, insert("17.5", "thermocouple-T", "no-touch:  "));
    assert_file("readings.csv", two_readings);
    fixture_close(of);
}

static void infrared_a_reason_and_a_place_outside_are_kept(void **state)
{
    (void)state;
    session *of = open_with(areas, two_readings);
    assert_kept(of, insert("17.5", "Infrared", ""));
    assert_kept(of, insert("32.5", "thermocouple-K", ""));
    assert_kept(of, insert("17.5", "thermocouple-K", "No-touch: taped on dead, 0 V measured"));
    fixture_close(of);
}

static void a_reading_is_not_turned_into_contact_there_by_a_change(void **state)
{
    (void)state;
    session *of = open_with(areas, two_readings);
    assert_refused(of, set_row(0, "r3", "\"x_mm\": \"18.5\""));
    assert_refused(of, set_row(1, "r4", "\"method\": \"thermocouple-K\""));
    assert_kept(of,
                set_row(1, "r4", "\"method\": \"thermocouple-K\", \"note\": \"no-touch: dead\""));
    assert_refused(of, set_row(1, "r4", "\"note\": \"\""));
    fixture_close(of);
}

/* What somebody wrote in a spreadsheet is on record: the page does not stop for it. */
static void a_row_that_another_program_wrote_stands(void **state)
{
    (void)state;
    session *of = open_with(areas, "id,x_mm,y_mm,value,unit,method\nr3,17.5,31.5,51.5,C,"
                                   "thermocouple-K\nr4,44.5,27,61.5,C,thermocouple-K\n");
    assert_kept(of, set_row(1, "r4", "\"value\": \"62.5\""));
    assert_refused(of, set_row(0, "r3", "\"value\": \"52.5\""));
    fixture_close(of);
}

static void where_the_areas_cannot_be_read_every_place_is_in_one(void **state)
{
    (void)state;
    session *of = open_with("ring,x_mm,y_mm\n3,10,here\n", two_readings);
    char *told = told_of(of, insert("77.5", "thermocouple-K", ""));
    assert_non_null(told);
    assert_non_null(strstr(told, "cannot be judged while keepout.csv has errors"));
    free(told);
    assert_kept(of, insert("77.5", "infrared", ""));
    fixture_close(of);
}

static void without_areas_contact_is_kept(void **state)
{
    (void)state;
    session *of = open_with(NULL, two_readings);
    assert_kept(of, insert("17.5", "thermocouple-K", ""));
    fixture_close(of);
}

static bool is_told(session *of)
{
    json_t *job = view_job(of);
    assert_non_null(job);
    bool told = json_is_true(json_object_get(job, "keepout_told"));
    json_decref(job);
    return told;
}

static void that_there_are_none_is_a_file_with_its_header_alone(void **state)
{
    (void)state;
    session *of = open_with(NULL, two_readings);
    assert_false(is_told(of));
    assert_kept(of, "{\"ops\": [{\"file\": \"keepout.csv\", \"op\": \"begin\"}]}");
    assert_true(is_told(of));
    assert_file("keepout.csv", "ring,x_mm,y_mm,reason\n");
    fixture_close(of);
}

/* A file that is there stays as it is. */
static void to_begin_a_file_that_is_there_changes_nothing(void **state)
{
    (void)state;
    session *of = open_with(areas, two_readings);
    assert_kept(of, "{\"ops\": [{\"file\": \"keepout.csv\", \"op\": \"begin\"}]}");
    assert_file("keepout.csv", areas);
    fixture_close(of);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(contact_inside_an_area_is_refused_and_nothing_is_written),
        cmocka_unit_test(infrared_a_reason_and_a_place_outside_are_kept),
        cmocka_unit_test(a_reading_is_not_turned_into_contact_there_by_a_change),
        cmocka_unit_test(a_row_that_another_program_wrote_stands),
        cmocka_unit_test(where_the_areas_cannot_be_read_every_place_is_in_one),
        cmocka_unit_test(without_areas_contact_is_kept),
        cmocka_unit_test(that_there_are_none_is_a_file_with_its_header_alone),
        cmocka_unit_test(to_begin_a_file_that_is_there_changes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
