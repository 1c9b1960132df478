/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Life of an electrolytic capacitor at a temperature, the share of it that is used, and the
 * verdict: replace, check or leave. */
#ifndef SPOTFIELD_LIFE_H
#define SPOTFIELD_LIFE_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/field.h"
#include "spotfield/job.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* A share of life used is cut off here: beyond it says only that the part is past its rated life.
 */
#define SF_USED_MAX 1e6

/* Life in hours at temp_c by the 10-kelvin rule, before ripple and voltage:
 * L0 * 2^((T0 - max(T, floor_c)) / 10). endurance_h above 0; NAN in, NAN out. */
SF_API double sf_life_hours(double endurance_h, double rated_c, double temp_c, double floor_c);

/* By how many kelvins colder a type lives twice as long: 10 for wet, bipolar and hybrid
 * aluminium, 6.02 for solid polymer, whose life grows tenfold in 20 K. NAN for
 * tantalum and film, whose makers state no law of wear by heat alone. */
SF_API double sf_life_doubling_k(sf_part_type type);

/* Why a type has no such law, in a clause; "" where it has one. Static. */
SF_API const char *sf_life_no_law_text(sf_part_type type);

/* sf_life_hours with another doubling_k, of sf_life_doubling_k. */
SF_API double sf_life_hours_by(double doubling_k, double endurance_h, double rated_c, double temp_c,
                               double floor_c);

/* K_ripple = Ki^((1 - r^2) dT0 / 10), r = actual over rated ripple current (not negative), dT0 5 K
 * for parts rated 105 C and more and 10 K below, Ki 2, or 4 where r > 1 in a 105 C part.
 * A. Albertsen, Electrolytic Capacitor Lifetime Estimation, 2010. */
SF_API double sf_life_ripple_factor(double ripple_ratio, double rated_c);

/* K_voltage = (working / rated)^-exponent with the ratio held in 0.6..1; 1 for exponent 0. */
SF_API double sf_life_voltage_factor(double voltage_ratio, double exponent);

/* Share of parts worn out after `used` lives: Weibull, F = 1 - exp(-(used/eta)^shape), eta set so
 * that F(1) = at_rated. */
SF_API double sf_wear_share(double used, double shape, double at_rated);

/* The ESR above which a part is in doubt, ohm, at the frequency its ESR was measured at: its
 * esr_limit_ohm; else, of a part whose tan_delta is given or that is wet aluminium of known
 * voltage, age_factor * tan delta / (2 pi 120 Hz C), lower at a higher frequency as the ripple that
 * makers allow there is higher. NAN where it cannot be calculated. */
SF_API double sf_esr_limit_ohm(const sf_part *part, double age_factor);

/* The same of leakage, uA: leakage_limit_ua; else of a wet aluminium part 0.01 C V, at least 3 uA,
 * up to 100 V, and 0.03 C V + 15 or 0.02 C V + 25 above, C in uF. NAN where it cannot be
 * calculated. */
SF_API double sf_leakage_limit_ua(const sf_part *part);

typedef enum sf_verdict { SF_LEAVE, SF_CHECK, SF_REPLACE, SF_VERDICT_COUNT } sf_verdict;

/* The word of the files: "leave", "check", "replace". */
SF_API const char *sf_verdict_text(sf_verdict verdict);

/* Which of the ordered rules decided, for the record. */
typedef enum sf_rule {
    SF_RULE_EVIDENCE = 1, /* worn by meter or eye */
    SF_RULE_CRITICAL,     /* critical, and old or possibly past its rated life */
    SF_RULE_PAST_LIFE,    /* probably past its rated life */
    SF_RULE_DOUBT,        /* may be past its rated life, mostly because the temperature is unsure */
    SF_RULE_MEASURE,      /* may be past, or short of the goal, or reads high, or old seal */
    SF_RULE_UNREAD,       /* no reading lies on its piece of the board */
    SF_RULE_DOUBTED,      /* its result depends on a reading, a source or hours in doubt */
    SF_RULE_LEAVE
} sf_rule;

/* Why a part does not stay, in the order in which causes are reported. */
typedef enum sf_cause {
    SF_CAUSE_NONE,     /* it stays */
    SF_CAUSE_AGE,      /* hours, grade and seals: it would go even at the temperature of the air */
    SF_CAUSE_HEAT,     /* its temperature, or the uncertainty of that */
    SF_CAUSE_CRITICAL, /* old, or perhaps past its rated life, and critical */
    SF_CAUSE_METER,    /* what was measured or seen of it */
    SF_CAUSE_COUNT
} sf_cause;

