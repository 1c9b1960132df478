/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is read on a small body is more than the board's rise, and on no other. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>

#include "field/scene.h"
#include "field/small_bodies.h"

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

static bool read_on(const sf_source *source, double x_mm, double y_mm, sf_spot spot)
{
    sf_field_input input = {.sources = source, .source_count = 1};
    sf_observation seen = plain_observation("t", x_mm, y_mm, 37.4, 0.6);
    seen.spot = spot;
    return body_was_read(&input, &seen);
}

static void only_narrow_bodies_that_lie_on_the_board_are_read_for_it(void **state)
{
    (void)state;
    sf_source chip = plain_source("R4", 31.7, 22.3, 6.3, 3.2);
    assert_true(read_on(&chip, 31.7, 22.3, SF_SPOT_BOARD));
    assert_true(read_on(&chip, 34.7, 23.8, SF_SPOT_BOARD));
    assert_false(read_on(&chip, 35.1, 22.3, SF_SPOT_BOARD)); /* beside it */
    assert_false(read_on(&chip, 31.7, 22.3, SF_SPOT_PART));
    chip.mount = SF_MOUNT_FLAT;
    assert_true(read_on(&chip, 31.7, 22.3, SF_SPOT_BOARD));
    chip.mount = SF_MOUNT_STANDING; /* below it there is board to read */
    assert_false(read_on(&chip, 31.7, 22.3, SF_SPOT_BOARD));
    chip.mount = SF_MOUNT_FLAT;
    chip.height_mm = 4.3; /* room for a bead at its edge */
    assert_false(read_on(&chip, 31.7, 22.3, SF_SPOT_BOARD));
}

static void a_turned_body_covers_what_lies_under_it(void **state)
{
    (void)state;
    sf_source chip = plain_source("R4", 31.7, 22.3, 6.3, 3.2);
    assert_false(body_covers(&chip, 31.7, 25.0));
    assert_true(body_covers(&chip, 34.6, 22.3));
    chip.angle_deg = 90;
    assert_true(body_covers(&chip, 31.7, 25.0));
    assert_false(body_covers(&chip, 34.6, 22.3));
}

/* A field of fine cells, the reading on the chip BODY_SHARE times its board: what is told of the
 * board is the board, by few readings and by many. */
static void foretell_under_a_chip(size_t readings)
{
    scene job;
    scene_plain(&job);
    scene_add_source(&job, 57, 44, 2.0, 1.25, 3000);
    scene_scatter(&job, readings, 0.4, 41);
    scene_add_reading(&job, 57, 44, 0.4);
    truth from = scene_truth(&job, 0.5);
    scene_read(&job, &from, 1, 5);
    double board_k = truth_at(&from, 57, 44);
    sf_observation *on_chip = &job.seen[job.reading_count - 1];
    on_chip->rise_k = BODY_SHARE * board_k;
    sf_field *field = scene_field(&job);
    sf_estimate told;
    size_t count;
    assert_int_equal(sf_field_at(field, 57, 44, &told), SF_OK);
    print_message("board under the chip %.1f K, told %.1f +/- %.1f K\n", board_k, told.value,
                  told.sd);
    assert_close(told.value, board_k, 0, 1.5 * told.sd);
    assert_true(told.sd < 0.3 * board_k); /* as sure as a share of 1.50 +/- 0.35 leaves it */
    const sf_reading_fit *fits = sf_field_readings(field, &count);
    assert_true(fits[count - 1].gross < 0.5);
    assert_true(fabs(fits[count - 1].score) < 2);
    sf_field_free(field);
    truth_clear(&from);
}

static void the_board_under_a_chip_is_cooler_than_its_top(void **state)
{
    (void)state;
    foretell_under_a_chip(23);
    foretell_under_a_chip(110);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(only_narrow_bodies_that_lie_on_the_board_are_read_for_it),
        cmocka_unit_test(a_turned_body_covers_what_lies_under_it),
        cmocka_unit_test(the_board_under_a_chip_is_cooler_than_its_top),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
