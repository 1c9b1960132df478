/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reading the files of a job as bytes, and noticing that one has changed. */
#include "page/job_files.h"

#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/memory.h"
#include "page/folder_file.h"

const job_file job_files[JOB_FILES] = {
    {"board.csv", "key,value,unit", true},
    {"outline.csv", "ring,x_mm,y_mm", false},
    {"sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,mount,power_w,power_u_w", false},
    {"readings.csv",
     "id,x_mm,y_mm,value,unit,method,spot,part,u_k,emissivity,reflected_c,ambient_c,junction_c,"
     "minute,"
     "note",
     true},
    {"parts.csv",
     "ref,type,x_mm,y_mm,diameter_mm,height_mm,mount,lead_pitch_mm,capacitance_uf,tolerance_pct,"
     "rated_v,rated_c,endurance_h,endurance_with_ripple,ripple_a,rated_ripple_a,working_v,duty,"
     "critical,year,hours,measured_uf,measured_esr_ohm,esr_hz,esr_limit_ohm,tan_delta,low_esr,"
     "leakage_ua,leakage_limit_ua,condition,emissivity,note",
     true},
    {"keepout.csv", "ring,x_mm,y_mm,reason", false},
    {"mask.csv", "ring,x_mm,y_mm,reason", false},
    {"history.csv", "hours,service_ambient,load,note", false},
    {"controls.csv", "value_uf,measured_uf,note", false},
    {"policy.csv", "key,value,unit", false},
    {"photo-marks.csv", "mark,column_px,row_px,x_mm,y_mm", false},
};

size_t job_file_find(const char *name)
{
    size_t file = 0;
    while (file < JOB_FILES && strcmp(job_files[file].name, name) != 0)
        file++;
    return file;
}

/* The bytes of a file; one that is not there counts as its header alone. */
static sf_status read_bytes(const char *folder, size_t file, text *into, bool *absent)
{
    sf_status status =
        folder_file_read(folder, job_files[file].name, SF_FILE_BYTES_MAX, into, absent);
    if (status == SF_OK && *absent)
        text_addf(into, "%s\n", job_files[file].header);
    return status == SF_OK && into->failed ? SF_ERROR_MEMORY : status;
}

/* A table in which no column is this file's is another's: a change would mix the two. */
static sf_status check_header(const sheet *of, const char *header)
{
    sf_status status = SF_OK;
    size_t column = SHEET_NONE;
    char *names = text_copy(header), *next = NULL;
    if (!names)
        return SF_ERROR_MEMORY;
    for (char *name = strtok_r(names, ",", &next); name && status == SF_OK && column == SHEET_NONE;
         name = strtok_r(NULL, ",", &next))
        status = sheet_column(of, name, &column);
    free(names);
    return status == SF_OK && column == SHEET_NONE ? SF_ERROR_DATA : status;
}

static sf_status read_table(sheet *into, char *bytes, size_t size, const char *header)
{
    sf_status status = sheet_read(into, bytes, size);
    if (status == SF_OK)
        status = check_header(into, header);
    if (status != SF_OK)
        sheet_clear(into);
    return status;
}

sf_status job_file_read(const char *folder, size_t file, sheet *into, bool *absent, text *before)
{
    text bytes = {0};
    *into = (sheet){0};
    sf_status status = read_bytes(folder, file, &bytes, absent);
    if (status == SF_OK && before) {
        text_add_bytes(before, bytes.bytes ? bytes.bytes : "", bytes.length);
        status = before->failed ? SF_ERROR_MEMORY : SF_OK;
    }
    size_t size = bytes.length;
    char *taken = status == SF_OK ? text_take(&bytes) : NULL;
    if (taken)
        return read_table(into, taken, size, job_files[file].header);
    text_clear(&bytes);
    return status == SF_OK ? SF_ERROR_MEMORY : status;
}

/* FNV-1a, 64 bits. */
uint64_t job_bytes_hash(const void *bytes, size_t count)
{
    uint64_t hash = 14695981039346656037u;
    for (size_t i = 0; i < count; i++)
        hash = (hash ^ ((const unsigned char *)bytes)[i]) * 1099511628211u;
    return hash;
}

sf_status job_file_hash(const char *folder, size_t file, uint64_t *hash)
{
    text now = {0};
    bool absent = false;
    sf_status status = read_bytes(folder, file, &now, &absent);
    *hash = job_bytes_hash(now.bytes, now.length);
    text_clear(&now);
    return status;
}

bool job_file_is_there(const char *folder, size_t file)
{
    struct stat about = {0};
    int opened = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    bool there = opened >= 0 && fstatat(opened, job_files[file].name, &about, 0) == 0;
    if (opened >= 0)
        close(opened);
    return there;
}

sf_status job_read_settled(const char *folder,
                           sf_status (*read)(const char *, sf_job **, sf_diagnostics *),
                           sf_job **job, uint64_t *stamp, sf_diagnostics *diagnostics)
{
    enum { TRIES = 5 };
    *stamp = job_files_stamp(folder);
    sf_status status = read(folder, job, diagnostics);
    for (int again = 1; again < TRIES; again++) {
        uint64_t now = job_files_stamp(folder);
        if (now == *stamp)
            break;
        *stamp = now;
        sf_job_free(*job);
        sf_diagnostics_clear(diagnostics);
        status = read(folder, job, diagnostics);
    }
    return status;
}
