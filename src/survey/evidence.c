/* One field fitted for its evidence alone. */
#include "survey/evidence.h"

#include <math.h>
#include <stdlib.h>

double evidence_fitted(const sf_job *job, const sf_observation *observations, size_t count,
                       const sf_field_options *options)
{
    sf_field_input input = sf_field_input_of(job, observations, count);
    sf_point *cans = sf_part_places(job);
    sf_complaints dropped = {0};
    input.cans = cans;
    input.can_count = job->part_count;
    double evidence;
    if (!cans || sf_field_evidence(&input, options, &evidence, &dropped) != SF_OK)
        evidence = -INFINITY;
    sf_complaints_clear(&dropped);
    free(cans);
    return evidence;
}
