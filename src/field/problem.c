/* Gathers what a heat-balance fit works on. */
#include "field/problem.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>

#include "core/memory.h"

#define LEAST_SCALE_K 1.0 /* a board this cool has no story to tell */
#define GRADIENT_STEP_MM 1.0
#define PATCH_LEAST_K 1.0 /* patchiness acts on at least this rise */

double sample_value(const grid_sample *sample, const double *values)
{
    double sum = 0;
    for (size_t i = 0; i < sample->count; i++)
        sum += sample->weights[i] * values[sample->nodes[i]];
    return sum;
}

static bool allocate(problem *made, size_t observations)
{
    size_t nodes = made->laid->nodes;
    made->observation_of = array_new(observations, sizeof *made->observation_of);
    made->samples = array_new(observations, sizeof *made->samples);
    made->rise_k = array_new(observations, sizeof(double));
    made->variance_k2 = array_new(observations, sizeof(double));
    made->position_k2 = array_new(observations, sizeof(double));
    made->covers = array_new(made->input->source_count, sizeof *made->covers);
    made->rise_guess_k = array_new(nodes, sizeof(double));
    made->loss = array_new(nodes, sizeof(double));
    return made->observation_of && made->samples && made->rise_k && made->variance_k2 &&
           made->position_k2 && made->covers && made->rise_guess_k && made->loss;
}

/* Scales the priors to the board: the cool quarter of the readings tells the background, and the
 * energy balance what one source of several must give to warm the whole board so far. */
static sf_status set_scales(problem *made)
{
    double *sorted = array_new(made->readings, sizeof *sorted);
    if (!sorted)
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < made->readings; i++)
        sorted[i] = made->rise_k[i];
    gsl_sort(sorted, 1, made->readings);
    double cool = gsl_stats_quantile_from_sorted_data(sorted, 1, made->readings, 0.25);
    free(sorted);
    cool = fmax(cool, LEAST_SCALE_K);
    double area_mm2 = (double)made->laid->nodes * made->laid->cell_mm * made->laid->cell_mm;
    made->background_k = fmax(2 * LEAST_SCALE_K, 0.7 * cool);
    made->strength_k_mm2 = cool * area_mm2 / ((double)made->input->source_count + 1.5);
    for (size_t node = 0; node < made->laid->nodes; node++) {
        made->loss[node] = 1;
        made->rise_guess_k[node] = cool;
    }
    return SF_OK;
}

sf_status problem_gather(const sf_field_input *input, const grid *laid, problem *gathered)
{
    *gathered = (problem){.input = input, .laid = laid, .built = construction_of(input->board)};
    if (!allocate(gathered, input->observation_count))
        return SF_ERROR_MEMORY;
    for (size_t i = 0; i < input->observation_count; i++) {
        const sf_observation *seen = &input->observations[i];
        if (!seen->in_fit)
            continue;
        size_t reading = gathered->readings++;
        gathered->observation_of[reading] = i;
        gathered->samples[reading] = grid_sample_at(laid, seen->x_mm, seen->y_mm);
        gathered->rise_k[reading] = seen->rise_k;
        gathered->variance_k2[reading] = seen->sd_k * seen->sd_k;
    }
    if (gathered->readings > READINGS_MOST)
        return SF_ERROR_DATA;
    for (size_t j = 0; j < input->source_count; j++) {
        const sf_source *source = &input->sources[j];
        sf_status status = grid_cover(laid, source->x_mm, source->y_mm, source->width_mm,
                                      source->height_mm, source->angle_deg, &gathered->covers[j]);
        if (status != SF_OK)
            return status;
    }
    return gathered->readings > 0 ? set_scales(gathered) : SF_ERROR_DATA;
}

double field_slope_k_mm(const grid *laid, const double *rise_k, double x_mm, double y_mm)
{
    double slope_k_mm[2];
    for (int axis = 0; axis < 2; axis++) {
        double dx = axis == 0 ? GRADIENT_STEP_MM : 0, dy = GRADIENT_STEP_MM - dx;
        grid_sample ahead = grid_sample_at(laid, x_mm + dx, y_mm + dy);
        grid_sample behind = grid_sample_at(laid, x_mm - dx, y_mm - dy);
        slope_k_mm[axis] =
            (sample_value(&ahead, rise_k) - sample_value(&behind, rise_k)) / (2 * GRADIENT_STEP_MM);
    }
    return hypot(slope_k_mm[0], slope_k_mm[1]);
}

void problem_take_field(problem *gathered, const double *rise_k, double position_sd_mm)
{
    for (size_t node = 0; node < gathered->laid->nodes; node++) {
        gathered->rise_guess_k[node] = fmax(rise_k[node], PATCH_LEAST_K);
        gathered->loss[node] =
            construction_loss_at(&gathered->built, gathered->input->board, rise_k[node]);
    }
    for (size_t i = 0; i < gathered->readings; i++) {
        const sf_observation *seen = &gathered->input->observations[gathered->observation_of[i]];
        double off_k =
            position_sd_mm * field_slope_k_mm(gathered->laid, rise_k, seen->x_mm, seen->y_mm);
        gathered->position_k2[i] = off_k * off_k;
    }
}

sf_observation *problem_thin(const problem *gathered, size_t most)
{
    const sf_field_input *input = gathered->input;
    sf_observation *thinned = array_new(input->observation_count, sizeof *thinned);
    double *distance_mm = array_new(gathered->readings, sizeof *distance_mm);
    if (!thinned || !distance_mm) {
        free(thinned);
        free(distance_mm);
        return NULL;
    }
    for (size_t i = 0; i < input->observation_count; i++) {
        thinned[i] = input->observations[i];
        thinned[i].in_fit = false;
    }
    for (size_t i = 0; i < gathered->readings; i++)
        distance_mm[i] = INFINITY;
    size_t next = gsl_stats_max_index(gathered->rise_k, 1, gathered->readings);
    for (size_t chosen = 0; chosen < most && distance_mm[next] > 0; chosen++) {
        sf_observation *taken = &thinned[gathered->observation_of[next]];
        taken->in_fit = true;
        for (size_t i = 0; i < gathered->readings; i++) {
            const sf_observation *seen = &thinned[gathered->observation_of[i]];
            distance_mm[i] =
                fmin(distance_mm[i], hypot(seen->x_mm - taken->x_mm, seen->y_mm - taken->y_mm));
        }
        next = gsl_stats_max_index(distance_mm, 1, gathered->readings);
    }
    free(distance_mm);
    return thinned;
}

void problem_clear(problem *gathered)
{
    if (gathered->covers)
        for (size_t j = 0; j < gathered->input->source_count; j++)
            free(gathered->covers[j].shares);
    free(gathered->covers);
    free(gathered->observation_of);
    free(gathered->samples);
    free(gathered->rise_k);
    free(gathered->variance_k2);
    free(gathered->position_k2);
    free(gathered->rise_guess_k);
    free(gathered->loss);
    *gathered = (problem){0};
}
