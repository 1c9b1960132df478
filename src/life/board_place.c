/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Distances to heat sources, and the parts of a board. */
#include "life/board_place.h"

#include <math.h>

#include <gsl/gsl_math.h>

/* What reaches over so much of a board runs along it. */
#define LONG_SHARE (2.0 / 3)

enum { MIDDLE = 4 };

double source_distance(const sf_source *source, double x_mm, double y_mm)
{
    double turn = source->angle_deg * M_PI / 180;
    double from_x = x_mm - source->x_mm, from_y = y_mm - source->y_mm;
    double along = fabs(from_x * cos(turn) + from_y * sin(turn)) - source->width_mm / 2;
    double across = fabs(from_y * cos(turn) - from_x * sin(turn)) - source->height_mm / 2;
    return hypot(fmax(along, 0), fmax(across, 0));
}

size_t source_around(const sf_job *job, double x_mm, double y_mm)
{
    size_t nearest = NO_SOURCE;
    double least_mm = AROUND_MM;
    for (size_t i = 0; i < job->source_count; i++) {
        double away_mm = source_distance(&job->sources[i], x_mm, y_mm);
        if (away_mm < least_mm) {
            least_mm = away_mm;
            nearest = i;
        }
    }
    return nearest;
}

static size_t third_of(double share)
{
    return share < 1.0 / 3 ? 0 : share > 2.0 / 3 ? 2 : 1;
}

size_t board_third(double share_across, double share_up)
{
    return 3 * third_of(share_up) + third_of(share_across);
}

board_place third_place(size_t third)
{
    static const board_place thirds[BOARD_THIRDS] = {
        {"lower left", "in the lower left"},   {"lower middle", "in the lower middle"},
        {"lower right", "in the lower right"}, {"left side", "on the left side"},
        {"middle", "in the middle"},           {"right side", "on the right side"},
        {"upper left", "in the upper left"},   {"upper middle", "in the upper middle"},
        {"upper right", "in the upper right"},
    };
    return thirds[third];
}

board_place rest_place(void)
{
    return (board_place){"rest of the board", "on the rest of the board"};
}

static board_place edge(const char *where)
{
    return (board_place){where, where};
}

board_place extent_place(const extent *of, const extent *board)
{
    double width_mm = board->most_x_mm - board->least_x_mm;
    double height_mm = board->most_y_mm - board->least_y_mm;
    bool wide = of->most_x_mm - of->least_x_mm >= LONG_SHARE * width_mm;
    bool tall = of->most_y_mm - of->least_y_mm >= LONG_SHARE * height_mm;
    double across = (of->centre_x_mm - board->least_x_mm) / width_mm;
    double up = (of->centre_y_mm - board->least_y_mm) / height_mm;
    size_t third = board_third(across, up);
    if (wide && tall && third == MIDDLE)
        return rest_place();
    if (tall && !wide && third_of(across) != 1)
        return edge(across < 0.5 ? "along the left edge" : "along the right edge");
    if (wide && !tall && third_of(up) != 1)
        return edge(up < 0.5 ? "along the lower edge" : "along the upper edge");
    return third_place(third);
}
