/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* simulate_job JOB [--seed S] [--upright] [--watts REF=W]...: plays the board of a job folder on
 * 1 mm cells with copper drawn by chance, and writes what each row of readings.csv would show into
 * its `value`; every other byte of the file stays. Prints the true temperature of every part in
 * service, and the share of life used by the 10-kelvin rule. The demo's readings come from here.
 * --thermogram COLUMNSxROWS also takes a picture, into thermogram.csv and marks.csv: readings.csv
 * may then be missing. --marks N sets 4 to 8 marks (6), --mark-error PX and --mark-error-mm MM
 * misplace them in the picture (0.5) and on the board (0.3), one standard deviation along each
 * axis; --set-emissivity E is what the camera corrects for (0.95; 1: nothing). --clutter lays
 * wires, solder, shields, lids and at times a hot body over the board, lets mask and camera be
 * uneven, and writes truth-clutter.csv, truth-mask.csv and truth-field.csv, the rise of every cell.
 */
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "benchmark/copper.h"
#include "benchmark/picture.h"
#include "benchmark/plate.h"
#include "benchmark/table.h"
#include "core/memory.h"

enum { RINGS_MOST = 8, CORNERS_MOST = 64, WATTS_MOST = 32 };

typedef struct options {
    const char *folder;
    unsigned long seed;
    bool upright, cluttered;
    const char *watts[WATTS_MOST]; /* "REF=W" */
    size_t watts_count;
    picture_options picture;
} options;

typedef struct simulated {
    table board, outline, sources, readings, parts;
    sf_point corners[RINGS_MOST][CORNERS_MOST];
    sf_ring rings[RINGS_MOST];
    size_t ring_count;
    plate *truth;
    double ambient_c;
    clutter strays;
} simulated;

/* Only the outline may be missing, and the readings where a picture is wanted. */
static bool simulated_read(simulated *job, const char *folder, bool is_pictured)
{
    bool there[] = {
        table_read(folder, "board.csv", &job->board),
        table_read(folder, "outline.csv", &job->outline),
        table_read(folder, "sources.csv", &job->sources),
        table_read(folder, "readings.csv", &job->readings),
        table_read(folder, "parts.csv", &job->parts),
    };
    bool all = true;
    for (size_t i = 0; i < sizeof there / sizeof *there; i++)
        all = all && (there[i] || i == 1 || (i == 3 && is_pictured));
    return all;
}

static void simulated_clear(simulated *job)
{
    table_free(&job->board);
    table_free(&job->outline);
    table_free(&job->sources);
    table_free(&job->readings);
    table_free(&job->parts);
    plate_free(job->truth);
}

static void corner_add(simulated *job, size_t ring, double x_mm, double y_mm)
{
    if (ring >= RINGS_MOST || job->rings[ring].count >= CORNERS_MOST)
        return;
    job->rings[ring].points = job->corners[ring];
    job->corners[ring][job->rings[ring].count++] = (sf_point){x_mm, y_mm};
    job->ring_count = ring + 1 > job->ring_count ? ring + 1 : job->ring_count;
}

static void rings_lay(simulated *job, double width_mm, double height_mm)
{
    for (size_t i = 0; i < job->outline.count; i++)
        if (table_is_row(&job->outline, i))
            corner_add(job, (size_t)table_number(&job->outline, i, "ring", 0),
                       table_number(&job->outline, i, "x_mm", 0),
                       table_number(&job->outline, i, "y_mm", 0));
    if (job->ring_count > 0)
        return;
    corner_add(job, 0, 0, 0);
    corner_add(job, 0, width_mm, 0);
    corner_add(job, 0, width_mm, height_mm);
    corner_add(job, 0, 0, height_mm);
}

/* What a source really gives off: as told on the command line, else as the job believes. */
static double true_watts(const simulated *job, const options *asked, size_t line)
{
    char ref[LINE_MOST];
    table_cell(&job->sources, line, "ref", ref);
    size_t length = strlen(ref);
    for (size_t i = 0; i < asked->watts_count; i++)
        if (strncmp(asked->watts[i], ref, length) == 0 && asked->watts[i][length] == '=')
            return strtod(asked->watts[i] + length + 1, NULL);
    return table_number(&job->sources, line, "power_w", 0);
}

