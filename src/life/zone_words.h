/* Names of zones, and what is to be done in them. */
#ifndef SPOTFIELD_LIFE_ZONE_WORDS_H
#define SPOTFIELD_LIFE_ZONE_WORDS_H

#include <stdbool.h>

#include "spotfield/life.h"

/* Where a zone lies: "around H3" for the heat source nearest its peak, else the part nearest, else
 * the peak itself; "in the cool field" for a cool one; "on the board" where it is not divided for
 * want of run hours. New text, NULL when memory is short. */
char *zone_place(const sf_job *job, const sf_zone *zone, bool divided);

/* "hot around H3", "cool field", "undivided board"; earlier zones of the same name are counted:
 * "hot around H3 (2)". New text, NULL when memory is short. */
char *zone_name(const sf_zone *zone, const char *place, bool divided, size_t same_before);

/* "replace the 7 around H3, check 2; the other 4 stay". New text, NULL when memory is short. */
char *zone_sentence(const sf_zone *zone, const char *place);

#endif
