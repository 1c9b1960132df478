/* A thermogram laid on its board: places, corrections, what is left out, and what is said. */
#include "support/check.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "spotfield/reading.h"

enum { COLUMNS = 96, ROWS = 72, PIXELS = COLUMNS * ROWS, MARKS_MOST = 6 };

#define AIR_C 22.4

/* A board of 130 x 90 mm and a camera at a slant over it. */
typedef struct bench {
    sf_job job;
    sf_point edge[4], hole[4];
    sf_ring rings[2];
    sf_part part;
    sf_source source;
    sf_mark marks[MARKS_MOST];
    float shown_c[PIXELS];
    sf_pixels *pixels;
    sf_complaints complaints;
    sf_status status;
} bench;

/* Central projection: the board turned about its x axis by the tilt, shifted, divided by depth. */
static void project(double x_mm, double y_mm, double *column, double *row)
{
    double tilt = 0.35, away_mm = 210, focal_px = 128;
    double depth = away_mm + (y_mm - 45) * sin(tilt);
    *column = 47.5 + focal_px * (x_mm - 65) / depth;
    *row = 35.5 - focal_px * (y_mm - 45) * cos(tilt) / depth;
}

/* Back from a pixel to the board: the two equations above solved for x and y. */
static void unproject(double column, double row, double *x_mm, double *y_mm)
{
    double tilt = 0.35, away_mm = 210, focal_px = 128, up = (35.5 - row) / focal_px;
    double y = up * away_mm / (cos(tilt) - up * sin(tilt));
    *y_mm = 45 + y;
    *x_mm = 65 + (column - 47.5) / focal_px * (away_mm + y * sin(tilt));
}

/* A temperature that no wrong place can hit by luck. */
static double board_c(double x_mm, double y_mm)
{
    return 31.7 + 0.083 * x_mm - 0.047 * y_mm + 0.0011 * x_mm * y_mm;
}

static void add_mark(bench *on, double x_mm, double y_mm)
{
    sf_mark *mark = &on->marks[on->job.thermogram.mark_count++];
    project(x_mm, y_mm, &mark->column, &mark->row);
    mark->x_mm = x_mm;
    mark->y_mm = y_mm;
    mark->line = on->job.thermogram.mark_count + 1;
}

static void lay_bench(bench *on)
{
    memset(on, 0, sizeof *on);
    const sf_point edge[4] = {{0, 0}, {130, 0}, {130, 90}, {0, 90}};
    const sf_point hole[4] = {{70, 30}, {90, 30}, {90, 50}, {70, 50}};
    memcpy(on->edge, edge, sizeof edge);
    memcpy(on->hole, hole, sizeof hole);
    on->rings[0] = (sf_ring){0, on->edge, 4, ""};
    on->rings[1] = (sf_ring){1, on->hole, 4, ""};
    on->job.rings = on->rings;
    on->job.ring_count = 1;
    on->job.board.width_mm = 130;
    on->job.board.height_mm = 90;
    on->job.board.ambient_c = AIR_C;
    on->job.board.camera = (sf_camera){SF_UNIT_CELSIUS, NAN, NAN, NAN};
    on->job.policy.position_sd_mm = 1;
    on->job.thermogram = (sf_thermogram){COLUMNS, ROWS, on->shown_c, on->marks, 0};
    add_mark(on, 4, 5);
    add_mark(on, 127, 3);
    add_mark(on, 126, 86);
    add_mark(on, 3, 88);
    add_mark(on, 66, 47);
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        unproject((double)(i % COLUMNS), (double)(i / COLUMNS), &x_mm, &y_mm);
        on->shown_c[i] = (float)board_c(x_mm, y_mm);
    }
}

static void add_can(bench *on)
{
    on->part = (sf_part){.x_mm = 40, .y_mm = 60, .diameter_mm = 18, .height_mm = 25};
    on->job.parts = &on->part;
    on->job.part_count = 1;
}

static void correct(bench *on)
{
    on->status = sf_thermogram_correct(&on->job, &on->pixels, &on->complaints);
}

