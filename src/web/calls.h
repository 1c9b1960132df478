/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What the browser's worker calls: the page's requests, and a job as one .zip. Paths are those of
 * the worker's file system in memory. */
#ifndef SPOTFIELD_WEB_CALLS_H
#define SPOTFIELD_WEB_CALLS_H

#include <stddef.h>

/* Opens the job in `folder`; 0 on success. */
int web_open(const char *folder);

/* Answers a request of the page with a status of HTTP, as the server does. The reply stays until
 * the next one. */
int web_ask(const char *method, const char *path, const void *body, size_t size);
const void *web_reply_bytes(void);
size_t web_reply_size(void);
const char *web_reply_type(void);
void web_reply_end(void);

/* Unpacks the files of a job out of a .zip into an empty folder, and packs those of a folder, and
 * of its folder `out`. NULL on success, else why not, in words. Nothing of a refused .zip is to be
 * used: one with more or larger files than a job has, with the same name twice, with names that
 * lead out of the folder, encrypted or damaged. Files that are none of a job's are left out:
 * web_left_out tells their names, a line each. */
const char *web_unzip(const char *zip, const char *folder);
const char *web_left_out(void);
const char *web_zip(const char *folder, const char *zip);

#endif
