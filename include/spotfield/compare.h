/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Two surveys of one board compared: what changed in its heat, and whether the
 * meter agrees with what the heat had said of the parts. */
#ifndef SPOTFIELD_COMPARE_H
#define SPOTFIELD_COMPARE_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/field.h"
#include "spotfield/job.h"
#include "spotfield/life.h"
#include "spotfield/reading.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* Clopper-Pearson interval of a proportion: of all proportions, those under which at least
 * `successes` of `trials` and at most so many each have probability (1 - confidence) / 2 or more.
 * trials above 0, successes at most trials, confidence in 0..1, ends left out. low is the
 * (1 - confidence) / 2 quantile of Beta(successes, trials - successes + 1), 0 without success; high
 * the (1 + confidence) / 2 quantile of Beta(successes + 1, trials - successes), 1 without failure.
 * C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404.
 * SF_ERROR_ARGUMENT outside the ranges, SF_ERROR_NUMERIC; *low and *high are then untouched. */
SF_API sf_status sf_proportion_interval(size_t successes, size_t trials, double confidence,
                                        double *low, double *high);

/* One survey: a job, the field fitted to it. Nothing is owned. */
typedef struct sf_survey {
    const sf_job *job;
    const sf_field *field;
    const sf_observation *observations; /* those of the field; NULL: readings are not compared */
    size_t observation_count;
} sf_survey;

/* A change counts from this many standard deviations on: the coverage factor of an expanded
 * uncertainty, JCGM 100:2008, 6.3.3; about 95 %, so that of twenty places where nothing changed
 * one may still be reported. */
#define SF_CHANGE_COVERAGE 2.0

/* How the rise at a place changed from the first survey to the second. */
typedef enum sf_change {
    SF_CHANGE_UNKNOWN, /* the part is in one survey only */
    SF_CHANGE_DOUBTFUL,
    SF_CHANGE_HOTTER,
    SF_CHANGE_COOLER,
    SF_CHANGE_COUNT
} sf_change;

/* The word of the files: "", "within uncertainty", "hotter", "cooler". */
SF_API const char *sf_change_text(sf_change change);

/* What the meter says of a part, judged as for the verdict. */
typedef enum sf_meter_finding {
    SF_METER_NOTHING,   /* not measured, or there is nothing to judge it by */
    SF_METER_FINE,      /* within tolerance, and ESR within its limit where both are known */
    SF_METER_UNDECIDED, /* above tolerance, or too near a limit to tell */
    SF_METER_WORN,      /* below tolerance, or ESR beyond its limit; bulged or leaking besides */
    SF_METER_COUNT
} sf_meter_finding;

/* The word of the files: "", "fine", "undecided", "worn". */
SF_API const char *sf_meter_finding_text(sf_meter_finding finding);

/* One part of the board, by its reference. What is not known is NAN. */
typedef struct sf_part_change {
    size_t before, after;      /* index in each job's parts; SF_NO_PART where it is not there */
    sf_estimate rise_before_k; /* rise of the board over its air, at the place of that survey */
    sf_estimate rise_after_k;  /* the same of the second */
    sf_estimate change_k;      /* after minus before; sd as sf_surveys_compare says */
    double temp_before_c;      /* in service: rise, service ambient and cover rise */
    double temp_after_c;       /* the same of the second; the air may differ too */
    sf_change change;
    bool pulled;            /* another part is there now, or none */
    bool heat_known;        /* whether `heat` says anything: the part is in the first survey */
    sf_verdict heat;        /* what temperature and hours alone said of it in the first */
    sf_meter_finding meter; /* of the part of the first survey */
    double reading_pct;     /* capacitance against marking, corrected by controls */
} sf_part_change;

/* A listed source, by its reference, or a reading, by its id, that both surveys have. */
typedef struct sf_heat_change {
    const char *ref;      /* the first survey's; lives as long as its job and observations */
    sf_estimate before_k; /* rise of the board at the source's centre, or as read */
    sf_estimate after_k;
    sf_estimate change_k; /* after minus before */
    sf_change change;
} sf_heat_change;