static void clear(bench *on)
{
    sf_pixels_free(on->pixels);
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

/* Corrects, which must succeed with nothing said. */
static void correct_quietly(bench *on)
{
    correct(on);
    assert_string_equal(complaint(on, 0), "");
    assert_int_equal(on->status, SF_OK);
}

/* --- places and values --- */

static void a_job_without_a_thermogram_has_no_pixels(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram = (sf_thermogram){0};
    correct_quietly(&on);
    assert_null(on.pixels);
    clear(&on);
}

/* A float holds 50 C to 2e-6 K; the places come out exact, so the rises do. */
static void each_pixel_lies_where_it_looked(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    correct_quietly(&on);
    assert_true(on.pixels->count > 1500);
    for (size_t i = 0; i < on.pixels->count; i++)
        assert_close(on.pixels->rise_k[i], board_c(on.pixels->x_mm[i], on.pixels->y_mm[i]) - AIR_C,
                     0, 5e-6);
    assert_close(on.pixels->marks_rms_mm, 0, 0, 1e-9);
    assert_close(on.pixels->covered, 1, 0, 0);
    assert_false(on.pixels->from_below);
    clear(&on);
}

static void pixels_kept_and_left_out_are_all_there_are(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.ring_count = 2;
    add_can(&on);
    on.shown_c[40 * COLUMNS + 30] = NAN;
    correct_quietly(&on);
    const sf_pixels *made = on.pixels;
    assert_int_equal(made->blank, 1);
    assert_int_equal(made->count + made->left_out, PIXELS);
    assert_int_equal(made->blank + made->off_board + made->on_bodies, made->left_out);
    clear(&on);
}

static size_t count_in(const sf_pixels *of, double left, double right, double low, double high)
{
    size_t found = 0;
    for (size_t i = 0; i < of->count; i++)
        found +=
            of->x_mm[i] > left && of->x_mm[i] < right && of->y_mm[i] > low && of->y_mm[i] < high;
    return found;
}

static void no_pixel_comes_from_a_cut_out_a_can_or_beside_the_board(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    correct_quietly(&on);
    assert_true(count_in(on.pixels, 70, 90, 30, 50) > 50);
    assert_true(count_in(on.pixels, 34, 46, 54, 66) > 20);
    clear(&on);
    lay_bench(&on);
    on.job.ring_count = 2;
    add_can(&on);
    correct_quietly(&on);
    assert_int_equal(count_in(on.pixels, 70, 90, 30, 50), 0);
    assert_int_equal(count_in(on.pixels, 34, 46, 54, 66), 0);
    /* the camera hangs towards lower y: the can hides what lies behind it, upwards */
    assert_int_equal(count_in(on.pixels, 37, 43, 66, 74), 0);
    assert_true(count_in(on.pixels, 37, 43, 40, 48) > 10);
    assert_int_equal(count_in(on.pixels, 0, 130, 0, 90), on.pixels->count);
    clear(&on);
}

/* computed from the formula M^4 = e T^4 + (1 - e) R^4 (Stefan-Boltzmann and Kirchhoff), kelvin */
static double shown_by(double temp_c, double emissivity, double reflected_c)
{
    return pow(emissivity * pow(temp_c + 273.15, 4) +
                   (1 - emissivity) * pow(reflected_c + 273.15, 4),
               0.25) -
           273.15;
}

static void emissivity_is_corrected_with_what_the_board_mirrors(void **state)
{
    (void)state;
    static const double reflected_c[] = {NAN, 37.25};
    for (int k = 0; k < 2; k++) {
        bench on;
        lay_bench(&on);
        on.job.board.camera.emissivity = 0.87;
        on.job.board.camera.reflected_c = reflected_c[k];
        for (size_t i = 0; i < PIXELS; i++)
            on.shown_c[i] = (float)shown_by((double)on.shown_c[i], 0.87,
                                            isnan(reflected_c[k]) ? AIR_C : reflected_c[k]);
        correct_quietly(&on);
        for (size_t i = 0; i < on.pixels->count; i++)
            assert_close(on.pixels->rise_k[i],
                         board_c(on.pixels->x_mm[i], on.pixels->y_mm[i]) - AIR_C, 0, 2e-5);
        clear(&on);
    }
}

static void a_pixel_no_board_can_have_is_left_out(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.shown_c[40 * COLUMNS + 30] = 612.5f;
    on.shown_c[41 * COLUMNS + 30] = -55.5f;
    correct_quietly(&on);
    assert_int_equal(on.pixels->blank, 2);
    assert_true(on.pixels->most_c < 60);
    assert_true(on.pixels->least_c > 20);
    clear(&on);
}

/* --- bodies --- */

/* Where a pixel looks at height_mm over the board: on the ray from the camera, which hangs along
 * the lens axis from (65, 45), to the board. */
static void look_above(double column, double row, double height_mm, double *x_mm, double *y_mm)
{
    double up_mm = 210 * cos(0.35), eye_y_mm = 45 - 210 * sin(0.35);
    double share = (up_mm - height_mm) / up_mm;
    unproject(column, row, x_mm, y_mm);
    *x_mm = 65 + share * (*x_mm - 65);
    *y_mm = eye_y_mm + share * (*y_mm - eye_y_mm);
}

/* Puts the can's top into the picture, as a camera set to emissivity 1 shows it. */
static void show_top(bench *on, double top_c, double emissivity)
{
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        look_above((double)(i % COLUMNS), (double)(i / COLUMNS), on->part.height_mm, &x_mm, &y_mm);
        if (hypot(x_mm - on->part.x_mm, y_mm - on->part.y_mm) < on->part.diameter_mm / 2)
            on->shown_c[i] = (float)shown_by(top_c, emissivity, AIR_C);
    }
}

