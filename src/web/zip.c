/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A job as one .zip, by minizip. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <dirent.h>
#include <sys/stat.h>

#include <unzip.h>
#include <zip.h>

#include "core/folders.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/files.h"
#include "page/history.h"
#include "web/calls.h"

/* A job has some 15 files; the largest is a thermogram of a million pixels or a photo. */
enum { ENTRIES_MOST = 200, NAME_MOST = 256, BYTES_MOST = 64 << 20, PIECE = 64 * 1024 };

/* Of a job, beside its tables. */
static const char *const others[] = {"photo.jpg", "photo.png", HISTORY_NAME};
enum { NAMES = JOB_TABLES + sizeof others / sizeof *others };

static text left_out;

const char *web_left_out(void)
{
    return left_out.bytes ? left_out.bytes : "";
}

static const char *name_at(size_t at)
{
    return at < JOB_TABLES ? job_table_names[at] : others[at - JOB_TABLES];
}

static size_t name_find(const char *name)
{
    size_t at = 0;
    while (at < NAMES && strcmp(name_at(at), name) != 0)
        at++;
    return at;
}

/* --- in --- */

/* What has been unpacked so far. */
typedef struct unpacking {
    unzFile zip;
    const char *folder;
    size_t bytes;
    bool taken[NAMES];
    char above[NAME_MOST]; /* the folder inside the .zip that holds the job, once a file is taken */
    bool has_above;
} unpacking;

/* A path that names a place outside, on whatever system. */
static bool leads_out(const char *path)
{
    if (path[0] == '/' || strchr(path, '\\') || strchr(path, ':'))
        return true;
    for (const char *part = path; part; part = strchr(part, '/')) {
        part += *part == '/';
        if (strncmp(part, "..", 2) == 0 && (part[2] == '/' || part[2] == '\0'))
            return true;
    }
    return false;
}

static const char *copy_out(unpacking *of, const char *name)
{
    static char piece[PIECE];
    char *path = path_join(of->folder, name);
    FILE *file = path ? fopen(path, "wb") : NULL;
    int count = -1;
    bool whole = file != NULL;
    while (whole && (count = unzReadCurrentFile(of->zip, piece, sizeof piece)) > 0) {
        of->bytes += (size_t)count;
        whole = of->bytes <= BYTES_MOST && fwrite(piece, 1, (size_t)count, file) == (size_t)count;
    }
    if (file && fclose(file) != 0)
        whole = false;
    free(path);
    if (of->bytes > BYTES_MOST)
        return "it holds more than 64 MiB, the limit for a job";
    if (count < 0)
        return "it is damaged, or packed in an unknown way";
    return whole ? NULL : "out of memory";
}

static const char *take_file(unpacking *of, size_t known, const char *path, size_t above)
{
    if (of->has_above && (strlen(of->above) != above || strncmp(of->above, path, above) != 0))
        return "it holds more than one job";
    if (of->taken[known])
        return "it holds a file twice";
    memcpy(of->above, path, above);
    of->above[above] = '\0';
    of->has_above = of->taken[known] = true;
    if (unzOpenCurrentFile(of->zip) != UNZ_OK)
        return "it is damaged, or packed in an unknown way";
    const char *fault = copy_out(of, name_at(known));
    if (unzCloseCurrentFile(of->zip) != UNZ_OK && !fault)
        fault = "it is damaged: a file does not match its checksum";
    return fault;
}

/* The results of an earlier export are made anew, and need not be told of. */
static bool is_result(const char *path)
{
    return strncmp(path, "out/", 4) == 0 || strstr(path, "/out/") != NULL;
}

static const char *take_entry(unpacking *of)
{
    char path[NAME_MOST];
    unz_file_info64 about;
    if (unzGetCurrentFileInfo64(of->zip, &about, path, sizeof path, NULL, 0, NULL, 0) != UNZ_OK)
        return "it is damaged";
    if (about.size_filename >= sizeof path || strlen(path) != about.size_filename)
        return "it holds a name that no job file has";
    if (leads_out(path))
        return "it holds a file that would land outside the job";
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    size_t known = is_result(path) ? NAMES : name_find(name);
    if (known == NAMES) {
        if (*name && !is_result(path))
            text_addf(&left_out, "%s\n", path);
        return NULL;
    }
    if (about.flag & 1)
        return "it is encrypted";
    if (about.uncompressed_size > BYTES_MOST)
        return "it holds more than 64 MiB, the limit for a job";
    return take_file(of, known, path, (size_t)(name - path));
}

