/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* What of a fitted field a person is to look at: readings, listed watts, what nobody listed. */
#include "field/warnings.h"

#include <math.h>
#include <stdlib.h>

#include "core/diagnose.h"
#include "core/memory.h"
#include "core/text.h"
#include "field/model.h"
#include "field/room_needed.h"
#include "field/small_bodies.h"

#define IDLE_SHARE 0.15    /* of the warmest source's rise: less under a reading is worth a look */
#define SHARE_LEAST 0.1    /* of what a body gives off enters the board at least; judgement */
#define SCORE_OUTLYING 3.0 /* standard deviations, of a reading or of listed watts */

/* The listed source that a reading lies on and that hardly warms the board; NULL where none does.
 */
static const char *idle_source_at(const judged_fit *made, const sf_observation *seen)
{
    double most_k = 0;
    for (size_t j = 0; j < made->input->source_count; j++)
        most_k = fmax(most_k, made->sources[j].rise_k.value);
    for (size_t j = 0; j < made->input->source_count; j++) {
        const sf_source *source = &made->input->sources[j];
        if (body_covers(source, seen->x_mm, seen->y_mm) &&
            made->sources[j].rise_k.value < IDLE_SHARE * most_k)
            return made->sources[j].ref;
    }
    return NULL;
}

static void find_idle(const judged_fit *made)
{
    for (size_t i = 0; i < made->summary->readings; i++) {
        sf_reading_fit *fit = &made->readings[i];
        fit->idle = idle_source_at(made, &made->input->observations[fit->observation]);
    }
}

static const char *why_off(const sf_observation *seen, double off_k)
{
    if (off_k < 0)
        return "a lifted bead, or a place that is cooled";
    return seen->spot == SF_SPOT_PART ? "the part's own heat, or a wrong place"
                                      : "an unlisted heat source, or a wrong place";
}

static bool speaks_alone(const sf_reading_fit *fit)
{
    return fit->alone > SCORE_OUTLYING && fit->gross < 0.5 && !sf_reading_misfits(fit);
}

/* The id of the one reading on a found source where that alone speaks for it; else NULL. */
static const char *found_by_one(const sf_source_fit *found, const sf_observation *observations,
                                const sf_reading_fit *fits, size_t count)
{
    const char *id = NULL;
    for (size_t i = 0; i < count; i++) {
        const sf_observation *seen = &observations[fits[i].observation];
        if (fabs(seen->x_mm - found->x_mm) > found->width_mm / 2 ||
            fabs(seen->y_mm - found->y_mm) > found->height_mm / 2)
            continue;
        if (id || !speaks_alone(&fits[i]))
            return NULL;
        id = seen->id;
    }
    return id;
}

char *found_next_step(const sf_source_fit *found, const sf_observation *observations,
                      const sf_reading_fit *fits, size_t count)
{
    const char *id = found_by_one(found, observations, fits, count);
    return id ? text_format("read %s again first", id) : text_copy("look there");
}

/* Of a reading that something is wrong with. */
static sf_status warn_of_reading(const judged_fit *made, const sf_reading_fit *fit,
                                 sf_diagnostics *diagnostics)
{
    const sf_observation *seen = &made->input->observations[fit->observation];
    double off_k = seen->rise_k - fit->left_out_k.value;
    char *what;
    if (fit->gross >= 0.5 && off_k < 0)
        what = text_format(
            "reading %s is %.1f K colder than the other readings predict, and was given "
            "no weight: read it again (a lifted bead, or a slip of the pen)",
            seen->id, -off_k);
    else if (fit->gross >= 0.5 || sf_reading_misfits(fit))
        what = text_format("reading %s is %.1f K %s than the other readings predict: %s", seen->id,
                           fabs(off_k), off_k < 0 ? "colder" : "warmer", why_off(seen, off_k));
    else if (speaks_alone(fit))
        what = text_format("only reading %s points to unlisted heat there: read it again "
                           "before you look for a source",
                           seen->id);
    else if (fit->idle)
        what = text_format("reading %s lies on %s and shows hardly any heat from it: read it again",
                           seen->id, fit->idle);
    else
        return SF_OK;
    return diagnose_taking(diagnostics, SF_WARNING, "readings.csv", seen->line, "value", what,
                           NULL);
}

static sf_status warn_of_readings(const judged_fit *made, sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < made->summary->readings; i++)
        status = warn_of_reading(made, &made->readings[i], diagnostics);
    return status;
}

sf_status warn_of_bodies(const sf_field_input *input, const sf_field *made,
                         sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    for (size_t i = 0; status == SF_OK && i < input->observation_count; i++) {
        const sf_observation *seen = &input->observations[i];
        if (!sf_body_misfits(made, seen))
            continue;
        char *what = text_format("reading %s was taken on the body of a source and is colder than "
                                 "the board below it: read it again",
                                 seen->id);
        status = diagnose_taking(diagnostics, SF_WARNING, "readings.csv", seen->line, "value", what,
                                 NULL);
    }
    return status;
}

