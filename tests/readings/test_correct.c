/* From rows of a job to observations: every correction, every doubt, every complaint. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "spotfield/reading.h"

#define ROWS_MAX 16

/* A bench at 23.6 C; every row as a type K bead read steady, until a test says otherwise. */
typedef struct bench {
    sf_job job;
    sf_reading rows[ROWS_MAX];
    sf_observation *observations;
    size_t count;
    sf_complaints complaints;
    sf_status status;
} bench;

static void lay_bench(bench *on, size_t count)
{
    static char *const ids[ROWS_MAX] = {"t1", "t2",  "t3",  "t4",  "t5",  "t6",  "t7",  "t8",
                                        "t9", "t10", "t11", "t12", "t13", "t14", "t15", "t16"};
    memset(on, 0, sizeof *on);
    for (size_t i = 0; i < count; i++)
        on->rows[i] = (sf_reading){.id = ids[i],
                                   .x_mm = 31.7,
                                   .y_mm = 84.2,
                                   .value = 61.3,
                                   .unit = SF_UNIT_CELSIUS,
                                   .method = SF_METHOD_THERMOCOUPLE_K,
                                   .spot = SF_SPOT_BOARD,
                                   .sd_k = 0.7,
                                   .emissivity = NAN,
                                   .reflected_c = NAN,
                                   .ambient_c = NAN,
                                   .junction_c = NAN,
                                   .minute = NAN,
                                   .note = "",
                                   .line = i + 2};
    on->job.board.ambient_c = 23.6;
    on->job.policy.case_offset_sd_k = 1.5;
    on->job.reading_count = count;
}

static void correct(bench *on)
{
    on->job.readings = on->rows;
    on->status = sf_readings_correct(&on->job, &on->observations, &on->count, &on->complaints);
}

static void clear_bench(bench *on)
{
    sf_observations_free(on->observations, on->count);
    sf_complaints_clear(&on->complaints);
}

/* The i-th complaint whole, or "". */
static const char *complaint(const bench *on, size_t i)
{
    static char line[512];
    line[0] = '\0';
    if (i < on->complaints.count) {
        char *told = sf_complaint_text(&on->complaints.items[i]);
        assert_non_null(told);
        strncpy(line, told, sizeof line - 1);
        free(told);
    }
    return line;
}

static void assert_begins(const char *text, const char *beginning)
{
    if (strncmp(text, beginning, strlen(beginning)) != 0)
        assert_string_equal(text, beginning);
}

static void assert_holds(const char *text, const char *part)
{
    if (!strstr(text, part))
        assert_string_equal(text, part);
}

/* The sd that one row gets; no complaint is allowed. */
static double sd_of(bench *on)
{
    correct(on);
    assert_int_equal(on->status, SF_OK);
    double sd_k = on->observations[0].sd_k;
    clear_bench(on);
    return sd_k;
}

static void a_bead_reading_becomes_a_rise_over_the_air(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 1);
    assert_string_equal(on.observations[0].id, "t1");
    assert_close(on.observations[0].x_mm, 31.7, 0, 0);
    assert_close(on.observations[0].y_mm, 84.2, 0, 0);
    assert_close(on.observations[0].temp_c, 61.3, 1e-14, 0);
    assert_close(on.observations[0].rise_k, 37.7, 1e-14, 0);
    assert_close(on.observations[0].sd_k, 0.7, 1e-14, 0);
    assert_true(on.observations[0].in_fit);
    assert_string_equal(on.observations[0].remark, "");
    assert_int_equal(on.observations[0].line, 2);
    assert_int_equal(on.complaints.count, 0);
    clear_bench(&on);
}

static void a_reading_with_its_own_air_rises_over_that(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].ambient_c = 27.1;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].rise_k, 34.2, 1e-14, 0);
    assert_close(on.observations[0].temp_c, 61.3, 1e-14, 0);
    assert_string_equal(on.observations[0].remark, "over its own air at 27.1 C");
    clear_bench(&on);
}

static void millivolts_are_added_to_the_reference_junction(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].unit = SF_UNIT_MILLIVOLT;
    on.rows[0].value = 2.474085;
    on.rows[0].junction_c = 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* ITS-90 type K, junction at 85 C and reference at 25 C: 2.474085 mV, computed */
    assert_close(on.observations[0].temp_c, 85, 0, 1e-3);
    assert_string_equal(on.observations[0].remark, "from mV, reference junction at 25.0 C");
    clear_bench(&on);
}

