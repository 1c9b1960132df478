/* Numbers drawn at random that are the same in every run: each call the next of a sequence. */
#ifndef SUPPORT_CHANCE_H
#define SUPPORT_CHANCE_H

/* In 0..1. */
double next_uniform(unsigned long *seed);

/* Evenly from low to high. */
double next_between(double low, double high, unsigned long *seed);

#endif
