/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What a program that was killed while it wrote has left in a job's folder. */
#ifndef SPOTFIELD_PAGE_LEFTOVERS_H
#define SPOTFIELD_PAGE_LEFTOVERS_H

/* Removes the hidden files that core/atomic.h makes, where the process that made them is gone. An
 * earlier file that was only moved aside, on a file system without hard links, is put back. */
void leftovers_clear(const char *folder);

#endif