static void an_emissivity_corrects_an_infrared_spot_with_its_doubt(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 60;
    on.rows[0].emissivity = 0.9;
    on.rows[0].reflected_c = 23;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* M 60 C, e 0.90, R 23 C: 63.422 C, computed from the fourth-power formula */
    assert_close(on.observations[0].temp_c, 63.422, 0, 5e-4);
    assert_string_equal(on.observations[0].remark, "emissivity 0.90, mirroring 23.0 C");
    clear_bench(&on);
}

static void an_infrared_doubt_has_four_parts(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 80;
    on.rows[0].emissivity = 0.61;
    on.rows[0].reflected_c = 25;
    double temp_c, k_per_emissivity, gain;
    sf_infrared_temp(80, 0.61, 25, &temp_c, &k_per_emissivity, &gain);
    /* the instrument; +/- 0.03 of emissivity; the law: Planck over 8 to 14 um gives 2.01 K more
     * there, computed, and a tenth is added; 2 K of what it mirrors, by Euler's theorem on
     * T(M, R), which is of degree one: R dT/dR = T - M dT/dM */
    double own_k = 0.7 * gain, emissivity_k = 0.03 * k_per_emissivity, law_k = 1.105 * 2.01;
    double mirrored_k = 2 * fabs(temp_c + 273.15 - 353.15 * gain) / 298.15;
    assert_close(sd_of(&on), hypot(hypot(own_k, emissivity_k), hypot(law_k, mirrored_k)), 0.005, 0);
}

static void what_a_spot_mirrors_is_the_air_where_not_told(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 80;
    on.rows[0].emissivity = 0.95;
    on.rows[0].ambient_c = 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* M 80 C, e 0.95, R 25 C: 82.2641 C, computed from the fourth-power formula */
    assert_close(on.observations[0].temp_c, 82.2641, 0, 5e-5);
    clear_bench(&on);
}

static void bare_metal_is_warned_of_and_doubted(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    for (size_t i = 0; i < 3; i++)
        on.rows[i].method = SF_METHOD_INFRARED;
    on.rows[0].emissivity = 0.3;
    on.rows[1].emissivity = 0.55;
    on.rows[2].emissivity = 0.61;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.complaints.warning_count, 2);
    assert_begins(complaint(&on, 0), "readings.csv:2: warning: emissivity: 0.3: bare metal mirrors "
                                     "the room");
    assert_begins(complaint(&on, 1), "readings.csv:3: warning: emissivity: 0.55: ");
    /* Planck's law over 8 to 14 um gives 4.7 K more than the fourth power at e 0.30, M 60 C, R 25
     * C, and 0.1 in emissivity moves it by nearly 20 K: no doubt below 10 K would be true */
    assert_true(on.observations[0].sd_k > 10);
    assert_true(on.observations[2].sd_k < 3);
    clear_bench(&on);
}

static void an_exact_series_gives_its_steady_state(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 5);
    /* (T1 T3 - T2^2)/(T1 + T3 - 2 T2) of 40, 55, 62.5 is 70: common practice in temperature-rise
     * tests; rows in the wrong order, another spot between them */
    static const double minute[] = {30, NAN, 10, 20, NAN}, shown_c[] = {62.5, 51.9, 40, 55, 47.3};
    for (size_t i = 0; i < 5; i++) {
        on.rows[i].minute = minute[i];
        on.rows[i].value = shown_c[i];
        on.rows[i].sd_k = 0.2;
    }
    on.rows[2].id = on.rows[3].id = on.rows[0].id;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 3);
    assert_int_equal(on.complaints.count, 0);
    assert_close(on.observations[0].temp_c, 70, 0, 1e-7);
    assert_close(on.observations[0].rise_k, 46.4, 0, 1e-7);
    /* derivatives of that formula at steps of 15 and 7.5: 1, -4, 4 */
    assert_close(on.observations[0].sd_k, 0.2 * sqrt(33), 1e-6, 0);
    assert_int_equal(on.observations[0].line, 2);
    assert_begins(on.observations[0].remark,
                  "steady state that 3 readings up to 30 min approach, +/- 1.1 K");
    assert_string_equal(on.observations[1].id, "t2");
    assert_string_equal(on.observations[2].id, "t5");
    clear_bench(&on);
}

