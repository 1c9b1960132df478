/* What was understood of a job, in words. */
#ifndef SPOTFIELD_CLI_UNDERSTOOD_H
#define SPOTFIELD_CLI_UNDERSTOOD_H

#include <stddef.h>
#include <stdio.h>

#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Prints a job and its corrected readings, a heading a line. */
void understood_print(const sf_job *job, const sf_observation *observations, size_t count,
                      FILE *to);

#endif