static void a_can_is_read_amid_its_top_with_its_own_emissivity(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_can(&on);
    on.part.ref = "C7";
    on.part.emissivity = 0.34;
    on.job.board.camera.emissivity = 0.9;
    show_top(&on, 71.5, 0.34);
    correct_quietly(&on);
    assert_int_equal(on.pixels->body_count, 1);
    assert_string_equal(on.pixels->bodies[0].ref, "C7");
    assert_true(on.pixels->bodies[0].is_part);
    assert_true(on.pixels->bodies[0].pixels > 15);
    assert_close(on.pixels->bodies[0].temp_c, 71.5, 0, 1e-4);
    clear(&on);
}

static void the_body_of_a_source_is_read_by_its_turned_rectangle(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.source = (sf_source){.ref = "Q3", .x_mm = 90, .y_mm = 30, .width_mm = 30, .height_mm = 12};
    on.source.angle_deg = 30;
    on.source.emissivity = 0.85;
    on.job.sources = &on.source;
    on.job.source_count = 1;
    on.job.board.camera.emissivity = 0.9;
    for (size_t i = 0; i < PIXELS; i++) {
        double x_mm, y_mm;
        look_above((double)(i % COLUMNS), (double)(i / COLUMNS), 15, &x_mm, &y_mm);
        double along = (x_mm - 90) * cos(M_PI / 6) + (y_mm - 30) * sin(M_PI / 6);
        double across = (y_mm - 30) * cos(M_PI / 6) - (x_mm - 90) * sin(M_PI / 6);
        if (fabs(along) < 15 && fabs(across) < 6)
            on.shown_c[i] = (float)shown_by(93.25, 0.85, AIR_C);
    }
    correct_quietly(&on);
    assert_int_equal(on.pixels->body_count, 1);
    assert_false(on.pixels->bodies[0].is_part);
    assert_true(on.pixels->bodies[0].pixels > 30);
    assert_close(on.pixels->bodies[0].temp_c, 93.25, 0, 1e-4);
    clear(&on);
}

static void an_emissivity_is_passed_over_where_the_camera_had_its_own(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_can(&on);
    on.part.emissivity = 0.34;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_int_equal(on.pixels->body_count, 0);
    assert_begins(complaint(&on, 0), "parts.csv: warning: emissivity: that of single parts");
    clear(&on);
}

/* --- doubts --- */

static void make_even(bench *on, double temp_c)
{
    for (size_t i = 0; i < PIXELS; i++)
        on->shown_c[i] = (float)temp_c;
}

/* The half width of a rectangular distribution over sqrt 3 (GUM, JCGM 100:2008, 4.3.7); 2 K or 2 %
 * and what is mirrored, computed from the formula: dT/dR = (1 - e) R^3/(e T^3). */
static void the_offset_is_the_makers_limit_and_what_is_mirrored(void **state)
{
    (void)state;
    static const double temps_c[] = {62.5, 173.75}, limits_k[] = {2, 3.475};
    for (int i = 0; i < 2; i++) {
        bench on;
        lay_bench(&on);
        make_even(&on, temps_c[i]);
        correct(&on);
        assert_int_equal(on.status, SF_OK);
        double mirrored_k = 0.1 / 0.9 * pow((AIR_C + 273.15) / (temps_c[i] + 273.15), 3) * 2;
        double shown_c = shown_by(temps_c[i], 0.9, AIR_C);
        double limit_k = i == 0 ? limits_k[i] : 0.02 * shown_c;
        assert_close(on.pixels->offset_sd_k, hypot(limit_k / sqrt(3), mirrored_k), 1e-5, 0);
        clear(&on);
    }
}

