/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

#define GETTEXT_PACKAGE "libexif-12"
#define LOCALEDIR ""
