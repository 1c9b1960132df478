/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The perspective map from marks in a picture to the same marks on the board. */
#include "readings/marks.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_vector.h>
#include <math.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "spotfield/status.h"

/* --- damped least squares --- */

/* Least squares by singular values, U S V'. The Jacobi decomposition and the products here ask for
 * no memory: the library's own fitting routines do, and some crash when it runs out. */

typedef struct least_squares {
    double *space;             /* behind all of these */
    gsl_matrix_view slopes;    /* equations x unknowns; used up by a solution */
    gsl_vector_view gap;       /* what is wanted less what is there, one an equation */
    gsl_vector_view step;      /* the solution */
    gsl_matrix_view right;     /* right singular vectors of the slopes */
    gsl_vector_view singular;  /* singular values, falling */
    gsl_vector_view projected; /* gap in the space of the unknowns */
} least_squares;

#define RANK_TOLERANCE 1e-12

/* Space for equations >= unknowns; false where memory is short. It may be moved, not copied. */
static bool least_squares_make(size_t equations, size_t unknowns, least_squares *made)
{
    double *space = NULL;
    if (equations < SIZE_MAX / (unknowns + 1) / 2)
        space = array_new((equations + unknowns + 3) * (unknowns + 1), sizeof *space);
    if (!space)
        return false;
    made->space = space;
    made->slopes = gsl_matrix_view_array(space, equations, unknowns);
    made->gap = gsl_vector_view_array(space += equations * unknowns, equations);
    made->right = gsl_matrix_view_array(space += equations, unknowns, unknowns);
    made->step = gsl_vector_view_array(space += unknowns * unknowns, unknowns);
    made->singular = gsl_vector_view_array(space += unknowns, unknowns);
    made->projected = gsl_vector_view_array(space + unknowns, unknowns);
    return true;
}

/* Fills one equation: its slopes, as many as there are unknowns, and its gap. */
static void least_squares_fill(least_squares *of, size_t equation, const double *slopes, double gap)
{
    for (size_t j = 0; j < of->slopes.matrix.size2; j++)
        gsl_matrix_set(&of->slopes.matrix, equation, j, slopes[j]);
    gsl_vector_set(&of->gap.vector, equation, gap);
}

/* One over a singular value, 0 for one that counts as none. */
static double inverse_of(const least_squares *of, size_t k)
{
    double value = gsl_vector_get(&of->singular.vector, k);
    return value > RANK_TOLERANCE * gsl_vector_max(&of->singular.vector) ? 1 / value : 0;
}

/* Finds the shortest step that brings slopes * step nearest to gap; what the equations do not hold
 * (a singular value below 1e-12 of the greatest) stays put. SF_ERROR_NUMERIC where a number is not
 * finite or the decomposition fails. */
static sf_status least_squares_solve(least_squares *of)
{
    gsl_matrix *left = &of->slopes.matrix, *right = &of->right.matrix;
    gsl_vector *projected = &of->projected.vector, *step = &of->step.vector;
    if (gsl_linalg_SV_decomp_jacobi(left, right, &of->singular.vector) != GSL_SUCCESS)
        return SF_ERROR_NUMERIC;
    gsl_blas_dgemv(CblasTrans, 1, left, &of->gap.vector, 0, projected);
    for (size_t k = 0; k < projected->size; k++)
        gsl_vector_set(projected, k, gsl_vector_get(projected, k) * inverse_of(of, k));
    gsl_blas_dgemv(CblasNoTrans, 1, right, projected, 0, step);
    return isfinite(gsl_blas_dasum(step)) ? SF_OK : SF_ERROR_NUMERIC;
}

/* Of the last solution: least over greatest singular value, how well the unknowns are held. */
static double least_squares_hold(const least_squares *of)
{
    return gsl_vector_min(&of->singular.vector) / gsl_vector_max(&of->singular.vector);
}

#define ENTRIES 9
#define UNKNOWNS                                                                                   \
    8 /* the ninth entry is 1: it cannot vanish where the marks' middle is the origin */
