/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Variance of the field. The estimate is linear in the readings, W(x) z; its error under any heat
 * of covariance C has variance C(x,x) - 2 C(x,r) W(x) + W(x) C(r,r) W(x), which holds also where C
 * is wider than the one W was made for: so the many places where a source may stand with a small
 * probability each count as white heat of their mean square, and only likely ones one by one. */
#include "field/uncertainty.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "core/memory.h"
#include "core/parallel.h"
#include "field/can_share.h"
#include "field/discrepancy.h"
#include "field/wide_heat.h"

#define DIFFERENCE_SHARE 1e-4 /* of the loss, by which it is shifted: exact to its square */
#define LEAST_SD_K 0.01       /* finer than any thermometer */

typedef struct doubt {
    const fit_data *data;
    const length_fit *fit;
    balance *matrix;
    size_t nodes, readings;
    double *heat;      /* per node: variance of heat that W was made for */
    double *wide_heat; /* per node: the same with unlikely sources */
    double *weights;   /* readings rows of nodes: W(x) */
    double *wide;      /* readings rows of nodes: C(x, r) with unlikely sources */
    double *between;   /* readings x readings: C(r, r) with unlikely sources */
    double *sum_k2;    /* per node: the variance, as its parts come together */
} doubt;

static bool allocate(doubt *of)
{
    of->heat = array_new(of->nodes, sizeof(double));
    of->wide_heat = array_new(of->nodes, sizeof(double));
    of->weights = array_new(of->readings * of->nodes, sizeof(double));
    of->wide = array_new(of->readings * of->nodes, sizeof(double));
    of->between = array_new(of->readings * of->readings, sizeof(double));
    of->sum_k2 = array_new(of->nodes, sizeof(double));
    return of->heat && of->wide_heat && of->weights && of->wide && of->between && of->sum_k2;
}

static void clear(doubt *of)
{
    free(of->heat);
    free(of->wide_heat);
    free(of->weights);
    free(of->wide);
    free(of->between);
    free(of->sum_k2);
}

/* C(x, r) of background, sources and discrepancy, which both covariances have. */
static void add_listed(const doubt *of, size_t reading, double *row)
{
    discrepancy_add(of->data, &of->fit->fitted, reading, 1, row);
    const green_functions *green = &of->fit->green;
    double b = of->data->background_k;
    double pull = b * b * green->uniform_at[reading];
    add_times(row, green->uniform, pull, of->nodes);
    for (size_t j = 0; j < green->sources; j++) {
        double sd = of->fit->under.strength_sd[j];
        pull = sd * sd * green->source_at[reading * green->sources + j];
        add_times(row, green->fields + j * of->nodes, pull, of->nodes);
    }
}

/* Of readings from `from` to `to`, to both covariances. */
static sf_status add_listed_to_both(void *context, size_t from, size_t to)
{
    const doubt *of = context;
    double *row = array_new(of->nodes, sizeof *row);
    if (!row)
        return SF_ERROR_MEMORY;
    for (size_t i = from; i < to; i++) {
        memset(row, 0, of->nodes * sizeof *row);
        add_listed(of, i, row);
        add_times(of->weights + i * of->nodes, row, 1, of->nodes);
        add_times(of->wide + i * of->nodes, row, 1, of->nodes);
    }
    free(row);
    return SF_OK;
}

/* Solves that wait for no others, on a balance of their own: of two, the diagonal of A^-1 with the
 * wide heat times `shift` taken from the loss; of one, all that A itself is solved for. */
typedef struct solve_task {
    const doubt *of;
    balance *matrix;
    double shift;
    double *diagonal; /* per node; NULL: A itself */
    double *knots;    /* knots rows of nodes: what each knot's share of the copper changes */
} solve_task;

/* C(x, r) of the copper and of the heat everywhere that W was made for. */
static sf_status solve_covariance(const solve_task *task)
{
    const doubt *of = task->of;
    const double *adjoint = of->fit->green.adjoint;
    const copper_lattice *lattice = &of->data->copper;
    double copper = of->fit->fitted.copper;
    for (size_t i = 0; i < of->readings; i++) {
        double *row = of->weights + i * of->nodes;
        for (size_t node = 0; node < of->nodes; node++)
            row[node] = adjoint[i * of->nodes + node] * of->heat[node];
        copper_add_heat(lattice, of->fit->green.length_mm,
                        of->fit->green.copper_at + i * lattice->knots, copper * copper, row);
    }
    return balance_solve(task->matrix, of->weights, of->weights, of->readings);
}

