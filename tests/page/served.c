/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The job that is served, and what is asked of the page. */
#include "served.h"

#include "support/check.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

char served_folder[256], served_results[sizeof served_folder + 16];

static sf_page *page;

static const char *const files[][2] = {
    {"board.csv", "key,value,unit\nwidth,125,mm\nheight,85,mm\nambient,21.5,C\nrun_hours,43000,h\n"
                  "hours_per_year,2600,\nmade,1999,\nsurveyed,2019-06-01,\n"},
    {"parts.csv", "ref,x_mm,y_mm,rated_c,endurance_h\nC7,47.5,31,105,2000\nC9,22.5,64,85,2000\n"},
    {"readings.csv", "id,x_mm,y_mm,value,unit,method\nr3,44,27,58.5,C,infrared\n"
                     "r5,94,61,33.5,C,infrared\nr7,21,66,41.5,C,infrared\n"},
};

int served_open(void **state)
{
    (void)state;
    sf_diagnostics diagnostics = {0};
    snprintf(served_folder, sizeof served_folder, "%s", fresh_folder());
    snprintf(served_results, sizeof served_results, "%s/results", served_folder);
    sf_page_options options = {.results = served_results};
    assert_int_equal(mkdir(served_results, 0700), 0);
    for (size_t i = 0; i < sizeof files / sizeof *files; i++)
        write_file(served_folder, files[i][0], files[i][1]);
    return sf_page_start(served_folder, &options, &page, &diagnostics) == SF_OK ? 0 : -1;
}

void served_close_page(void)
{
    sf_page_stop(page);
    page = NULL;
}

int served_close(void **state)
{
    (void)state;
    served_close_page();
    remove_folder(served_folder);
    return 0;
}

const char *served_address(void)
{
    return sf_page_address(page);
}

answer served_ask(const char *path, const void *body, size_t size)
{
    return client_ask(served_address(), path, body, size);
}

int served_status(const char *path, const char *body)
{
    answer got = served_ask(path, body, body ? strlen(body) : 0);
    int status = got.status;
    answer_clear(&got);
    return status;
}

json_t *served_json(const char *path, const char *body, int status)
{
    answer got = served_ask(path, body, body ? strlen(body) : 0);
    assert_int_equal(got.status, status);
    json_t *read = json_loads(got.body, JSON_DECODE_ANY, NULL);
    assert_non_null(read);
    answer_clear(&got);
    return read;
}