static void a_series_follows_the_air_of_each_row(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 3);
    static const double rise_k[] = {16, 31, 38.5}, air_c[] = {22.2, 24.9, 26.4};
    for (size_t i = 0; i < 3; i++) {
        on.rows[i].id = "warm";
        on.rows[i].minute = 10 * (double)(i + 1);
        on.rows[i].ambient_c = air_c[i];
        on.rows[i].value = air_c[i] + rise_k[i];
    }
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 1);
    /* steps of 15 and 7.5 K: 38.5 + 7.5 */
    assert_close(on.observations[0].rise_k, 46, 0, 1e-7);
    assert_close(on.observations[0].temp_c, 26.4 + 46, 0, 1e-7);
    clear_bench(&on);
}

static void what_rows_share_does_not_grow_in_a_series(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 8);
    for (size_t i = 0; i < 8; i++) {
        on.rows[i].id = "warm";
        on.rows[i].sd_k = NAN;
        on.rows[i].minute = 10 * (double)(i + 1);
        on.rows[i].value = 63.4 - 39.8 * exp(-on.rows[i].minute / 20);
    }
    double series_k = sd_of(&on);
    lay_bench(&on, 1);
    on.rows[0].sd_k = NAN;
    on.rows[0].value = 63.4;
    double single_k = sd_of(&on);
    /* the tolerance of the bead is common to all rows: eight rows are no worse than one but for
     * their own scatter of some half a kelvin */
    assert_true(series_k > single_k);
    assert_true(series_k < hypot(single_k, 0.7));
}

static void a_series_that_has_not_settled_is_refused_with_what_to_do(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 4);
    for (size_t i = 0; i < 4; i++) {
        on.rows[i].id = "fuse";
        on.rows[i].minute = 5 * (double)(i + 1);
        on.rows[i].value = 30 + 4.9 * (double)i;
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.observations);
    assert_int_equal(on.complaints.error_count, 1);
    assert_begins(complaint(&on, 0), "readings.csv:5: minute: series \"fuse\" of 4 readings up to "
                                     "20 min does not bend");
    assert_holds(complaint(&on, 0), "until it moves less than 1 K in 30 min");
    clear_bench(&on);
}

static void a_series_with_a_second_slower_warming_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 12);
    for (size_t i = 0; i < 12; i++) {
        double minute = 4 * (double)(i + 1);
        on.rows[i].id = "can";
        on.rows[i].minute = minute;
        on.rows[i].value = 24 - 30 * expm1(-minute / 6) - 15 * expm1(-minute / 60);
    }
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_holds(complaint(&on, 0), "shows a second, slower warming");
    clear_bench(&on);
}

/* The complaint that a series of `count` values at every tenth minute gets. */
static const char *refusal(bench *on, const double *shown_c, size_t count, double sd_k)
{
    lay_bench(on, count);
    for (size_t i = 0; i < count; i++) {
        on->rows[i].id = "coil";
        on->rows[i].sd_k = sd_k;
        on->rows[i].minute = 10 * (double)(i + 1);
        on->rows[i].value = shown_c[i];
    }
    correct(on);
    assert_int_equal(on->status, SF_ERROR_DATA);
    assert_int_equal(on->complaints.error_count, 1);
    return complaint(on, 0);
}

static void a_refused_series_says_why(void **state)
{
    (void)state;
    static const double slight_c[] = {40, 43, 45.1}, wild_c[] = {40, 57, 52, 66, 59};
    bench on;
    assert_holds(refusal(&on, slight_c, 3, 2), "leaves its steady temperature open by more than");
    clear_bench(&on);
    assert_holds(refusal(&on, wild_c, 5, 0.2), "scatters about any warm-up curve by more than u_k");
    clear_bench(&on);
}

static void a_series_that_is_level_needs_no_curve(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 4);
    static const double shown_c[] = {61.2, 61.5, 61.3, 61.6};
    for (size_t i = 0; i < 4; i++) {
        on.rows[i].id = "level";
        on.rows[i].minute = 40 + 10 * (double)i;
        on.rows[i].value = shown_c[i];
    }
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_close(on.observations[0].temp_c, 61.4, 1e-12, 0);
    assert_string_equal(on.observations[0].remark,
                        "mean of the last 4 of 4 readings, level within 1 K for 30 min");
    clear_bench(&on);
}

