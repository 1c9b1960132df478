/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* From wishes to rows: each alone, then all together, beside the board as it is. */
#include "survey/what_if.h"

#include <math.h>
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"

enum { ROWS_MAX = 6 };

/* What the rows are reckoned from. */
typedef struct asking {
    const sf_wishes *wishes;
    sf_outcome *outcome;
    sf_estimate *rises_k;
    sf_estimate *fan_shares; /* per part; NULL where no fan is asked */
    double hours;
} asking;

double *service_temps_c(const sf_job *job, const sf_field *field)
{
    sf_grid grid = sf_field_grid(field);
    size_t cells = grid.columns * grid.rows;
    double *temps_c = array_new(cells, sizeof *temps_c);
    for (size_t i = 0; temps_c && i < cells; i++)
        temps_c[i] = sf_field_rise_k(field)[i] + sf_service_air_c(job);
    return temps_c;
}

sf_status rises_at_parts(const sf_job *job, const sf_field *field, sf_estimate **rises_k)
{
    *rises_k = array_new(job->part_count, sizeof **rises_k);
    for (size_t i = 0; *rises_k && i < job->part_count; i++)
        (*rises_k)[i] = sf_field_can(field, i);
    return *rises_k ? SF_OK : SF_ERROR_MEMORY;
}

sf_status fan_shares_at_parts(const sf_job *job, const sf_field *field, sf_estimate **shares)
{
    *shares = array_new(job->part_count, sizeof **shares);
    sf_status status = *shares ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; status == SF_OK && i < job->part_count; i++)
        status = sf_field_fan_share(field, &job->board, job->parts[i].x_mm, job->parts[i].y_mm,
                                    &(*shares)[i]);
    return status;
}

/* --- words --- */

static void add_fan(text *into, const asking *of)
{
    double least = 1, most = 0;
    for (size_t i = 0; i < of->outcome->job->part_count; i++) {
        least = fmin(least, of->fan_shares[i].value);
        most = fmax(most, of->fan_shares[i].value);
    }
    text_addf(into, "a fan (heat loss up from %s to %s W/m2K",
              fixed_told(sf_air_loss_w_m2k(of->outcome->job->board.air), 0).bytes,
              fixed_told(sf_air_loss_w_m2k(SF_AIR_FORCED), 0).bytes);
    if (most > 0)
        text_addf(into,
                  ", rises at the parts fall to %s to %s %%; both losses known to about 30 %%",
                  fixed_told(100 * least, 0).bytes, fixed_told(100 * most, 0).bytes);
    text_add(into, ")");
}

static void add_words(text *into, const asking *of, const sf_what_if *asked)
{
    if (asked->air_k != 0)
        text_addf(into, "air %s K %s", number_told(fabs(asked->air_k)).bytes,
                  asked->air_k < 0 ? "cooler" : "warmer");
    if (asked->rise_shares) {
        text_add(into, into->length > 0 ? ", " : "");
        add_fan(into, of);
    }
    if (!isnan(asked->grade_c))
        text_addf(into, "%sparts to replace fitted new, %s C grade", into->length > 0 ? ", " : "",
                  number_told(asked->grade_c).bytes);
    if (into->length == 0)
        text_add(into, "as it is");
    if (asked->hours > 0)
        text_addf(into, ", after %s h", whole_told(asked->hours).bytes);
    else
        text_add(into, ", today");
}

/* --- rows --- */

static sf_status add_row(const asking *of, sf_what_if asked)
{
    sf_outcome *outcome = of->outcome;
    sf_what_if_row *row = &outcome->what_ifs[outcome->what_if_count];
    text words = {0};
    add_words(&words, of, &asked);
    row->asked = text_take(&words);
    outcome->what_if_count += row->asked != NULL;
    if (!row->asked)
        return SF_ERROR_MEMORY;
    return sf_parts_prospect(outcome->job, of->rises_k, outcome->results, &asked, &row->prospect);
}

/* Each wish by itself. */
static size_t list_wishes(const asking *of, sf_what_if rows[ROWS_MAX])
{
    const sf_what_if plain = {.grade_c = NAN, .hours = of->hours};
    size_t count = 0;
    if (!isnan(of->wishes->air_k)) {
        rows[count] = plain;
        rows[count++].air_k = of->wishes->air_k;
    }
    if (of->fan_shares) {
        rows[count] = plain;
        rows[count++].rise_shares = of->fan_shares;
    }
    if (!isnan(of->wishes->grade_c)) {
        rows[count] = plain;
        rows[count++].grade_c = of->wishes->grade_c;
    }
    return count;
}

static sf_what_if all_together(const asking *of)
{
    return (sf_what_if){.air_k = isnan(of->wishes->air_k) ? 0 : of->wishes->air_k,
                        .rise_shares = of->fan_shares,
                        .grade_c = of->wishes->grade_c,
                        .hours = of->hours};
}

static sf_status add_rows(const asking *of)
{
    sf_what_if rows[ROWS_MAX];
    size_t count = list_wishes(of, rows);
    sf_status status = add_row(of, (sf_what_if){.grade_c = NAN});
    if (status == SF_OK && of->hours > 0)
        status = add_row(of, (sf_what_if){.grade_c = NAN, .hours = of->hours});
    for (size_t i = 0; status == SF_OK && i < count; i++)
        status = add_row(of, rows[i]);
    if (status == SF_OK && count > 1)
        status = add_row(of, all_together(of));
    return status;
}

static double hours_to_come(const sf_wishes *wishes, const sf_board *board)
{
    double hours = isnan(wishes->hours) ? board->service_goal_h : wishes->hours;
    return isnan(hours) ? 0 : hours;
}

sf_status what_ifs_answer(const sf_wishes *wishes, sf_outcome *outcome)
{
    if (!wishes->fan && isnan(wishes->air_k) && isnan(wishes->grade_c) && isnan(wishes->hours))
        return SF_OK;
    asking of = {.wishes = wishes, .outcome = outcome};
    of.hours = hours_to_come(wishes, &outcome->job->board);
    outcome->what_ifs = array_new(ROWS_MAX, sizeof *outcome->what_ifs);
    sf_status status = outcome->what_ifs ? SF_OK : SF_ERROR_MEMORY;
    if (status == SF_OK)
        status = rises_at_parts(outcome->job, outcome->field, &of.rises_k);
    if (status == SF_OK && wishes->fan)
        status = fan_shares_at_parts(outcome->job, outcome->field, &of.fan_shares);
    if (status == SF_OK)
        status = add_rows(&of);
    free(of.rises_k);
    free(of.fan_shares);
    return status;
}
