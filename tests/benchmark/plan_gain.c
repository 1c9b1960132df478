/* plan_gain [--boards N] [--first F] [--points K] [--seed S] [--unlisted]: what planned readings
 * are worth. On each of N invented boards, K readings are taken where
 *   spread   they lie farthest from each other,
 *   survey   a technician would: three quarters of the listed sources, hottest first, then spread,
 *   planned  sf_plan_make says before any reading, and where its plan ends early, spread,
 *   staged   it says in three rounds, each with the readings before it,
 * and each set is mapped and decided. All thermometers err by the same draws. A line a board and
 * way, then the sums:
 *   rmse_k  root mean square error of the rise over all parts
 *   wrong   parts whose verdict differs from the one that the true rise would bring
 *   worn    parts truly past their life that are left in place */
#include <errno.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "benchmark/invented.h"
#include "spotfield/spotfield.h"

enum { POINTS_MOST = 32, ROUNDS = 3, SPREAD_MM = 2 };

typedef enum way { SPREAD, SURVEY, PLANNED, STAGED, WAYS } way;

static const char *const way_names[WAYS] = {"spread", "survey", "planned", "staged"};

typedef struct options {
    unsigned long boards, first, points, seed;
    bool unlisted;
} options;

typedef struct score {
    double square_k2;
    size_t parts, wrong, worn, points_planned;
} score;

/* A board as the product sees it; texts and arrays are its own or static. */
typedef struct bench_job {
    sf_job job;
    sf_source sources[SOURCES_MOST];
    sf_part parts[PARTS];
    char refs[SOURCES_MOST + PARTS][24];
} bench_job;

typedef struct bench {
    const invented *board;
    const sf_job *job;
    unsigned long seed; /* of the thermometer's errors */
    sf_observation seen[POINTS_MOST];
    size_t count;
    gsl_rng *chance;
} bench;

/* --- the job --- */

static char nothing[] = "";

static void board_fill(bench_job *into, const invented *board)
{
    into->job = (sf_job){
        .folder = nothing,
        .board = {.name = nothing,
                  .width_mm = board->width_mm,
                  .height_mm = board->height_mm,
                  .laminate = strcmp(board->grade, "FR-2") == 0 ? SF_LAMINATE_FR2 : SF_LAMINATE_FR4,
                  .thickness_mm = board->copper.thickness_mm,
                  .copper_layers = board->copper.layers,
                  .copper_thickness_um = board->copper.thickness_um,
                  .copper_cover = board->cover_written_pct / 100,
                  .air = SF_AIR_STILL,
                  .ambient_c = board->loss.ambient_c,
                  .service_ambient_c = board->service_ambient_c,
                  .run_hours = board->run_hours,
                  .run_hours_sd = (double)NAN,
                  .made_year = 2001,
                  .surveyed = nothing,
                  .survey_year = 2026.1,
                  .hours_per_year = 1800,
                  .service_goal_h = 12000},
        .rings = (sf_ring *)board->rings,
        .ring_count = board->ring_count,
        .sources = into->sources,
        .parts = into->parts,
        .part_count = PARTS,
        .policy = sf_policy_default(),
    };
}

static void sources_fill(bench_job *into, const invented *board)
{
    for (size_t i = 0; i < board->source_count; i++) {
        const invented_source *source = &board->sources[i];
        if (!source->listed)
            continue;
        char *ref = into->refs[into->job.source_count];
        snprintf(ref, sizeof into->refs[0], "H%zu", i + 1);
        into->sources[into->job.source_count++] = (sf_source){
            ref, source->x_mm,     source->y_mm,    source->width_mm,   source->height_mm,
            0,   SF_MOUNT_UNKNOWN, source->power_w, source->power_sd_w, NAN,
            0};
    }
}

static void parts_fill(bench_job *into, const invented *board)
{
    for (size_t i = 0; i < PARTS; i++) {
        const invented_part *part = &board->parts[i];
        char *ref = into->refs[SOURCES_MOST + i];
        snprintf(ref, sizeof into->refs[0], "C%zu", i + 1);
        into->parts[i] = (sf_part){.ref = ref,
                                   .x_mm = part->x_mm,
                                   .y_mm = part->y_mm,
                                   .diameter_mm = part->diameter_mm,
                                   .height_mm = (double)NAN,
                                   .capacitance_uf = part->capacitance_uf,
                                   .tolerance_low_pct = 20,
                                   .tolerance_high_pct = 20,
                                   .rated_v = part->rated_v,
                                   .rated_c = part->rated_c,
                                   .endurance_h = part->endurance_h,
                                   .ripple_a = (double)NAN,
                                   .rated_ripple_a = (double)NAN,
                                   .working_v = (double)NAN,
                                   .duty = 1,
                                   .critical = part->critical,
                                   .hours = (double)NAN,
                                   .measured_uf = (double)NAN,
                                   .measured_esr_ohm = (double)NAN,
                                   .esr_limit_ohm = (double)NAN,
                                   .note = nothing};
    }
}

