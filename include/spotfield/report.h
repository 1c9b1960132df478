/* The whole of a mapping, and the files that tell it. */
#ifndef SPOTFIELD_REPORT_H
#define SPOTFIELD_REPORT_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/compare.h"
#include "spotfield/complaint.h"
#include "spotfield/draw.h"
#include "spotfield/field.h"
#include "spotfield/job.h"
#include "spotfield/life.h"
#include "spotfield/plan.h"
#include "spotfield/reading.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* What-if questions about the hours to come. What is not asked is NAN or false. */
typedef struct sf_wishes {
    double air_k;   /* air in service warmer by so much; negative: colder */
    bool fan;       /* a fan blows over the board */
    double grade_c; /* parts to replace are fitted new, of this grade */
    double hours;   /* hours to come until the parts are judged; not asked: the service goal where
                       one is known, else none */
} sf_wishes;

/* Start from sf_map_options_default. */
typedef struct sf_map_options {
    sf_field_options field; /* position_sd_mm is taken from the job's policy instead */
    sf_picture_options picture;
    sf_wishes wishes;
    bool no_pictures;  /* heat_png and doubt_png stay NULL; default false */
    bool no_yardstick; /* their rmse_k stays NAN; default false */
    void (*on_step)(const char *doing, void *context); /* called as each step begins with what it
                                                          does, a static text; NULL: not called */
    void *on_step_context;
} sf_map_options;

/* Defaults of field and picture, no wish, pictures drawn, no step told. */
SF_API sf_map_options sf_map_options_default(void);

/* One answer, as a row of a table: what is asked, and what would come of it. */
typedef struct sf_what_if_row {
    char *asked; /* "as it is, today", "air 5 K colder, after 20,000 h" */
    sf_prospect prospect;
} sf_what_if_row;

/* A model that did not make the map, to hold the map against. */
typedef struct sf_yardstick {
    const char *model; /* its name; static */
    double rmse_k;     /* its left-out error; NAN where it could not fit */
} sf_yardstick;

/* Everything that was found out about a job. All but `job` is owned. */
typedef struct sf_outcome {
    const sf_job *job;
    sf_observation *observations;
    size_t observation_count;
    sf_pixels *pixels; /* of the job's thermogram; NULL where it has none */
    sf_field *field;
    sf_yardstick *yardsticks; /* every other model of sf_field_models */
    size_t yardstick_count;
    char *whole_file;        /* what all readings seem to share, as a slip of the pen or of the
                                instrument, in a sentence; NULL where nothing does */
    char *one_slip;          /* the slip of the pen in one reading or two that explains the
                                readings far better, in a sentence; NULL where none does */
    double *temps_c;         /* per grid cell, in service; NAN outside */
    sf_part_result *results; /* per part */
    sf_zones *zones;
    sf_kit *kit;
    sf_what_if_row *what_ifs; /* today first, each wish, all of them together; none asked: none */
    size_t what_if_count;
    unsigned char *heat_png; /* NULL where no pictures were asked for */
    size_t heat_png_size;
    unsigned char *doubt_png;
    size_t doubt_png_size;
    sf_picture_frame frame; /* of both pictures */
} sf_outcome;

/* Runs the whole line: readings, field, verdicts, zones, kit, pictures. On SF_OK *outcome is new
 * and freed with sf_outcome_free; it keeps `job`, which must outlive it. On error NULL, with the
 * errors of each step. */
SF_API sf_status sf_map_job(const sf_job *job, const sf_map_options *options, sf_outcome **outcome,
                            sf_complaints *complaints);
SF_API void sf_outcome_free(sf_outcome *outcome);

/* One file of the results. Ends with a row whose name is NULL. */
typedef struct sf_output {
    const char *name;        /* such as "parts.csv" */
    const char *description; /* one clause for --help and manual */
} sf_output;

/* Every file that sf_outcome_write writes, in the order of writing; the table is static. */
SF_API const sf_output *sf_outputs(void);