static void heat_add(simulated *job, const options *asked, gsl_rng *chance)
{
    for (size_t i = 0; i < job->sources.count; i++)
        if (table_is_row(&job->sources, i))
            plate_heat(job->truth, table_number(&job->sources, i, "x_mm", 0),
                       table_number(&job->sources, i, "y_mm", 0),
                       table_number(&job->sources, i, "width_mm", 0),
                       table_number(&job->sources, i, "height_mm", 0),
                       table_number(&job->sources, i, "angle_deg", 0), true_watts(job, asked, i));
    /* small parts nobody lists: one of 15 mW for every 4 cm2 */
    double columns = (double)job->truth->columns, rows = (double)job->truth->rows;
    for (int i = 0; i < columns * rows / 400; i++) {
        double x_mm = columns * gsl_rng_uniform(chance), y_mm = rows * gsl_rng_uniform(chance);
        plate_heat(job->truth, x_mm, y_mm, 5, 5, 0, 0.015);
    }
}

static sf_status simulated_solve(simulated *job, const options *asked, gsl_rng *chance)
{
    double width_mm = table_key(&job->board, "width", 0);
    double height_mm = table_key(&job->board, "height", 0);
    job->ambient_c = table_key(&job->board, "ambient", 22);
    rings_lay(job, width_mm, height_mm);
    sf_status status = plate_new(width_mm, height_mm, job->rings, job->ring_count, &job->truth);
    if (status != SF_OK)
        return status;
    copper metal = {.layers = (int)table_key(&job->board, "copper_layers", 1),
                    .thickness_um = table_key(&job->board, "copper_thickness", 35),
                    .cover = table_key(&job->board, "copper_cover", 40) / 100,
                    .laminate_wmk = 0.4,
                    .thickness_mm = table_key(&job->board, "thickness", 1.6)};
    plate_loss loss = {.ambient_c = job->ambient_c,
                       .upright = asked->upright,
                       .convection_gain = 1.2,
                       .emissivity_front = 0.85,
                       .emissivity_back = 0.7,
                       .tilt_x = 0.12,
                       .tilt_y = -0.08,
                       .plume_share = 0.5,
                       .plume_fade_mm = 50};
    double cover, scale;
    copper_lay(job->truth, &metal, chance, &cover);
    heat_add(job, asked, chance);
    if (asked->cluttered) {
        clutter_lay(&job->sources, &job->parts, width_mm, height_mm, chance, &job->strays);
        clutter_heat(&job->strays, job->truth);
    }
    return plate_solve(job->truth, &loss, (double)NAN, &scale);
}

/* What a thermometer set to emissivity 1 shows of a grey surface: M^4 = e T^4 + (1 - e) R^4 in
 * kelvin (Stefan-Boltzmann). */
static double shown_c(double temp_c, double emissivity, double reflected_c)
{
    double surface = temp_c + 273.15, mirrored = reflected_c + 273.15;
    return pow(emissivity * pow(surface, 4) + (1 - emissivity) * pow(mirrored, 4), 0.25) - 273.15;
}

/* The surface an instrument sees: the board; a can a little off it; the body of a source, hotter
 * than the board below by a third of its rise; all of them colder while the board warms up, with
 * a time constant of 9 minutes (rho c t / h of 1.6 mm laminate and its parts). */
static double surface_rise(const simulated *job, size_t line, double rise_k)
{
    char spot[LINE_MOST];
    table_cell(&job->readings, line, "spot", spot);
    if (strcmp(spot, "source") == 0)
        rise_k *= 1.33;
    else if (strcmp(spot, "part") == 0)
        rise_k *= 0.97;
    double minute = table_number(&job->readings, line, "minute", (double)INFINITY);
    return rise_k * (1 - exp(-minute / 9));
}