/* --- readings --- */

/* Bead and thermometer err as in make_boards, and the technician knows it as there. */
static void read_at(bench *with, double x_mm, double y_mm)
{
    double rise_k = (double)NAN;
    while (isnan(rise_k))
        rise_k = plate_rise(with->board->truth, x_mm + gsl_ran_gaussian_ziggurat(with->chance, 0.7),
                            y_mm + gsl_ran_gaussian_ziggurat(with->chance, 0.7));
    rise_k += gsl_ran_gaussian_ziggurat(with->chance, 0.7);
    with->seen[with->count++] = (sf_observation){.id = nothing,
                                                 .x_mm = x_mm,
                                                 .y_mm = y_mm,
                                                 .temp_c = with->job->board.ambient_c + rise_k,
                                                 .rise_k = rise_k,
                                                 .sd_k = 0.8,
                                                 .in_fit = true,
                                                 .remark = nothing};
}

static double nearest_mm(const bench *with, double x_mm, double y_mm)
{
    double nearest = 1e9;
    for (size_t i = 0; i < with->count; i++)
        nearest = fmin(nearest, hypot(with->seen[i].x_mm - x_mm, with->seen[i].y_mm - y_mm));
    return nearest;
}

/* The place on the board farthest from all readings; the first one stands a sixth in. */
static void read_spread(bench *with)
{
    double best_mm = -1, best_x = 0, best_y = 0;
    const invented *board = with->board;
    for (double y = SPREAD_MM; y < board->height_mm; y += SPREAD_MM)
        for (double x = SPREAD_MM; x < board->width_mm; x += SPREAD_MM) {
            if (!invented_has_room(board, x, y, 6, 6))
                continue;
            double away = with->count > 0
                              ? nearest_mm(with, x, y)
                              : 1e4 - hypot(x - board->width_mm / 6, y - board->height_mm / 6);
            if (away > best_mm) {
                best_mm = away;
                best_x = x;
                best_y = y;
            }
        }
    read_at(with, best_x, best_y);
}

static sf_status read_planned(bench *with, size_t count, score *into)
{
    sf_complaints complaints = {0};
    sf_plan_options wanted = sf_plan_options_default();
    sf_plan *plan = NULL;
    wanted.points = count;
    sf_status status =
        sf_plan_make(with->job, with->seen, with->count, &wanted, &plan, &complaints);
    for (size_t i = 0; status == SF_OK && i < plan->count; i++)
        read_at(with, plan->points[i].x_mm, plan->points[i].y_mm);
    if (status == SF_OK)
        into->points_planned += plan->count;
    sf_plan_free(plan);
    sf_complaints_clear(&complaints);
    return status;
}

static sf_status read_all(bench *with, way how, size_t points, score *into)
{
    sf_status status = SF_OK;
    gsl_rng_set(with->chance, with->seed);
    with->count = 0;
    for (size_t i = 0; how == SURVEY && i < with->board->reading_count; i++)
        read_at(with, with->board->readings[i].x_mm, with->board->readings[i].y_mm);
    if (how == PLANNED)
        status = read_planned(with, points, into);
    for (size_t round = 1; status == SF_OK && how == STAGED && round <= ROUNDS; round++)
        status = read_planned(with, round * points / ROUNDS - with->count, into);
    while (status == SF_OK && with->count < points)
        read_spread(with);
    return status;
}

/* --- the score --- */

static sf_status decide(const bench *with, const sf_estimate *rises_k, const sf_estimate *true_k,
                        score *into)
{
    sf_part_result *called = NULL, *truly = NULL;
    sf_status status = sf_parts_decide(with->job, rises_k, &called);
    if (status == SF_OK)
        status = sf_parts_decide(with->job, true_k, &truly);
    for (size_t i = 0; status == SF_OK && i < PARTS; i++) {
        double off_k = rises_k[i].value - true_k[i].value;
        into->square_k2 += off_k * off_k;
        into->parts++;
        into->wrong += called[i].verdict != truly[i].verdict;
        into->worn += truly[i].used > 1 && called[i].verdict == SF_LEAVE;
    }
    sf_part_results_free(called, PARTS);
    sf_part_results_free(truly, PARTS);
    return status;
}