static void a_lone_minute_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].minute = 12;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.complaints.warning_count, 1);
    assert_begins(complaint(&on, 0), "readings.csv:2: warning: minute: a single reading at 12 min "
                                     "may not be at steady state");
    clear_bench(&on);
}

static void a_source_body_is_corrected_and_kept_out(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].spot = SF_SPOT_SOURCE;
    on.rows[0].value = 117.9;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_false(on.observations[0].in_fit);
    assert_close(on.observations[0].rise_k, 94.3, 1e-12, 0);
    assert_holds(on.observations[0].remark, "on the body of a heat source");
    assert_holds(on.observations[0].remark, "not in the fit");
    clear_bench(&on);
}

static void a_part_stays_in_the_fit_with_the_case_s_doubt(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].spot = SF_SPOT_PART;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_true(on.observations[0].in_fit);
    assert_close(on.observations[0].sd_k, hypot(0.7, 1.5), 1e-12, 0);
    assert_string_equal(on.observations[0].remark, "on a part: 1.5 K added for case against board");
    clear_bench(&on);
}

static void default_doubts_are_the_tolerance_classes(void **state)
{
    (void)state;
    static const struct {
        sf_method method;
        double temp_c, limit_k;
    } classes[] = {
        /* IEC 60584-1, class 2: K and J 2.5 C or 0.0075 |t|, T 1.0 C or 0.0075 |t|, the greater;
         * rectangular, so over sqrt(3) (GUM, JCGM 100:2008, 4.3.7) */
        {SF_METHOD_THERMOCOUPLE_K, 72.6, 2.5},
        {SF_METHOD_THERMOCOUPLE_J, 72.6, 2.5},
        {SF_METHOD_THERMOCOUPLE_T, 72.6, 1.0},
        {SF_METHOD_THERMOCOUPLE_K, 94.2, 2.5},
    };
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++) {
        bench on;
        lay_bench(&on, 1);
        on.rows[0].method = classes[i].method;
        on.rows[0].value = on.rows[0].ambient_c = classes[i].temp_c;
        on.rows[0].sd_k = NAN;
        /* no rise, so that nothing but the instrument is in doubt */
        assert_close(sd_of(&on), classes[i].limit_k / sqrt(3), 1e-12, 0);
    }
}

static void the_tolerance_grows_with_a_hot_reading(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_THERMOCOUPLE_T;
    on.rows[0].value = 183.5;
    on.rows[0].sd_k = NAN;
    /* IEC 60584-1 type T class 2: 0.0075 * 183.5; the bead's 4 % of the rise is judgement */
    assert_close(sd_of(&on), hypot(0.0075 * 183.5 / sqrt(3), 0.04 * (183.5 - 23.6)), 1e-12, 0);
}

static void an_infrared_default_holds_the_emissivity_too(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].sd_k = NAN;
    double board_k = sd_of(&on);
    on.rows[0].spot = SF_SPOT_SOURCE;
    double body_k = sd_of(&on);
    /* 2 K over sqrt(3), 0.03 of emissivity times 38 K a unit, and a share of the rise */
    assert_true(board_k > hypot(2 / sqrt(3), 0.03 * 37) && board_k < 3);
    assert_true(body_k > board_k);
}

static void a_bead_s_bias_is_corrected_and_doubted(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.rows[1].method = SF_METHOD_INFRARED;
    on.job.policy.bead_bias_pct = 5;
    on.job.policy.bead_bias_sd_pct = 3;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    double rise_k = 37.7 / 0.95;
    assert_close(on.observations[0].rise_k, rise_k, 1e-12, 0);
    assert_close(on.observations[0].temp_c, 23.6 + rise_k, 1e-12, 0);
    /* propagation: d rise/d shown = 1/(1 - b), d rise/db = rise/(1 - b) */
    assert_close(on.observations[0].sd_k, hypot(0.7 / 0.95, 0.03 * rise_k / 0.95), 1e-12, 0);
    assert_string_equal(on.observations[0].remark,
                        "a bead shows 5 % too little of the rise: corrected");
    /* an infrared spot has no bead */
    assert_close(on.observations[1].rise_k, 37.7, 1e-12, 0);
    clear_bench(&on);
}

