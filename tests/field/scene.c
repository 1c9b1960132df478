/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A whole job for sf_field_fit. */
#include "field/scene.h"

#include <math.h>
#include <string.h>

#include "core/geometry.h"
#include "field/fit_data.h"
#include "support/check.h"

#define APART_MM 4

static const char *const refs[] = {"R1", "Q2", "D3", "T4", "U5", "R6", "Q7"};

void scene_bare(scene *made, double width_mm, double height_mm)
{
    memset(made, 0, sizeof *made);
    made->board = plain_board(width_mm, height_mm);
    made->background_k = 8;
    made->length_mm = 23;
    made->options = sf_field_options_default();
    scene_add_ring(made, 0, 0, width_mm, height_mm);
}

void scene_plain(scene *made)
{
    scene_bare(made, 120, 90);
    scene_add_source(made, 31, 27, 14, 6, 39000);
    scene_add_source(made, 85, 62, 10, 10, 33000);
    scene_add_source(made, 96, 18, 8, 12, 21000);
    made->sources[2].angle_deg = 30;
}

void scene_add_ring(scene *made, double left_mm, double low_mm, double right_mm, double high_mm)
{
    size_t at = made->ring_count++;
    made->rings[at] = rectangle_ring(made->corners[at], left_mm, low_mm, right_mm, high_mm);
}

void scene_add_source(scene *made, double x_mm, double y_mm, double width_mm, double height_mm,
                      double strength_k_mm2)
{
    size_t at = made->source_count++;
    made->sources[at] = plain_source(refs[at % 7], x_mm, y_mm, width_mm, height_mm);
    made->sources[at].line = at + 2;
    made->strength_k_mm2[at] = strength_k_mm2;
}

void scene_hide_source(scene *made, double x_mm, double y_mm, double side_mm, double strength_k_mm2)
{
    scene_add_source(made, x_mm, y_mm, side_mm, side_mm, strength_k_mm2);
    made->hidden_count++;
}

void scene_add_reading(scene *made, double x_mm, double y_mm, double sd_k)
{
    size_t at = made->reading_count++;
    made->seen[at] = plain_observation("t", x_mm, y_mm, NAN, sd_k);
    made->seen[at].line = at + 2;
}

void scene_scatter(scene *made, size_t count, double sd_k, unsigned long seed)
{
    while (count > 0) {
        double x = made->board.width_mm * next_uniform(&seed);
        double y = made->board.height_mm * next_uniform(&seed);
        bool apart = board_contains(made->rings, made->ring_count, x, y);
        for (size_t i = 0; i < made->reading_count; i++)
            apart = apart && hypot(made->seen[i].x_mm - x, made->seen[i].y_mm - y) > APART_MM;
        if (!apart)
            continue;
        scene_add_reading(made, x, y, sd_k);
        count--;
    }
}

truth scene_truth(const scene *of, double cell_mm)
{
    truth_plan plan = {.board = &of->board,
                       .rings = of->rings,
                       .ring_count = of->ring_count,
                       .sources = of->sources,
                       .strength_k_mm2 = of->strength_k_mm2,
                       .source_count = of->source_count,
                       .background_k = of->background_k,
                       .length_mm = of->length_mm,
                       .cell_mm = cell_mm};
    return truth_make(&plan);
}

void scene_read(scene *made, const truth *from, double noise, unsigned long seed)
{
    for (size_t i = 0; i < made->reading_count; i++) {
        sf_observation *seen = &made->seen[i];
        seen->rise_k =
            truth_at(from, seen->x_mm, seen->y_mm) + noise * seen->sd_k * next_normal(&seed);
        seen->temp_c = made->board.ambient_c + seen->rise_k;
    }
}

sf_status scene_fit(const scene *of, sf_field **field, sf_diagnostics *diagnostics)
{
    sf_field_input input = {.board = &of->board,
                            .rings = of->rings,
                            .ring_count = of->ring_count,
                            .sources = of->sources,
                            .source_count = of->source_count - of->hidden_count,
                            .observations = of->seen,
                            .observation_count = of->reading_count,
                            .pixels = of->pixels,
                            .cans = of->cans,
                            .can_count = of->can_count};
    sf_diagnostics unheard = {0};
    sf_status status =
        sf_field_fit(&input, &of->options, field, diagnostics ? diagnostics : &unheard);
    sf_diagnostics_clear(&unheard);
    return status;
}

static void assert_estimate(const sf_estimate *value)
{
    assert_true(isfinite(value->value));
    assert_true(isfinite(value->sd) && value->sd > 0);
}

void assert_sound(const scene *of, const sf_field *field)
{
    sf_grid cells = sf_field_grid(field);
    const double *rise_k = sf_field_rise_k(field), *sd_k = sf_field_rise_sd_k(field);
    size_t inside = 0, count;
    for (size_t cell = 0; cell < cells.columns * cells.rows; cell++) {
        if (!cells.inside[cell]) {
            assert_true(isnan(rise_k[cell]) && isnan(sd_k[cell]));
            continue;
        }
        inside++;
        assert_estimate(&(sf_estimate){rise_k[cell], sd_k[cell]});
    }
    sf_field_summary summary = sf_field_summarize(field);
    assert_int_equal(summary.cells, inside);
    assert_close(summary.cell_mm, cells.cell_mm, 0, 0);
    assert_true(isfinite(summary.left_out_rmse_k) && summary.noise_factor > 0);
    const sf_reading_fit *readings = sf_field_readings(field, &count);
    assert_int_equal(count, summary.readings);
    for (size_t i = 0; i < count; i++) {
        assert_true(readings[i].observation < of->reading_count);
        assert_estimate(&readings[i].fitted_k);
        assert_estimate(&readings[i].left_out_k);
        assert_true(isfinite(readings[i].score));
    }
    const sf_source_fit *sources = sf_field_sources(field, &count);
    for (size_t j = 0; j < count; j++) {
        assert_estimate(&sources[j].rise_k);
        assert_estimate(&sources[j].power_w);
        assert_true(isfinite(sources[j].evidence));
        assert_true(sources[j].probability > 0 && sources[j].probability <= 1);
        assert_true(sources[j].ref[0] != '\0');
    }
}

sf_field *scene_field(const scene *of)
{
    sf_field *field;
    assert_int_equal(scene_fit(of, &field, NULL), SF_OK);
    assert_sound(of, field);
    return field;
}

int complained_of(const sf_diagnostics *diagnostics, sf_severity severity, const char *words)
{
    for (size_t i = 0; i < diagnostics->count; i++)
        if (diagnostics->items[i].severity == severity && strstr(diagnostics->items[i].what, words))
            return 1;
    return 0;
}
