/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays down the starter job: all of its files or none, and never over a file that is there. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/diagnose.h"
#include "core/text.h"
#include "job/intake.h"
#include "job/starter_texts.h"

static const char policy_file[] = "policy.csv";

struct starter {
    struct intake intake; /* only its diagnostics are used */
    const char *folder;
    bool folder_made;
    int directory;  /* descriptor of the folder, -1 while not open */
    size_t written; /* files, in the order of file_at */
    char *policy;   /* text of policy.csv */
};

/* Every key at its default, as a comment: a default that is not touched may improve later. */
static char *make_policy(void)
{
    text made = {0};
    sf_policy policy = sf_policy_default();
    text_add(&made, "# Every threshold with its default. To change one, take away the # before its "
                    "name.\nkey,value,unit\n");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++) {
        double value = *(const double *)((const char *)&policy + key->offset);
        text_addf(&made, "# %s (%.10g to %.10g)\n#%s,%.10g,%s\n", key->meaning, key->least,
                  key->most, key->key, value, key->unit);
    }
    return text_take(&made);
}

/* The files in order, policy.csv last; a NULL file at the end. */
static struct starter_text file_at(const struct starter *starter, size_t index)
{
    size_t count = 0;
    while (starter_texts[count].file)
        count++;
    if (index < count)
        return starter_texts[index];
    if (index == count)
        return (struct starter_text){policy_file, starter->policy};
    return (struct starter_text){NULL, NULL};
}

static void diagnose_of_errno(struct starter *starter, const char *file, const char *what,
                              int number)
{
    diagnose_error(&starter->intake, (where){file, 0, ""}, "", "%s: %s", what,
                   reason_of(number).words);
}

/* Files are reached through the open folder, so that taking them back needs no memory. */
static bool open_folder(struct starter *starter)
{
    starter->folder_made = mkdir(starter->folder, 0777) == 0;
    int number = errno;
    starter->directory = open(starter->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (starter->directory >= 0)
        return true;
    diagnose_of_errno(starter, starter->folder, "the folder cannot be made", number);
    return false;
}

static bool names_are_free(struct starter *starter)
{
    bool all_free = true;
    for (size_t i = 0; file_at(starter, i).file; i++) {
        struct stat about;
        const char *file = file_at(starter, i).file;
        if (fstatat(starter->directory, file, &about, AT_SYMLINK_NOFOLLOW) != 0)
            continue;
        diagnose_error(&starter->intake, (where){file, 0, ""}, "a folder without it",
                       "the file is there already and is left alone");
        all_free = false;
    }
    return all_free;
}

static bool write_all(int descriptor, const char *bytes, size_t size)
{
    while (size > 0) {
        ssize_t count = write(descriptor, bytes, size);
        if (count < 0 && errno == EINTR)
            continue;
        if (count < 0)
            return false;
        bytes += count;
        size -= (size_t)count;
    }
    return true;
}

/* Nothing is lost by a file that stays, but the next attempt would stop at it. */
static void remove_file(struct starter *starter, const char *file)
{
    if (unlinkat(starter->directory, file, 0) != 0)
        diagnose_of_errno(starter, file, "is left over and can be removed", errno);
}

static bool write_new(struct starter *starter, const struct starter_text *file)
{
    int descriptor =
        openat(starter->directory, file->file, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    int number = errno;
    bool made = descriptor >= 0;
    bool done = made && write_all(descriptor, file->content, strlen(file->content));
    if (made && !done)
        number = errno;
    /* a full disk may show only here */
    if (made && close(descriptor) != 0 && done) {
        done = false;
        number = errno;
    }
    if (!done)
        diagnose_of_errno(starter, file->file, "the file cannot be written", number);
    if (made && !done)
        remove_file(starter, file->file);
    return done;
}

static void take_back(struct starter *starter)
{
    for (size_t i = 0; i < starter->written; i++) {
        const char *name = file_at(starter, i).file;
        if (name)
            remove_file(starter, name);
    }
    if (starter->folder_made && rmdir(starter->folder) != 0)
        diagnose_of_errno(starter, starter->folder, "is left over and can be removed", errno);
}

static bool write_files(struct starter *starter)
{
    while (file_at(starter, starter->written).file) {
        struct starter_text file = file_at(starter, starter->written);
        if (!write_new(starter, &file))
            return false;
        starter->written++;
    }
    return true;
}

sf_status sf_job_start(const char *folder, sf_diagnostics *diagnostics)
{
    struct starter starter = {.intake = {.diagnostics = diagnostics},
                              .folder = folder,
                              .directory = -1,
                              .policy = make_policy()};
    if (!starter.policy)
        return SF_ERROR_MEMORY;
    bool done = open_folder(&starter) && names_are_free(&starter) && write_files(&starter);
    if (!done)
        take_back(&starter);
    if (starter.directory >= 0)
        close(starter.directory);
    free(starter.policy);
    if (done)
        return SF_OK;
    return starter.intake.memory_short ? SF_ERROR_MEMORY : SF_ERROR_WRITE;
}