static void every_fault_is_told_with_line_and_column(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 14);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].unit = SF_UNIT_MILLIVOLT;
    on.rows[1].unit = SF_UNIT_MILLIVOLT;
    on.rows[2].unit = SF_UNIT_MILLIVOLT;
    on.rows[2].junction_c = 75;
    on.rows[3].unit = SF_UNIT_MILLIVOLT;
    on.rows[3].value = 61.3;
    on.rows[3].junction_c = 22.5;
    on.rows[4].method = SF_METHOD_INFRARED;
    on.rows[4].emissivity = -0.2;
    on.rows[5].sd_k = 0;
    on.rows[6].ambient_c = 130;
    on.rows[7].minute = -4;
    on.rows[8].value = NAN;
    on.rows[9].value = 611;
    on.rows[10].x_mm = INFINITY;
    on.rows[11].reflected_c = -90;
    on.rows[12].method = SF_METHOD_COUNT;
    on.rows[13].spot = SF_SPOT_COUNT;
    on.rows[13].unit = SF_UNIT_KELVIN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.observations);
    assert_int_equal(on.count, 0);
    static const char *const told[] = {
        "readings.csv:2: unit: mV from an infrared thermometer",
        "readings.csv:3: junction_c: is blank beside a value in mV, expected the temperature of",
        "readings.csv:4: junction_c: 75 is out of range, expected a number from -20 to 60 C",
        "readings.csv:5: value: 61.3 mV with the junction at 22.5 C is beyond",
        "readings.csv:6: emissivity: -0.2 is out of range",
        "readings.csv:7: u_k: 0 is out of range, expected a number from 0.001 to 50 K",
        "readings.csv:8: ambient_c: 130 is out of range",
        "readings.csv:9: minute: -4 is out of range",
        "readings.csv:10: value: ",
        "readings.csv:11: value: comes to 611 C",
        "readings.csv:12: x_mm: inf is out of range",
        "readings.csv:13: reflected_c: -90 is out of range",
        "readings.csv:14: method: is no known method",
        "readings.csv:15: spot: is no known spot",
        "readings.csv:15: unit: is no known unit",
    };
    assert_int_equal(on.complaints.error_count, sizeof told / sizeof told[0]);
    assert_int_equal(on.complaints.warning_count, 0);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++)
        assert_begins(complaint(&on, i), told[i]);
    clear_bench(&on);
}

static void a_shared_id_that_makes_no_series_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 12);
    on.rows[0].id = on.rows[1].id = "twice";
    on.rows[2].id = on.rows[3].id = "two";
    on.rows[2].minute = 5;
    on.rows[3].minute = 10;
    on.rows[4].id = on.rows[5].id = on.rows[6].id = "moved";
    on.rows[4].minute = 5;
    on.rows[5].minute = 10;
    on.rows[6].minute = 10;
    on.rows[5].x_mm = 32.8;
    on.rows[7].id = on.rows[8].id = "";
    for (size_t i = 9; i < 12; i++) {
        on.rows[i].id = "other";
        on.rows[i].minute = (double)i;
    }
    on.rows[10].spot = SF_SPOT_PART;
    on.rows[11].method = SF_METHOD_THERMOCOUPLE_J;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    static const char *const told[] = {
        "readings.csv:2: minute: is blank, and \"twice\" is on 2 rows",
        "readings.csv:3: minute: is blank, and \"twice\" is on 2 rows",
        "readings.csv:4: id: \"two\" is on 2 rows, expected 3 readings or more",
        "readings.csv:7: id: \"moved\" is on rows of another place",
        "readings.csv:8: minute: 10 is on two rows of \"moved\"",
        "readings.csv:12: id: \"other\" is on rows of another place, method or spot",
        "readings.csv:13: id: \"other\" is on rows of another place, method or spot",
    };
    assert_int_equal(on.complaints.error_count, sizeof told / sizeof told[0]);
    for (size_t i = 0; i < sizeof told / sizeof told[0]; i++)
        assert_begins(complaint(&on, i), told[i]);
    clear_bench(&on);
}

static void a_reading_without_any_air_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.job.board.ambient_c = NAN;
    on.rows[1].ambient_c = 22.8;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_int_equal(on.complaints.error_count, 1);
    assert_begins(complaint(&on, 0), "readings.csv:2: ambient_c: is blank");
    clear_bench(&on);
}

static void a_mirror_hotter_than_what_is_shown_allows_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.rows[0].method = SF_METHOD_INFRARED;
    on.rows[0].value = 31.5;
    on.rows[0].emissivity = 0.1;
    on.rows[0].reflected_c = 88.4;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(complaint(&on, 0), "readings.csv:2: value: 31.5 C is less than");
    clear_bench(&on);
}

