/* Reading the files of a job as bytes, and noticing that one has changed. */
#include "page/job_files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/memory.h"

const job_file job_files[JOB_FILES] = {
    {"board.csv", "key,value,unit", true},
    {"outline.csv", "ring,x_mm,y_mm", false},
    {"sources.csv", "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,power_w,power_u_w", false},
    {"readings.csv",
     "id,x_mm,y_mm,value,unit,method,spot,u_k,emissivity,reflected_c,ambient_c,junction_c,minute,"
     "note",
     true},
    {"parts.csv",
     "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,tolerance_pct,rated_v,rated_c,"
     "endurance_h,ripple_a,rated_ripple_a,working_v,duty,critical,year,hours,measured_uf,"
     "measured_esr_ohm,esr_limit_ohm,condition,note",
     true},
    {"keepout.csv", "ring,x_mm,y_mm,reason", false},
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

static sf_status read_all(int descriptor, text *into)
{
    char buffer[16384];
    for (;;) {
        ssize_t count = read(descriptor, buffer, sizeof buffer);
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            return SF_ERROR_MISSING;
        if (count == 0)
            break;
        text_add_bytes(into, buffer, (size_t)count);
        if (into->failed || into->length > SF_FILE_BYTES_MAX)
            return into->failed ? SF_ERROR_MEMORY : SF_ERROR_DATA;
    }
    return into->failed ? SF_ERROR_MEMORY : SF_OK;
}

static sf_status read_bytes(const char *folder, size_t file, text *into, bool *absent)
{
    char *path = text_format("%s/%s", folder, job_files[file].name);
    if (!path)
        return SF_ERROR_MEMORY;
    int descriptor = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    *absent = descriptor < 0 && errno == ENOENT;
    free(path);
    if (*absent)
        return SF_OK;
    struct stat about;
    if (descriptor < 0)
        return SF_ERROR_MISSING;
    sf_status status = fstat(descriptor, &about) == 0 && S_ISREG(about.st_mode)
                           ? read_all(descriptor, into)
                           : SF_ERROR_MISSING;
    close(descriptor);
    return status;
}

sf_status job_file_read(const char *folder, size_t file, sheet *into, bool *absent, text *before)
{
    text bytes = {0};
    *into = (sheet){0};
    sf_status status = read_bytes(folder, file, &bytes, absent);
    if (status == SF_OK && before)
        text_add_bytes(before, bytes.bytes ? bytes.bytes : "", bytes.length);
    if (status == SF_OK && *absent)
        text_addf(&bytes, "%s\n", job_files[file].header);
    if (status == SF_OK && (bytes.failed || (before && before->failed)))
        status = SF_ERROR_MEMORY;
    if (status != SF_OK) {
        text_clear(&bytes);
        return status;
    }
    size_t size = bytes.length;
    char *taken = text_take(&bytes);
    return taken ? sheet_read(into, taken, size) : SF_ERROR_MEMORY;
}

bool job_file_holds(const char *folder, size_t file, const text *bytes)
{
    text now = {0};
    bool absent = false;
    bool same = read_bytes(folder, file, &now, &absent) == SF_OK && now.length == bytes->length &&
                (now.length == 0 || memcmp(now.bytes, bytes->bytes, now.length) == 0);
    text_clear(&now);
    return same;
}

/* FNV-1a, 64 bits. */
static void add_to_stamp(uint64_t *stamp, const void *bytes, size_t count)
{
    for (size_t i = 0; i < count; i++)
        *stamp = (*stamp ^ ((const unsigned char *)bytes)[i]) * 1099511628211u;
}

uint64_t job_files_stamp(const char *folder)
{
    uint64_t stamp = 14695981039346656037u;
    for (size_t file = 0; file < JOB_FILES; file++) {
        struct stat about = {0};
        char *path = text_format("%s/%s", folder, job_files[file].name);
        bool there = path && stat(path, &about) == 0;
        free(path);
        add_to_stamp(&stamp, &there, sizeof there);
        if (!there)
            continue;
        add_to_stamp(&stamp, &about.st_ino, sizeof about.st_ino);
        add_to_stamp(&stamp, &about.st_size, sizeof about.st_size);
        add_to_stamp(&stamp, &about.st_mtim.tv_sec, sizeof about.st_mtim.tv_sec);
        add_to_stamp(&stamp, &about.st_mtim.tv_nsec, sizeof about.st_mtim.tv_nsec);
    }
    return stamp;
}