static const char *take_all(unpacking *of)
{
    const char *fault = NULL;
    int entries = 0;
    int found = unzGoToFirstFile(of->zip);
    for (; found == UNZ_OK && !fault; found = unzGoToNextFile(of->zip))
        fault = ++entries > ENTRIES_MOST ? "it holds more than 200 files" : take_entry(of);
    if (!fault && found != UNZ_END_OF_LIST_OF_FILE)
        fault = "it is damaged";
    if (!fault && !of->taken[name_find("board.csv")])
        fault = "it holds no board.csv, so it is not a job";
    return fault;
}

const char *web_unzip(const char *zip, const char *folder)
{
    unpacking all = {.zip = unzOpen64(zip), .folder = folder};
    text_clear(&left_out);
    if (!all.zip)
        return "it is not a .zip";
    const char *fault = take_all(&all);
    unzClose(all.zip);
    return fault;
}

/* --- out --- */

static zip_fileinfo file_info(const struct stat *about)
{
    struct tm then = {0};
    localtime_r(&about->st_mtime, &then);
    return (zip_fileinfo){.tmz_date = {.tm_sec = then.tm_sec,
                                       .tm_min = then.tm_min,
                                       .tm_hour = then.tm_hour,
                                       .tm_mday = then.tm_mday,
                                       .tm_mon = then.tm_mon,
                                       .tm_year = then.tm_year + 1900}};
}

static bool pack_bytes(zipFile zip, FILE *from)
{
    static char piece[PIECE];
    size_t count;
    while ((count = fread(piece, 1, sizeof piece, from)) > 0)
        if (zipWriteInFileInZip(zip, piece, (unsigned)count) != ZIP_OK)
            return false;
    return !ferror(from);
}

static bool pack_file(zipFile zip, const char *path, const char *name)
{
    struct stat about;
    FILE *from = stat(path, &about) == 0 && S_ISREG(about.st_mode) ? fopen(path, "rb") : NULL;
    if (!from)
        return false;
    zip_fileinfo info = file_info(&about);
    bool packed = zipOpenNewFileInZip(zip, name, &info, NULL, 0, NULL, 0, NULL, Z_DEFLATED,
                                      Z_DEFAULT_COMPRESSION) == ZIP_OK;
    if (packed) {
        packed = pack_bytes(zip, from);
        packed = zipCloseFileInZip(zip) == ZIP_OK && packed;
    }
    fclose(from);
    return packed;
}

static bool pack_job(zipFile zip, const char *folder)
{
    bool whole = true;
    for (size_t at = 0; whole && at < NAMES; at++) {
        char *path = path_join(folder, name_at(at));
        struct stat about;
        whole = path != NULL;
        if (whole && stat(path, &about) == 0)
            whole = pack_file(zip, path, name_at(at));
        free(path);
    }
    return whole;
}

static bool pack_results(zipFile zip, const char *folder)
{
    char *out = path_join(folder, "out");
    DIR *opened = out ? opendir(out) : NULL;
    bool whole = out != NULL;
    struct dirent *entry;
    while (whole && opened && (entry = readdir(opened))) {
        if (entry->d_name[0] == '.')
            continue;
        char *path = path_join(out, entry->d_name), *name = path_join("out", entry->d_name);
        whole = path && name && pack_file(zip, path, name);
        free(path);
        free(name);
    }
    if (opened)
        closedir(opened);
    free(out);
    return whole;
}

const char *web_zip(const char *folder, const char *zip)
{
    zipFile made = zipOpen64(zip, APPEND_STATUS_CREATE);
    if (!made)
        return "out of memory";
    bool whole = pack_job(made, folder) && pack_results(made, folder);
    return zipClose(made, NULL) == ZIP_OK && whole ? NULL : "out of memory";
}
