/* The perspective map from marks in a picture to the same marks on the board. */
#include "readings/marks.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_matrix.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_vector.h>

#include "core/memory.h"

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

/* Work space of one fit; all coordinates in the frames of picture and board. */
typedef struct solver {
    size_t count;
    sf_point *pixel, *board;
    gsl_matrix *rows; /* two a mark */
    gsl_vector *gap;  /* board less map */
    gsl_vector *step;
    gsl_multifit_linear_workspace *work;
} solver;

static void free_solver(solver *ended)
{
    free(ended->pixel);
    free(ended->board);
    gsl_matrix_free(ended->rows);
    gsl_vector_free(ended->gap);
    gsl_vector_free(ended->step);
    gsl_multifit_linear_free(ended->work);
}

static bool make_solver(size_t count, solver *made)
{
    *made = (solver){.count = count,
                     .pixel = array_new(count, sizeof(sf_point)),
                     .board = array_new(count, sizeof(sf_point)),
                     .rows = gsl_matrix_alloc(2 * count, UNKNOWNS),
                     .gap = gsl_vector_alloc(2 * count),
                     .step = gsl_vector_alloc(UNKNOWNS),
                     .work = gsl_multifit_linear_alloc(2 * count, UNKNOWNS)};
    if (made->pixel && made->board && made->rows && made->gap && made->step && made->work)
        return true;
    free_solver(made);
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
 * the board's x, the same with h3 to h5 its y. With the measured place as X and w = 1 they are the
 * direct linear transformation; with the mapped place and its depth, the derivative of the map. */
static void fill_mark(solver *of, size_t i, sf_point at, double w)
{
    double x = of->pixel[i].x_mm, y = of->pixel[i].y_mm;
    const double along_x[] = {x, y, 1, 0, 0, 0, -at.x_mm * x, -at.x_mm * y};
    const double along_y[] = {0, 0, 0, x, y, 1, -at.y_mm * x, -at.y_mm * y};
    for (size_t j = 0; j < UNKNOWNS; j++) {
        gsl_matrix_set(of->rows, 2 * i, j, along_x[j] / w);
        gsl_matrix_set(of->rows, 2 * i + 1, j, along_y[j] / w);
    }
}

/* Solves the equations for `step`, where the marks hold it. */
static sf_status solve(solver *of)
{
    double gap_norm, step_norm;
    if (gsl_multifit_linear_svd(of->rows, of->work) != GSL_SUCCESS ||
        !(gsl_multifit_linear_rcond(of->work) > HOLD_LEAST) ||
        gsl_multifit_linear_solve(0, of->rows, of->gap, of->step, &gap_norm, &step_norm,
                                  of->work) != GSL_SUCCESS)
        return SF_ERROR_NUMERIC;
    return SF_OK;
}

static sf_status find_start(solver *of, double *entry)
{
    for (size_t i = 0; i < of->count; i++) {
        fill_mark(of, i, of->board[i], 1);
        gsl_vector_set(of->gap, 2 * i, of->board[i].x_mm);
        gsl_vector_set(of->gap, 2 * i + 1, of->board[i].y_mm);
    }
    sf_status status = solve(of);
    for (size_t j = 0; j < UNKNOWNS; j++)
        entry[j] = gsl_vector_get(of->step, j);
    entry[ENTRIES - 1] = 1;
    return status;
}

/* Fills `gap`; the square sum, infinite where a mark would lie beyond the horizon. */
static double measure_gap(solver *of, const double *entry)
{
    double square_sum = 0;
    for (size_t i = 0; i < of->count; i++) {
        double x = of->pixel[i].x_mm, y = of->pixel[i].y_mm;
        if (!(depth(entry, x, y) > 0))
            return INFINITY;
        sf_point mapped = map_point(entry, x, y);
        double off_x = of->board[i].x_mm - mapped.x_mm, off_y = of->board[i].y_mm - mapped.y_mm;
        gsl_vector_set(of->gap, 2 * i, off_x);
        gsl_vector_set(of->gap, 2 * i + 1, off_y);
        square_sum += off_x * off_x + off_y * off_y;
    }
    return square_sum;
}

/* Gauss-Newton steps to the least squares of distances on the board, as long as they lead down. */
static sf_status refine(solver *of, double *entry)
{
    double square_sum = measure_gap(of, entry);
    if (!isfinite(square_sum))
        return SF_ERROR_NUMERIC;
    for (int taken = 0; taken < STEPS_MAX; taken++) {
        for (size_t i = 0; i < of->count; i++) {
            double x = of->pixel[i].x_mm, y = of->pixel[i].y_mm;
            fill_mark(of, i, map_point(entry, x, y), depth(entry, x, y));
        }
        sf_status status = solve(of);
        if (status != SF_OK)
            return status;
        double moved[ENTRIES] = {0};
        for (size_t j = 0; j < ENTRIES; j++)
            moved[j] = entry[j] + (j < UNKNOWNS ? gsl_vector_get(of->step, j) : 0);
        double moved_square_sum = measure_gap(of, moved);
        if (!(moved_square_sum < square_sum))
            break;
        square_sum = moved_square_sum;
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
    solver of;
    if (!make_solver(count, &of))
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < count; i++) {
        of.pixel[i] = enter_frame(&picture, pixel[i]);
        of.board[i] = enter_frame(&board, board_mm[i]);
    }
    double entry[ENTRIES];
    sf_status status = find_start(&of, entry);
    if (status == SF_OK)
        status = refine(&of, entry);
    free_solver(&of);
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
