/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the rows of a sound job are read into, in any dialect and locale: sources, readings, parts,
 * periods and controls, with their units, defaults and what they are said to be. */
#include "job_folder.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "core/text.h"

static void a_source_is_read_and_its_power_doubted_by_a_fifth(void **state)
{
    (void)state;
    sf_job *job =
        read_sound("sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,power_w,power_u_w\n"
                                  "R7,35.5,42,8.5,12,-30,1.35,\n"
                                  "Q2,80,20,10.5,4,,0.85,0.11\n"
                                  "T1,61,70,22,18.5,,,\n");
    assert_int_equal(job->source_count, 3);
    assert_string_equal(job->sources[0].ref, "R7");
    assert_close(job->sources[0].angle_deg, -30, 0, 0);
    assert_close(job->sources[0].power_sd_w, 0.27, 1e-15, 0);
    assert_close(job->sources[1].angle_deg, 0, 0, 0);
    assert_close(job->sources[1].power_sd_w, 0.11, 0, 0);
    assert_true(isnan(job->sources[2].power_w) && isnan(job->sources[2].power_sd_w));
    assert_int_equal(job->sources[2].line, 4);
    assert_true(has_assumption(job, "angle_deg not given for 2 of 3 sources: taken as 0 degrees"));
    assert_true(
        has_assumption(job, "power_u_w not given for 1 of 3 sources: taken as 20 % of power_w"));
    sf_job_free(job);
}

/* 151.7 F is 66.5 C and 331.65 K is 58.5 C: NIST SP 811, conversion of temperatures. */
static void readings_in_fahrenheit_and_kelvin_become_celsius(void **state)
{
    (void)state;
    sf_job *job = read_sound("readings.csv", "id,x_mm,y_mm,value,unit,method,spot\n"
                                             "a,31,44,151.7,F,infrared,board\n"
                                             "b,32,45,331.65,K,thermocouple-T,board\n"
                                             "c,33,46,47.25,\u00B0C,thermocouple-J,source\n");
    assert_close(job->readings[0].value, 66.5, 1e-14, 0);
    assert_close(job->readings[1].value, 58.5, 1e-12, 0);
    assert_close(job->readings[2].value, 47.25, 0, 0);
    for (size_t i = 0; i < 3; i++)
        assert_int_equal(job->readings[i].unit, SF_UNIT_CELSIUS);
    assert_int_equal(job->readings[1].method, SF_METHOD_THERMOCOUPLE_T);
    assert_int_equal(job->readings[2].spot, SF_SPOT_SOURCE);
    sf_job_free(job);
}

static void a_reading_keeps_every_column(void **state)
{
    (void)state;
    sf_job *job = read_sound(
        "readings.csv",
        "note,minute,junction_c,ambient_c,reflected_c,emissivity,u_k,spot,method,unit,value,y_mm,"
        "x_mm,id\n"
        "near C4,12.5,22.75,24.25,23.75,,0.65,part,thermocouple-K,mV,1.482,44.5,31.25,a7\n"
        ",,,24.5,23.25,0.93,,,infrared,C,58.5,12.5,66.25,b8\n");
    const sf_reading *first = &job->readings[0], *second = &job->readings[1];
    assert_string_equal(first->id, "a7");
    assert_string_equal(first->note, "near C4");
    assert_int_equal(first->unit, SF_UNIT_MILLIVOLT);
    assert_close(first->value, 1.482, 0, 0);
    assert_close(first->minute, 12.5, 0, 0);
    assert_close(first->junction_c, 22.75, 0, 0);
    assert_close(first->ambient_c, 24.25, 0, 0);
    assert_close(first->sd_k, 0.65, 0, 0);
    assert_close(first->x_mm, 31.25, 0, 0);
    assert_int_equal(first->line, 2);
    assert_true(isnan(first->emissivity));
    assert_close(second->emissivity, 0.93, 0, 0);
    assert_close(second->reflected_c, 23.25, 0, 0);
    assert_true(isnan(second->minute) && isnan(second->sd_k) && isnan(second->junction_c));
    assert_int_equal(second->spot, SF_SPOT_BOARD);
    assert_true(has_assumption(job, "spot not given for 1 of 2 readings: taken as board"));
    sf_job_free(job);
}