/* Of what a body gives off some always enters the board, and never more than all. Both doubts count
 * as if they were independent, which errs towards silence: the listed watts have drawn the fitted
 * ones to themselves. */
static double power_score(const sf_source *listed, const sf_source_fit *fit)
{
    double own_sd_w = isfinite(listed->power_sd_w) ? listed->power_sd_w : 0;
    double least_w = SHARE_LEAST * listed->power_w;
    if (isnan(listed->power_w))
        return NAN;
    if (fit->power_w.value < least_w)
        return (fit->power_w.value - least_w) / hypot(fit->power_w.sd, SHARE_LEAST * own_sd_w);
    if (fit->power_w.value > listed->power_w)
        return (fit->power_w.value - listed->power_w) / hypot(fit->power_w.sd, own_sd_w);
    return 0;
}

/* The listed come first, in their order. */
static void score_powers(const judged_fit *made)
{
    for (size_t j = 0; j < made->source_count; j++)
        made->sources[j].power_score =
            made->sources[j].listed ? power_score(&made->input->sources[j], &made->sources[j])
                                    : (double)NAN;
}

static sf_status warn_of_unlisted(const judged_fit *made, const sf_source_fit *found,
                                  sf_diagnostics *diagnostics)
{
    char *step =
        found_next_step(found, made->input->observations, made->readings, made->summary->readings);
    char *what = step ? text_format("unlisted heat near (%.0f, %.0f), about %.0f mm across "
                                    "(probability %s%.2f): %s",
                                    found->x_mm, found->y_mm, found->width_mm,
                                    found->probability > 0.99 ? "above " : "",
                                    fmin(found->probability, 0.99), step)
                      : NULL;
    free(step);
    return diagnose_taking(diagnostics, SF_WARNING, "sources.csv", 0, "", what, NULL);
}

static sf_status warn_of_listed(const sf_source *listed, const sf_source_fit *fit,
                                sf_diagnostics *diagnostics)
{
    char *what;
    if (fit->contradiction)
        what = text_format("%s would have to cool the board by %.1f K for the readings to fit",
                           fit->ref, -fit->rise_k.value);
    else if (fabs(fit->power_score) > SCORE_OUTLYING)
        what = text_format("%s is listed at %.4g W, but the readings give it %.2g W, %.1f standard "
                           "deviations %s",
                           fit->ref, listed->power_w, fit->power_w.value, fabs(fit->power_score),
                           fit->power_score < 0 ? "less" : "more");
    else
        return SF_OK;
    return diagnose_taking(diagnostics, SF_WARNING, "sources.csv", listed->line,
                           fit->contradiction ? "" : "power_w", what,
                           fit->contradiction ? NULL : "heat in watts that it gives to the board");
}

static sf_status warn_of_sources(const judged_fit *made, sf_diagnostics *diagnostics)
{
    sf_status status = SF_OK;
    for (size_t j = 0; status == SF_OK && j < made->source_count; j++)
        status = made->sources[j].listed
                     ? warn_of_listed(&made->input->sources[j], &made->sources[j], diagnostics)
                     : warn_of_unlisted(made, &made->sources[j], diagnostics);
    return status;
}

/* Models that know nothing of heat leave readings aside where they are many. */
static sf_status warn_of_thinned(const judged_fit *made, sf_diagnostics *diagnostics)
{
    if (made->summary->model == heat_balance_model.called.name ||
        made->summary->readings <= SF_REFERENCE_READINGS_MOST)
        return SF_OK;
    char *what =
        text_format("%s takes %d of the %zu readings, spread over the board: the others are "
                    "predicted but do not shape the map",
                    made->summary->model, SF_REFERENCE_READINGS_MOST, made->summary->readings);
    return diagnose_taking(diagnostics, SF_WARNING, "readings.csv", 0, "", what, NULL);
}

sf_status warn_of_fit(const judged_fit *made, sf_diagnostics *diagnostics)
{
    sf_status status = warn_of_thinned(made, diagnostics);
    if (status == SF_OK)
        status = warn_of_readings(made, diagnostics);
    return status == SF_OK ? warn_of_sources(made, diagnostics) : status;
}

void judge_sources(const judged_fit *made)
{
    score_powers(made);
    find_idle(made);
}

void diagnose_of_room(const sf_field_input *input, const grid *laid, double bytes,
                      sf_diagnostics *diagnostics)
{
    const double gib = 1024.0 * 1024 * 1024;
    char *what = text_format(
        "the map would take some %.1f GiB of memory, %.0f at most: %zu cells of %.3g mm, %zu "
        "readings, %zu sources",
        bytes / gib, FIT_BYTES_MOST / gib, laid->nodes, laid->cell_mm, input->observation_count,
        input->source_count);
    diagnose_taking(diagnostics, SF_ERROR, "", 0, "", what,
                    "wider cells (--cell), or fewer readings or sources");
}
