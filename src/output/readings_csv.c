/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* readings.csv: every reading after correction, and how it meets the field. */
#include <stdlib.h>

#include "output/csv.h"
#include "output/tables.h"
#include "survey/facts.h"

static void add_fit(text *into, const sf_reading_fit *fit)
{
    csv_number(into, fit->fitted_k.value, 3);
    csv_number(into, fit->fitted_k.sd, 3);
    csv_number(into, fit->left_out_k.value, 3);
    csv_number(into, fit->left_out_k.sd, 3);
    csv_number(into, fit->score, 2);
}

void readings_csv(const sf_outcome *outcome, text *into)
{
    text_add(into, "id,x_mm,y_mm,temp_c,rise_k,u_k,in_fit,fitted_k,fitted_sd_k,left_out_k,"
                   "left_out_sd_k,score,remark\n");
    const sf_reading_fit **fits = observation_fits(outcome);
    into->failed = into->failed || !fits;
    for (size_t i = 0; fits && i < outcome->observation_count; i++) {
        const sf_observation *observation = &outcome->observations[i];
        csv_text(into, observation->id);
        csv_number(into, observation->x_mm, 2);
        csv_number(into, observation->y_mm, 2);
        csv_number(into, observation->temp_c, 2);
        csv_number(into, observation->rise_k, 3);
        csv_number(into, observation->sd_k, 3);
        csv_yes_no(into, observation->in_fit);
        add_fit(into, fits[i]);
        csv_text(into, observation->remark);
        csv_end_row(into);
    }
    free(fits);
}