/* The same with the heat that unlikely sources add. */
static sf_status solve_wide(const solve_task *task)
{
    const doubt *of = task->of;
    const double *adjoint = of->fit->green.adjoint;
    for (size_t i = 0; i < of->readings; i++)
        for (size_t node = 0; node < of->nodes; node++)
            of->wide[i * of->nodes + node] =
                adjoint[i * of->nodes + node] * (of->wide_heat[node] - of->heat[node]);
    sf_status status = balance_solve(task->matrix, of->wide, of->wide, of->readings);
    add_times(of->wide, of->weights, 1, of->readings * of->nodes);
    return status;
}

static sf_status solve_unshifted(const solve_task *task)
{
    const doubt *of = task->of;
    double length_mm = of->fit->green.length_mm;
    sf_status status = balance_factor(task->matrix, length_mm, of->data->loss);
    if (status == SF_OK)
        status = solve_covariance(task);
    if (status == SF_OK)
        status = solve_wide(task);
    return status == SF_OK ? copper_fields(&of->data->copper, task->matrix, length_mm, task->knots)
                           : status;
}

static sf_status solve_one(void *given)
{
    const solve_task *task = given;
    const doubt *of = task->of;
    if (!task->diagonal)
        return solve_unshifted(task);
    double *loss = array_new(of->nodes, sizeof *loss);
    sf_status status = loss ? SF_OK : SF_ERROR_MEMORY;
    for (size_t node = 0; loss && node < of->nodes; node++)
        loss[node] = of->data->loss[node] - task->shift * of->wide_heat[node];
    if (status == SF_OK)
        status = balance_factor(task->matrix, of->fit->green.length_mm, loss);
    if (status == SF_OK)
        status = balance_inverse_diagonal(task->matrix, task->diagonal);
    free(loss);
    return status;
}

/* C(x, x) of heat everywhere at every node: the diagonal of A^-1 D A^-1 with D the heat's variance
 * is the derivative of that of (A - t D)^-1 at t = 0, taken as a central difference. */
static double difference_step(const doubt *of)
{
    double most = 0;
    for (size_t node = 0; node < of->nodes; node++)
        most = fmax(most, of->wide_heat[node] / of->data->loss[node]);
    return most > 0 ? DIFFERENCE_SHARE / most : 0;
}

enum { PLAIN, BELOW, ABOVE, SOLVES };

/* The first task uses the caller's balance, which it leaves factored for the fit's length. */
static sf_status set_tasks(const doubt *of, double step, solve_task tasks[SOLVES])
{
    sf_status status = SF_OK;
    tasks[PLAIN] =
        (solve_task){.matrix = of->matrix,
                     .knots = array_new(of->data->copper.knots * of->nodes, sizeof(double))};
    tasks[BELOW] = (solve_task){.shift = -step, .diagonal = array_new(of->nodes, sizeof(double))};
    tasks[ABOVE] = (solve_task){.shift = step, .diagonal = array_new(of->nodes, sizeof(double))};
    if (!tasks[PLAIN].knots || !tasks[BELOW].diagonal || !tasks[ABOVE].diagonal)
        status = SF_ERROR_MEMORY;
    for (int i = 0; i < SOLVES; i++) {
        tasks[i].of = of;
        if (i != PLAIN && status == SF_OK)
            status = balance_like(of->matrix, &tasks[i].matrix);
    }
    return status;
}

/* C(x, x) of the copper: the square of what each knot's share changes. */
static void add_copper(doubt *of, const double *knots)
{
    double copper = of->fit->fitted.copper;
    for (size_t k = 0; k < of->data->copper.knots; k++)
        for (size_t node = 0; node < of->nodes; node++)
            of->sum_k2[node] += pow(copper * knots[k * of->nodes + node], 2);
}