/* What the meter found of parts that share an assumed endurance. */
typedef struct sf_grade_found {
    double endurance_h; /* assumed by policy */
    bool high_grade;    /* rated 105 C or more */
    size_t good, worn;  /* measured: capacitance and ESR good, or worn by meter or eye */
    double factor;      /* of the endurance over the assumed one: the median by prior and meter */
    double factor_low, factor_high; /* its 90 % interval */
    double sd;                      /* of ln factor */
} sf_grade_found;

/* Whether the temperature given for a part can be relied on; { 0 }: it can. Where it cannot, its
 * verdict is never `leave`. */
typedef struct sf_trust {
    bool unread;      /* no reading of the fit lies on its piece of the board */
    bool source;      /* what is in doubt near it is a listed source, not a reading */
    char doubted[32]; /* reading or source near it that is in doubt, cut to fit; "" none */
} sf_trust;

/* Everything the decision on one part rests on, in the order of the job's parts. Where the hours
 * it has run are unknown, so are used to left_years: all NAN, and the verdict is `check` unless
 * evidence or a critical part's age says `replace`. */
typedef struct sf_part_result {
    double temp_c;    /* of its can in service: rise + service ambient + cover rise */
    double temp_sd_k; /* standard deviation of the can's rise */
    double board_c;   /* of the board under it, in service; NAN where no field was asked */
    double board_sd_k;
    double endurance_h; /* used for the life; assumed where the part has no marking */
    bool endurance_assumed;
    double endurance_sd;   /* log-normal uncertainty of an assumed one; 0 where marked */
    double ripple_factor;  /* K_ripple; 1 where not known, or where its can was read itself */
    double voltage_factor; /* K_voltage; 1 for cans under 20 mm or 160 V */
    double life_h;         /* at temp_c, capped at policy life_cap_h; NAN where no law
                              gives it */
    double hours;          /* it has run, of which the share `duty` wears it; NAN unknown */
    double age_years;      /* NAN unknown */
    double used;           /* share of rated life consumed, at the estimates: the median; at
                              most SF_USED_MAX, as the next two */
    double used_in_air;    /* the same, had it been no warmer than the air in service: above 1 hours
                              and grade alone have used its rated life up, and no map can help */
    double used_low, used_high; /* its 5 and 95 % quantiles: 90 % interval */
    double past_life;           /* probability that used is above 1 */
    double worn_out;            /* probability that the part itself has drifted out */
    double left_h;      /* hours the board may run on before used is 1, as today; 0 to life_cap_h */
    double left_years;  /* the same at hours_per_year; NAN unknown */
    double reading_pct; /* measured capacitance against marking, corrected by controls; NAN */
    bool worn_by_evidence;
    bool meter_good;        /* capacitance and ESR are both measured and both good */
    bool doubt_mostly_heat; /* temperature makes up most of the uncertainty of used */
    double clear_below_c;   /* under SF_RULE_DOUBT, a precise reading of its can at the bench below
                               this brings past_life under past_life_check; NAN where none would */
    double settles; /* chance that a reading of its can by the method below shows whether it may
                       stay or has to go, by the default uncertainty of that method; 0 where the can
                       was read or heat changes nothing; NAN where the verdict is no `check`, or one
                       that depends on a reading that is missing or in doubt */
    sf_method settles_by; /* infrared in and close to no-touch areas, else as most readings */
    sf_trust trust;       /* as given */
    sf_rule rule;
    sf_verdict verdict;
    sf_cause cause;
    char *reason; /* one line in words with the numbers; owned by the array */
} sf_part_result;

/* From this chance on a temperature is worth reading before capacitance and ESR are measured. A
 * judgement: a reading costs less than a part taken out. */
#define SF_SETTLES_LEAST 0.2

/* Whether a part to be checked needs the meter, since no temperature is likely to settle it. */
SF_API bool sf_part_wants_meter(const sf_part_result *result);

/* Decides every part of a job. rises_k: the field's estimate at each part, job->part_count of
 * them, kelvin over air. On SF_OK *results is a new array of job->part_count that the caller frees
 * with sf_part_results_free; NULL on error. Errors: SF_ERROR_ARGUMENT (an estimate is not finite
 * or its sd negative), SF_ERROR_MEMORY. */
SF_API sf_status sf_parts_decide(const sf_job *job, const sf_estimate *rises_k,
                                 sf_part_result **results);

/* The same where the temperature of some parts cannot be relied on: trusts has job->part_count of
 * them, of sf_parts_trust; NULL: all can be. */
SF_API sf_status sf_parts_decide_trusting(const sf_job *job, const sf_estimate *rises_k,
                                          const sf_trust *trusts, sf_part_result **results);

