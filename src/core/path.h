/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Names of files in folders, as the user typed the folder. */
#ifndef SPOTFIELD_CORE_PATH_H
#define SPOTFIELD_CORE_PATH_H

/* The name behind its folder, in new memory freed with free(); NULL when memory is short. A folder
 * that is "" adds nothing, one that ends with a slash no second one. */
char *path_join(const char *folder, const char *name);

#endif
