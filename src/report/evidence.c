/* One field fitted for its evidence alone. */
#include "report/evidence.h"

#include <math.h>
#include <stdlib.h>

double evidence_fitted(const sf_job *job, const sf_observation *observations, size_t count,
                       const sf_field_options *options)
{
    sf_field_input input = {.board = &job->board,
                            .rings = job->rings,
                            .ring_count = job->ring_count,
                            .sources = job->sources,
                            .source_count = job->source_count,
                            .observations = observations,
                            .observation_count = count};
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
