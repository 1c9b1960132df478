/* spotfield check JOB: reads and corrects everything, and says what was understood. */
#include <stdlib.h>

#include "cli/message.h"
#include "cli/understood.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"

enum { QUIET };

static const option_row options[] = {
    [QUIET] = {"quiet", 'q', NULL, "say nothing but what is wrong"},
    {0},
};

static sf_status check(const char *folder, bool quiet, sf_complaints *complaints)
{
    sf_job *job = NULL;
    sf_observation *observations = NULL;
    sf_pixels *pixels = NULL;
    size_t count = 0;
    sf_status status = sf_job_read(folder, &job, complaints);
    if (status == SF_OK) {
        status = sf_readings_correct(job, &observations, &count, complaints);
        sf_status pictured = sf_thermogram_correct(job, &pixels, complaints);
        status = status == SF_OK ? pictured : status;
    }
    tell_outcome(&check_command, status, complaints, folder, quiet);
    if (status == SF_OK && !quiet) {
        understood_print(job, observations, count, pixels, stdout);
        putchar('\n');
        put_caution(stdout);
    }
    sf_pixels_free(pixels);
    sf_observations_free(observations, count);
    sf_job_free(job);
    return status;
}

static int run(const given *typed)
{
    sf_complaints complaints = {0};
    sf_status status = check(typed->operands[0], typed->values[QUIET] != NULL, &complaints);
    sf_complaints_clear(&complaints);
    return exit_status(status);
}

const command check_command = {
    .name = "check",
    .operands = "JOB",
    .operand_count = 1,
    .summary = "read a job, correct its readings, say what was understood",
    .about = "Reads the CSV files of the folder JOB, corrects the readings and says what was "
             "understood and\nassumed. Every fault of every file is told in one run; nothing is "
             "written.",
    .example = "spotfield check desk-supply",
    .options = options,
    .run = run,
};