/* How often heat and meter agree. Only parts both measured and decided by heat count: a verdict
 * `check` asks for the meter, and a reading in doubt settles nothing. */
typedef struct sf_agreement {
    size_t counts[SF_VERDICT_COUNT][SF_METER_COUNT]; /* parts of the first survey by heat, meter */
    size_t pulled;                                   /* of the measured, how many were pulled */
    size_t decided, agree; /* parts of the two-by-two table, and those on its diagonal */
    double low, high;      /* 95 % Clopper-Pearson interval of agree / decided; NAN for none */
} sf_agreement;

/* What changed. All is owned. */
typedef struct sf_comparison {
    sf_grid grid;         /* of the first survey; inside where both are board; owned */
    double *change_k;     /* per cell, after minus before; NAN outside */
    double *change_sd_k;  /* per cell, as sf_surveys_compare says; NAN outside */
    double shared;        /* share of the readings' own variance that both have in common */
    double mean_change_k; /* over the board's area */
    double area_mm2;      /* of the board in both */
    double hotter_mm2, cooler_mm2; /* by more than the uncertainty */
    sf_part_change
        *parts; /* those of the first survey in its order, then those new in the second */
    size_t part_count;
    size_t changes[SF_CHANGE_COUNT]; /* parts by change */
    sf_heat_change *sources;         /* the largest change first, as the next */
    size_t source_count;
    sf_heat_change *readings;
    size_t reading_count;
    sf_agreement agreement;
} sf_comparison;

/* Compares two surveys of one board: before and after the work on it, or some years apart. The
 * rises over air are compared, so that another air does not count as a change.
 *
 * Of the variance of each error that readings have together, of meter, bead and surface, a share c,
 * shared_pct of the policy and the smaller of the two jobs', is the same in both surveys. It
 * cancels where both fields weigh their readings alike (sf_field_reading_share): sd^2 = sum of both
 * (sd_s^2 - c own_s) + c sum over errors (pull_after - pull_before)^2 Heat that no reading shows is
 * taken as independent, since it may have come in between.
 *
 * A part is pulled where the second survey no longer has it, gives it a later year than the first,
 * or own hours below what it had run by the first. Its meter reading is that of the first survey's
 * row, where readings of pulled parts are entered, judged by that survey's marking, tolerance,
 * controls and policy; where that row has none and the part was not pulled, that of the second
 * survey's. What the heat says of it is the verdict of the first survey with all readings of meter
 * and eye taken away, and as if the part were not critical.
 *
 * Reported in diagnostics: parts in one survey only, parts that moved more than 5 mm, another
 * outline (warnings), no cell in common. On SF_OK *comparison is new, freed with
 * sf_comparison_free; NULL on error. Errors: SF_ERROR_DATA (sizes of the boards differ by more than
 * 2 mm, or nothing is board in both; reported), those of sf_field_at and sf_parts_decide. */
SF_API sf_status sf_surveys_compare(const sf_survey *before, const sf_survey *after,
                                    sf_comparison **comparison, sf_diagnostics *diagnostics);
SF_API void sf_comparison_free(sf_comparison *comparison);

/* What became hotter, sources first, then readings, then parts: "Hotter than before: source R10
 * +9.1 K ..."; "" where nothing did. New text, freed with free(); NULL when memory is short. */
SF_API char *sf_comparison_alarm(const sf_comparison *comparison);

/* What changed in the heat, in sentences, and how far heat and meter agree, sensitivity and
 * specificity in plain words. New texts, freed with free(); NULL when memory is short. */
SF_API char *sf_comparison_sentence(const sf_comparison *comparison);
SF_API char *sf_agreement_sentence(const sf_agreement *agreement);

SF_END_C

#endif