static void rows_of_one_id_with_different_minutes_are_a_series(void **state)
{
    (void)state;
    sf_job *job = read_sound("readings.csv",
                             "id,x_mm,y_mm,value,unit,method,spot,minute\n"
                             "w,31,44,52.5,C,infrared,board,20\nv,60,20,41,C,infrared,board,\n"
                             "w,31,44,45,C,infrared,board,10\nw,31,44,30,C,infrared,board,0\n");
    assert_int_equal(job->reading_count, 4);
    assert_close(job->readings[2].minute, 10, 0, 0);
    sf_job_free(job);
}

static const char full_parts[] =
    "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,tolerance_pct,rated_v,rated_c,"
    "endurance_h,endurance_with_ripple,ripple_a,rated_ripple_a,working_v,duty,critical,year,hours,"
    "measured_uf,measured_esr_ohm,esr_limit_ohm,condition,note\n"
    "C7,33.25,47.5,12.5,21,470,-10/"
    "+50,35,105,3000,yes,0.42,0.98,27.5,0.85,yes,1991,12250,452.5,0.19,"
    "0.35,bulged,\"old; big\"\n"
    "C8,64.5,17.25,,,,,,,,,,,,,,,,,,,,\n";

static void a_part_keeps_every_column(void **state)
{
    (void)state;
    sf_job *job = read_sound("parts.csv", full_parts);
    const sf_part *part = &job->parts[0];
    assert_string_equal(part->ref, "C7");
    assert_close(part->x_mm, 33.25, 0, 0);
    assert_close(part->y_mm, 47.5, 0, 0);
    assert_close(part->diameter_mm, 12.5, 0, 0);
    assert_close(part->height_mm, 21, 0, 0);
    assert_close(part->capacitance_uf, 470, 0, 0);
    assert_close(part->tolerance_low_pct, 10, 0, 0);
    assert_close(part->tolerance_high_pct, 50, 0, 0);
    assert_close(part->rated_v, 35, 0, 0);
    assert_close(part->rated_c, 105, 0, 0);
    assert_close(part->endurance_h, 3000, 0, 0);
    assert_true(part->endurance_with_ripple);
    assert_false(job->parts[1].endurance_with_ripple);
    assert_close(part->ripple_a, 0.42, 0, 0);
    assert_close(part->rated_ripple_a, 0.98, 0, 0);
    assert_close(part->working_v, 27.5, 0, 0);
    assert_close(part->duty, 0.85, 0, 0);
    assert_true(part->critical);
    assert_int_equal(part->year, 1991);
    assert_close(part->hours, 12250, 0, 0);
    assert_close(part->measured_uf, 452.5, 0, 0);
    assert_close(part->measured_esr_ohm, 0.19, 0, 0);
    assert_close(part->esr_limit_ohm, 0.35, 0, 0);
    assert_int_equal(part->condition, SF_CONDITION_BULGED);
    assert_string_equal(part->note, "old; big");
    assert_int_equal(part->line, 2);
    sf_job_free(job);
}

static void a_blank_part_takes_the_documented_defaults(void **state)
{
    (void)state;
    sf_job *job = read_sound("parts.csv", full_parts);
    const sf_part *part = &job->parts[1];
    assert_close(part->diameter_mm, 8, 0, 0);
    assert_close(part->tolerance_low_pct, 20, 0, 0);
    assert_close(part->tolerance_high_pct, 20, 0, 0);
    assert_close(part->rated_c, 85, 0, 0);
    assert_close(part->duty, 1, 0, 0);
    assert_false(part->critical);
    assert_int_equal(part->year, 0);
    assert_int_equal(part->condition, SF_CONDITION_UNKNOWN);
    assert_string_equal(part->note, "");
    assert_true(isnan(part->height_mm) && isnan(part->capacitance_uf) && isnan(part->rated_v));
    assert_true(isnan(part->endurance_h) && isnan(part->ripple_a) && isnan(part->working_v));
    assert_true(isnan(part->rated_ripple_a) && isnan(part->hours) && isnan(part->measured_uf));
    assert_true(isnan(part->measured_esr_ohm) && isnan(part->esr_limit_ohm));
    sf_job_free(job);
}