/* Where the bead of the last row lay, off the ruler's place. */
typedef struct bead {
    char id[LINE_MOST];
    double off_x_mm, off_y_mm;
} bead;

/* 0.7 mm of ruler on each axis; the rows of a warm-up series share one bead. */
static void bead_lay(bead *laid, const table *rows, size_t line, gsl_rng *chance)
{
    char id[LINE_MOST];
    table_cell(rows, line, "id", id);
    if (strcmp(id, laid->id) == 0)
        return;
    strcpy(laid->id, id);
    laid->off_x_mm = gsl_ran_gaussian(chance, 0.7);
    laid->off_y_mm = gsl_ran_gaussian(chance, 0.7);
}

/* What the row's instrument shows, with 0.5 K of its own; false off the board. */
static bool reading_fill(simulated *job, size_t line, gsl_rng *chance, bead *laid)
{
    const table *rows = &job->readings;
    bead_lay(laid, rows, line, chance);
    double rise_k = plate_rise(job->truth, table_number(rows, line, "x_mm", 0) + laid->off_x_mm,
                               table_number(rows, line, "y_mm", 0) + laid->off_y_mm);
    double air_c = table_number(rows, line, "ambient_c", job->ambient_c);
    double temp_c = air_c + surface_rise(job, line, rise_k);
    char method[LINE_MOST], value[LINE_MOST];
    table_cell(rows, line, "method", method);
    if (strcmp(method, "infrared") == 0)
        temp_c = shown_c(temp_c, table_number(rows, line, "emissivity", 1),
                         table_number(rows, line, "reflected_c", air_c));
    if (isnan(temp_c))
        return false;
    snprintf(value, sizeof value, "%.1f", temp_c + gsl_ran_gaussian(chance, 0.5));
    return table_put(&job->readings, line, "value", value);
}

static bool readings_fill(simulated *job, gsl_rng *chance)
{
    bead laid = {0};
    for (size_t i = 0; i < job->readings.count; i++)
        if (table_is_row(&job->readings, i) && !reading_fill(job, i, chance, &laid)) {
            fprintf(stderr, "simulate_job: readings.csv:%zu: off the board or no value column\n",
                    i + 1);
            return false;
        }
    return true;
}

/* Rated endurance where none is marked: the lowest common for the grade, as the trade does. */
static void truth_print(const simulated *job)
{
    double service_c = table_key(&job->board, "service_ambient", job->ambient_c);
    double hours = table_key(&job->board, "run_hours", 0);
    printf("ref,temp_c,used\n");
    for (size_t i = 0; i < job->parts.count; i++) {
        if (!table_is_row(&job->parts, i))
            continue;
        char ref[LINE_MOST];
        table_cell(&job->parts, i, "ref", ref);
        double temp_c = service_c + plate_rise(job->truth, table_number(&job->parts, i, "x_mm", 0),
                                               table_number(&job->parts, i, "y_mm", 0));
        double rated_c = table_number(&job->parts, i, "rated_c", 85);
        double endurance_h =
            table_number(&job->parts, i, "endurance_h", rated_c < 100 ? 1000 : 2000);
        double life_h = endurance_h * exp2((rated_c - fmax(temp_c, 40)) / 10);
        printf("%s,%.2f,%.4f\n", ref, temp_c,
               table_number(&job->parts, i, "hours", hours) / life_h);
    }
}

static bool size_read(const char *words, picture_options *into)
{
    return sscanf(words, "%zux%zu", &into->columns, &into->rows) == 2 && into->columns > 0 &&
           into->rows > 0;
}

/* An option of the picture, and its value; false for another. */
static bool picture_option_read(picture_options *into, const char *name, const char *value)
{
    if (strcmp(name, "--thermogram") == 0)
        return size_read(value, into);
    if (strcmp(name, "--marks") == 0) {
        into->marks = strtoul(value, NULL, 10);
        return into->marks >= 4 && into->marks <= 8;
    }
    double *number = strcmp(name, "--mark-error") == 0       ? &into->mark_error_px
                     : strcmp(name, "--mark-error-mm") == 0  ? &into->mark_error_mm
                     : strcmp(name, "--set-emissivity") == 0 ? &into->set_emissivity
                                                             : NULL;
    if (number)
        *number = strtod(value, NULL);
    return number != NULL;
}

