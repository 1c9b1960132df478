/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Writes small job folders and compares what is said about them. */
#include "job_folder.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "core/text.h"

const char sound_board[] = "key,value,unit\n"
                           "width,120,mm\n"
                           "height,90,mm\n"
                           "ambient,23.5,C\n"
                           "service_ambient,31.5,C\n";

const char sound_readings[] = "id,x_mm,y_mm,value,unit,method,spot\n"
                              "r1,31.5,44.25,58.7,C,thermocouple-K,board\n"
                              "r2,87.5,21.75,36.4,C,infrared,part\n";

const char sound_parts[] = "ref,x_mm,y_mm,capacitance_uf,rated_v\n"
                           "C1,33.5,47.25,470,35\n"
                           "C2,91.5,17.75,4.7,63\n";

void write_sound_job(const char *folder)
{
    write_file(folder, "board.csv", sound_board);
    write_file(folder, "readings.csv", sound_readings);
    write_file(folder, "parts.csv", sound_parts);
    write_file(folder, "keepout.csv", "ring,x_mm,y_mm\n");
}

static void put_file(const char *folder, const char *file, const char *content)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, file);
    if (content)
        write_file(folder, file, content);
    else
        assert_int_equal(unlink(path), 0);
}

char *diagnostic_lines(const sf_diagnostics *diagnostics)
{
    text lines = {0};
    for (size_t i = 0; i < diagnostics->count; i++) {
        char *line = sf_diagnostic_text(&diagnostics->items[i]);
        text_addf(&lines, "%s\n", line);
        free(line);
    }
    char *taken = text_take(&lines);
    assert_non_null(taken);
    return taken;
}

/* `other` may be NULL */
static sf_status read_with_two(const char *file, const char *content, const char *other,
                               const char *its_content, sf_job **job, sf_diagnostics *diagnostics)
{
    const char *folder = fresh_folder();
    write_sound_job(folder);
    put_file(folder, file, content);
    if (other)
        put_file(folder, other, its_content);
    sf_status status = sf_job_read(folder, job, diagnostics);
    remove_folder(folder);
    return status;
}

void check_diagnostics(const char *file, const char *content, sf_status status,
                       const char *expected)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    sf_status answered = read_with_two(file, content, NULL, NULL, &job, &diagnostics);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, expected);
    assert_int_equal(answered, status);
    assert_int_equal(job != NULL, status == SF_OK);
    free(lines);
    sf_job_free(job);
    sf_diagnostics_clear(&diagnostics);
}

sf_job *read_sound(const char *file, const char *content)
{
    return read_sound_pair(file, content, NULL, NULL);
}

sf_job *read_sound_pair(const char *file, const char *content, const char *other,
                        const char *its_content)
{
    sf_job *job = NULL;
    sf_diagnostics diagnostics = {0};
    sf_status status = read_with_two(file, content, other, its_content, &job, &diagnostics);
    char *lines = diagnostic_lines(&diagnostics);
    assert_string_equal(lines, "");
    assert_int_equal(status, SF_OK);
    free(lines);
    sf_diagnostics_clear(&diagnostics);
    return job;
}

bool has_assumption(const sf_job *job, const char *sentence)
{
    for (size_t i = 0; i < job->assumption_count; i++)
        if (strcmp(job->assumptions[i], sentence) == 0)
            return true;
    return false;
}