/* Whether the temperature of each part can be relied on. A part is unread where no reading with
 * weight in the fit and no pixel lies on its piece of the board. It depends on what is in doubt
 * where that lies within 15 mm or one spreading length, whichever is more: a reading that is held
 * to be wrong, that does not fit (score beyond 3) or that alone points to unlisted heat sources,
 * or a listed source that the readings contradict, or whose watts they contradict; the nearest is
 * named. observations, pixels: those of the fit; pixels may be NULL. On SF_OK *trusts is a new
 * array of job->part_count, freed with free(); NULL on error. SF_ERROR_MEMORY. */
SF_API sf_status sf_parts_trust(const sf_job *job, const sf_field *field,
                                const sf_observation *observations, const sf_pixels *pixels,
                                sf_trust **trusts);

/* Which pieces of the board of a field hold a reading with weight in the fit, or a pixel: *read is
 * a new array of sf_field_piece_count, freed with free(). SF_ERROR_MEMORY. */
SF_API sf_status sf_pieces_read(const sf_field *field, const sf_observation *observations,
                                const sf_pixels *pixels, bool **read);

/* Whether a reading is so cold that it is held to be wrong and has no weight in the field. */
SF_API bool sf_reading_weightless(const sf_reading_fit *fit);

/* Whether a reading is in doubt, by what sf_parts_trust says of it. */
SF_API bool sf_reading_doubted(const sf_reading_fit *fit);

/* Whether a listed source is in doubt: the readings contradict it or its watts. */
SF_API bool sf_source_doubted(const sf_source_fit *source);

/* Why a part was judged as it was: every number from its rise to its verdict with where it comes
 * from, and each of the ordered rules with why it did or did not decide, as lines of text. Numbers
 * have six figures, so that each follows from those above it by the formula beside it. index: of
 * the part in the job; rise_k and result: given to and answered by sf_parts_decide for it. On SF_OK
 * *explained is a new string freed with free(); on error NULL. SF_ERROR_ARGUMENT (no such part),
 * SF_ERROR_MEMORY. */
SF_API sf_status sf_part_explain(const sf_job *job, size_t index, sf_estimate rise_k,
                                 const sf_part_result *result, char **explained);

/* Holds each assumed endurance, of parts rated below 105 C in found[0] and others in found[1],
 * against the parts that were measured: Bayes's rule with the policy's endurance_sd as prior and
 * wear_shape and wear_at_rated as the chance that a part is worn at the share it has used. Only wet
 * aluminium parts, bipolar ones included, of known hours count. With none, factor is 1 and sd the
 * prior's. results: of sf_parts_decide. */
SF_API void sf_grades_measured(const sf_job *job, const sf_part_result *results,
                               sf_grade_found found[2]);

/* Frees an array of count results and their reasons; NULL is fine. */
SF_API void sf_part_results_free(sf_part_result *results, size_t count);

/* What if: a change from the survey on. All as it is: { .grade_c = NAN }. */
typedef struct sf_what_if {
    double air_k;                   /* air in service warmer by so much; negative: colder */
    const sf_estimate *rise_shares; /* per part, share of its rise over air that stays, above 0 to
                                       1, log-normal with its sd; NULL: all of it */
    double grade_c; /* parts to replace today are replaced by new ones of this upper category
                       temperature, never below the old, of the old endurance or, where it is
                       longer, the one assumed for that grade; NAN: no part is replaced */
    double hours;   /* run on from the survey until the parts are judged; not negative */
} sf_what_if;

/* What would become of the parts. */
typedef struct sf_prospect {
    size_t verdicts[SF_VERDICT_COUNT]; /* after the hours, the service goal less by them */
    double worn_out;   /* parts to expect worn out by then; NAN where some hours are unknown */
    double next_h;     /* from the survey until the first part that is not replaced today has used
                          its rated life; NAN where there is none; capped as left_h */
    double next_years; /* the same at hours_per_year; NAN unknown */
    size_t next_part;  /* that part; (size_t)-1 for none */
} sf_prospect;

/* Decides again from the same field under a what-if. What a part has used until the survey stays as
 * it is: only hours to come run at the changed temperature, and years pass with them where
 * hours_per_year is known. The uncertainty of a rise share enters chances and verdicts: chances
 * are averaged over it, next_h is that of the share itself.
 * rises_k: as given to sf_parts_decide; results: what it answered. Pure: it reads no clock and
 * keeps nothing. Errors: SF_ERROR_ARGUMENT (a number out of range), those of sf_parts_decide. */
SF_API sf_status sf_parts_prospect(const sf_job *job, const sf_estimate *rises_k,
                                   const sf_part_result *results, const sf_what_if *asked,
                                   sf_prospect *prospect);

/* The same for each part by itself, after the hours: *later is a new array of job->part_count that
 * the caller frees with sf_part_results_free, NULL on error. A reason is NULL where the rise share
 * of its part is in doubt. Errors as above. */
