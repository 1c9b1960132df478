/* Reads a regular file whole. */
#include "page/folder_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static sf_status read_all(int descriptor, size_t most, text *into)
{
    char buffer[65536];
    for (;;) {
        ssize_t count = read(descriptor, buffer, sizeof buffer);
        if (count < 0 && errno == EINTR)
            continue;
        if (count <= 0)
            return count < 0 ? SF_ERROR_MISSING : SF_OK;
        text_add_bytes(into, buffer, (size_t)count);
        if (into->failed)
            return SF_ERROR_MEMORY;
        if (into->length > most)
            return SF_ERROR_DATA;
    }
}

sf_status folder_file_read(const char *folder, const char *name, size_t most, text *into,
                           bool *absent)
{
    char *path = text_format("%s/%s", folder, name);
    *absent = false;
    if (!path)
        return SF_ERROR_MEMORY;
    int descriptor = open(path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    *absent = descriptor < 0 && errno == ENOENT;
    free(path);
    if (descriptor < 0)
        return *absent ? SF_OK : SF_ERROR_MISSING;
    struct stat about;
    bool regular = fstat(descriptor, &about) == 0 && S_ISREG(about.st_mode);
    sf_status status = regular ? read_all(descriptor, most, into) : SF_ERROR_MISSING;
    close(descriptor);
    return status;
}
