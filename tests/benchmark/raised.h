/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A board with height: laminate in two sheets, bodies and cans that stand on it as thermal
 * networks, air that they warm. Its truth comes from none of the product's simplifications. */
#ifndef BENCHMARK_RAISED_H
#define BENCHMARK_RAISED_H

#include <gsl/gsl_rng.h>
#include <stdbool.h>
#include <stddef.h>

#include "benchmark/air.h"
#include "benchmark/invented.h"
#include "benchmark/network.h"

enum { SMALL_PARTS_MOST = 200, BOX_SIDES = 4, SIDE_PIECES = 8 };

typedef enum body_kind {
    BODY_SINK,
    BODY_BLOCK,
    BODY_RESISTOR,
    BODY_FLAT,
    BODY_IC,
    BODY_KINDS
} body_kind;

/* A source as a body. Its place, outline and watts are those of the source of the same number. */
typedef struct raised_body {
    body_kind kind;
    double tall_mm;
    size_t core, skin;              /* nodes: where heat is made; what a technician touches */
    size_t first_link, after_links; /* leads and base: what goes into the board */
} raised_body;

/* A can. Its place and diameter are those of the part of the same number. */
typedef struct raised_can {
    double tall_mm, own_w;
    size_t core, side, lid; /* nodes */
} raised_can;

/* How a board's cans are made; each differs a little. */
typedef struct can_legs {
    double wmk, long_mm, gap_mm, radial_wmk;
} can_legs;

/* A piece of surface that loses heat. */
typedef struct surface {
    size_t node, air_at; /* the cell of air it stands in */
    double stays; /* share of the heat to the air that warms this cell; the rest climbs away */
    double area_m2;
    double natural;    /* C of h = C (rise over the air / length)^(1/4), W/m2K */
    double length_m;   /* along the air's way */
    double radiates;   /* emissivity times the share of its view that is the surroundings */
    double loss_wk[2]; /* to the air and by radiation, at the last solution */
} surface;

/* A link that radiates: its conductance grows with the temperatures. */
typedef struct radiant {
    size_t link;
    double area_m2; /* area times view times both emissivities */
} radiant;

typedef enum reading_on { ON_FRONT, ON_BACK, ON_CAN, ON_BODY } reading_on;

typedef struct raised_reading {
    reading_on on;
    size_t number; /* of the can or body; else not used */
    double x_mm, y_mm, value_c;
    double surface_c, air_c; /* true: the surface meant, and the air beside it */
    bool infrared, gross;
} raised_reading;

/* What one set of instruments and hands does wrong on all its readings. */
typedef struct raised_habits {
    double bead_low, bead_low_sd; /* share of the rise that a bead misses, and its scatter */
    double bead_offset_k, infrared_offset_k, infrared_gain, spot_mm, ruler_mm;
} raised_habits;

typedef struct raised {
    invented base; /* outline, laminate, loss, sources, parts; `truth` holds nothing */
    size_t can_count, small_count;
    raised_body bodies[SOURCES_MOST];
    raised_can cans[PARTS];
    can_legs can_legs;
    double small_x_mm[SMALL_PARTS_MOST], small_y_mm[SMALL_PARTS_MOST], small_w[SMALL_PARTS_MOST];
    double true_ambient_c;

    size_t columns, rows, cells;    /* of 2 mm */
    size_t *node;                   /* front node of each cell, or SIZE_MAX off the board */
    double *cell_m2, *bare;         /* area that is board; share of the front that is not covered */
    size_t face_nodes;              /* front node + face_nodes is the back node */
    double board_stays, body_stays; /* `stays` of their surfaces */
    double fan_ms, film_gain; /* drift of a fan, 0 without; handbook's convection times this */

    network heat;
    air around;
    surface *surfaces;
    size_t surface_count, surface_room;
    radiant *radiants;
    size_t radiant_count, radiant_room;
    double *leak_wk; /* of each node: screws and wires, to the chassis at the air's temperature */

    raised_reading readings[READINGS_MOST];
    size_t reading_count;
    raised_habits habits;
    sf_status status; /* the first thing that failed while it was built */
} raised;

/* What is drawn, and what is wrong with it on purpose. */
typedef enum gross_kind {
    GROSS_NONE,
    GROSS_TENTH,      /* one reading is a tenth of what was shown */
    GROSS_LIFTED,     /* a bead has come off and hangs in the air: about half its rise */
    GROSS_EXCHANGED,  /* two values are exchanged */
    GROSS_TRANSPOSED, /* two digits of a value are exchanged */
    GROSS_HALF_RISE,  /* a reading has half its rise: taken too soon */
    GROSS_ONE_SIDE,   /* all readings lie on one half of the board */
    GROSS_NO_SOURCES, /* no source is listed */
    GROSS_KINDS
} gross_kind;

