/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What is written for a job is no more readable than the job's own files are. */
#ifndef SPOTFIELD_CLI_WITHHOLD_H
#define SPOTFIELD_CLI_WITHHOLD_H

/* Adds to the umask of the process what the strictest CSV file of the folder, or the folder itself,
 * withholds from the group and from others. Before threads are started; nothing where there is no
 * folder, all where its files cannot be listed. What stands already keeps its mode, but for the
 * history of the page. */
void withhold_as_job(const char *folder);

#endif
