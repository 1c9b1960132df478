/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Refuses what is not ours, waits for another run, and exchanges the folder. */
#include "output/result_set.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "core/diagnose.h"
#include "core/folders.h"
#include "core/memory.h"
#include "core/platform.h"

/* --- what is no result --- */

static sf_status refuse(sf_diagnostics *diagnostics, const char *path, const char *what,
                        const char *expected)
{
    sf_diagnose(diagnostics, SF_ERROR, path, 0, "", what, expected);
    return SF_ERROR_WRITE;
}

static bool is_table(const file_block *block)
{
    const char *ending = strrchr(block->name, '.');
    return ending && strcmp(ending, ".csv") == 0;
}

/* Bytes of the first four names of a header, or of all of it where there are fewer: more of them
 * tell one version of the program from the next, fewer do not tell results from a job's files. */
static size_t header_length(const file_block *block)
{
    const char *bytes = block->bytes;
    size_t at = 0;
    for (int names = 0; at < block->count && bytes[at] != '\n'; at++)
        if (bytes[at] == ',' && ++names == 4)
            break;
    return at;
}

/* Whether the file begins as the new one does; one that cannot be read is not ours. */
static bool begins_alike(const char *path, const file_block *block)
{
    char found[256];
    size_t length = header_length(block);
    FILE *file = length <= sizeof found ? fopen(path, "rb") : NULL;
    bool alike =
        file && fread(found, 1, length, file) == length && memcmp(found, block->bytes, length) == 0;
    if (file)
        fclose(file);
    return alike;
}

/* What is in the way of a set; a folder, a pipe and their like are left to atomic_write, which has
 * words for them. */
typedef struct check {
    const char *folder;
    bool vouched; /* a table is a result: pictures and pages beside it are taken for results too */
    sf_diagnostics *diagnostics;
} check;

static sf_status check_name(check *of, const file_block *block)
{
    struct stat about;
    sf_status status = SF_OK;
    char *path = path_join(of->folder, block->name);
    if (!path)
        return SF_ERROR_MEMORY;
    if (stat(path, &about) == 0 && S_ISREG(about.st_mode)) {
        bool ours = is_table(block) ? begins_alike(path, block) : of->vouched;
        of->vouched = of->vouched || ours;
        if (!ours)
            status = refuse(of->diagnostics, path,
                            "is not a result of an earlier run, so it is not replaced",
                            "another folder for the results, or this one without that file");
    }
    free(path);
    return status;
}

/* Tables first: they speak for the others. */
static sf_status check_names(const char *folder, const file_block *blocks, size_t count,
                             sf_diagnostics *diagnostics)
{
    check of = {folder, false, diagnostics};
    sf_status status = SF_OK;
    for (size_t i = 0; i < count && status == SF_OK; i++)
        if (is_table(&blocks[i]))
            status = check_name(&of, &blocks[i]);
    for (size_t i = 0; i < count && status == SF_OK; i++)
        if (!is_table(&blocks[i]))
            status = check_name(&of, &blocks[i]);
    return status;
}

static sf_status check_folder(const char *folder, const file_block *blocks, size_t count,
                              sf_diagnostics *diagnostics)
{
    char *board = path_join(folder, "board.csv");
    if (!board)
        return SF_ERROR_MEMORY;
    bool is_job = access(board, F_OK) == 0;
    free(board);
    if (is_job)
        return refuse(diagnostics, folder, "a job is in this folder: its files would be replaced",
                      "another folder for the results");
    return check_names(folder, blocks, count, diagnostics);
}

/* --- one run at a time --- */

/* Waits for the folder of that name: another run may exchange it meanwhile, and then the new one is
 * waited for. Answers as folder_lock does. */
static int lock_folder(const char *folder)
{
    enum { TRIES = 500, PAUSE_MS = 20 };
    for (int i = 0; i < TRIES; i++) {
        int lock = folder_lock(folder);
        if (lock != FOLDER_HELD)
            return lock;
        nanosleep(&(struct timespec){.tv_nsec = PAUSE_MS * 1000000L}, NULL);
    }
    return FOLDER_HELD;
}

/* --- */

/* The folder is there; `real` is its path without links, NULL where no lock keeps others out of it.
 */
static sf_status write_locked(const char *folder, const char *real, const file_block *blocks,
                              size_t count, sf_diagnostics *diagnostics)
{
    sf_status status = check_folder(folder, blocks, count, diagnostics);
    if (status == SF_OK && real) {
        staging_tidy(real, diagnostics);
        if (folder_exchange(real, blocks, count, diagnostics))
            return SF_OK;
    }
    return status == SF_OK ? atomic_write(folder, blocks, count, diagnostics) : status;
}

static sf_status write_into(const char *folder, const file_block *blocks, size_t count,
                            sf_diagnostics *diagnostics)
{
    char *real = path_real(folder);
    int lock = real ? lock_folder(real) : FOLDER_NO_LOCK;
    sf_status status =
        lock == FOLDER_HELD
            ? refuse(diagnostics, folder, "another run is writing there and has not ended", "")
            : write_locked(folder, lock == FOLDER_NO_LOCK ? NULL : real, blocks, count,
                           diagnostics);
    if (lock >= 0)
        close(lock);
    free(real);
    return status;
}

static sf_status refuse_folder(sf_diagnostics *diagnostics, const char *folder, int error)
{
    char words[192];
    snprintf(words, sizeof words, "the folder cannot be made: %s", reason_of(error).words);
    return error == ENOMEM ? SF_ERROR_MEMORY : refuse(diagnostics, folder, words, "");
}

void tell_of_left(void *context, const char *path, int error)
{
    char words[192];
    snprintf(words, sizeof words, "is left over and can be removed: %s", reason_of(error).words);
    sf_diagnose(context, SF_WARNING, path, 0, "", words, "");
}

sf_status result_set_write(const char *folder, const file_block *blocks, size_t count,
                           sf_diagnostics *diagnostics)
{
    folders made = {0};
    size_t errors = diagnostics->error_count;
    sf_status status;
    int error = folders_make(&made, folder);
    if (error == 0) /* before there is a result in them, so that a failure leaves none */
        error = folders_settle(&made);
    status = error != 0 ? refuse_folder(diagnostics, folder, error)
                        : write_into(folder, blocks, count, diagnostics);
    if (status == SF_ERROR_MEMORY && diagnostics->error_count == errors)
        sf_diagnose(diagnostics, SF_ERROR, folder, 0, "", "out of memory", "");
    if (status != SF_OK)
        folders_unmake(&made, tell_of_left, diagnostics);
    folders_clear(&made);
    return status;
}

sf_status result_texts_write(const char *folder, file_block *blocks, text *contents, size_t count,
                             sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    for (size_t i = 0; i < count && status == SF_OK; i++) {
        if (contents[i].bytes)
            blocks[i] = (file_block){blocks[i].name, contents[i].bytes, contents[i].length};
        if (contents[i].failed) {
            status = SF_ERROR_MEMORY;
            sf_diagnose(diagnostics, SF_ERROR, blocks[i].name, 0, "", sf_status_text(status), "");
        }
    }
    if (status == SF_OK)
        status = result_set_write(folder, blocks, count, diagnostics);
    for (size_t i = 0; i < count; i++)
        text_clear(&contents[i]);
    return status;
}