static bool options_read(options *asked, int count, char **words)
{
    for (int i = 1; i < count; i++) {
        if (strcmp(words[i], "--upright") == 0)
            asked->upright = true;
        else if (strcmp(words[i], "--clutter") == 0)
            asked->cluttered = true;
        else if (strcmp(words[i], "--seed") == 0 && i + 1 < count)
            asked->seed = strtoul(words[++i], NULL, 10);
        else if (strcmp(words[i], "--watts") == 0 && i + 1 < count &&
                 asked->watts_count < WATTS_MOST)
            asked->watts[asked->watts_count++] = words[++i];
        else if (words[i][0] != '-' && !asked->folder)
            asked->folder = words[i];
        else if (i + 1 < count && picture_option_read(&asked->picture, words[i], words[i + 1]))
            i++;
        else
            return false;
    }
    return asked->folder != NULL;
}

static bool picture_fill(const simulated *job, const options *asked, gsl_rng *chance)
{
    const picture_scene scene = {.truth = job->truth,
                                 .sources = &job->sources,
                                 .parts = &job->parts,
                                 .strays = asked->cluttered ? &job->strays : NULL,
                                 .width_mm = table_key(&job->board, "width", 0),
                                 .height_mm = table_key(&job->board, "height", 0),
                                 .ambient_c = job->ambient_c};
    return asked->picture.columns == 0 ||
           picture_take(&scene, &asked->picture, chance, asked->folder);
}

static bool field_write(const simulated *job, const options *asked)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/truth-field.csv", asked->folder);
    FILE *to = asked->cluttered ? fopen(path, "w") : NULL;
    if (!to)
        return !asked->cluttered;
    fputs("x_mm,y_mm,rise_k\n", to);
    for (size_t i = 0; i < job->truth->cells; i++)
        if (job->truth->inside[i])
            fprintf(to, "%.1f,%.1f,%.3f\n", (double)(i % job->truth->columns) + 0.5,
                    (double)(i / job->truth->columns) + 0.5, job->truth->rise_k[i]);
    bool whole = !ferror(to);
    return fclose(to) == 0 && whole;
}

static int simulate(const options *asked, simulated *job, gsl_rng *chance)
{
    if (!simulated_read(job, asked->folder, asked->picture.columns > 0)) {
        fprintf(stderr, "simulate_job: %s: a file is missing or cannot be read\n", asked->folder);
        return 66;
    }
    gsl_rng_set(chance, asked->seed);
    sf_status status = simulated_solve(job, asked, chance);
    if (status != SF_OK) {
        fprintf(stderr, "simulate_job: %s\n", sf_status_text(status));
        return 70;
    }
    if (!readings_fill(job, chance))
        return 65;
    truth_print(job);
    bool written =
        (job->readings.count == 0 || table_write(&job->readings, asked->folder, "readings.csv")) &&
        picture_fill(job, asked, chance) && field_write(job, asked);
    return written ? 0 : 73;
}

int main(int count, char **words)
{
    options asked = {
        .seed = 1,
        .picture = {
            .marks = 6, .mark_error_px = 0.5, .mark_error_mm = 0.3, .set_emissivity = 0.95}};
    if (!options_read(&asked, count, words)) {
        fprintf(stderr, "usage: simulate_job JOB [--seed S] [--upright] [--watts REF=W]...\n"
                        "       [--thermogram COLUMNSxROWS [--marks N] [--mark-error PX]\n"
                        "       [--mark-error-mm MM] [--set-emissivity E] [--clutter]]\n");
        return 64;
    }
    gsl_set_error_handler_off();
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    simulated *job = array_new(1, sizeof *job);
    int code = chance && job ? simulate(&asked, job, chance) : 70;
    if (job)
        simulated_clear(job);
    free(job);
    if (chance)
        gsl_rng_free(chance);
    return code;
}