/* Everything that is solved for, and C(x, x) of heat everywhere and of the copper. */
static sf_status solve_all(doubt *of)
{
    solve_task tasks[SOLVES];
    double step = difference_step(of);
    size_t count = step > 0 ? SOLVES : BELOW;
    sf_status status = set_tasks(of, step, tasks);
    if (status == SF_OK)
        status = parallel_for(solve_one, tasks, count, sizeof *tasks);
    for (size_t node = 0; status == SF_OK && count > BELOW && node < of->nodes; node++)
        of->sum_k2[node] +=
            -tasks[BELOW].diagonal[node] / (2 * step) + tasks[ABOVE].diagonal[node] / (2 * step);
    if (status == SF_OK)
        add_copper(of, tasks[PLAIN].knots);
    for (int i = BELOW; i < SOLVES; i++)
        balance_free(tasks[i].matrix);
    free(tasks[PLAIN].knots);
    free(tasks[BELOW].diagonal);
    free(tasks[ABOVE].diagonal);
    return status;
}

/* Everything but C(x, x) of heat everywhere; `column` is W(x), and `between` C(r, r) W(x). */
static double linear_part(const doubt *of, size_t node, const double *column, const double *between)
{
    const green_functions *green = &of->fit->green;
    double b = of->data->background_k;
    double off_k = of->fit->fitted.off_share * of->data->rise_guess_k[node];
    double sum = b * b * green->uniform[node] * green->uniform[node] + off_k * off_k;
    for (size_t j = 0; j < green->sources; j++) {
        double field = of->fit->under.strength_sd[j] * green->fields[j * of->nodes + node];
        sum += field * field;
    }
    for (size_t i = 0; i < of->readings; i++)
        sum += column[i] * (between[i] - 2 * of->wide[i * of->nodes + node]);
    return sum;
}

/* Replaces C(x, r) by W(x) = C(r, r)^-1 C(x, r) at two nodes, or at one twice, and adds to their
 * variances; `work` has room for six numbers a reading. */
static void weigh_two(doubt *of, size_t node, size_t other, double *work)
{
    size_t readings = of->readings;
    double *seen = work, *column = seen + 2 * readings, *between = column + 2 * readings;
    memset(column, 0, 4 * readings * sizeof *column);
    for (size_t i = 0; i < readings; i++) {
        seen[i] = of->weights[i * of->nodes + node];
        seen[readings + i] = of->weights[i * of->nodes + other];
    }
    add_dots_of_two(seen, seen + readings, of->fit->under.inverse, readings, readings, readings,
                    column, column + readings);
    add_dots_of_two(column, column + readings, of->between, readings, readings, readings, between,
                    between + readings);
    for (size_t i = 0; i < readings; i++) {
        of->weights[i * of->nodes + node] = column[i];
        of->weights[i * of->nodes + other] = column[readings + i];
    }
    of->sum_k2[node] += linear_part(of, node, column, between);
    if (other != node)
        of->sum_k2[other] += linear_part(of, other, column + readings, between + readings);
}

static sf_status weigh_nodes(void *context, size_t from, size_t to)
{
    doubt *of = context;
    double *work = array_new(6 * of->readings, sizeof *work);
    if (!work)
        return SF_ERROR_MEMORY;
    for (size_t node = from; node < to; node += 2)
        weigh_two(of, node, node + 1 < to ? node + 1 : node, work);
    free(work);
    return SF_OK;
}

/* Field of one candidate at 1 K mm2; returns through own_k its mean over the footprint. */
static sf_status candidate_field(const doubt *of, const footprint *cover, double *field,
                                 double *own_k)
{
    double own = 0, shares = 0;
    memset(field, 0, of->nodes * sizeof *field);
    for (size_t s = 0; s < cover->count; s++)
        field[cover->shares[s].node] = cover->shares[s].share / cover->area_mm2;
    sf_status status = balance_solve(of->matrix, field, field, 1);
    for (size_t s = 0; s < cover->count; s++) {
        own += cover->shares[s].share * field[cover->shares[s].node];
        shares += cover->shares[s].share;
    }
    *own_k = own / shares;
    return status;
}