/* Draws and solves a board and takes its readings, at most READINGS_MOST. With `unlisted` three of
 * ten sources are kept from the technician. *board is emptied first, and freed with raised_free
 * whatever is returned; NULL when memory is short. SF_ERROR_MEMORY, SF_ERROR_NUMERIC. */
sf_status raised_make(raised **board, size_t readings, bool unlisted, gross_kind gross,
                      gsl_rng *chance);
void raised_free(raised *board);

/* Draws what stands on the board, once outline and laminate are drawn. */
void raised_draw(raised *board, bool unlisted, gsl_rng *chance);

/* Whether a rectangle and a gap about it are free of bodies and cans. */
bool raised_clear_of(const raised *board, double x_mm, double y_mm, double width_mm,
                     double height_mm, double gap_mm);

/* Lays the two sheets as nodes; then bodies and cans with leads, surfaces and what they see of one
 * another. Failures go to board->status. */
void raised_lay_board(raised *board, gsl_rng *chance);
void raised_build_bodies(raised *board, gsl_rng *chance);
void raised_build_cans(raised *board, gsl_rng *chance);
void raised_build_small_parts(raised *board);
void raised_see_each_other(raised *board);
void raised_expose_board(raised *board, gsl_rng *chance);

/* Solves solids and air in turn to a millikelvin. Where peak_k is not NAN the sources' heat, not
 * that of cans and small parts, is scaled so that the back under one of them rises by it. */
sf_status raised_solve(raised *board, double peak_k);

/* The three sides of the balance at the last solution, W: given off; lost by the solids; carried
 * off by the air, radiated and leaked. */
void raised_balance(const raised *board, double *given_w, double *lost_w, double *away_w);

/* Rise of the front (face 0) or back (1) at a place, of the nearest cell where it is off the
 * board; the mean of the front under a can; a can's case, mean of side and lid; of a body's skin;
 * of the air near the front there. */
double raised_face_rise(const raised *board, int face, double x_mm, double y_mm);
double raised_board_rise(const raised *board, size_t can);
double raised_case_rise(const raised *board, size_t can);
double raised_into_board_w(const raised *board, size_t body);
double raised_air_rise(const raised *board, double x_mm, double y_mm);

/* Takes the readings, and spoils them as asked, once the board is solved. */
void raised_readings_take(raised *board, size_t readings, gross_kind gross, gsl_rng *chance);

/* Takes one more, of which `on`, number, place and infrared say where and how; there must be room.
 */
void raised_read(raised *board, raised_reading read, gsl_rng *chance);

/* Pieces that bodies are built from; failures go to board->status. */
size_t raised_node(raised *board);
void raised_join(raised *board, size_t from, size_t to, double wk);
void raised_surface(raised *board, const surface *added);
/* A wire through the board: to the solder on the back, and from there through the hole. */
void raised_lead(raised *board, size_t node, double x_mm, double y_mm, double wk);
/* A conductance spread over the front cells of a rectangle. */
void raised_base(raised *board, size_t node, double x_mm, double y_mm, double width_mm,
                 double height_mm, double wk);
/* Marks a rectangle of the front as covered but for a share. */
void raised_cover(raised *board, double x_mm, double y_mm, double width_mm, double height_mm,
                  double bare);
/* Four upright sides and the top of a box, losing to the air beside and above it. */
typedef struct box {
    double x_mm, y_mm, width_mm, height_mm, tall_mm;
    bool round;        /* a cylinder of that width */
    double fins;       /* area of the sides over that of the envelope, 1 and more */
    double emissivity; /* of the envelope */
} box;
void raised_sides(raised *board, size_t node, const box *of);
void raised_top(raised *board, size_t node, const box *of);

/* The cells of a rectangle in turn: *cell begins at 0, and the front node of the next is returned,
 * SIZE_MAX at the end; the front node nearest to a place. */
size_t raised_next_in(const raised *board, double x_mm, double y_mm, double width_mm,
                      double height_mm, size_t *cell);
size_t raised_node_at(const raised *board, double x_mm, double y_mm);

const char *body_kind_text(body_kind kind);
const char *body_mount_text(body_kind kind);

#endif
