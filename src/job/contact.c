/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Finds readings by contact that lie in a no-touch area. */
#include "job/contact.h"

#include <ctype.h>
#include <math.h>
#include <string.h>
#include <strings.h>

#include "core/geometry.h"
#include "core/memory.h"
#include "core/text.h"
#include "job/choice_words.h"
#include "job/files.h"
#include "job/number.h"

static bool says_why(const char *note)
{
    size_t length = strlen(CONTACT_REASON);
    if (strncasecmp(note, CONTACT_REASON, length) != 0)
        return false;
    for (note += length; isspace((unsigned char)*note);)
        note++;
    return *note != '\0';
}

static bool by_contact(const reading_words *reading)
{
    int method = SF_METHOD_COUNT;
    word_value(method_words, reading->method, &method);
    return method != SF_METHOD_INFRARED;
}

static const sf_ring *ring_about(const sf_job *job, const reading_words *reading, bool comma)
{
    struct number x = {0}, y = {0};
    if (number_read(reading->x_mm, comma, &x) != NUMBER_FINE ||
        number_read(reading->y_mm, comma, &y) != NUMBER_FINE)
        return NULL; /* the job will complain of the place */
    for (size_t i = 0; i < job->keepout_count; i++)
        if (ring_contains(&job->keepouts[i], x.value, y.value))
            return &job->keepouts[i];
    return NULL;
}

static char *name_of(const sf_ring *ring)
{
    return text_format("no-touch area %d (%s)", ring->number,
                       ring->reason[0] ? ring->reason : "no reason given");
}

static void find_all(struct intake *intake, const reading_words *readings, size_t count, bool comma,
                     char **areas)
{
    size_t errors = intake->diagnostics->error_count;
    keepout_file_read(intake);
    bool unknown = intake->file_missing || intake->diagnostics->error_count > errors;
    for (size_t i = 0; i < count && !intake->memory_short; i++) {
        if (!by_contact(&readings[i]) || says_why(readings[i].note))
            continue;
        const sf_ring *ring = unknown ? NULL : ring_about(intake->job, &readings[i], comma);
        if (!ring && !unknown)
            continue;
        areas[i] = ring ? name_of(ring) : text_copy("an area not known: keepout.csv is faulty");
        intake->memory_short = areas[i] == NULL;
    }
}

sf_status contacts_find(const char *folder, const reading_words *readings, size_t count,
                        bool decimal_comma, char **areas)
{
    sf_diagnostics dropped = {0}; /* the job tells them */
    struct intake intake = {.job = array_new(1, sizeof *intake.job), .diagnostics = &dropped};
    if (!intake.job)
        return SF_ERROR_MEMORY;
    intake.job->folder = keep_text(&intake, folder);
    intake.job->board.width_mm = intake.job->board.height_mm = NAN; /* not asked for here */
    if (intake_open(&intake))
        find_all(&intake, readings, count, decimal_comma, areas);
    sf_status status = intake_close(&intake);
    sf_job_free(intake.job);
    sf_diagnostics_clear(&dropped);
    return status == SF_ERROR_MEMORY ? status : SF_OK;
}