/* One effect's likely candidates: strength and place unsure. */
static sf_status add_effect(const doubt *of, const effect *one, double *field, double *mean,
                            double *variance_k2, double *own_k)
{
    const unlisted *found = &of->fit->found;
    sf_status status = SF_OK;
    memset(mean, 0, of->nodes * sizeof *mean);
    for (size_t c = 0; status == SF_OK && c < found->from->count; c++) {
        if (!candidate_likely(one, c))
            continue;
        const double *at = found->at_readings + c * of->readings;
        double square = candidate_square(one, c), first = one->share[c] * one->mean[c];
        status = candidate_field(of, &found->from->covers[c], field, &own_k[c]);
        for (size_t node = 0; node < of->nodes; node++) {
            double unseen = field[node]; /* what the readings do not take back */
            for (size_t i = 0; i < of->readings; i++)
                unseen -= at[i] * of->weights[i * of->nodes + node];
            variance_k2[node] += square * unseen * unseen;
            mean[node] += first * unseen;
        }
    }
    for (size_t node = 0; node < of->nodes; node++)
        variance_k2[node] -= mean[node] * mean[node];
    return status;
}

static sf_status add_likely_sources(const doubt *of, double *variance_k2, double *own_k)
{
    double *field = array_new(of->nodes, sizeof *field);
    double *mean = array_new(of->nodes, sizeof *mean);
    sf_status status = field && mean ? SF_OK : SF_ERROR_MEMORY;
    for (int k = 0; status == SF_OK && of->fit->found.from && k < EFFECT_COUNT; k++)
        status = add_effect(of, &of->fit->found.effects[k], field, mean, variance_k2, own_k);
    free(field);
    free(mean);
    return status;
}

/* No place is known better than all readings together would tell one temperature. */
static double least_variance(const doubt *of)
{
    double least = INFINITY;
    if (of->readings == 0)
        return 0;
    for (size_t i = 0; i < of->readings; i++)
        least = fmin(least, reading_variance_k2(of->data, &of->fit->fitted, i));
    return fmax(least, LEAST_SD_K * LEAST_SD_K) / (double)of->readings;
}

/* What the errors that readings have together make of the estimate; the air of a day is its own. */
static void tell_part(const doubt *of, const reading_part *part)
{
    for (int common = 0; common < SF_COMMON_AIR; common++) {
        double *common_shift_k = part->common_shift_k + (size_t)common * of->nodes;
        for (size_t i = 0; i < of->readings; i++)
            add_times(common_shift_k, of->weights + i * of->nodes,
                      of->data->common_k[i * SF_COMMON_COUNT + (size_t)common], of->nodes);
        for (size_t node = 0; node < of->nodes; node++)
            part->independent_k2[node] += common_shift_k[node] * common_shift_k[node];
    }
    for (size_t k = 0; k < CANS_SHARED; k++)
        for (size_t i = 0; i < of->readings; i++)
            add_times(part->with_cans_k + k * of->nodes, of->weights + i * of->nodes,
                      -can_reading_load_k(of->data, k, i), of->nodes);
}

sf_status uncertainty_add(const fit_data *data, balance *matrix, const length_fit *fit,
                          double *variance_k2, double *own_k, const reading_part *part)
{
    doubt of = {.data = data,
                .fit = fit,
                .matrix = matrix,
                .nodes = data->laid->nodes,
                .readings = data->readings};
    sf_status status = allocate(&of) ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK) {
        heat_variances(data, fit, of.heat, of.wide_heat);
        status = wide_covariance(fit, of.heat, of.wide_heat, of.between);
    }
    if (status == SF_OK)
        status = solve_all(&of);
    if (status == SF_OK)
        status = parallel_in_chunks(add_listed_to_both, &of, of.readings);
    if (status == SF_OK)
        status = parallel_in_chunks(weigh_nodes, &of, of.nodes);
    if (status == SF_OK)
        status = add_likely_sources(&of, of.sum_k2, own_k);
    if (status == SF_OK && part)
        tell_part(&of, part);
    double least = status == SF_OK ? least_variance(&of) : 0;
    for (size_t node = 0; status == SF_OK && node < of.nodes; node++)
        variance_k2[node] += fmax(of.sum_k2[node], least);
    clear(&of);
    return status;
}