#define STEPS_MAX 30

/* Least over greatest singular value of the fit below which the marks do not hold the map. A square
 * of marks has 0.29, a strip of 1 by 10 still 0.04; 0.02 is one of four marks within a 36th of
 * their span of the line through two others: a slip there would be as many times as large
 * elsewhere. */
#define HOLD_LEAST 0.02

/* Moves and scales points: their middle to 0, their mean distance from it to sqrt 2. */
typedef struct frame {
    double x, y, scale;
} frame;

static bool is_finite_set(const sf_point *points, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(points[i].x_mm) || !isfinite(points[i].y_mm))
            return false;
    return true;
}

static bool find_frame(const sf_point *points, size_t count, frame *found)
{
    double x = 0, y = 0, distance = 0;
    for (size_t i = 0; i < count; i++) {
        x += points[i].x_mm / (double)count;
        y += points[i].y_mm / (double)count;
    }
    for (size_t i = 0; i < count; i++)
        distance += hypot(points[i].x_mm - x, points[i].y_mm - y) / (double)count;
    *found = (frame){x, y, sqrt(2) / distance};
    return isfinite(distance) && distance > 0;
}

static sf_point enter_frame(const frame *into, sf_point point)
{
    return (sf_point){(point.x_mm - into->x) * into->scale, (point.y_mm - into->y) * into->scale};
}

/* One fit; all coordinates in the frames of picture and board. */
typedef struct tie {
    size_t count;
    sf_point *pixel, *board;
    least_squares squares; /* two equations a mark */
} tie;

static void free_tie(tie *ended)
{
    free(ended->pixel);
    free(ended->board);
    free(ended->squares.space);
}

static bool make_tie(size_t count, tie *made)
{
    *made = (tie){.count = count,
                  .pixel = array_new(count, sizeof(sf_point)),
                  .board = array_new(count, sizeof(sf_point))};
    if (least_squares_make(2 * count, UNKNOWNS, &made->squares) && made->pixel && made->board)
        return true;
    free_tie(made);
    return false;
}

/* The third homogeneous coordinate: positive on the near side of the horizon. */
static double depth(const double *entry, double x, double y)
{
    return entry[6] * x + entry[7] * y + entry[8];
}

static sf_point map_point(const double *entry, double x, double y)
{
    double w = depth(entry, x, y);
    return (sf_point){(entry[0] * x + entry[1] * y + entry[2]) / w,
                      (entry[3] * x + entry[4] * y + entry[5]) / w};
}

/* The two equations of mark i, linear in the entries: (h0 x + h1 y + h2 - X (h6 x + h7 y))/w is
 * the x wanted, the same with h3 to h5 its y. With the measured place as X and as what is wanted,
 * and w = 1, they are the direct linear transformation; with the mapped place as X, its depth as w
 * and what is missing as wanted, a Gauss-Newton step. */
static void fill_mark(tie *of, size_t i, sf_point at, double w, sf_point wanted)
{
    double x = of->pixel[i].x_mm / w, y = of->pixel[i].y_mm / w;
    const double along_x[] = {x, y, 1 / w, 0, 0, 0, -at.x_mm * x, -at.x_mm * y};
    const double along_y[] = {0, 0, 0, x, y, 1 / w, -at.y_mm * x, -at.y_mm * y};
    least_squares_fill(&of->squares, 2 * i, along_x, wanted.x_mm);
    least_squares_fill(&of->squares, 2 * i + 1, along_y, wanted.y_mm);
}

/* Solves the equations, where the marks hold the map, and adds the step to the entries. */
static sf_status add_step(tie *of, double *entry)
{
    sf_status status = least_squares_solve(&of->squares);
    if (status == SF_OK && !(least_squares_hold(&of->squares) > HOLD_LEAST))
        status = SF_ERROR_NUMERIC;
    for (size_t j = 0; status == SF_OK && j < UNKNOWNS; j++)
        entry[j] += gsl_vector_get(&of->squares.step.vector, j);
    return status;
}

