/* What is gathered about one part before it is put into words. */
#ifndef SPOTFIELD_LIFE_DECIDE_H
#define SPOTFIELD_LIFE_DECIDE_H

#include "life/evidence.h"
#include "life/verdict.h"
#include "life/wear.h"

/* Borrows all it points to. */
typedef struct dossier {
    const sf_job *job;
    const sf_part *part;
    const history *lived;
    const meter *with;
    run_time ran;
    evidence found;
    findings asked;
    const sf_part_result *result;
} dossier;

/* What the rules ask about, from what was found out. */
findings part_findings(const sf_job *job, const sf_part *part, const evidence *found,
                       const sf_part_result *result);

/* Endurance of a part in hours: as marked, else the one assumed for its grade. */
double part_endurance_h(const sf_part *part, const sf_policy *policy);

#endif