static void a_reading_below_its_air_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 2);
    on.rows[0].value = 19.2;
    on.rows[1].value = 22.9;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.complaints.warning_count, 1);
    assert_begins(complaint(&on, 0),
                  "readings.csv:2: warning: value: comes to 19.2 C, 4.4 K below its air");
    clear_bench(&on);
}

static void a_policy_out_of_range_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 1);
    on.job.policy.bead_bias_pct = 100;
    on.job.policy.bead_bias_sd_pct = NAN;
    on.job.policy.case_offset_sd_k = -1.5;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_int_equal(on.complaints.error_count, 3);
    assert_begins(complaint(&on, 0), "policy.csv: bead_bias_pct: 100 is out of range");
    assert_begins(complaint(&on, 1), "policy.csv: bead_bias_sd_pct: ");
    assert_begins(complaint(&on, 2), "policy.csv: case_offset_sd_k: -1.5 is out of range");
    clear_bench(&on);
}

static void no_reading_makes_no_observation(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on, 0);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.count, 0);
    assert_non_null(on.observations);
    clear_bench(&on);
    sf_observations_free(NULL, 3);
}

static void default_doubt_is_that_of_a_reading_of_which_nothing_is_said(void **state)
{
    (void)state;
    for (int method = 0; method < SF_METHOD_COUNT; method++) {
        bench on;
        lay_bench(&on, 1);
        on.rows[0].method = (sf_method)method;
        on.rows[0].sd_k = NAN;
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        assert_close(sf_reading_default_sd_k((sf_method)method, 23.6, 61.3 - 23.6),
                     on.observations[0].sd_k, 1e-12, 0);
        assert_close(sf_reading_default_sd_k((sf_method)method, 23.6, -4),
                     sf_reading_default_sd_k((sf_method)method, 23.6, 0), 0, 0);
        clear_bench(&on);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_bead_reading_becomes_a_rise_over_the_air),
        cmocka_unit_test(a_reading_with_its_own_air_rises_over_that),
        cmocka_unit_test(millivolts_are_added_to_the_reference_junction),
        cmocka_unit_test(an_emissivity_corrects_an_infrared_spot_with_its_doubt),
        cmocka_unit_test(an_infrared_doubt_has_four_parts),
        cmocka_unit_test(what_a_spot_mirrors_is_the_air_where_not_told),
        cmocka_unit_test(bare_metal_is_warned_of_and_doubted),
        cmocka_unit_test(an_exact_series_gives_its_steady_state),
        cmocka_unit_test(a_series_follows_the_air_of_each_row),
        cmocka_unit_test(what_rows_share_does_not_grow_in_a_series),
        cmocka_unit_test(a_series_that_has_not_settled_is_refused_with_what_to_do),
        cmocka_unit_test(a_series_with_a_second_slower_warming_is_refused),
        cmocka_unit_test(a_refused_series_says_why),
        cmocka_unit_test(a_series_that_is_level_needs_no_curve),
        cmocka_unit_test(a_lone_minute_is_warned_of),
        cmocka_unit_test(a_source_body_is_corrected_and_kept_out),
        cmocka_unit_test(a_part_stays_in_the_fit_with_the_case_s_doubt),
        cmocka_unit_test(default_doubts_are_the_tolerance_classes),
        cmocka_unit_test(the_tolerance_grows_with_a_hot_reading),
        cmocka_unit_test(an_infrared_default_holds_the_emissivity_too),
        cmocka_unit_test(a_bead_s_bias_is_corrected_and_doubted),
        cmocka_unit_test(every_fault_is_told_with_line_and_column),
        cmocka_unit_test(a_shared_id_that_makes_no_series_is_refused),
        cmocka_unit_test(a_reading_without_any_air_is_refused),
        cmocka_unit_test(a_mirror_hotter_than_what_is_shown_allows_is_refused),
        cmocka_unit_test(a_reading_below_its_air_is_warned_of),
        cmocka_unit_test(a_policy_out_of_range_is_refused),
        cmocka_unit_test(no_reading_makes_no_observation),
        cmocka_unit_test(default_doubt_is_that_of_a_reading_of_which_nothing_is_said),
    };
    return cmocka_run_group_tests_name("readings correct", tests, NULL, NULL);
}
