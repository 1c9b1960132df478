/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* For functions that work on many numbers alike: compiled twice, and the program takes, as it
 * starts, the one with the widest registers that the processor has. Nothing is added up in another
 * order, so that the results are the same to the last bit. For static functions alone: others would
 * be exported by the shared library. */
#ifndef SPOTFIELD_CORE_WIDE_H
#define SPOTFIELD_CORE_WIDE_H

#include <stddef.h> /* tells which C library it is */
#include <string.h>

#if defined __x86_64__ && defined __GLIBC__ && !defined __clang__ &&                               \
    !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
#define WIDE __attribute__((target_clones("avx2", "default")))
#else
#define WIDE
#endif

typedef double four __attribute__((vector_size(4 * sizeof(double)))); /* worked at once */

static inline void four_take(four *into, const double *values)
{
    memcpy(into, values, sizeof *into);
}

#endif
