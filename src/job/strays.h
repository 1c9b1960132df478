/* Files of a job folder that nobody reads. */
#ifndef SPOTFIELD_JOB_STRAYS_H
#define SPOTFIELD_JOB_STRAYS_H

#include "job/intake.h"

/* Warns of each file of the folder that ends in .csv and bears no name of a job file, letter case
 * counted, with the name that was probably meant; in the order of their names. Hidden files, and a
 * folder whose names cannot be listed, are passed over. */
void strays_tell(struct intake *intake, const char *folder);

#endif
