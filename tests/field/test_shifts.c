/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Where the cells fall says nothing of a board: a job slid by parts of a cell, with its board or
 * within it, is told the same temperatures at the same places. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "field/scene.h"

#define PLACES 12
#define STEPS 8 /* slides, to a whole cell */

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* What is asked of a board wherever it lies: `near` says which places lie beside a small source. */
typedef struct question {
    sf_point places[PLACES];
    bool near[PLACES];
    size_t count;
} question;

static void ask(question *of, double x_mm, double y_mm, bool near)
{
    of->places[of->count] = (sf_point){x_mm, y_mm};
    of->near[of->count++] = near;
}

static void slide(scene *job, double x_mm, double y_mm, bool board_too)
{
    for (size_t j = 0; j < job->source_count; j++) {
        job->sources[j].x_mm += x_mm;
        job->sources[j].y_mm += y_mm;
    }
    for (size_t i = 0; i < job->reading_count; i++) {
        job->seen[i].x_mm += x_mm;
        job->seen[i].y_mm += y_mm;
    }
    for (size_t r = 0; board_too && r < job->ring_count; r++)
        for (size_t c = 0; c < 4; c++) {
            job->corners[r][c].x_mm += x_mm;
            job->corners[r][c].y_mm += y_mm;
        }
}

static void rings_again(scene *job)
{
    for (size_t r = 0; r < job->ring_count; r++)
        job->rings[r].points = job->corners[r];
}

/* The greatest range of a prediction over all slides: near a source in shares of the rise there,
 * elsewhere of the greatest rise. What a person can ask for beside a source, a judgement; the
 * hyperparameters that are fitted anew at each step are within it. */
#define NEAR_MOST 0.05
#define ELSEWHERE_MOST 0.006

typedef struct spread {
    double near, elsewhere;
} spread;

/* A job slid within its board lies nearer to an edge, and its truth is another: `anew` reads that
 * each time, with the same noise, and holds the prediction against it. */
static spread slid(const scene *job, const question *of, bool board_too, bool anew)
{
    double least[PLACES], most[PLACES], rise_k[PLACES];
    size_t stride = anew ? 2 : 1; /* by whole cells of the truth, which has its own */
    for (size_t step = 0; step < STEPS; step += stride) {
        scene moved = *job;
        double cell_mm = 2.5, dx = cell_mm * (double)step / STEPS;
        double dy = cell_mm * (double)(step * 3 % STEPS) / STEPS;
        rings_again(&moved);
        slide(&moved, dx, dy, board_too);
        sf_field *field;
        truth from = {0};
        if (anew) {
            from = scene_truth(&moved, 0.625);
            scene_read(&moved, &from, 1, 19);
        }
        assert_int_equal(scene_fit(&moved, &field, NULL), SF_OK);
        for (size_t p = 0; p < of->count; p++) {
            sf_estimate told;
            assert_int_equal(
                sf_field_at(field, of->places[p].x_mm + dx, of->places[p].y_mm + dy, &told), SF_OK);
            rise_k[p] = anew ? truth_at(&from, of->places[p].x_mm + dx, of->places[p].y_mm + dy)
                             : fmax(step ? rise_k[p] : 0, told.value);
            double off_k = told.value - (anew ? rise_k[p] : 0);
            least[p] = step ? fmin(least[p], off_k) : off_k;
            most[p] = step ? fmax(most[p], off_k) : off_k;
        }
        if (anew)
            truth_clear(&from);
        sf_field_free(field);
    }
    spread seen = {0, 0};
    double top_k = 0;
    for (size_t p = 0; p < of->count; p++)
        top_k = fmax(top_k, rise_k[p]);
    for (size_t p = 0; p < of->count; p++) {
        double *share = of->near[p] ? &seen.near : &seen.elsewhere;
        double by = of->near[p] ? rise_k[p] : top_k;
        *share = fmax(*share, (most[p] - least[p]) / by);
    }
    print_message("moved by %.1f %% near a source, %.2f %% elsewhere\n", 100 * seen.near,
                  100 * seen.elsewhere);
    return seen;
}

