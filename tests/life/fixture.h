/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs built from arrays: an invented board of a radio station's mixing desk supply, its parts
 * blank but for what a test sets. */
#ifndef SPOTFIELD_TESTS_LIFE_FIXTURE_H
#define SPOTFIELD_TESTS_LIFE_FIXTURE_H

#include "spotfield/life.h"

/* The policy that spotfield/job.h documents. */
sf_policy usual_policy(void);

/* 47 uF, 25 V, 2,000 h at 85 C, 8 mm wide, at (31, 17); nothing measured, nothing else known. */
sf_part plain_part(const char *ref);

/* Air 23 C at the bench and in service, made 2009, surveyed mid 2021, 24,000 h run, all else
 * unknown. Borrows the parts. */
sf_job plain_job(sf_part *parts, size_t count);

/* Decides a job of one part at a rise; the result's reason is freed with free(). Fails the test
 * where that fails. */
sf_part_result decide_one(const sf_job *job, double rise_k, double sd_k);

#endif
