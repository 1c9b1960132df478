/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* edit_time PARTS SOURCES READINGS [FOLDER]: the processor time that the page takes from an edit to
 * the new picture on a board with so many, to look for sizes at which it leaps. FOLDER is there and
 * keeps the job; else the job is thrown away. */
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "benchmark/page_edit.h"
#include "core/memory.h"

int main(int count, char **words)
{
    char made[] = "/tmp/spotfield-edit-XXXXXX", remove[64];
    if (count < 4 || count > 5) {
        fputs("usage: edit_time PARTS SOURCES READINGS [FOLDER]\n", stderr);
        return 64;
    }
    memory_keep(); /* as the program does */
    gsl_set_error_handler_off();
    crowded_job asked = {.folder = count > 4 ? words[4] : mkdtemp(made),
                         .parts = strtoul(words[1], NULL, 10),
                         .sources = strtoul(words[2], NULL, 10),
                         .readings = strtoul(words[3], NULL, 10)};
    double taken_s = asked.folder ? page_edit_s(&asked) : (double)NAN;
    printf("edit to picture, %zu parts, %zu sources, %zu readings: %.0f ms processor\n",
           asked.parts, asked.sources, asked.readings, 1e3 * taken_s);
    snprintf(remove, sizeof remove, "rm -rf %s", made);
    return (count < 5 && asked.folder && system(remove) != 0) || isnan(taken_s);
}