/* Five 0805 resistors in a row on bare FR-4, the fourth heated. Temperatures by infrared at their
 * middles and the geometry off the photo: Lrrrence/PCB-temp-monitoring, commit dfcef7fb,
 * Waveforms/PCB#2/avg/temp_log.txt, with the paper in NDT 3 (2025) 1; cold readings of the same
 * file taken off. */
static void five_resistors(scene *job, double margin_mm, size_t left_out)
{
    static const double cold_c[] = {16.2, 16.9, 17.0, 17.2, 16.9};
    static const double hot_c[] = {23.37, 29.71, 41.77, 95.99, 42.71};
    scene_bare(job, 99 + margin_mm, 76 + margin_mm);
    job->board.copper_layers = 0;
    for (size_t i = 0; i < 5; i++) {
        double x_mm = 41 + 2.6 * (double)i;
        if (i == 3)
            scene_add_source(job, x_mm, 33, 2, 1.25, 0);
        if (i == left_out)
            continue;
        scene_add_reading(job, x_mm, 33, 0.7);
        job->seen[job->reading_count - 1].rise_k = hot_c[i] - cold_c[i];
        job->seen[job->reading_count - 1].temp_c = hot_c[i];
    }
    scene_add_reading(job, 80, 60, 0.7);
    job->seen[job->reading_count - 1].rise_k = 1.1;
    job->seen[job->reading_count - 1].temp_c = job->board.ambient_c + 1.1;
}

static question about_resistors(void)
{
    question of = {.count = 0};
    for (size_t i = 0; i < 5; i++)
        ask(&of, 41 + 2.6 * (double)i, 33, true);
    ask(&of, 48.8, 35.6, true);
    ask(&of, 50.1, 34.3, true);
    ask(&of, 60, 33, false);
    ask(&of, 20, 60, false);
    return of;
}

static void resistors_slid_within_their_board(void **state)
{
    (void)state;
    question of = about_resistors();
    for (size_t left_out = 0; left_out < 5; left_out++) {
        scene job;
        five_resistors(&job, 0, left_out);
        spread seen = slid(&job, &of, false, false);
        assert_true(seen.near < NEAR_MOST);
        assert_true(seen.elsewhere < ELSEWHERE_MOST);
    }
}

static void resistors_slid_with_their_board(void **state)
{
    (void)state;
    question of = about_resistors();
    scene job;
    five_resistors(&job, 5, 2);
    job.corners[0][1].x_mm = job.corners[0][2].x_mm = 99;
    job.corners[0][2].y_mm = job.corners[0][3].y_mm = 76;
    spread seen = slid(&job, &of, true, false);
    assert_true(seen.near < NEAR_MOST);
    assert_true(seen.elsewhere < ELSEWHERE_MOST);
}

/* Sources of several sizes and turns, one of them beside a slot; read from a field of fine cells.
 */
static void sources_of_every_size_slid_within_their_board(void **state)
{
    (void)state;
    scene job;
    scene_plain(&job);
    scene_add_ring(&job, 60, 20, 61, 70);
    scene_add_source(&job, 55, 40, 1.2, 0.6, 2500);
    scene_add_source(&job, 30, 65, 3, 5, 9000);
    job.sources[4].angle_deg = 25;
    scene_scatter(&job, 24, 0.4, 77);
    question of = {.count = 0};
    ask(&of, 55, 42.5, true);
    ask(&of, 55, 40, true);
    ask(&of, 30, 70, true);
    ask(&of, 33, 65, true);
    ask(&of, 31, 27, true);
    ask(&of, 40, 27, true);
    ask(&of, 96, 27, true);
    ask(&of, 65, 40, false);
    ask(&of, 10, 80, false);
    ask(&of, 110, 80, false);
    spread seen = slid(&job, &of, false, true);
    assert_true(seen.near < NEAR_MOST);
    assert_true(seen.elsewhere < ELSEWHERE_MOST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resistors_slid_within_their_board),
        cmocka_unit_test(resistors_slid_with_their_board),
        cmocka_unit_test(sources_of_every_size_slid_within_their_board),
    };
    return cmocka_run_group_tests(tests, quiet, NULL);
}