static void a_camera_that_was_checked_has_its_own_offset(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    make_even(&on, 62.5);
    on.job.board.camera.sd_k = 0.35;
    correct_quietly(&on);
    double mirrored_k = 0.1 / 0.9 * pow((AIR_C + 273.15) / (62.5 + 273.15), 3) * 2;
    assert_close(on.pixels->offset_sd_k, hypot(0.35, mirrored_k), 1e-5, 0);
    clear(&on);
}

/* Against the derivative of the temperature by emissivity, by differences: what 0.03 of emissivity
 * do to the rise must not exceed gain_sd times the rise, nor fall far below it. */
static void the_gain_bounds_what_an_emissivity_is_worth(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.board.camera.emissivity = 0.9;
    correct_quietly(&on);
    for (double temp_c = 25; temp_c < 130; temp_c += 7) {
        double shown_c = shown_by(temp_c, 0.9, AIR_C), low_c, high_c;
        assert_int_equal(sf_infrared_temp(shown_c, 0.915, AIR_C, &low_c, NULL, NULL), SF_OK);
        assert_int_equal(sf_infrared_temp(shown_c, 0.885, AIR_C, &high_c, NULL, NULL), SF_OK);
        double share = (high_c - low_c) / (temp_c - AIR_C);
        assert_true(share < on.pixels->gain_sd);
        assert_true(share > 0.6 * on.pixels->gain_sd);
    }
    clear(&on);
}

/* --- what is said --- */

static void marks_that_hold_no_map_are_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.mark_count = 0;
    for (int i = 0; i < 5; i++)
        add_mark(&on, 10 + 22 * i, 8 + 15 * i);
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.pixels);
    assert_begins(complaint(&on, 0), "marks.csv: the 5 marks hold no perspective: ");
    clear(&on);
    lay_bench(&on);
    on.job.thermogram.mark_count = 3;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(complaint(&on, 0), "marks.csv: the 3 marks hold no perspective: ");
    clear(&on);
    lay_bench(&on);
    on.job.thermogram.mark_count = 4;
    on.marks[3] = on.marks[0];
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(complaint(&on, 0), "marks.csv: the 4 marks hold no perspective: ");
    clear(&on);
}

static void a_picture_that_shows_no_board_is_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    for (size_t i = 0; i < PIXELS; i++)
        on.shown_c[i] = NAN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_null(on.pixels);
    assert_begins(complaint(&on, 0), "thermogram.csv: no pixel shows bare board: ");
    clear(&on);
}

static void a_mark_that_was_mistaken_is_named(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_mark(&on, 92, 12);
    on.marks[4].x_mm += 25;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(complaint(&on, 0), "marks.csv:6: warning: the mark lies ");
    assert_int_equal(on.complaints.count, 1);
    clear(&on);
}

static void marks_in_a_corner_are_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.mark_count = 0;
    add_mark(&on, 4, 5);
    add_mark(&on, 44, 7);
    add_mark(&on, 41, 36);
    add_mark(&on, 6, 33);
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    /* computed by the shoelace formula: 1076.5 of 11700 mm2 */
    assert_begins(complaint(&on, 0), "marks.csv: warning: the marks span 9 % of the board");
    clear(&on);
}

static void a_mirrored_picture_is_taken_as_one_from_below(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    add_can(&on);
    for (size_t i = 0; i < on.job.thermogram.mark_count; i++)
        on.marks[i].column = COLUMNS - 1 - on.marks[i].column;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_true(on.pixels->from_below);
    assert_begins(complaint(&on, 0), "marks.csv: warning: the marks turn the board over");
    assert_true(count_in(on.pixels, 34, 46, 54, 66) > 20);
    clear(&on);
}

static void half_a_board_is_warned_of(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.thermogram.rows = ROWS / 2;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(complaint(&on, 0), "thermogram.csv: warning: the picture shows 50 %");
    /* the lower edge of the last row, 35.5, is the level at which y is 45 of 90 mm */
    assert_close(on.pixels->covered, 0.5, 0, 2e-3);
    clear(&on);
}

