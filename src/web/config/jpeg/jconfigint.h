/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#define BUILD "Debian's source"
#define INLINE inline __attribute__((always_inline))
#define THREAD_LOCAL
#define PACKAGE_NAME "libjpeg-turbo"
#define VERSION "2.1.5"
#define SIZEOF_SIZE_T 4
#define HAVE_BUILTIN_CTZL 1
#define FALLTHROUGH __attribute__((fallthrough));
