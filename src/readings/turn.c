/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The heat of each listed source falls off like K0(r/L); strengths that are not negative and an
 * even background are fitted to the picture at places of a lattice, in each way that it may lie. */
#include "readings/pixels.h"

#include <gsl/gsl_sf_bessel.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"
#include "job/files.h"
#include "readings/marks.h"
#include "readings/viewpoint.h"

#define SPREAD_MM 16.0
#define STEP_MM 4.0 /* of the lattice */
#define PLACES_MOST 900
#define SOURCES_MOST 40
#define SWEEPS 30
#define REWEIGHS 4 /* least squares again with the weights of least distances */
#define RESIDUAL_LEAST_K 0.2
#define PLACES_LEAST 20
/* Places so far apart count as independent. */
#define APART_MM 16.0
/* ln odds from which another way is told, and by how much it must miss less. Chosen on made
 * boards: right pictures come to at most 2. */
#define ODDS_LEAST 10.0
#define MISS_SHARE_MOST 0.7

enum { TURNS = 8 };
/* What is to be done with the file's picture, the other way round than what was done to it. */
static const char *const turn_words[TURNS] = {
    "as it is",
    "turned by 90 degrees counterclockwise",
    "turned by 180 degrees",
    "turned by 90 degrees clockwise",
    "mirrored left to right",
    "turned by 90 degrees counterclockwise and then mirrored left to right",
    "mirrored top to bottom",
    "turned by 90 degrees clockwise and then mirrored left to right"};

/* One fit: places by unknowns, the background last. */
typedef struct sheet {
    size_t places, unknowns;
    double *columns; /* unknowns rows of places */
    double *seen_c;  /* per place; NAN: the picture does not show it */
    double *weight;  /* per place */
    double *strength;
    double *residual;
    sf_point *at;
} sheet;

static bool sheet_new(size_t sources, sheet *made)
{
    *made = (sheet){.unknowns = sources + 1};
    made->columns = array_new(made->unknowns * PLACES_MOST, sizeof(double));
    made->seen_c = array_new(PLACES_MOST, sizeof(double));
    made->weight = array_new(PLACES_MOST, sizeof(double));
    made->strength = array_new(made->unknowns, sizeof(double));
    made->residual = array_new(PLACES_MOST, sizeof(double));
    made->at = array_new(PLACES_MOST, sizeof *made->at);
    return made->columns && made->seen_c && made->weight && made->strength && made->residual &&
           made->at;
}

static void sheet_clear(sheet *of)
{
    free(of->columns);
    free(of->seen_c);
    free(of->weight);
    free(of->strength);
    free(of->residual);
    free(of->at);
}

static void lay_places(const sf_job *job, const ground *seen, sheet *into)
{
    double area_mm2 = job->board.width_mm * job->board.height_mm;
    double step_mm = fmax(STEP_MM, 1.05 * sqrt(area_mm2 / PLACES_MOST));
    for (double y_mm = step_mm / 2; y_mm < job->board.height_mm; y_mm += step_mm)
        for (double x_mm = step_mm / 2; x_mm < job->board.width_mm; x_mm += step_mm)
            if (ground_at(seen, x_mm, y_mm) == GROUND_BARE && into->places < PLACES_MOST)
                into->at[into->places++] = (sf_point){x_mm, y_mm};
}

static void lay_columns(const sf_job *job, sheet *into)
{
    for (size_t j = 0; j < into->unknowns; j++)
        for (size_t i = 0; i < into->places; i++) {
            double *value = &into->columns[j * PLACES_MOST + i];
            *value = 1;
            if (j + 1 == into->unknowns)
                continue;
            const sf_source *source = &job->sources[j];
            double least_mm = fmax(sqrt(source->width_mm * source->height_mm) / 2, 1);
            double off_mm = hypot(into->at[i].x_mm - source->x_mm, into->at[i].y_mm - source->y_mm);
            *value = gsl_sf_bessel_K0_scaled(fmax(off_mm, least_mm) / SPREAD_MM) *
                     exp(-fmax(off_mm, least_mm) / SPREAD_MM);
        }
}

/* The pixel of the file that has a place of the picture as the marks mean it, were the file that
 * picture mirrored (turns of 4 and more) and then turned clockwise by so many quarters. */
static void turn_pixel(const sf_thermogram *file, int turn, double *column, double *row)
{
    double columns = (double)(turn % 2 ? file->rows : file->columns);
    double rows = (double)(turn % 2 ? file->columns : file->rows);
    double x = turn >= TURNS / 2 ? columns - 1 - *column : *column, y = *row;
    switch (turn % 4) {
    case 0:
        *column = x;
        *row = y;
        break;
    case 1:
        *column = rows - 1 - y;
        *row = x;
        break;
    case 2:
        *column = columns - 1 - x;
        *row = rows - 1 - y;
        break;
    default:
        *column = y;
        *row = columns - 1 - x;
    }
}

