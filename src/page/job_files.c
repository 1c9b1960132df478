/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Reading, comparing and writing the files of a job, and noticing that one has changed. */
#include "page/job_files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
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
    size_t column = TABLE_NO_COLUMN;
    char *names = text_copy(header), *next = NULL;
    if (!names)
        return SF_ERROR_MEMORY;
    for (char *name = strtok_r(names, ",", &next); name && column == TABLE_NO_COLUMN;
         name = strtok_r(NULL, ",", &next))
        column = table_column(&of->table, name);
    free(names);
    return column == TABLE_NO_COLUMN ? SF_ERROR_DATA : SF_OK;
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

sf_status job_file_hash(const char *folder, size_t file, uint64_t *hash)
{
    text now = {0};
    bool absent = false;
    sf_status status = read_bytes(folder, file, &now, &absent);
    *hash = checksum_of(now.bytes, now.length);
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

/* --- on their way from what they were to what they are to be --- */

sf_status batch_touch(batch *all, size_t file)
{
    touched *of = &all->files[file];
    if (of->read)
        return SF_OK;
    sf_status status = job_file_read(all->folder, file, &of->now, &of->absent, &of->before);
    of->read = status == SF_OK;
    if (!of->read)
        text_clear(&of->before);
    return status;
}

sf_status batch_add_needed(batch *all)
{
    sf_status status = SF_OK;
    for (size_t file = 0; status == SF_OK && file < JOB_FILES; file++) {
        if (!job_files[file].needed)
            continue;
        status = batch_touch(all, file);
        if (status == SF_ERROR_DATA)
            status = SF_OK; /* in a bad state, but there */
        else if (status == SF_OK && all->files[file].absent)
            all->files[file].changed = true;
    }
    return status;
}

/* What was no file when it was read is none still; the history is the page's own. */
static bool is_as_read(const void *context, const file_block *block, const char *path)
{
    const batch *all = context;
    size_t file = job_file_find(block->name);
    if (file == JOB_FILES)
        return true;
    const touched *of = &all->files[file];
    if (of->absent)
        return access(path, F_OK) != 0 && errno == ENOENT;
    return file_holds(path, of->before.bytes, of->before.length);
}

sf_status batch_write(const batch *all, const file_block *beside, sf_diagnostics *diagnostics)
{
    file_block blocks[JOB_FILES + 1];
    size_t count = 0, first = beside ? 1 : 0;
    if (beside)
        blocks[count++] = *beside;
    for (size_t file = 0; file < JOB_FILES; file++) {
        const touched *of = &all->files[file];
        if (of->changed)
            blocks[count++] = (file_block){job_files[file].name, of->now.bytes, of->now.size};
    }
    const atomic_guard guard = {is_as_read, all};
    return count > first ? atomic_replace(all->folder, blocks, count, &guard, diagnostics) : SF_OK;
}

void batch_forget(batch *all)
{
    for (size_t file = 0; file < JOB_FILES; file++) {
        text_clear(&all->files[file].before);
        sheet_clear(&all->files[file].now);
        all->files[file] = (touched){0};
    }
}

/* --- what a program that was killed while it wrote has left --- */

/* The file of the job that a hidden name stands for, and who made it; false for any other name. */
static bool take_apart(const char *name, const char **file, long *maker, bool *earlier)
{
    static const char *const others[] = {"photo.jpg", "photo.png", HISTORY_NAME};
    for (size_t i = 0; i < JOB_FILES + sizeof others / sizeof *others; i++) {
        const char *known = i < JOB_FILES ? job_files[i].name : others[i - JOB_FILES];
        size_t length = strlen(known);
        int attempt = 0, used = 0;
        if (name[0] != '.' || strncmp(name + 1, known, length) != 0)
            continue;
        if (sscanf(name + 1 + length, ".%ld-%d.new%n", maker, &attempt, &used) != 2 || used == 0)
            continue;
        const char *rest = name + 1 + length + used;
        *file = known;
        *earlier = strcmp(rest, ".old") == 0;
        return *earlier || rest[0] == '\0';
    }
    return false;
}

static bool is_gone(long maker)
{
    return maker > 0 && kill((pid_t)maker, 0) != 0 && errno == ESRCH;
}

static void clear_one(int folder, const char *name)
{
    const char *file = NULL;
    long maker = 0;
    bool earlier = false;
    if (!take_apart(name, &file, &maker, &earlier) || !is_gone(maker))
        return;
    bool lost = earlier && faccessat(folder, file, F_OK, AT_SYMLINK_NOFOLLOW) != 0;
    if (lost)
        renameat(folder, name, folder, file);
    else
        unlinkat(folder, name, 0);
}

void leftovers_clear(const char *folder)
{
    DIR *listed = opendir(folder);
    if (!listed)
        return;
    for (struct dirent *entry = readdir(listed); entry; entry = readdir(listed))
        clear_one(dirfd(listed), entry->d_name);
    closedir(listed);
}