static void defaults_taken_for_parts_are_summed_up_in_sentences(void **state)
{
    (void)state;
    sf_job *job = read_sound("parts.csv", full_parts);
    assert_true(has_assumption(job, "diameter_mm not given for 1 of 2 parts: taken as 8 mm"));
    assert_true(
        has_assumption(job, "tolerance_pct not given for 1 of 2 parts: taken as -20/+20 %"));
    assert_true(has_assumption(job, "rated_c not given for 1 of 2 parts: taken as 85 C"));
    assert_true(has_assumption(job, "duty not given for 1 of 2 parts: taken as 1"));
    assert_true(has_assumption(job, "critical not given for 1 of 2 parts: taken as no"));
    assert_true(has_assumption(job, "endurance_h not given for 1 of 2 parts: taken as 1,000 h at "
                                    "ratings below 105 C, 2,000 h at 105 C and more"));
    sf_job_free(job);
}

static void a_period_takes_the_boards_air_and_full_load(void **state)
{
    (void)state;
    sf_job *job = read_sound("history.csv", "hours,service_ambient,load,note\n"
                                            "20500,38.5,0.65,old rack\n9750,,,\n");
    assert_int_equal(job->period_count, 2);
    assert_close(job->periods[0].hours, 20500, 0, 0);
    assert_close(job->periods[0].service_ambient_c, 38.5, 0, 0);
    assert_close(job->periods[0].load, 0.65, 0, 0);
    assert_string_equal(job->periods[0].note, "old rack");
    assert_close(job->periods[1].service_ambient_c, 31.5, 0, 0);
    assert_close(job->periods[1].load, 1, 0, 0);
    assert_true(has_assumption(
        job, "service_ambient not given for 1 of 2 periods: taken as 31.5 C, the board's"));
    assert_true(has_assumption(job, "load not given for 1 of 2 periods: taken as 1"));
    sf_job_free(job);
}

static void controls_are_read(void **state)
{
    (void)state;
    sf_job *job =
        read_sound("controls.csv", "value_uf,measured_uf,note\n47,50.25,new\n220,233.5,\n");
    assert_int_equal(job->control_count, 2);
    assert_close(job->controls[0].measured_uf, 50.25, 0, 0);
    assert_close(job->controls[1].value_uf, 220, 0, 0);
    assert_string_equal(job->controls[1].note, "");
    sf_job_free(job);
}

static void check_dialect(const char *parts)
{
    sf_job *job = read_sound("parts.csv", parts);
    assert_int_equal(job->part_count, 2);
    assert_string_equal(job->parts[0].ref, "C1");
    assert_close(job->parts[0].x_mm, 33.5, 0, 0);
    assert_close(job->parts[1].capacitance_uf, 4.7, 0, 0);
    assert_close(job->parts[1].rated_v, 63, 0, 0);
    sf_job_free(job);
}

static void the_same_parts_are_read_in_every_dialect(void **state)
{
    (void)state;
    check_dialect("ref;x_mm;y_mm;capacitance_uf;rated_v\r\nC1;33,5;47,25;470;35\r\n"
                  "C2;91,5;17,75;4,7;63\r\n");
    check_dialect("sep=;\r\nref;x_mm;y_mm;capacitance_uf;rated_v\r\nC1;33,5;47,25;470;35\r\n"
                  "C2;91,5;17,75;4,7;63\r\n");
    check_dialect("\uFEFF\"ref\"\t\"x_mm\"\t\"y_mm\"\t\"capacitance_uf\"\t\"rated_v\"\n"
                  "\"C1\"\t33.5\t47.25\t470\t35\n\"C2\"\t91.5\t17.75\t4.7\t\"63\"\n");
    check_dialect("\uFEFFrated_v,ref,y_mm,capacitance_uf,x_mm\r\n"
                  "35,C1,47.25,470,33.5\r\n63,C2,17.75,4.7,91.5");
    check_dialect("Ref,X_mm,Y_mm,Capacitance_uF,Rated_V,,\n# comment\n\nC1,33.5,47.25,470,35,,\n"
                  ",,,,,,\nC2,91.5,17.75,4.7,63,,,,\n");
}

