/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays the board, and has it planned. */
#include "life/desk.h"

#include <math.h>
#include <string.h>

#include "support/check.h"

static sf_ring rectangle(sf_point *corners, double left, double low, double right, double high)
{
    corners[0] = (sf_point){left, low};
    corners[1] = (sf_point){right, low};
    corners[2] = (sf_point){right, high};
    corners[3] = (sf_point){left, high};
    return (sf_ring){.points = corners, .count = 4, .reason = "mains primary"};
}

void desk_set(desk *on)
{
    static const struct {
        const char *ref;
        double x_mm, y_mm;
    } stood[PARTS] = {{"C1", 14, 17}, {"C2", 58, 66}, {"C3", 101, 44},
                      {"C4", 105, 9}, {"C5", 61, 12}, {"C6", 17, 69}};
    static const double read[SEEN][3] = {
        {60, 40, 10}, {30, 60, 6}, {112, 70, 9}, {80, 10, 8}, {90, 46, 27}};
    memset(on, 0, sizeof *on);
    for (size_t i = 0; i < PARTS; i++) {
        on->parts[i] = plain_part(stood[i].ref);
        on->parts[i].x_mm = stood[i].x_mm;
        on->parts[i].y_mm = stood[i].y_mm;
    }
    on->sources[0] =
        (sf_source){"H1", 25, 26, 14, 10, 0, SF_MOUNT_UNKNOWN, NAN, NAN, NAN, SF_SIDE_EITHER, 2};
    on->sources[1] =
        (sf_source){"H2", 88, 44, 12, 12, 0, SF_MOUNT_UNKNOWN, NAN, NAN, NAN, SF_SIDE_EITHER, 3};
    on->rings[0] = rectangle(on->corners, 0, 0, 120, 80);
    on->rings[1] = rectangle(on->corners + 4, 46, 4, 49, 52);
    on->keepout = rectangle(on->corners + 8, 0, 0, 44, 48);
    for (size_t i = 0; i < SEEN; i++)
        on->seen[i] = (sf_observation){.id = "t",
                                       .x_mm = read[i][0],
                                       .y_mm = read[i][1],
                                       .temp_c = 23 + read[i][2],
                                       .rise_k = read[i][2],
                                       .sd_k = 0.8,
                                       .in_fit = true,
                                       .remark = ""};
    on->job = plain_job(on->parts, PARTS);
    on->job.board.service_ambient_c = 33;
    on->job.board.width_mm = 120;
    on->job.board.height_mm = 80;
    on->job.board.laminate = SF_LAMINATE_FR2;
    on->job.board.thickness_mm = 1.6;
    on->job.board.copper_layers = 1;
    on->job.board.copper_thickness_um = 35;
    on->job.board.copper_cover = 0.4;
    on->job.rings = on->rings;
    on->job.ring_count = 2;
    on->job.sources = on->sources;
    on->job.source_count = SOURCES;
    on->job.keepouts = &on->keepout;
    on->job.keepout_count = 1;
}

sf_plan *plan_of(desk *on, size_t points)
{
    sf_plan *plan;
    sf_plan_options options = sf_plan_options_default();
    options.points = points;
    assert_int_equal(
        sf_plan_make(&on->job, on->seen, on->seen_count, &options, &plan, &on->diagnostics), SF_OK);
    assert_int_equal(on->diagnostics.error_count, 0);
    sf_diagnostics_clear(&on->diagnostics);
    return plan;
}
