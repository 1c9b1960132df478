/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* speed SPOTFIELD JOB: how long a whole map takes against its floor, what libgd alone takes to
 * encode the picture, how long the page takes from an edit to the new picture, and how fit and
 * reference models grow with readings and cells. Processor time, the least of several runs; wall
 * time beside it for the whole. */
#include <gd.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_fit.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "benchmark/page_edit.h"
#include "core/memory.h"
#include "spotfield/spotfield.h"

enum { RUNS = 7, SOURCES = 4, SPOTS = 24 };

static double seconds_of(clockid_t clock)
{
    struct timespec at;
    clock_gettime(clock, &at);
    return (double)at.tv_sec + 1e-9 * (double)at.tv_nsec;
}

/* Processor time of all children that have ended. */
static double children_s(void)
{
    struct rusage used = {0};
    getrusage(RUSAGE_CHILDREN, &used);
    return (double)(used.ru_utime.tv_sec + used.ru_stime.tv_sec) +
           1e-6 * (double)(used.ru_utime.tv_usec + used.ru_stime.tv_usec);
}

/* --- the whole process, and its floor --- */

typedef struct spent {
    double wall_s, cpu_s;
} spent;

static spent run_once(const char *program, const char *job, const char *out)
{
    int status = 1;
    double start_s = seconds_of(CLOCK_MONOTONIC), start_cpu_s = children_s();
    pid_t child = fork();
    if (child == 0) {
        execl(program, program, "map", job, "--out", out, "--quiet", (char *)NULL);
        _exit(127);
    }
    if (child < 0 || waitpid(child, &status, 0) != child || status != 0)
        return (spent){NAN, NAN};
    return (spent){seconds_of(CLOCK_MONOTONIC) - start_s, children_s() - start_cpu_s};
}

static spent run_best(const char *program, const char *job, const char *out)
{
    spent best = {INFINITY, INFINITY};
    for (int run = 0; run < RUNS; run++) {
        spent one = run_once(program, job, out);
        best.wall_s = one.wall_s < best.wall_s ? one.wall_s : best.wall_s;
        best.cpu_s = one.cpu_s < best.cpu_s ? one.cpu_s : best.cpu_s;
    }
    return best;
}

/* Encoding as libgd does by default. */
static double encode_best_s(gdImagePtr image)
{
    double best_s = INFINITY;
    for (int run = 0; run < RUNS; run++) {
        int length;
        double start_s = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
        gdFree(gdImagePngPtr(image, &length));
        best_s = fmin(best_s, seconds_of(CLOCK_PROCESS_CPUTIME_ID) - start_s);
    }
    return best_s;
}

static gdImagePtr picture_read(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *from = fopen(path, "rb");
    gdImagePtr read = from ? gdImageCreateFromPng(from) : NULL;
    if (from)
        fclose(from);
    return read;
}

/* What a person waits for at the bench page; the job is written beside the results. */
static int tell_edit(const char *folder, double floor_s)
{
    const crowded_job asked = {.folder = folder, .parts = 400, .sources = 24, .readings = 100};
    double taken_s = page_edit_s(&asked);
    printf("edit to picture, %zu parts, %zu sources, %zu readings: %.0f ms processor, %.2f of the "
           "floor\n",
           asked.parts, asked.sources, asked.readings, 1e3 * taken_s, taken_s / floor_s);
    return isnan(taken_s);
}

static int tell_whole(const char *program, const char *job, const char *out)
{
    spent whole = run_best(program, job, out);
    gdImagePtr palette = picture_read(out, "heat.png");
    if (!palette || !isfinite(whole.wall_s))
        return 1;
    gdImagePtr full = gdImageCreateTrueColor(gdImageSX(palette), gdImageSY(palette));
    if (!full)
        return 1;
    gdImageCopy(full, palette, 0, 0, 0, 0, gdImageSX(palette), gdImageSY(palette));
    double palette_s = encode_best_s(palette), full_s = encode_best_s(full);
    printf("whole map: %.0f ms wall, %.0f ms processor\n", 1e3 * whole.wall_s, 1e3 * whole.cpu_s);
    printf(
        "floor, one picture of %d x %d by libgd: %.0f ms in true colour, %.0f ms in 256 colours\n",
        gdImageSX(palette), gdImageSY(palette), 1e3 * full_s, 1e3 * palette_s);
    printf("whole over floor: %.2f wall, %.2f processor (true colour); %.2f wall (256 colours)\n",
           whole.wall_s / full_s, whole.cpu_s / full_s, whole.wall_s / palette_s);
    gdImageDestroy(palette);
    gdImageDestroy(full);
    return tell_edit(out, full_s);
}

