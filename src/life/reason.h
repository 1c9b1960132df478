/* The verdict on one part in a line that its owner can read. */
#ifndef SPOTFIELD_LIFE_REASON_H
#define SPOTFIELD_LIFE_REASON_H

#include "life/decide.h"

/* New text of about REASON_LENGTH bytes at most, freed with free(); NULL when memory is short. */
char *reason_write(const dossier *of);

/* Above it the interval of the share used is left out. */
#define REASON_LENGTH 140

#endif
