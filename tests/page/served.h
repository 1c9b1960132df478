/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A small job in a fresh folder, and the page that serves it, asked over its socket. */
#ifndef SPOTFIELD_TESTS_PAGE_SERVED_H
#define SPOTFIELD_TESTS_PAGE_SERVED_H

#include <jansson.h>

#include "client.h"
#include "spotfield/page.h"

/* The folder of the job, two parts and three readings on a board of 125 x 85 mm, and inside it the
 * one, still empty, of its exported results. */
extern char served_folder[256], served_results[sizeof served_folder + 16];

/* Before and after a test, or a group of them, that asks. */
int served_open(void **state);
int served_close(void **state);

/* Ends the page alone; the job stays. */
void served_close_page(void);

#define WITH_PAGE(test) cmocka_unit_test_setup_teardown(test, served_open, served_close)

const char *served_address(void);

/* As client_ask. */
answer served_ask(const char *path, const void *body, size_t size);

/* Status of the answer; body NULL: a GET. */
int served_status(const char *path, const char *body);

/* The JSON of an answer, whose status must be this one; the caller drops it. */
json_t *served_json(const char *path, const char *body, int status);

#endif
