/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Circles from photos of invented boards: how many cans are found, missed, and made up. */
#include "support/check.h"

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "drawn_photo.h"
#include "page/photo.h"
#include "readings/circles.h"
#include "readings/viewpoint.h"

enum { PHOTOS = 3 };

/* Of one photo; how far the middle of a can's foot is off, at the median of the hits: where its top
 * is taken for it, and once the top is set upright by its height, with the camera's height as the
 * marks tell it and as a person knows it. */
typedef struct tally {
    int cans, hits, false_ones, screws;
    double leaning_mm, upright_mm, known_mm, seconds;
} tally;

static const drawn_view views[PHOTOS] = {{11, 60, 220, 160, 110, 80, 450, 0.3, 4},
                                         {12, 60, 260, 180, 60, 40, 380, 0.6, 8},
                                         {13, 40, 160, 120, 150, -40, 300, 0.5, 12}};

static double member(const json_t *of, const char *name)
{
    return json_number_value(json_object_get(of, name));
}

static double apart(sf_point a, sf_point b)
{
    return hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
}

static sf_point place_of(const json_t *found)
{
    return (sf_point){member(found, "x_mm"), member(found, "y_mm")};
}

/* A hit lies within a fifth of the can's diameter of its top as seen, and is as wide to a quarter.
 */
static bool is_hit(const drawn_can *can, const viewpoint *eye, const json_t *found)
{
    sf_point top = viewpoint_cast(eye, (sf_point){can->x_mm, can->y_mm}, can->height_mm);
    double wide = can->diameter_mm * eye->above_mm / (eye->above_mm - can->height_mm);
    double ratio = member(found, "diameter_mm") / wide;
    return apart(place_of(found), top) < wide / 5 && ratio > 0.75 && ratio < 1.25;
}

static void write_marks(const drawn_view *view, const drawn_photo *drawn)
{
    char rows[512] = "mark,column_px,row_px,x_mm,y_mm\n";
    for (int i = 0; i < 4; i++)
        snprintf(rows + strlen(rows), sizeof rows - strlen(rows), "%d,%.1f,%.1f,%g,%g\n", i + 1,
                 drawn->corners_px[i].x_mm, drawn->corners_px[i].y_mm,
                 i == 1 || i == 2 ? view->width_mm : 0, i >= 2 ? view->height_mm : 0);
    write_file(test_folder, "photo-marks.csv", rows);
}

/* As the page does it. */
static double foot_off(const drawn_can *can, const viewpoint *eye, const json_t *found)
{
    double share = can->height_mm / eye->above_mm;
    sf_point seen = place_of(found), foot = {seen.x_mm - share * (seen.x_mm - eye->x_mm),
                                             seen.y_mm - share * (seen.y_mm - eye->y_mm)};
    return apart(foot, (sf_point){can->x_mm, can->y_mm});
}

