/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The CSV files: columns, numbers, blanks. Read back by libcsv. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/text.h"
#include "output/sample.h"
#include "output/table.h"
#include "output/tables.h"

/* The file as the outcome makes it, with its header checked. */
static void make(void (*fill)(const sf_outcome *, text *), const sf_outcome *outcome,
                 const char *header, table *read)
{
    text made = {0};
    fill(outcome, &made);
    assert_false(made.failed);
    assert_int_equal(strncmp(made.bytes, header, strlen(header)), 0);
    assert_int_equal(made.bytes[strlen(header)], '\n');
    assert_int_equal(made.bytes[made.length - 1], '\n');
    assert_null(strchr(made.bytes, '\r'));
    read_back(made.bytes, made.length, read);
    text_clear(&made);
}

static const char parts_header[] = "ref,x_mm,y_mm,temp_c,temp_sd_k,board_c,board_sd_k,"
                                   "life_h,used,used_in_air,used_low,used_high,past_life,worn_out,"
                                   "type,side,zone,verdict,settles,settles_by,reason";

static void parts_carry_every_number_of_their_result(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(17, 5);
    table read;
    make(parts_csv, outcome, parts_header, &read);
    assert_int_equal(read.rows, 18);
    for (size_t i = 0; i < 17; i++) {
        const sf_part *part = &outcome->job->parts[i];
        const sf_part_result *result = &outcome->results[i];
        assert_string_equal(cell(&read, i + 1, "ref"), part->ref);
        /* half of the last digit written */
        assert_close(number(&read, i + 1, "x_mm"), part->x_mm, 1e-12, 0.005);
        assert_close(number(&read, i + 1, "y_mm"), part->y_mm, 1e-12, 0.005);
        assert_close(number(&read, i + 1, "temp_c"), result->temp_c, 1e-12, 0.005);
        assert_close(number(&read, i + 1, "temp_sd_k"), result->temp_sd_k, 1e-12, 0.0005);
        assert_close(number(&read, i + 1, "board_c"), result->board_c, 1e-12, 0.005);
        assert_close(number(&read, i + 1, "board_sd_k"), result->board_sd_k, 1e-12, 0.0005);
        assert_close(number(&read, i + 1, "life_h"), result->life_h, 1e-12, 0.5);
        assert_close(number(&read, i + 1, "used"), result->used, 5.01e-4, 0);
        assert_close(number(&read, i + 1, "used_in_air"), result->used_in_air, 5.01e-4, 0);
        assert_string_equal(cell(&read, i + 1, "type"), "aluminium");
        assert_close(number(&read, i + 1, "used_low"), result->used_low, 5.01e-4, 0);
        assert_close(number(&read, i + 1, "used_high"), result->used_high, 5.01e-4, 0);
        assert_close(number(&read, i + 1, "past_life"), result->past_life, 1e-12, 0.00005);
        assert_close(number(&read, i + 1, "worn_out"), result->worn_out, 1e-12, 0.00005);
        assert_string_equal(cell(&read, i + 1, "verdict"), sf_verdict_text(result->verdict));
        bool checked = result->verdict == SF_CHECK;
        assert_string_equal(cell(&read, i + 1, "settles"), checked ? "0.370" : "");
        assert_string_equal(cell(&read, i + 1, "settles_by"), checked ? "infrared" : "");
        assert_string_equal(cell(&read, i + 1, "reason"), result->reason);
        size_t zone = outcome->zones->part_zone[i];
        assert_string_equal(cell(&read, i + 1, "zone"), outcome->zones->zones[zone].name);
    }
    forget(&read);
    sample_free(outcome);
}

static void a_split_at_commas_finds_the_numbers_of_parts(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(11, 5);
    text made = {0};
    parts_csv(outcome, &made);
    char *row = strchr(made.bytes, '\n') + 1;
    for (size_t i = 0; i < 11; i++, row = strchr(row, '\n') + 1) {
        char *split[9], *at = row;
        for (size_t column = 0; column < 9; column++) {
            split[column] = at;
            at = strchr(at, ',') + 1;
        }
        assert_int_equal(
            strncmp(split[0], outcome->job->parts[i].ref, strlen(outcome->job->parts[i].ref)), 0);
        assert_close(strtod(split[3], NULL), outcome->results[i].temp_c, 1e-12, 0.005);
        assert_close(strtod(split[4], NULL), outcome->results[i].temp_sd_k, 1e-12, 0.0005);
        assert_close(strtod(split[8], NULL), outcome->results[i].used, 5.01e-4, 0);
    }
    text_clear(&made);
    sample_free(outcome);
}

