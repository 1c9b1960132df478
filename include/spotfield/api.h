/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* SF_API marks a function as part of the library's public face; SF_BEGIN_C and SF_END_C let a C++
 * program call it. */
#ifndef SPOTFIELD_API_H
#define SPOTFIELD_API_H

#if defined(__GNUC__)
#define SF_API __attribute__((visibility("default")))
#else
#define SF_API
#endif

#ifdef __cplusplus
#define SF_BEGIN_C extern "C" {
#define SF_END_C }
#else
#define SF_BEGIN_C
#define SF_END_C
#endif

#endif