static sf_status find_start(tie *of, double *entry)
{
    for (size_t i = 0; i < of->count; i++)
        fill_mark(of, i, of->board[i], 1, of->board[i]);
    return add_step(of, entry);
}

/* What is missing at mark i; NAN where it would lie beyond the horizon. */
static sf_point find_gap(const tie *of, const double *entry, size_t i)
{
    sf_point mapped = marks_apply(entry, of->pixel[i].x_mm, of->pixel[i].y_mm);
    return (sf_point){of->board[i].x_mm - mapped.x_mm, of->board[i].y_mm - mapped.y_mm};
}

static double sum_squares(const tie *of, const double *entry)
{
    double sum = 0;
    for (size_t i = 0; i < of->count; i++) {
        sf_point gap = find_gap(of, entry, i);
        sum += gap.x_mm * gap.x_mm + gap.y_mm * gap.y_mm;
    }
    return sum;
}

/* Gauss-Newton steps to the least squares of distances on the board, as long as they lead down. */
static sf_status refine(tie *of, double *entry)
{
    double least = sum_squares(of, entry);
    if (!isfinite(least))
        return SF_ERROR_NUMERIC;
    for (int taken = 0; taken < STEPS_MAX; taken++) {
        for (size_t i = 0; i < of->count; i++) {
            double x = of->pixel[i].x_mm, y = of->pixel[i].y_mm;
            fill_mark(of, i, map_point(entry, x, y), depth(entry, x, y), find_gap(of, entry, i));
        }
        double moved[ENTRIES];
        memcpy(moved, entry, sizeof moved);
        sf_status status = add_step(of, moved);
        if (status != SF_OK)
            return status;
        double sum = sum_squares(of, moved);
        if (!(sum < least))
            break;
        least = sum;
        memcpy(entry, moved, sizeof moved);
    }
    return SF_OK;
}

/* Takes the map out of the frames: undo(board) map do(picture), scaled to unit norm. */
static void leave_frames(const double *entry, const frame *picture, const frame *board,
                         double homography[ENTRIES])
{
    double mapped[ENTRIES];
    for (size_t row = 0; row < 3; row++) {
        const double *from = entry + 3 * row;
        mapped[3 * row] = from[0] * picture->scale;
        mapped[3 * row + 1] = from[1] * picture->scale;
        mapped[3 * row + 2] =
            from[2] - picture->scale * (from[0] * picture->x + from[1] * picture->y);
    }
    double square_sum = 0;
    for (size_t j = 0; j < 3; j++) {
        homography[j] = mapped[j] / board->scale + board->x * mapped[6 + j];
        homography[3 + j] = mapped[3 + j] / board->scale + board->y * mapped[6 + j];
        homography[6 + j] = mapped[6 + j];
    }
    for (size_t j = 0; j < ENTRIES; j++)
        square_sum += homography[j] * homography[j];
    for (size_t j = 0; j < ENTRIES; j++)
        homography[j] /= sqrt(square_sum);
}

static void measure_residuals(const sf_point *pixel, const sf_point *board_mm, size_t count,
                              const double homography[ENTRIES], double *residual_mm, double *rms_mm)
{
    double square_sum_mm2 = 0;
    for (size_t i = 0; i < count; i++) {
        sf_point mapped = marks_apply(homography, pixel[i].x_mm, pixel[i].y_mm);
        residual_mm[i] = hypot(board_mm[i].x_mm - mapped.x_mm, board_mm[i].y_mm - mapped.y_mm);
        square_sum_mm2 += residual_mm[i] * residual_mm[i];
    }
    *rms_mm = sqrt(square_sum_mm2 / (double)count);
}

