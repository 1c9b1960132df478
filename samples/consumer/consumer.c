/* A program of another tree that uses the installed library: it maps a board from plain arrays,
 * without a file, and prints the rise over air at a part that nobody read, with its uncertainty.
 * Board and numbers are invented: the supply of a community radio station's mixing desk. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <gsl/gsl_errno.h>
#include <spotfield/spotfield.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* What is left out of a struct is 0: there are no defaults here, as there are for blank cells. */
static const sf_board board = {.width_mm = 180,
                               .height_mm = 130,
                               .laminate = SF_LAMINATE_FR4,
                               .thickness_mm = 1.6,
                               .copper_layers = 2,
                               .copper_thickness_um = 35,
                               .copper_cover = 0.4,
                               .air = SF_AIR_STILL,
                               .ambient_c = 24};

/* The edge, a rectangle as large as the board; further rings would be cut-outs. */
static sf_point corners[] = {{0, 0}, {180, 0}, {180, 130}, {0, 130}};
static const sf_ring edge = {.points = corners, .count = COUNT(corners)};

/* Footprints only: a NAN is a power nobody measured, which the fit finds from the readings. */
static sf_source source(char *ref, double x_mm, double y_mm, double side_mm)
{
    return (sf_source){.ref = ref,
                       .x_mm = x_mm,
                       .y_mm = y_mm,
                       .width_mm = side_mm,
                       .height_mm = side_mm,
                       .power_w = NAN,
                       .power_sd_w = NAN,
                       .emissivity = NAN};
}

/* Rises are corrected already, as sf_readings_correct does it; these follow from a formula. */
static sf_observation reading(char *id, double x_mm, double y_mm, double rise_k)
{
    return (sf_observation){.id = id,
                            .x_mm = x_mm,
                            .y_mm = y_mm,
                            .rise_k = rise_k,
                            .temp_c = board.ambient_c + rise_k,
                            .sd_k = 0.5,
                            .in_fit = true,
                            .method = SF_METHOD_THERMOCOUPLE_K,
                            .spot = SF_SPOT_BOARD};
}

int main(void)
{
    gsl_set_error_handler_off(); /* else GSL would end the process instead of reporting */
    sf_source sources[] = {source("U1", 66, 58, 14), source("Q2", 112, 70, 12)};
    sf_observation readings[] = {reading("1", 66, 58, 58.5),  reading("2", 78, 58, 30.9),
                                 reading("3", 62, 80, 13.8),  reading("4", 104, 76, 21.5),
                                 reading("5", 123, 70, 17.8), reading("6", 94, 54, 14.5)};
    sf_field_input input = {.board = &board,
                            .rings = &edge,
                            .ring_count = 1,
                            .sources = sources,
                            .source_count = COUNT(sources),
                            .observations = readings,
                            .observation_count = COUNT(readings)};
    sf_field_options options = sf_field_options_default();
    sf_diagnostics diagnostics = {0};
    sf_field *field = NULL;
    sf_estimate rise_k = {0, 0};
    sf_status status = sf_field_fit(&input, &options, &field, &diagnostics);
    if (status == SF_OK)
        status = sf_field_at(field, 92, 72, &rise_k);
    if (status == SF_OK)
        printf("C7 rise_k %.3f sd_k %.3f\n", rise_k.value, rise_k.sd);
    else
        fprintf(stderr, "consumer: %s\n", sf_status_text(status));
    sf_field_free(field);
    sf_diagnostics_clear(&diagnostics);
    return status == SF_OK ? EXIT_SUCCESS : EXIT_FAILURE;
}