/* --- growth of the fit --- */

typedef struct bench {
    sf_board board;
    sf_point corners[4];
    sf_ring edge;
    sf_source sources[SOURCES];
    sf_observation *seen;
    sf_pixels pixels;
} bench;

/* Bumps over the sources: what is read is of no matter to the time it takes. */
static double rise_at(const bench *of, double x_mm, double y_mm)
{
    double rise_k = 8;
    for (size_t j = 0; j < SOURCES; j++)
        rise_k += (14 + 5 * (double)j) *
                  exp(-hypot(x_mm - of->sources[j].x_mm, y_mm - of->sources[j].y_mm) / 24);
    return rise_k;
}

static void place(size_t index, double *x_mm, double *y_mm)
{
    /* golden-ratio lattice: spread evenly whatever their number */
    *x_mm = 200 * fmod(0.754877666 * (double)(index + 1), 1);
    *y_mm = 150 * fmod(0.569840291 * (double)(index + 1), 1);
}

static bool bench_new(size_t readings, bool pictured, bench *made)
{
    *made = (bench){.board = {.name = "bench",
                              .width_mm = 200,
                              .height_mm = 150,
                              .laminate = SF_LAMINATE_FR4,
                              .thickness_mm = 1.6,
                              .copper_layers = 2,
                              .copper_thickness_um = 35,
                              .copper_cover = 0.4,
                              .ambient_c = 22,
                              .service_ambient_c = 30},
                    .corners = {{0, 0}, {200, 0}, {200, 150}, {0, 150}}};
    for (size_t j = 0; j < SOURCES; j++)
        made->sources[j] = (sf_source){.ref = "H",
                                       .x_mm = 40 + 40 * (double)j,
                                       .y_mm = j % 2 ? 105 : 45,
                                       .width_mm = 16,
                                       .height_mm = 10,
                                       .power_w = NAN,
                                       .power_sd_w = NAN,
                                       .emissivity = NAN};
    made->seen = array_new(pictured ? 0 : readings, sizeof *made->seen);
    made->pixels = (sf_pixels){.x_mm = array_new(readings, sizeof(double)),
                               .y_mm = array_new(readings, sizeof(double)),
                               .rise_k = array_new(readings, sizeof(double)),
                               .count = pictured ? readings : 0,
                               .pixel_sd_k = 0.1,
                               .offset_sd_k = 1.2,
                               .gain_sd = 0.03,
                               .pixel_mm = 0.5};
    if (!made->seen || !made->pixels.x_mm || !made->pixels.y_mm || !made->pixels.rise_k)
        return false;
    for (size_t i = 0; i < readings; i++) {
        double x_mm, y_mm;
        place(i, &x_mm, &y_mm);
        made->pixels.x_mm[i] = x_mm;
        made->pixels.y_mm[i] = y_mm;
        made->pixels.rise_k[i] = rise_at(made, x_mm, y_mm);
        if (!pictured)
            made->seen[i] = (sf_observation){.id = "r",
                                             .x_mm = x_mm,
                                             .y_mm = y_mm,
                                             .rise_k = made->pixels.rise_k[i],
                                             .sd_k = 0.5,
                                             .in_fit = true,
                                             .remark = ""};
    }
    return true;
}

static void bench_free(bench *made)
{
    free(made->seen);
    free(made->pixels.x_mm);
    free(made->pixels.y_mm);
    free(made->pixels.rise_k);
}

/* Its edge lies in it, so it stays where it is. */
static sf_field_input input_of(bench *of, size_t readings, bool pictured)
{
    of->edge = (sf_ring){.points = of->corners, .count = 4};
    return (sf_field_input){.board = &of->board,
                            .rings = &of->edge,
                            .ring_count = 1,
                            .sources = of->sources,
                            .source_count = SOURCES,
                            .observations = of->seen,
                            .observation_count = pictured ? 0 : readings,
                            .pixels = pictured ? &of->pixels : NULL};
}