sf_status marks_fit(const sf_point *pixel, const sf_point *board_mm, size_t count,
                    double homography[ENTRIES], double *residual_mm, double *rms_mm)
{
    frame picture, board;
    if (count < MARKS_LEAST || !is_finite_set(pixel, count) || !is_finite_set(board_mm, count))
        return SF_ERROR_ARGUMENT;
    if (!find_frame(pixel, count, &picture) || !find_frame(board_mm, count, &board))
        return SF_ERROR_NUMERIC;
    tie of;
    if (!make_tie(count, &of))
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++) {
        of.pixel[i] = enter_frame(&picture, pixel[i]);
        of.board[i] = enter_frame(&board, board_mm[i]);
    }
    double entry[ENTRIES] = {[ENTRIES - 1] = 1};
    sf_status status = find_start(&of, entry);
    if (status == SF_OK)
        status = refine(&of, entry);
    free_tie(&of);
    if (status != SF_OK)
        return status;
    leave_frames(entry, &picture, &board, homography);
    measure_residuals(pixel, board_mm, count, homography, residual_mm, rms_mm);
    return SF_OK;
}

sf_point marks_apply(const double homography[ENTRIES], double column, double row)
{
    if (!(depth(homography, column, row) > 0))
        return (sf_point){NAN, NAN};
    return map_point(homography, column, row);
}

/* --- each mark against the others: left out of the fit, and scored --- */

/* Four marks always fit; of a great many each hardly bends the map. */
enum { CHECKED_FIRST = MARKS_LEAST + 1, CHECKED_LAST = 64 };

typedef struct others {
    sf_point *pixel, *board;
    double *residual_mm;
} others;

static void gather(const sf_point *from, size_t count, size_t without, sf_point *to)
{
    for (size_t i = 0; i < count; i++)
        if (i != without)
            *to++ = from[i];
}

/* The others alone: what they miss by, squared and summed, and how far from where they put it mark
 * i lies. NAN where they hold no map without it. */
static sf_status leave_out(const sf_point *pixel, const sf_point *board_mm, size_t count, size_t i,
                           others *rest, double *square_sum_mm2, double *left_out_mm)
{
    double homography[9], rms_mm;
    gather(pixel, count, i, rest->pixel);
    gather(board_mm, count, i, rest->board);
    *square_sum_mm2 = *left_out_mm = NAN;
    sf_status status =
        marks_fit(rest->pixel, rest->board, count - 1, homography, rest->residual_mm, &rms_mm);
    if (status != SF_OK)
        return status == SF_ERROR_MEMORY ? status : SF_OK;
    sf_point put = marks_apply(homography, pixel[i].x_mm, pixel[i].y_mm);
    *left_out_mm = hypot(put.x_mm - board_mm[i].x_mm, put.y_mm - board_mm[i].y_mm);
    *square_sum_mm2 = (double)(count - 1) * rms_mm * rms_mm;
    return SF_OK;
}

static double square_sum(const double *values, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i] * values[i];
    return sum;
}

/* What a mark adds to the sum of squares is chi-square of 2 degrees, in squares of usual_mm. */
sf_status marks_check(const sf_point *pixel, const sf_point *board_mm, size_t count,
                      const double *residual_mm, double usual_mm, mark_slip *worst)
{
    *worst = (mark_slip){0};
    if (count < CHECKED_FIRST || count > CHECKED_LAST)
        return SF_OK;
    others rest = {array_new(count, sizeof *rest.pixel), array_new(count, sizeof *rest.board),
                   array_new(count, sizeof *rest.residual_mm)};
    sf_status status = rest.pixel && rest.board && rest.residual_mm ? SF_OK : SF_ERROR_MEMORY;
    double all_mm2 = square_sum(residual_mm, count), rest_mm2, apart_mm;
    for (size_t i = 0; status == SF_OK && i < count; i++) {
        status = leave_out(pixel, board_mm, count, i, &rest, &rest_mm2, &apart_mm);
        double score = sqrt(fmax(all_mm2 - rest_mm2, 0)) / usual_mm;
        if (status == SF_OK && isfinite(apart_mm) && score > worst->score)
            *worst = (mark_slip){i, apart_mm, score};
    }
    free(rest.pixel);
    free(rest.board);
    free(rest.residual_mm);
    return status;
}
