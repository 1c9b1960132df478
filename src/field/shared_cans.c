/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Counts the readings of each can, and numbers the cans that have several. */
#include "field/shared_cans.h"

#include <stdlib.h>

#include "core/memory.h"

static bool is_known(const fit_data *data, size_t reading)
{
    return data->on_can[reading] && data->can[reading] != SF_NO_PART;
}

static size_t cans_known(const fit_data *data)
{
    size_t cans = 0;
    for (size_t i = 0; i < data->readings; i++)
        if (is_known(data, i) && data->can[i] >= cans)
            cans = data->can[i] + 1;
    return cans;
}

sf_status shared_cans_find(const fit_data *data, shared_cans *made)
{
    size_t cans = cans_known(data);
    size_t *read = array_new(cans, sizeof *read), *number = array_new(cans, sizeof *number);
    *made = (shared_cans){.of_reading = array_new(data->readings, sizeof *made->of_reading)};
    bool room = read && number && made->of_reading;
    for (size_t i = 0; room && i < data->readings; i++)
        if (is_known(data, i) && ++read[data->can[i]] == 2)
            number[data->can[i]] = made->count++;
    for (size_t i = 0; room && i < data->readings; i++)
        made->of_reading[i] =
            is_known(data, i) && read[data->can[i]] > 1 ? number[data->can[i]] : SF_NO_PART;
    free(read);
    free(number);
    return room ? SF_OK : SF_ERROR_MEMORY;
}

void shared_cans_clear(shared_cans *made)
{
    free(made->of_reading);
    *made = (shared_cans){0};
}

size_t shared_cans_most(const fit_data *data)
{
    size_t cans = cans_known(data), on_cans = 0;
    for (size_t i = 0; i < data->readings; i++)
        on_cans += is_known(data, i);
    return cans < on_cans / 2 ? cans : on_cans / 2;
}