static void bare_metal_is_warned_of_and_nonsense_refused(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    on.job.board.camera.emissivity = 0.41;
    correct(&on);
    assert_begins(complaint(&on, 0), "board.csv: warning: camera_emissivity: 0.41: so shiny");
    clear(&on);
    lay_bench(&on);
    on.job.board.camera.emissivity = -0.3;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(complaint(&on, 0), "board.csv: camera_emissivity: -0.3 is out of range");
    clear(&on);
    lay_bench(&on);
    on.job.board.ambient_c = NAN;
    correct(&on);
    assert_int_equal(on.status, SF_ERROR_DATA);
    assert_begins(complaint(&on, 0), "board.csv: ambient: nan C is out of range");
    clear(&on);
}

static void a_picture_in_another_unit_is_asked_about(void **state)
{
    (void)state;
    bench on;
    lay_bench(&on);
    for (size_t i = 0; i < PIXELS; i++)
        on.shown_c[i] += 273.15f;
    correct(&on);
    assert_int_equal(on.status, SF_OK);
    assert_begins(complaint(&on, 0), "thermogram.csv: warning: the coldest board in it has 30");
    clear(&on);
    lay_bench(&on);
    make_even(&on, 12);
    correct(&on);
    assert_begins(complaint(&on, 0), "thermogram.csv: warning: the hottest board in it has 12.0 C");
    clear(&on);
}

/* --- memory --- */

/* Linked with --wrap: the library's calls come here. */
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *block, size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *block, size_t size);

static long calls_left = -1; /* calls that succeed still; below 0: all */

static int fails(void)
{
    return calls_left >= 0 && calls_left-- == 0;
}

void *__wrap_calloc(size_t count, size_t size)
{
    return fails() ? NULL : __real_calloc(count, size);
}

void *__wrap_realloc(void *block, size_t size)
{
    return fails() ? NULL : __real_realloc(block, size);
}

/* What leaks is seen by the sanitizer. */
static void any_allocation_may_fail(void **state)
{
    (void)state;
    long tried = 0;
    for (sf_status status = SF_ERROR_MEMORY; status != SF_OK; tried++) {
        bench on;
        lay_bench(&on);
        add_can(&on);
        on.job.ring_count = 2;
        on.part.emissivity = 0.34;
        on.job.board.camera.emissivity = 0.9;
        calls_left = tried;
        correct(&on);
        calls_left = -1;
        status = on.status;
        assert_true(status == SF_OK || status == SF_ERROR_MEMORY);
        assert_int_equal(on.pixels != NULL, status == SF_OK);
        clear(&on);
        assert_true(tried < 200);
    }
    assert_true(tried > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_job_without_a_thermogram_has_no_pixels),
        cmocka_unit_test(each_pixel_lies_where_it_looked),
        cmocka_unit_test(pixels_kept_and_left_out_are_all_there_are),
        cmocka_unit_test(no_pixel_comes_from_a_cut_out_a_can_or_beside_the_board),
        cmocka_unit_test(emissivity_is_corrected_with_what_the_board_mirrors),
        cmocka_unit_test(a_pixel_no_board_can_have_is_left_out),
        cmocka_unit_test(a_can_is_read_amid_its_top_with_its_own_emissivity),
        cmocka_unit_test(the_body_of_a_source_is_read_by_its_turned_rectangle),
        cmocka_unit_test(an_emissivity_is_passed_over_where_the_camera_had_its_own),
        cmocka_unit_test(the_offset_is_the_makers_limit_and_what_is_mirrored),
        cmocka_unit_test(a_camera_that_was_checked_has_its_own_offset),
        cmocka_unit_test(the_gain_bounds_what_an_emissivity_is_worth),
        cmocka_unit_test(marks_that_hold_no_map_are_refused),
        cmocka_unit_test(a_picture_that_shows_no_board_is_refused),
        cmocka_unit_test(a_mark_that_was_mistaken_is_named),
        cmocka_unit_test(marks_in_a_corner_are_warned_of),
        cmocka_unit_test(a_mirrored_picture_is_taken_as_one_from_below),
        cmocka_unit_test(half_a_board_is_warned_of),
        cmocka_unit_test(bare_metal_is_warned_of_and_nonsense_refused),
        cmocka_unit_test(a_picture_in_another_unit_is_asked_about),
        cmocka_unit_test(any_allocation_may_fail),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("thermogram", tests, NULL, NULL);
}