static int by_size(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

static double median(double *values, int count)
{
    qsort(values, (size_t)count, sizeof *values, by_size);
    return count ? values[count / 2] : NAN;
}

static bool is_screw(const drawn_photo *drawn, const json_t *found)
{
    for (size_t i = 0; i < drawn->screw_count; i++)
        if (apart(place_of(found), drawn->screws[i]) < 1.5)
            return true;
    return false;
}

/* The can that a circle is, or -1; each can once. */
static int can_of(const drawn_photo *drawn, const viewpoint *eye, const json_t *found, bool *used)
{
    for (size_t can = 0; can < drawn->count; can++)
        if (!used[can] && is_hit(&drawn->cans[can], eye, found)) {
            used[can] = true;
            return (int)can;
        }
    return -1;
}

static tally tally_up(const drawn_view *view, const drawn_photo *drawn, const json_t *made)
{
    const json_t *circles = json_object_get(made, "circles"),
                 *camera = json_object_get(made, "camera");
    viewpoint eye = {view->eye_x_mm, view->eye_y_mm, view->eye_above_mm}, told = eye, at = eye;
    told.x_mm = at.x_mm = member(camera, "x_mm");
    told.y_mm = at.y_mm = member(camera, "y_mm");
    told.above_mm = member(camera, "above_mm");
    bool used[DRAWN_CANS_MOST] = {false};
    double leaning[DRAWN_CANS_MOST], upright[DRAWN_CANS_MOST], known[DRAWN_CANS_MOST];
    tally found = {.cans = (int)drawn->count};
    for (size_t i = 0; i < json_array_size(circles); i++) {
        const json_t *seen = json_array_get(circles, i);
        int can = can_of(drawn, &eye, seen, used);
        if (can < 0) {
            found.false_ones++;
            found.screws += is_screw(drawn, seen);
            continue;
        }
        const drawn_can *hit = &drawn->cans[can];
        leaning[found.hits] = apart(place_of(seen), (sf_point){hit->x_mm, hit->y_mm});
        upright[found.hits] = foot_off(hit, &told, seen);
        known[found.hits++] = foot_off(hit, &at, seen);
    }
    found.leaning_mm = median(leaning, found.hits);
    found.upright_mm = median(upright, found.hits);
    found.known_mm = median(known, found.hits);
    return found;
}

static tally look(const drawn_view *view)
{
    drawn_photo drawn;
    json_t *made = NULL;
    photo_draw(view, test_folder, &drawn);
    write_marks(view, &drawn);
    clock_t began = clock();
    assert_int_equal(photo_circles(test_folder, view->width_mm, view->height_mm, NULL, &made),
                     SF_OK);
    double seconds = (double)(clock() - began) / CLOCKS_PER_SEC;
    tally found = tally_up(view, &drawn, made);
    found.seconds = seconds;
    json_decref(made);
    return found;
}

/* The lines of tests/page/README.md; two cans more or less are what another decoder may see. */
static void test_as_the_readme_tells(void **state)
{
    (void)state;
    char line[256];
    int read = 0;
    FILE *readme = fopen(source_path("tests/page/README.md"), "r");
    assert_non_null(readme);
    while (read < PHOTOS && fgets(line, sizeof line, readme)) {
        tally told = {0};
        int misses = 0;
        if (sscanf(line, "| %*d | %d | %d | %d | %d | %d | %lf | %lf | %lf", &told.cans, &told.hits,
                   &misses, &told.false_ones, &told.screws, &told.leaning_mm, &told.upright_mm,
                   &told.known_mm) != 8)
            continue;
        tally found = look(&views[read]);
        printf("| %d | %d | %d | %d | %d | %d | %.1f | %.1f | %.1f | (%.2f s)\n", ++read,
               found.cans, found.hits, found.cans - found.hits, found.false_ones, found.screws,
               found.leaning_mm, found.upright_mm, found.known_mm, found.seconds);
        assert_int_equal(found.cans, told.cans);
        assert_int_equal(told.cans - told.hits, misses);
        assert_true(abs(found.hits - told.hits) <= 2);
        assert_true(abs(found.false_ones - told.false_ones) <= 2);
        assert_int_equal(found.screws, told.screws);
        assert_close(found.leaning_mm, told.leaning_mm, 0, 0.2);
        assert_close(found.upright_mm, told.upright_mm, 0, 0.2);
        assert_close(found.known_mm, told.known_mm, 0, 0.2);
    }
    fclose(readme);
    assert_int_equal(read, PHOTOS);
}

/* Of tracks, text, chips and noise nothing is made up; a screw is round. */
static void test_nothing_where_nothing_is(void **state)
{
    (void)state;
    drawn_view bare = {21, 0, 200, 150, 100, 75, 400, 0.4, 12};
    tally found = look(&bare);
    assert_int_equal(found.hits, 0);
    assert_true(found.screws > 0);
    assert_int_equal(found.false_ones, found.screws);
}

static void test_what_is_no_picture(void **state)
{
    (void)state;
    static const unsigned char grey[7 * 7];
    circle found[CIRCLES_MOST];
    size_t count = 1;
    const grey_picture small = {grey, 7, 7}, narrow = {grey, 6, 7},
                       wide = {grey, CIRCLES_SIDE_MOST + 1, 7};
    assert_int_equal(circles_find(&small, 3, 4, found, &count, NULL), SF_OK);
    assert_int_equal(count, 0);
    assert_int_equal(circles_find(&narrow, 3, 4, found, &count, NULL), SF_ERROR_ARGUMENT);
    assert_int_equal(circles_find(&wide, 3, 4, found, &count, NULL), SF_ERROR_ARGUMENT);
    assert_int_equal(circles_find(&small, 2, 4, found, &count, NULL), SF_ERROR_ARGUMENT);
    assert_int_equal(circles_find(&small, 4, 4, found, &count, NULL), SF_ERROR_ARGUMENT);
    assert_int_equal(circles_find(&small, NAN, 4, found, &count, NULL), SF_ERROR_ARGUMENT);
}

static void test_without_a_photo(void **state)
{
    (void)state;
    json_t *made = NULL;
    assert_int_equal(photo_circles(test_folder, 100, 80, NULL, &made), SF_ERROR_MISSING);
    assert_null(made);
}

static void test_a_search_that_nobody_waits_for_ends(void **state)
{
    (void)state;
    json_t *made = NULL;
    drawn_photo drawn;
    atomic_bool left = true;
    photo_draw(&views[2], test_folder, &drawn);
    write_marks(&views[2], &drawn);
    assert_int_equal(
        photo_circles(test_folder, views[2].width_mm, views[2].height_mm, &left, &made),
        SF_ERROR_DATA);
    assert_null(made);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(test_as_the_readme_tells, folder_set_up, folder_tear_down),
        cmocka_unit_test_setup_teardown(test_nothing_where_nothing_is, folder_set_up,
                                        folder_tear_down),
        cmocka_unit_test(test_what_is_no_picture),
        cmocka_unit_test_setup_teardown(test_without_a_photo, folder_set_up, folder_tear_down),
        cmocka_unit_test_setup_teardown(test_a_search_that_nobody_waits_for_ends, folder_set_up,
                                        folder_tear_down)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