static void what_is_not_known_is_blank(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(2, 5);
    outcome->results[1].used = outcome->results[1].past_life = NAN;
    outcome->results[1].board_c = outcome->results[1].board_sd_k = NAN;
    outcome->zones->part_zone[1] = SF_NO_ZONE;
    table read;
    make(parts_csv, outcome, parts_header, &read);
    assert_string_equal(cell(&read, 2, "used"), "");
    assert_string_equal(cell(&read, 2, "board_c"), "");
    assert_string_equal(cell(&read, 2, "board_sd_k"), "");
    assert_string_equal(cell(&read, 2, "past_life"), "");
    assert_string_equal(cell(&read, 2, "zone"), "");
    forget(&read);
    sample_free(outcome);
}

static void readings_carry_their_fit_or_blanks(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(2, 13);
    table read;
    make(readings_csv, outcome,
         "id,x_mm,y_mm,temp_c,rise_k,u_k,in_fit,fitted_k,fitted_sd_k,left_out_k,left_out_sd_k,"
         "score,remark",
         &read);
    assert_int_equal(read.rows, 14);
    for (size_t i = 0; i < outcome->field->reading_count; i++) {
        const sf_reading_fit *fit = &outcome->field->readings[i];
        size_t row = fit->observation + 1;
        const sf_observation *observation = &outcome->observations[fit->observation];
        assert_string_equal(cell(&read, row, "id"), observation->id);
        assert_string_equal(cell(&read, row, "in_fit"), "yes");
        assert_string_equal(cell(&read, row, "remark"), observation->remark);
        assert_close(number(&read, row, "temp_c"), observation->temp_c, 1e-12, 0.005);
        assert_close(number(&read, row, "rise_k"), observation->rise_k, 1e-12, 0.0005);
        assert_close(number(&read, row, "u_k"), observation->sd_k, 1e-12, 0.0005);
        assert_close(number(&read, row, "fitted_k"), fit->fitted_k.value, 1e-12, 0.0005);
        assert_close(number(&read, row, "fitted_sd_k"), fit->fitted_k.sd, 1e-12, 0.0005);
        assert_close(number(&read, row, "left_out_k"), fit->left_out_k.value, 1e-12, 0.0005);
        assert_close(number(&read, row, "left_out_sd_k"), fit->left_out_k.sd, 1e-12, 0.0005);
        assert_close(number(&read, row, "score"), fit->score, 1e-12, 0.005);
    }
    assert_string_equal(cell(&read, 5, "in_fit"), "no");
    assert_string_equal(cell(&read, 5, "fitted_k"), "");
    assert_string_equal(cell(&read, 5, "score"), "");
    forget(&read);
    sample_free(outcome);
}

static void the_field_holds_each_cell_of_the_board_and_no_other(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(1, 3);
    sf_field *field = outcome->field;
    field->grid.columns = 7; /* so that the table is small: 7 x 4 cells, three of them cut away */
    field->grid.rows = 4;
    field->inside[0] = field->inside[1] = field->inside[9] = 0;
    for (size_t i = 2; i < 28; i++)
        field->inside[i] = i != 9;
    for (size_t i = 0; i < 28; i++) {
        outcome->temps_c[i] = 31.7 + 1.137 * (double)i;
        field->rise_sd_k[i] = 0.4 + 0.013 * (double)i;
    }
    table read;
    make(field_csv, outcome, "x_mm,y_mm,temp_c,temp_sd_k", &read);
    assert_int_equal(read.rows, 1 + 28 - 3);
    assert_string_equal(cell(&read, 1, "x_mm"), "12.500");
    assert_string_equal(cell(&read, 1, "y_mm"), "2.500");
    /* the last cell: column 6, row 3 of 5 mm, index 27 */
    assert_string_equal(cell(&read, 25, "x_mm"), "32.500");
    assert_string_equal(cell(&read, 25, "y_mm"), "17.500");
    assert_close(number(&read, 25, "temp_c"), 31.7 + 1.137 * 27, 1e-12, 0.005);
    assert_close(number(&read, 25, "temp_sd_k"), 0.4 + 0.013 * 27, 1e-12, 0.0005);
    forget(&read);
    sample_free(outcome);
}

