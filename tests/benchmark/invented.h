/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A board drawn by chance, with all that is true of it: what make_boards writes as a job. */
#ifndef BENCHMARK_INVENTED_H
#define BENCHMARK_INVENTED_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "benchmark/copper.h"
#include "benchmark/plate.h"

enum { RINGS_MOST = 3, CORNERS_MOST = 8, SOURCES_MOST = 9, PARTS = 80, READINGS_MOST = 512 };

typedef struct invented_source {
    double x_mm, y_mm, width_mm, height_mm;
    double true_w;              /* what it really gives off */
    double power_w, power_sd_w; /* what the technician believes; NAN not known */
    bool listed;                /* written to sources.csv */
    const char *mount;          /* how the technician says it stands; "" does not know */
} invented_source;

typedef struct invented_part {
    double x_mm, y_mm, diameter_mm, capacitance_uf, rated_v, rated_c, endurance_h;
    bool critical;
    double height_mm; /* of raised boards only */
} invented_part;

typedef struct invented_reading {
    double x_mm, y_mm, value_c;
} invented_reading;

typedef struct invented {
    double width_mm, height_mm;
    sf_point corners[RINGS_MOST][CORNERS_MOST];
    sf_ring rings[RINGS_MOST]; /* point into corners */
    size_t ring_count;
    const char *grade;
    copper copper;
    double cover_written_pct; /* what the technician would write down */
    plate_loss loss;
    const char *air; /* the word for how it moves */
    double service_ambient_c, run_hours;
    invented_source sources[SOURCES_MOST];
    size_t source_count;
    invented_part parts[PARTS];
    invented_reading readings[READINGS_MOST];
    size_t reading_count;
    plate *truth;
} invented;

/* Draws and solves a board; readings is at most READINGS_MOST. With `unlisted` a third of the
 * sources are kept from the technician. *board is emptied first, and cleared with
 * invented_clear whatever is returned. It must not be moved. */
sf_status invented_make(invented *board, size_t readings, bool unlisted, gsl_rng *chance);
void invented_clear(invented *board);

/* Draws outline, sources and parts, in that order, before the plate is solved. */
void outline_draw(invented *board, gsl_rng *chance);
void sources_draw(invented *board, bool unlisted, gsl_rng *chance);
void parts_draw(invented *board, gsl_rng *chance);

/* Draws laminate, loss and air, and what the technician believes of the sources' watts. */
void surroundings_draw(invented *board, gsl_rng *chance);
void powers_believe(invented *board, gsl_rng *chance);

/* Draws where readings are taken and what they show, once the plate is solved. */
void readings_take(invented *board, size_t readings, gsl_rng *chance);

/* Whether a rectangle and a margin about it lie wholly on the board. */
bool invented_has_room(const invented *board, double x_mm, double y_mm, double half_width_mm,
                       double half_height_mm);

/* A number drawn evenly. */
double draw_between(gsl_rng *chance, double least, double most);

#endif