/* Writes every file of sf_outputs into `folder`, made when it is not there: all of them or none;
 * earlier files survive a failure. The reason of a failure is added to complaints.
 * Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY. */
SF_API sf_status sf_outcome_write(const sf_outcome *outcome, const char *folder,
                                  sf_complaints *complaints);

/* Writes plan.csv, its points as rank,x_mm,y_mm,spot,side,method,gain,on,reason, plan.png, the heat
 * map of today or, before any reading, the one to expect, with a numbered ring at each point, and
 * worksheet.html, the same to print and fill in, into `folder`, made when it is not there: all or
 * none; earlier files survive a failure. The reason of
 * a failure is added to complaints. observations: those the plan was made with.
 * Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY, those of sf_scene_draw. */
SF_API sf_status sf_plan_write(const sf_plan *plan, const sf_job *job,
                               const sf_observation *observations, size_t observation_count,
                               const sf_picture_options *picture, const char *folder,
                               sf_complaints *complaints);

/* Writes compare.csv (one row a part of either survey), difference.png (the change of the rise in
 * the frame of heat.png, hatched where it lies within its doubt) and compare.html (all of it on one
 * page) into `folder`, made when it is not there: all three or none; earlier files survive a
 * failure. The reason of a failure is added to complaints. comparison: of the fields of the two
 * outcomes, which sf_map_job made, pictures left out or not.
 * Errors: SF_ERROR_WRITE, SF_ERROR_MEMORY, those of sf_scene_draw. */
SF_API sf_status sf_comparison_write(const sf_comparison *comparison, const sf_outcome *before,
                                     const sf_outcome *after, const sf_picture_options *picture,
                                     const char *folder, sf_complaints *complaints);

/* One part's whole chain of reasoning: its reference, the readings nearest to it and how the field
 * meets them, then the lines of sf_part_explain. index: of the part in the job. On SF_OK *explained
 * is a new string freed with free(); on error NULL. Errors: SF_ERROR_ARGUMENT (no such part),
 * SF_ERROR_MEMORY, those of sf_field_at. */
SF_API sf_status sf_outcome_explain(const sf_outcome *outcome, size_t index, char **explained);

/* Something to look at before the verdicts are acted on. */
typedef struct sf_finding {
    const char *section; /* of the report, that tells more: "readings", "sources", "parts", "map",
                            "cautions"; static */
    char *words;         /* one line: what, and what to do where that is not plain */
    const char *ref;     /* reading (its id), part or listed source to begin with; valid as long as
                            the outcome; NULL where no one is meant */
    double x_mm, y_mm;   /* where to look on the board; NAN nowhere */
} sf_finding;

/* All that is to be looked at first, the gravest first; report, terminal and JSON tell the same. On
 * SF_OK *findings is a new array of *count, which may be 0, freed with sf_findings_free; on error
 * NULL. SF_ERROR_MEMORY. */
SF_API sf_status sf_outcome_findings(const sf_outcome *outcome, sf_finding **findings,
                                     size_t *count);
SF_API void sf_findings_free(sf_finding *findings, size_t count);

/* The error to expect of the temperature of a part: root mean square of temp_sd_k over all parts;
 * NAN where there is none. */
SF_API double sf_outcome_part_error_k(const sf_outcome *outcome);

/* Why the parts that are left are not replaced as well, for the owner: how many of them to expect
 * failed, what replacing them would cost in parts, work and risk, and what to look at again when.
 * New string, freed with free(); "" where none is left; NULL when memory is short. */
SF_API char *sf_outcome_why_not_all(const sf_outcome *outcome);

/* The verdict in a few sentences: "Replace 12 of 90 capacitors, check 9, leave 69.", then how many
 * go for what cause, and how much of their life those left have used. New string, freed with
 * free(); NULL when memory is short. */
SF_API char *sf_outcome_sentence(const sf_outcome *outcome);

SF_END_C

#endif
