/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays the job with its picture, and reads it. */
#include "picture_job.h"

#include <stdlib.h>

const char sound_marks[] = "col,row,x_mm,y_mm\n"
                           "0,0,4.5,86.25\n"
                           "1,0,115.5,85.75\n"
                           "1,1,116.25,3.5\n"
                           "0,1,3.75,4.25\n";

attempt try_job(const char *thermogram, const char *marks, const char *board, const char *readings)
{
    attempt tried = {0};
    const char *folder = fresh_folder();
    write_sound_job(folder);
    if (thermogram)
        write_file(folder, "thermogram.csv", thermogram);
    if (marks)
        write_file(folder, "marks.csv", marks);
    if (board)
        write_file(folder, "board.csv", board);
    if (readings)
        write_file(folder, "readings.csv", readings);
    tried.status = sf_job_read(folder, &tried.job, &tried.diagnostics);
    tried.lines = diagnostic_lines(&tried.diagnostics);
    remove_folder(folder);
    return tried;
}

void clear_attempt(attempt *tried)
{
    free(tried->lines);
    sf_job_free(tried->job);
    sf_diagnostics_clear(&tried->diagnostics);
}