/* A locale with a decimal comma is compiled for the test, since few machines have one. */
static bool use_comma_locale(const char *folder)
{
    char command[1024];
    snprintf(command, sizeof command, "localedef -i de_DE -f UTF-8 %s/de_DE.UTF-8 >/dev/null 2>&1",
             folder);
    if (system(command) != 0)
        return false;
    setenv("LOCPATH", folder, 1);
    return setlocale(LC_ALL, "de_DE.UTF-8") != NULL;
}

static void the_callers_locale_changes_nothing_and_is_left_alone(void **state)
{
    (void)state;
    char folder[256];
    snprintf(folder, sizeof folder, "%s", fresh_folder());
    bool has_locale = use_comma_locale(folder);
    if (has_locale) {
        assert_string_equal(localeconv()->decimal_point, ",");
        check_dialect(sound_parts);
        sf_job *job = read_sound("board.csv", sound_board);
        assert_true(has_assumption(job, "thickness not given: taken as 1.6 mm"));
        sf_job_free(job);
        assert_string_equal(localeconv()->decimal_point, ",");
        setlocale(LC_ALL, "C");
    }
    remove_folder(folder);
    if (!has_locale)
        skip();
}

static void a_hundred_thousand_parts_are_read(void **state)
{
    (void)state;
    enum { COUNT = 100000 };
    text rows = {0};
    text_add(&rows, "ref,x_mm,y_mm\n");
    for (int i = 0; i < COUNT; i++)
        text_addf(&rows, "C%d,%.2f,%.2f\n", i, 0.001 * i, 90 - 0.0005 * i);
    char *content = text_take(&rows);
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    const char *folder = fresh_folder();
    write_sound_job(folder);
    write_file(folder, "parts.csv", content);
    assert_int_equal(sf_job_read(folder, &job, &diagnostics), SF_OK);
    assert_int_equal(diagnostics.count, 21); /* so crowded, they are asked about */
    sf_diagnostics_clear(&diagnostics);
    remove_folder(folder);
    assert_int_equal(job->part_count, COUNT);
    assert_string_equal(job->parts[COUNT - 1].ref, "C99999");
    assert_int_equal(job->parts[COUNT - 1].line, COUNT + 1);
    assert_close(job->parts[86420].x_mm, 86.42, 0, 0);
    sf_job_free(job);
    free(content);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_source_is_read_and_its_power_doubted_by_a_fifth),
        cmocka_unit_test(readings_in_fahrenheit_and_kelvin_become_celsius),
        cmocka_unit_test(a_reading_keeps_every_column),
        cmocka_unit_test(rows_of_one_id_with_different_minutes_are_a_series),
        cmocka_unit_test(a_part_keeps_every_column),
        cmocka_unit_test(a_blank_part_takes_the_documented_defaults),
        cmocka_unit_test(defaults_taken_for_parts_are_summed_up_in_sentences),
        cmocka_unit_test(a_period_takes_the_boards_air_and_full_load),
        cmocka_unit_test(controls_are_read),
        cmocka_unit_test(the_same_parts_are_read_in_every_dialect),
        cmocka_unit_test(the_callers_locale_changes_nothing_and_is_left_alone),
        cmocka_unit_test(a_hundred_thousand_parts_are_read),
    };
    return cmocka_run_group_tests_name("job rows", tests, NULL, NULL);
}
