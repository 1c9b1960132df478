/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What GSL's configure finds on this machine of 32 bits with IEEE arithmetic. */
#define PACKAGE "gsl"
#define VERSION "of Debian's source"
#define RELEASED /**/
#define HAVE_IEEE_COMPARISONS 1
#define HAVE_IEEE_DENORMALS 1
#define HAVE_DECL_ACOSH 1
#define HAVE_DECL_ASINH 1
#define HAVE_DECL_ATANH 1
#define HAVE_DECL_EXPM1 1
#define HAVE_DECL_FINITE 1
#define HAVE_DECL_FREXP 1
#define HAVE_DECL_HYPOT 1
#define HAVE_DECL_ISFINITE 1
#define HAVE_DECL_ISINF 1
#define HAVE_DECL_ISNAN 1
#define HAVE_DECL_LDEXP 1
#define HAVE_DECL_LOG1P 1
#define HAVE_MEMCPY 1
#define HAVE_MEMMOVE 1
#define HAVE_STRDUP 1
#define HAVE_VPRINTF 1
#define STDC_HEADERS 1
#define GSL_COERCE_DBL(x) (x)
#define GSL_RANGE_CHECK 0
#define RETURN_IF_NULL(x)                                                                          \
    if (!x) {                                                                                      \
        return;                                                                                    \
    }
#define DISCARD_POINTER(p)                                                                         \
    do {                                                                                           \
        ;                                                                                          \
    } while (p ? 0 : 0)