static sf_status judge(const bench *with, score *into)
{
    sf_complaints complaints = {0};
    sf_field *field = NULL;
    const sf_job *job = with->job;
    sf_field_options wanted = sf_field_options_default();
    const sf_field_input input = {.board = &job->board,
                                  .rings = job->rings,
                                  .ring_count = job->ring_count,
                                  .sources = job->sources,
                                  .source_count = job->source_count,
                                  .observations = with->seen,
                                  .observation_count = with->count};
    sf_estimate rises_k[PARTS], true_k[PARTS];
    sf_status status = sf_field_fit(&input, &wanted, &field, &complaints);
    for (size_t i = 0; status == SF_OK && i < PARTS; i++) {
        const invented_part *part = &with->board->parts[i];
        true_k[i] = (sf_estimate){plate_rise(with->board->truth, part->x_mm, part->y_mm), 0};
        status = sf_field_at(field, part->x_mm, part->y_mm, &rises_k[i]);
    }
    if (status == SF_OK)
        status = decide(with, rises_k, true_k, into);
    sf_field_free(field);
    sf_complaints_clear(&complaints);
    return status;
}

static void line_print(const char *name, const char *how, const score *of)
{
    printf("%-9s %-8s %6.3f %6zu %6zu %6zu\n", name, how, sqrt(of->square_k2 / (double)of->parts),
           of->wrong, of->worn, of->points_planned);
}

static void add_score(score *sum, const score *more)
{
    sum->square_k2 += more->square_k2;
    sum->parts += more->parts;
    sum->wrong += more->wrong;
    sum->worn += more->worn;
    sum->points_planned += more->points_planned;
}

/* Each board is the one that make_boards makes of the same seed and number. */
static sf_status board_judge(const options *asked, unsigned long number, gsl_rng *chance,
                             score sums[WAYS])
{
    invented board;
    gsl_rng_set(chance, asked->seed * 1000003ul + number);
    sf_status status = invented_make(&board, asked->points, asked->unlisted, chance);
    bench_job made = {0};
    bench with = {
        .board = &board, .job = &made.job, .seed = asked->seed * 7919ul + number, .chance = chance};
    if (status == SF_OK) {
        board_fill(&made, &board);
        sources_fill(&made, &board);
        parts_fill(&made, &board);
    }
    for (int how = 0; status == SF_OK && how < WAYS; how++) {
        char name[32];
        score one = {0};
        snprintf(name, sizeof name, "board-%03lu", number);
        status = read_all(&with, (way)how, asked->points, &one);
        if (status == SF_OK)
            status = judge(&with, &one);
        if (status == SF_OK)
            line_print(name, way_names[how], &one);
        add_score(&sums[how], &one);
    }
    fflush(stdout);
    invented_clear(&board);
    return status;
}

/* --- the command line --- */

static bool number_read(const char *words, unsigned long least, unsigned long most,
                        unsigned long *number)
{
    char *end;
    errno = 0;
    *number = strtoul(words, &end, 10);
    return errno == 0 && end != words && *end == '\0' && *number >= least && *number <= most;
}

static bool options_take(options *asked, int count, char **words)
{
    for (int i = 1; i < count; i++) {
        const char *next = i + 1 < count ? words[i + 1] : "";
        bool taken = false;
        if (strcmp(words[i], "--unlisted") == 0) {
            asked->unlisted = true;
            continue;
        }
        if (strcmp(words[i], "--boards") == 0)
            taken = number_read(next, 1, 999, &asked->boards);
        else if (strcmp(words[i], "--first") == 0)
            taken = number_read(next, 1, 999, &asked->first);
        else if (strcmp(words[i], "--points") == 0)
            taken = number_read(next, ROUNDS, POINTS_MOST, &asked->points);
        else if (strcmp(words[i], "--seed") == 0)
            taken = number_read(next, 0, 1000000, &asked->seed);
        if (!taken)
            return false;
        i++;
    }
    return true;
}

int main(int count, char **words)
{
    options asked = {.boards = 50, .first = 1, .points = 12, .seed = 1};
    score sums[WAYS] = {{0}};
    if (!options_take(&asked, count, words)) {
        fprintf(stderr, "usage: plan_gain [--boards N] [--first F] [--points K] [--seed S] "
                        "[--unlisted]\n");
        return 64;
    }
    gsl_set_error_handler_off();
    gsl_rng *chance = gsl_rng_alloc(gsl_rng_mt19937);
    sf_status status = chance ? SF_OK : SF_ERROR_MEMORY;
    printf("%-9s %-8s %6s %6s %6s %6s\n", "board", "way", "rmse_k", "wrong", "worn", "points");
    for (unsigned long i = 0; status == SF_OK && i < asked.boards; i++)
        status = board_judge(&asked, asked.first + i, chance, sums);
    for (int how = 0; status == SF_OK && how < WAYS; how++)
        line_print("all", way_names[how], &sums[how]);
    if (status != SF_OK)
        fprintf(stderr, "plan_gain: %s\n", sf_status_text(status));
    if (chance)
        gsl_rng_free(chance);
    return status == SF_OK ? 0 : 70;
}