/* The mean of the three by three pixels about one; NAN where it shows nothing. */
static double look(const sf_thermogram *file, double column, double row)
{
    double sum = 0, count = 0;
    long at_column = lround(column), at_row = lround(row);
    for (long y = at_row - 1; y <= at_row + 1; y++)
        for (long x = at_column - 1; x <= at_column + 1; x++) {
            if (x < 0 || y < 0 || x >= (long)file->columns || y >= (long)file->rows)
                continue;
            double shown_c = (double)file->shown_c[(size_t)y * file->columns + (size_t)x];
            sum += isnan(shown_c) ? 0 : shown_c;
            count += !isnan(shown_c);
        }
    return sum / count;
}

/* How many places the picture shows, were it turned so. */
static size_t look_at_all(const sf_job *job, const double map[9], int turn, sheet *into)
{
    size_t shown = 0;
    for (size_t i = 0; i < into->places; i++) {
        sf_point pixel = marks_apply(map, into->at[i].x_mm, into->at[i].y_mm);
        double column = pixel.x_mm, row = pixel.y_mm;
        turn_pixel(&job->thermogram, turn, &column, &row);
        bool on_it = column > -1 && row > -1 && column < (double)job->thermogram.columns &&
                     row < (double)job->thermogram.rows;
        into->seen_c[i] = on_it ? look(&job->thermogram, column, row) : (double)NAN;
        shown += !isnan(into->seen_c[i]);
    }
    return shown;
}

/* Coordinate descent to strengths of at least 0; any background. */
static void descend(sheet *of)
{
    for (int sweep = 0; sweep < SWEEPS; sweep++)
        for (size_t j = 0; j < of->unknowns; j++) {
            const double *column = of->columns + j * PLACES_MOST;
            double pull = 0, square = 1e-12;
            for (size_t i = 0; i < of->places; i++) {
                pull += of->weight[i] * column[i] * of->residual[i];
                square += of->weight[i] * column[i] * column[i];
            }
            double next = of->strength[j] + pull / square;
            double step = (j + 1 < of->unknowns ? fmax(next, 0) : next) - of->strength[j];
            of->strength[j] += step;
            for (size_t i = 0; i < of->places; i++)
                of->residual[i] -= step * column[i];
        }
}

/* The mean distance that is left; INFINITY where the picture shows less than `least` places. */
static double miss_k(const sf_job *job, const double map[9], int turn, size_t least, sheet *of)
{
    size_t shown = look_at_all(job, map, turn, of);
    double sum_k = 0;
    if (shown < least)
        return INFINITY;
    for (size_t j = 0; j < of->unknowns; j++)
        of->strength[j] = 0;
    for (size_t i = 0; i < of->places; i++) {
        bool is_shown = !isnan(of->seen_c[i]);
        of->weight[i] = is_shown;
        of->residual[i] = is_shown ? of->seen_c[i] - job->board.ambient_c : 0;
    }
    for (int round = 0; round < REWEIGHS; round++) {
        descend(of);
        for (size_t i = 0; i < of->places; i++)
            if (of->weight[i] > 0)
                of->weight[i] = 1 / fmax(fabs(of->residual[i]), RESIDUAL_LEAST_K);
    }
    for (size_t i = 0; i < of->places; i++)
        sum_k += of->weight[i] > 0 ? fabs(of->residual[i]) : 0;
    return fmax(sum_k / (double)shown, RESIDUAL_LEAST_K);
}

/* What each way misses by. Marks that lie sideways leave the quarter turns alone; any other way
 * must show as much of the board as the picture as it is. */
static void miss_all(const sf_job *job, const double map[9], bool sideways, sheet *of,
                     double miss[TURNS])
{
    size_t shown = sideways ? 0 : look_at_all(job, map, 0, of);
    size_t least = shown - shown / 10 > PLACES_LEAST ? shown - shown / 10 : PLACES_LEAST;
    for (int turn = 0; turn < TURNS; turn++)
        miss[turn] = sideways && turn % 2 == 0 ? INFINITY : miss_k(job, map, turn, least, of);
}

static int least_of(const double miss[TURNS], int but)
{
    int best = but == 0 ? 1 : 0;
    for (int turn = 0; turn < TURNS; turn++)
        if (turn != but && miss[turn] < miss[best])
            best = turn;
    return best;
}

bool turn_seek(const sf_job *job, const double homography[9], const ground *seen,
               const char **turned)
{
    size_t sources = job->source_count < SOURCES_MOST ? job->source_count : SOURCES_MOST;
    bool sideways = marks_lie_sideways(&job->thermogram);
    sheet of;
    double map[9], miss[TURNS];
    *turned = NULL;
    if (sources == 0)
        return true;
    bool whole = sheet_new(sources, &of);
    if (whole) {
        viewpoint_invert(homography, map);
        lay_places(job, seen, &of);
        lay_columns(job, &of);
        miss_all(job, map, sideways, &of, miss);
        int best = least_of(miss, TURNS), rival = sideways ? least_of(miss, best) : 0;
        double independent = job->board.width_mm * job->board.height_mm / (APART_MM * APART_MM);
        bool is_far = best != rival && isfinite(miss[rival]) &&
                      independent * log(miss[rival] / miss[best]) >= ODDS_LEAST &&
                      (sideways || miss[best] <= MISS_SHARE_MOST * miss[rival]);
        *turned = is_far ? turn_words[best] : NULL;
    }
    sheet_clear(&of);
    return whole;
}
