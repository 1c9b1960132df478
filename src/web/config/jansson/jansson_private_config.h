/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#define HAVE_STDINT_H 1
#define HAVE_UNISTD_H 1
#define HAVE_SYS_TYPES_H 1
#define HAVE_SYS_TIME_H 1
#define HAVE_GETTIMEOFDAY 1
#define HAVE_GETPID 1
#define HAVE_STRTOLL 1
#define HAVE_LOCALE_H 1
#define HAVE_LOCALECONV 1
#define INITIAL_HASHTABLE_ORDER 3