/* Processor time of one fit; NAN where it fails. */
static double fit_s(size_t readings, bool pictured, double cell_mm, size_t *cells)
{
    bench of;
    sf_field *field = NULL;
    sf_diagnostics heard = {0};
    sf_field_options options = sf_field_options_default();
    options.cell_mm = cell_mm;
    options.cells_max = 1000000;
    if (!bench_new(readings, pictured, &of)) {
        bench_free(&of);
        return NAN;
    }
    const sf_field_input input = input_of(&of, readings, pictured);
    double start_s = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
    sf_status status = sf_field_fit(&input, &options, &field, &heard);
    double taken_s = seconds_of(CLOCK_PROCESS_CPUTIME_ID) - start_s;
    if (status == SF_OK)
        *cells = sf_field_summarize(field).cells;
    sf_field_free(field);
    sf_diagnostics_clear(&heard);
    bench_free(&of);
    return status == SF_OK ? taken_s : NAN;
}

/* Slope of ln time over ln size. */
static double exponent(const double *sizes, const double *times_s, size_t count)
{
    double x[16], y[16], offset, slope, c00, c01, c11, squares;
    for (size_t i = 0; i < count; i++) {
        x[i] = log(sizes[i]);
        y[i] = log(times_s[i]);
    }
    gsl_fit_linear(x, 1, y, 1, count, &offset, &slope, &c00, &c01, &c11, &squares);
    return slope;
}

static void tell_readings(void)
{
    static const size_t counts[] = {10,  24,   60,    120,    121,    300,
                                    500, 1000, 10000, 100000, 300000, 1000000};
    enum { COUNT = sizeof counts / sizeof *counts };
    double sizes[COUNT], times_s[COUNT];
    puts("readings, on 200 x 150 mm in cells of 2.5 mm (from 1,000 on pixels of a thermogram):");
    for (size_t i = 0; i < COUNT; i++) {
        size_t cells = 0;
        sizes[i] = (double)counts[i];
        times_s[i] = fit_s(counts[i], counts[i] >= 1000, 2.5, &cells);
        printf("  %7zu readings: %.3f s\n", counts[i], times_s[i]);
    }
    printf("exponent over all: %.2f, from 1,000 on: %.2f\n", exponent(sizes, times_s, COUNT),
           exponent(sizes + 7, times_s + 7, COUNT - 7));
}

/* Processor time of the left-out error by a model, as a map asks it of its references; NAN where it
 * fails. */
static double left_out_s(const char *model, size_t readings)
{
    bench of;
    double rmse_k, taken_s = NAN;
    sf_diagnostics heard = {0};
    sf_field_options options = sf_field_options_default();
    options.model = model;
    if (bench_new(readings, false, &of)) {
        const sf_field_input input = input_of(&of, readings, false);
        double start_s = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
        if (sf_field_leave_one_out(&input, &options, &rmse_k, &heard) == SF_OK)
            taken_s = seconds_of(CLOCK_PROCESS_CPUTIME_ID) - start_s;
    }
    sf_diagnostics_clear(&heard);
    bench_free(&of);
    return taken_s;
}

static void tell_references(void)
{
    static const size_t counts[] = {12, 24, 60, 120, 300, 600};
    puts("yardsticks, left-out error alone:");
    for (const sf_field_model_name *const *model = sf_field_models() + 1; *model; model++)
        for (size_t i = 0; i < sizeof counts / sizeof *counts; i++)
            printf("  %7zu readings: %.4f s by %s\n", counts[i],
                   left_out_s((*model)->name, counts[i]), (*model)->name);
}

static void tell_cells(size_t readings, bool pictured)
{
    static const double sides_mm[] = {3.5, 2.5, 1.7, 1.2, 0.85, 0.6, 0.433};
    enum { COUNT = sizeof sides_mm / sizeof *sides_mm };
    double sizes[COUNT], times_s[COUNT];
    printf("cells, with %zu %s:\n", readings, pictured ? "pixels" : "readings");
    for (size_t i = 0; i < COUNT; i++) {
        size_t cells = 0;
        times_s[i] = fit_s(readings, pictured, sides_mm[i], &cells);
        sizes[i] = (double)cells;
        printf("  %7zu cells: %.3f s\n", cells, times_s[i]);
    }
    printf("exponent: %.2f\n", exponent(sizes, times_s, COUNT));
}

int main(int count, char **words)
{
    char out[] = "/tmp/spotfield-speed-XXXXXX";
    if (count != 3 || !mkdtemp(out)) {
        fputs("usage: speed SPOTFIELD JOB\n", stderr);
        return 64;
    }
    memory_keep(); /* as the program does */
    gsl_set_error_handler_off();
    int failed = tell_whole(words[1], words[2], out);
    fflush(stdout);
    tell_readings();
    tell_references();
    tell_cells(SPOTS, false);
    tell_cells(100000, true);
    char remove[64];
    snprintf(remove, sizeof remove, "rm -rf %s", out);
    return system(remove) != 0 || failed;
}
