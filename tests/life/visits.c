/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays the board, reads it twice, and compares. */
#include "life/visits.h"

#include <math.h>
#include <string.h>

#include "support/check.h"

void visit_set(visit *on)
{
    static const struct {
        const char *ref;
        double x_mm, y_mm;
    } stood[PARTS] = {
        {"C1", 14, 17}, {"C2", 58, 66}, {"C3", 101, 44}, {"C4", 105, 9}, {"C5", 17, 69}};
    static const double read[SEEN][3] = {{60, 40, 10}, {30, 60, 6},  {112, 70, 9},
                                         {80, 10, 8},  {90, 46, 27}, {15, 15, 4.5}};
    memset(on, 0, sizeof *on);
    for (size_t i = 0; i < PARTS; i++) {
        on->parts[i] = plain_part(stood[i].ref);
        on->parts[i].x_mm = stood[i].x_mm;
        on->parts[i].y_mm = stood[i].y_mm;
    }
    on->source =
        (sf_source){"H2", 88, 44, 12, 12, 0, SF_MOUNT_UNKNOWN, NAN, NAN, NAN, SF_SIDE_EITHER, 3};
    const sf_point corners[4] = {{0, 0}, {120, 0}, {120, 80}, {0, 80}};
    memcpy(on->corners, corners, sizeof corners);
    on->ring = (sf_ring){.points = on->corners, .count = 4, .reason = ""};
    for (size_t i = 0; i < SEEN; i++)
        on->seen[i] = (sf_observation){.id = "t",
                                       .x_mm = read[i][0],
                                       .y_mm = read[i][1],
                                       .temp_c = 23 + read[i][2],
                                       .rise_k = read[i][2],
                                       .sd_k = 0.8,
                                       .common_k = {[SF_METHOD_THERMOCOUPLE_K] = 0.5,
                                                    [SF_COMMON_BEAD] = 0.01 * read[i][2],
                                                    [SF_COMMON_AIR] = 0.3},
                                       .in_fit = true,
                                       .remark = ""};
    on->job = plain_job(on->parts, PARTS);
    on->job.policy.shared_pct = 50;
    on->job.board.width_mm = 120;
    on->job.board.height_mm = 80;
    on->job.board.laminate = SF_LAMINATE_FR2;
    on->job.board.thickness_mm = 1.6;
    on->job.board.copper_layers = 1;
    on->job.board.copper_thickness_um = 35;
    on->job.board.copper_cover = 0.4;
    on->job.rings = &on->ring;
    on->job.ring_count = 1;
    on->job.sources = &on->source;
    on->job.source_count = 1;
}

void visit_fit(visit *on)
{
    sf_diagnostics diagnostics = {0};
    sf_field_options options = sf_field_options_default();
    sf_field_input input = {.board = &on->job.board,
                            .rings = on->job.rings,
                            .ring_count = 1,
                            .sources = on->job.sources,
                            .source_count = 1,
                            .observations = on->seen,
                            .observation_count = SEEN};
    assert_int_equal(sf_field_fit(&input, &options, &on->field, &diagnostics), SF_OK);
    sf_diagnostics_clear(&diagnostics);
}

sf_survey visit_survey(const visit *on)
{
    return (sf_survey){&on->job, on->field, on->seen, SEEN};
}

sf_comparison *compare(visit *before, visit *after, sf_diagnostics *diagnostics)
{
    sf_comparison *found = NULL;
    visit_fit(before);
    visit_fit(after);
    sf_survey first = visit_survey(before), second = visit_survey(after);
    sf_status status = sf_surveys_compare(&first, &second, &found, diagnostics);
    assert_int_equal(status, found ? SF_OK : SF_ERROR_DATA);
    sf_field_free(before->field);
    sf_field_free(after->field);
    return found;
}

sf_comparison *compare_quietly(visit *before, visit *after)
{
    sf_diagnostics diagnostics = {0};
    sf_comparison *found = compare(before, after, &diagnostics);
    assert_non_null(found);
    sf_diagnostics_clear(&diagnostics);
    return found;
}