SF_API sf_status sf_parts_later(const sf_job *job, const sf_estimate *rises_k,
                                const sf_part_result *results, const sf_what_if *asked,
                                sf_part_result **later);

typedef enum sf_zone_kind {
    SF_ZONE_COOL,
    SF_ZONE_WARM,
    SF_ZONE_HOT,
    SF_ZONE_KIND_COUNT
} sf_zone_kind;

/* The word of the files: "cool", "warm", "hot"; "" outside. */
SF_API const char *sf_zone_kind_text(sf_zone_kind kind);

/* A connected region of the board by its own heat: the hottest of its area, the coolest, and what
 * lies between. One that holds half of the parts or more is split by the listed source nearest to
 * each place. */
typedef struct sf_zone {
    sf_zone_kind kind;
    size_t warmed_by; /* the source by which it was split off; SF_NO_ZONE where it was not */
    char *name;       /* "hot around H3", "warm around H3, H5 and 4 more", "cool upper left"; no two
                   alike; owned by the list */
    double area_mm2;
    double peak_c; /* hottest cell, in service */
    double peak_x_mm, peak_y_mm;
    size_t parts;                      /* parts inside */
    size_t verdicts[SF_VERDICT_COUNT]; /* how many of them leave, check, replace */
    char *sentence; /* "replace the 7 here; the other 4 stay"; owned by the list */
} sf_zone;

/* Zones of a board. cell_zone and part_zone hold an index into zones, or SF_NO_ZONE. */
typedef struct sf_zones {
    double endurance_h, rated_c; /* the commonest grade, for which the bounds hold */
    double hot_from_c;           /* from here such a part has used all its life in the run hours */
    double warm_from_c;          /* from here policy zone_warm_used of it; either is -INFINITY where
                                    that is so at any temperature, INFINITY where at none, NAN where
                                    the hours are not known */
    double hot_zone_c, warm_zone_c; /* temperatures from which a place is hot, and warm; NAN where
                                       the board is of one heat */
    sf_zone *zones;                 /* hot first, then warm, then cool; larger peak first */
    size_t count;
    size_t *cell_zone; /* per grid cell */
    size_t *part_zone; /* per part */
    size_t cell_count, part_count;
} sf_zones;

#define SF_NO_ZONE ((size_t)-1)

/* Divides the board. grid and temps_c (in service, NAN outside) are per cell; source and part
 * names serve the zones' names. On SF_OK *zones is new, freed with sf_zones_free.
 * Errors: SF_ERROR_MEMORY. */
SF_API sf_status sf_zones_find(const sf_job *job, const sf_part_result *results,
                               const sf_grid *grid, const double *temps_c, sf_zones **zones);
SF_API void sf_zones_free(sf_zones *zones);

/* Where some parts of a job sit, in words: "around H3", "around H3 and H5", "most of them around
 * H3 and in the upper left"; "" where no three places hold more than half of them. A part counts
 * as around the heat source nearest to it, at most 30 mm away, else in a third of the board. parts:
 * count indices into job->parts. New text, freed with free(); NULL when memory is short. */
SF_API char *sf_parts_place(const sf_job *job, const size_t *parts, size_t count);

/* One line of the order: parts alike in type, capacitance, voltage, mount, pitch,
 * diameter and class of ESR. */
typedef struct sf_kit_line {
    sf_part_type type;
    sf_form mount;
    bool low_esr;           /* the old parts are low-ESR parts */
    double lead_pitch_mm;   /* NAN unknown */
    double ripple_a_min;    /* rated ripple current to ask for; NAN unknown */
    double esr_ohm_max;     /* of the old parts' limits the least; NAN unknown */
    double capacitance_uf;  /* preferred value; NAN unknown */
    double rated_v;         /* preferred voltage, never below the old; NAN unknown */
    double rated_c;         /* grade to buy, never below the old */
    double endurance_h;     /* to ask for at rated_c: reaches the goal with the margin, never below
                               the old marking; NAN where the type has none */
    double diameter_mm_max; /* never wider than the old */
    double height_mm_max;   /* NAN unknown */
    size_t count;           /* to replace */
    size_t spares;
    char *refs;        /* "C3 C17 C40"; owned by the list */
    char *description; /* all of it in the words of a basket; owned by the list */
    char *note;        /* what to look at; "" where nothing */
} sf_kit_line;

typedef struct sf_kit {
    sf_kit_line *lines;
    size_t count;
    size_t replaced, checked, left; /* parts by verdict; their sum is the job's parts */
} sf_kit;

/* Groups the parts to replace. On SF_OK *kit is new, freed with sf_kit_free. SF_ERROR_MEMORY. */
SF_API sf_status sf_kit_make(const sf_job *job, const sf_part_result *results, sf_kit **kit);
SF_API void sf_kit_free(sf_kit *kit);

SF_END_C

#endif
