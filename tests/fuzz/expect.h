/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What must hold whatever the bytes were. A breach ends the program, as a fuzzer expects it. */
#ifndef SPOTFIELD_TESTS_FUZZ_EXPECT_H
#define SPOTFIELD_TESTS_FUZZ_EXPECT_H

#include <stdbool.h>

#include "spotfield/diagnostic.h"
#include "spotfield/job.h"
#include "spotfield/reading.h"

/* Prints `what` and aborts unless `held`. */
void expect(bool held, const char *what);

/* A number that is always known: neither NAN nor infinite. */
void expect_known(double value, const char *what);

/* A number that may be unknown: NAN or finite. */
void expect_told(double value, const char *what);

/* SF_ERROR_DATA comes with an error the user can read, SF_OK with none; no status surprises. */
void expect_diagnostics(sf_status status, const sf_diagnostics *diagnostics);

/* Every number and text of a job that was read keeps what job.h says of it. */
void expect_sound_job(const sf_job *job);

/* The same for what became of its readings and of its thermogram, which may be NULL. */
void expect_sound_observations(const sf_observation *observations, size_t count);
void expect_sound_pixels(const sf_pixels *pixels);

#endif
