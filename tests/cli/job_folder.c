/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Jobs laid down in fresh folders. The boards are invented. */
#include "job_folder.h"

#include "support/check.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char board[] = "key,value,unit\n"
                            "name,Talkback amplifier,\n"
                            "width,97.5,mm\n"
                            "height,71.25,mm\n"
                            "grade,FR-2,\n"
                            "thickness,1.55,mm\n"
                            "copper_layers,1,\n"
                            "copper_thickness,35,um\n"
                            "copper_cover,43,%\n"
                            "air,still,\n"
                            "ambient,23.6,C\n"
                            "service_ambient,31.5,C\n"
                            "run_hours,38400,h\n"
                            "made,2003,\n"
                            "surveyed,2025-10-19,\n";

static const char sources[] = "ref,x_mm,y_mm,width_mm,height_mm,power_w\n"
                              "U7,31.5,47,22,11,1.35\n"
                              "R9,72,19.5,13,7,\n";

static const char readings[] = "id,x_mm,y_mm,value,unit,method,spot,minute\n"
                               "k1,31,37.5,58.9,C,thermocouple-K,board,\n"
                               "k2,48.5,52,45.3,C,thermocouple-K,board,\n"
                               "k3,72.5,29,41.7,C,thermocouple-K,board,\n"
                               "k4,11,12.5,29.8,C,thermocouple-K,board,\n"
                               "k5,88,63,27.4,C,infrared,board,\n"
                               "k6,31.5,47,83.2,C,thermocouple-K,source,\n";

static const char parts[] = "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,rated_v,rated_c,"
                            "endurance_h,duty,critical,year,condition\n"
                            "C11,19,55,10,16,470,35,85,2000,1,yes,2003,sound\n"
                            "C12,44,40.5,8,12,100,25,105,2000,1,no,2003,sound\n"
                            "C13,62,23,6.3,11,47,50,85,1000,1,no,2003,sound\n"
                            "C14,83.5,52.5,5,11,10,63,105,,1,no,2003,sound\n"
                            "C15,14,23,6.3,11,22,50,85,1000,1,no,2003,bulged\n";

void lay_job(char folder[PATH_BYTES])
{
    snprintf(folder, PATH_BYTES, "%s", fresh_folder());
    write_file(folder, "board.csv", board);
    write_file(folder, "sources.csv", sources);
    write_file(folder, "readings.csv", readings);
    write_file(folder, "parts.csv", parts);
    write_file(folder, "keepout.csv", "ring,x_mm,y_mm,reason\n");
}

const char *in_folder(const char *folder, const char *name)
{
    static char paths[4][2 * PATH_BYTES];
    static unsigned turn;
    char *path = paths[turn++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

char *bytes_of(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s cannot be read", path);
    assert_int_equal(fseek(file, 0, SEEK_END), 0);
    long length = ftell(file);
    assert_true(length >= 0);
    rewind(file);
    char *bytes = calloc((size_t)length + 1, 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, (size_t)length, file), length);
    fclose(file);
    if (size)
        *size = (size_t)length;
    return bytes;
}

void change_file(const char *folder, const char *name, const char *old, const char *new)
{
    char *before = bytes_of(in_folder(folder, name), NULL);
    char *at = strstr(before, old);
    assert_non_null(at);
    size_t room = strlen(before) + strlen(new) + 1;
    char *after = calloc(room, 1);
    assert_non_null(after);
    snprintf(after, room, "%.*s%s%s", (int)(at - before), before, new, at + strlen(old));
    write_file(folder, name, after);
    free(before);
    free(after);
}