static void sources_tell_listed_from_found(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(1, 3);
    sf_source known[] = {{.ref = "H2"}, {.ref = "H3", .side = SF_SIDE_SOLDER}};
    sf_job *job = (sf_job *)(uintptr_t)outcome->job;
    table read;
    job->sources = known;
    job->source_count = 2;
    make(sources_csv, outcome,
         "ref,listed,x_mm,y_mm,width_mm,height_mm,angle_deg,rise_k,rise_sd_k,power_w,power_sd_w,"
         "evidence,probability,contradiction,side",
         &read);
    assert_int_equal(read.rows, 8);
    assert_string_equal(cell(&read, 3, "ref"), "H3");
    assert_string_equal(cell(&read, 3, "listed"), "yes");
    assert_close(number(&read, 3, "power_w"), 44 * 0.061, 5.01e-4, 0);
    assert_string_equal(cell(&read, 6, "contradiction"), "yes");
    assert_string_equal(cell(&read, 6, "rise_k"), "-3.400");
    assert_string_equal(cell(&read, 7, "listed"), "no");
    assert_string_equal(cell(&read, 7, "evidence"), "3.70");
    assert_string_equal(cell(&read, 7, "probability"), "0.930");
    assert_string_equal(cell(&read, 2, "side"), "component");
    assert_string_equal(cell(&read, 3, "side"), "solder");
    assert_string_equal(cell(&read, 7, "side"), "");
    job->sources = NULL;
    job->source_count = 0;
    forget(&read);
    sample_free(outcome);
}

static void zones_count_their_verdicts(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(41, 3);
    table read;
    make(zones_csv, outcome,
         "zone,kind,area_mm2,peak_c,peak_x_mm,peak_y_mm,parts,replace,check,leave,sentence", &read);
    assert_int_equal(read.rows, 5);
    double parts = 0;
    for (size_t row = 1; row < 5; row++) {
        parts += number(&read, row, "parts");
        assert_close(number(&read, row, "parts"),
                     number(&read, row, "replace") + number(&read, row, "check") +
                         number(&read, row, "leave"),
                     0, 0);
    }
    assert_close(parts, 41, 0, 0);
    assert_string_equal(cell(&read, 1, "kind"), "hot");
    assert_string_equal(cell(&read, 2, "peak_c"), "79.40");
    assert_string_equal(cell(&read, 4, "zone"), "cool, the rest");
    forget(&read);
    sample_free(outcome);
}

static void the_kit_leaves_unknown_heights_blank(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(4, 3);
    table read;
    make(kit_csv, outcome,
         "count,spares,capacitance_uf,rated_v,rated_c,endurance_h,diameter_mm_max,height_mm_max,"
         "type,mount,lead_pitch_mm,ripple_a_min,esr_ohm_max,low_esr,description,refs,note",
         &read);
    assert_int_equal(read.rows, 3);
    assert_string_equal(cell(&read, 1, "refs"), "C3 C17 C40");
    assert_string_equal(cell(&read, 1, "capacitance_uf"), "100");
    assert_string_equal(cell(&read, 1, "height_mm_max"), "11.5");
    assert_string_equal(cell(&read, 2, "capacitance_uf"), "4.7");
    assert_string_equal(cell(&read, 2, "endurance_h"), "10000");
    assert_string_equal(cell(&read, 2, "height_mm_max"), "");
    const char *names[] = {"type",         "mount",       "lead_pitch_mm",
                           "ripple_a_min", "esr_ohm_max", "low_esr"};
    const char *first[] = {"aluminium", "radial", "3.5", "0.61", "", "yes"};
    const char *second[] = {"aluminium", "", "", "", "0.27", "no"};
    for (size_t i = 0; i < 6; i++) {
        assert_string_equal(cell(&read, 1, names[i]), first[i]);
        assert_string_equal(cell(&read, 2, names[i]), second[i]);
    }
    forget(&read);
    sample_free(outcome);
}

static void an_order_has_a_line_a_position_and_room_for_the_part_number(void **state)
{
    (void)state;
    sf_outcome *outcome = sample_outcome(4, 3);
    table read;
    make(order_csv, outcome, "position,quantity,part_number,description,reference", &read);
    assert_int_equal(read.rows, 3);
    const char *rows[][5] = {{"1", "6", "", "Capacitor as C3, \"low ESR\"", "C3 C17 C40"},
                             {"2", "3", "", "Capacitor as C8", "C8 C51"}};
    const char *names[] = {"position", "quantity", "part_number", "description", "reference"};
    for (size_t row = 0; row < 2; row++)
        for (size_t i = 0; i < 5; i++)
            assert_string_equal(cell(&read, row + 1, names[i]), rows[row][i]);
    forget(&read);
    sample_free(outcome);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_carry_every_number_of_their_result),
        cmocka_unit_test(a_split_at_commas_finds_the_numbers_of_parts),
        cmocka_unit_test(what_is_not_known_is_blank),
        cmocka_unit_test(readings_carry_their_fit_or_blanks),
        cmocka_unit_test(the_field_holds_each_cell_of_the_board_and_no_other),
        cmocka_unit_test(sources_tell_listed_from_found),
        cmocka_unit_test(zones_count_their_verdicts),
        cmocka_unit_test(the_kit_leaves_unknown_heights_blank),
        cmocka_unit_test(an_order_has_a_line_a_position_and_room_for_the_part_number),
    };
    return cmocka_run_group_tests_name("report tables", tests, NULL, NULL);
}
