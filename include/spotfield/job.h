/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The job: a board, what heats it, what was read on it and the parts that sit on it, as plain
 * values in one set of units: millimetres, degrees Celsius, kelvins (differences), watts, hours.
 * A number that is not known is NAN, a text that is not known is "". */
#ifndef SPOTFIELD_JOB_H
#define SPOTFIELD_JOB_H

#include <stdbool.h>
#include <stddef.h>

#include "spotfield/api.h"
#include "spotfield/diagnostic.h"
#include "spotfield/geometry.h"
#include "spotfield/status.h"

SF_BEGIN_C

/* Limits above which a job is refused with a message that names the limit. */
#define SF_FILE_BYTES_MAX (64u * 1024u * 1024u)
#define SF_ROWS_MAX 1000000u
#define SF_COLUMNS_MAX 64u
#define SF_FIELD_BYTES_MAX 4096u
#define SF_BOARD_MM_MIN 1.0 /* below it no cell of the field fits */
#define SF_BOARD_MM_MAX 2000.0
#define SF_SOURCES_MAX 1000u
#define SF_RING_CORNERS_MAX 2000u /* of one ring */
#define SF_CORNERS_MAX 20000u     /* of one file of rings */
#define SF_THERMOGRAM_COLUMNS_MAX 2000u
#define SF_THERMOGRAM_PIXELS_MAX 4000000u

/* Ranges of what several files and the correction of readings ask about. */
#define SF_AIR_C_MIN (-40.0) /* air around a board while it is read */
#define SF_AIR_C_MAX 100.0
#define SF_SEEN_C_MIN (-60.0) /* what an instrument shows or a surface reflects: the clear sky */
#define SF_SEEN_C_MAX 400.0
#define SF_EMISSIVITY_MIN 0.01   /* polished silver and gold have 0.02 */
#define SF_READING_SD_K_MIN 1e-3 /* no thermometer on a board is better */
#define SF_READING_SD_K_MAX 50.0
#define SF_JUNCTION_C_MIN (-20.0)
#define SF_JUNCTION_C_MAX 60.0
#define SF_MINUTE_MAX 100000.0

typedef enum sf_laminate {
    SF_LAMINATE_FR1,
    SF_LAMINATE_FR2,
    SF_LAMINATE_CEM1,
    SF_LAMINATE_CEM3,
    SF_LAMINATE_FR4,
    SF_LAMINATE_COUNT
} sf_laminate;

/* How the air around the board moved while it was read. */
typedef enum sf_air { SF_AIR_STILL, SF_AIR_ENCLOSED, SF_AIR_FORCED, SF_AIR_COUNT } sf_air;

typedef enum sf_unit {
    SF_UNIT_CELSIUS,
    SF_UNIT_FAHRENHEIT,
    SF_UNIT_KELVIN,
    SF_UNIT_MILLIVOLT,
    SF_UNIT_COUNT
} sf_unit;

/* How a thermogram was taken, from the camera_ keys of board.csv. */
typedef struct sf_camera {
    sf_unit unit;      /* that thermogram.csv is written in: C, F or K; default C */
    double emissivity; /* of the board, 0 to 1; NAN: the camera has corrected its picture already */
    double reflected_c; /* what the board reflects; NAN: ambient */
    double sd_k;        /* one standard uncertainty of its calibration, K; NAN: by default */
} sf_camera;

/* The board itself, from board.csv. */
typedef struct sf_board {
    char *name;
    double width_mm;             /* SF_BOARD_MM_MIN to SF_BOARD_MM_MAX */
    double height_mm;            /* SF_BOARD_MM_MIN to SF_BOARD_MM_MAX */
    sf_laminate laminate;        /* default FR-4 */
    double thickness_mm;         /* default 1.6 */
    int copper_layers;           /* default 1 for FR-1, FR-2 and CEM-1, else 2 */
    double copper_thickness_um;  /* default 35 */
    double copper_cover;         /* mean share of a layer that is copper, 0 to 1; default 0.4 */
    sf_air air;                  /* default still */
    double ambient_c;            /* air at the bench while reading */
    double service_ambient_c;    /* air inside the cabinet in service; default ambient_c */
    double service_ambient_sd_k; /* one standard uncertainty of it, in service and in the past
                                    alike; default 2 */
    double run_hours;            /* hours run since made; NAN unknown */
    double run_hours_sd; /* one standard uncertainty of run_hours, h; NAN: by run_hours_sd_pct */
    double run_hours_sd_pct; /* the same in % of the hours, those of history and parts too;
                                default 10 */
    int made_year;           /* 0 unknown */
    char *surveyed;          /* date as written, YYYY-MM-DD or YYYY; "" unknown */
    double survey_year;      /* the same as a decimal year, YYYY as its start; NAN unknown */
    double hours_per_year;   /* at least 1; NAN unknown */
    double service_goal_h;   /* hours the board is to run on; NAN unknown */
    sf_camera camera;
    char *machine;    /* that the board belongs to; "" or NULL unknown */
    char *owner;      /* of the machine; "" or NULL unknown */
    char *technician; /* who looks after it; "" or NULL unknown */
} sf_board;

/* How the body of a heat source is mounted on the board, which decides how much of its heat enters
 * it.
 */
typedef enum sf_mount {
    SF_MOUNT_UNKNOWN,
    SF_MOUNT_FLAT,      /* lies on the board, or soldered flat on it */
    SF_MOUNT_STANDING,  /* on leads, free of the board */
    SF_MOUNT_HEAT_SINK, /* on a heat sink that gives most of it to the air */
    SF_MOUNT_WOUND,     /* a transformer or choke */
    SF_MOUNT_COUNT
} sf_mount;

/* A side of the board. Places are as seen from the component side on both. The map knows one sheet:
 * both faces count alike, and what decides is what can be reached. */
typedef enum sf_side {
    SF_SIDE_EITHER, /* not given: for a part, a source and a can that is read, the component side */
    SF_SIDE_COMPONENT,
    SF_SIDE_SOLDER,
    SF_SIDE_COUNT
} sf_side;

/* A known heat source: a rectangle that gives off heat evenly. It may hang over the edge of the
 * board, its centre even, but comes within 2 mm of it. */
typedef struct sf_source {
    char *ref;
    double x_mm, y_mm;          /* centre */
    double width_mm, height_mm; /* above 0 */
    double angle_deg;           /* turned anticlockwise; default 0 */
    sf_mount mount;             /* default unknown */
    double power_w;             /* that the body gives off, to board and air; NAN unknown */
    double power_sd_w;          /* one standard uncertainty; default 20 % of power_w, NAN with it */
    double emissivity;          /* of its body, for a thermogram; NAN: it is not read */
    sf_side side;               /* that its body is on; both heat the board alike */
    size_t line;                /* in sources.csv */
} sf_source;

typedef enum sf_method {
    SF_METHOD_THERMOCOUPLE_K,
    SF_METHOD_THERMOCOUPLE_J,
    SF_METHOD_THERMOCOUPLE_T,
    SF_METHOD_INFRARED,
    SF_METHOD_COUNT
} sf_method;

/* "either side", "component side", "solder side"; "" outside. */
SF_API const char *sf_side_text(sf_side side);

/* What a reading was taken on. */
typedef enum sf_spot {
    SF_SPOT_BOARD,  /* laminate or solder mask; the default */
    SF_SPOT_PART,   /* the can of a part */
    SF_SPOT_SOURCE, /* the body of a heat source, hotter than the board below it */
    SF_SPOT_COUNT
} sf_spot;

/* One row of readings.csv as it was taken, before any correction. Temperatures that were written
 * in F or K are already in degrees Celsius; `value` is in `unit` only where that is millivolt.
 * The place is on the board, at most 2 mm off it, or on a source that hangs over the edge. */
typedef struct sf_reading {
    char *id; /* rows that share an id and differ in minute are one warm-up series */
    double x_mm, y_mm;
    double value; /* degrees Celsius; millivolt where unit says so */
    sf_unit unit; /* SF_UNIT_CELSIUS or SF_UNIT_MILLIVOLT after reading */
    sf_method method;
    sf_spot spot;
    sf_side side;
    char *part;  /* whose can was read, where spot is SF_SPOT_PART; "" or NULL: by its place */
    double sd_k; /* one standard uncertainty, u_k; NAN: the method's default */
    double emissivity;  /* 0 to 1; NAN: the instrument already shows the corrected value */
    double reflected_c; /* NAN: ambient */
    double ambient_c;   /* NAN: the board's */
    double junction_c;  /* reference junction of a millivolt reading; NAN otherwise */
    double minute;      /* since switch-on; NAN: read at steady state */
    char *note;
    size_t line; /* in readings.csv */
} sf_reading;

typedef enum sf_condition {
    SF_CONDITION_UNKNOWN,
    SF_CONDITION_SOUND,
    SF_CONDITION_BULGED,
    SF_CONDITION_LEAKING,
    SF_CONDITION_CRUSTED,  /* dried electrolyte at the foot or on the vent */
    SF_CONDITION_CORRODED, /* at the foot: leads, pads or copper */
    SF_CONDITION_SMELLS,   /* of fish, when warm or under the iron: electrolyte is out somewhere */
    SF_CONDITION_COUNT
} sf_condition;

/* What kind of capacitor it is, which decides the law by which heat wears it, if there is one. */
typedef enum sf_part_type {
    SF_TYPE_ALUMINIUM, /* wet aluminium electrolytic; the default */
    SF_TYPE_BIPOLAR,   /* the same without polarity */
    SF_TYPE_POLYMER,   /* aluminium with a solid polymer */
    SF_TYPE_HYBRID,    /* polymer and liquid electrolyte */
    SF_TYPE_TANTALUM,  /* solid tantalum */
    SF_TYPE_FILM,      /* plastic film or paper */
    SF_TYPE_COUNT
} sf_part_type;

/* How a part is mounted. */
typedef enum sf_form {
    SF_FORM_UNKNOWN,
    SF_FORM_RADIAL,
    SF_FORM_AXIAL,
    SF_FORM_SNAP_IN,
    SF_FORM_COUNT
} sf_form;

/* One capacitor, a row of parts.csv. */
typedef struct sf_part {
    char *ref;
    sf_part_type type; /* default aluminium */
    double x_mm, y_mm;
    sf_side side;              /* that it is on */
    double diameter_mm;        /* default 8 */
    double height_mm;          /* NAN unknown */
    sf_form mount;             /* default unknown */
    double lead_pitch_mm;      /* between the leads; NAN unknown */
    double capacitance_uf;     /* NAN unknown */
    double tolerance_low_pct;  /* below the marking, not negative: 20 means -20 %; default 20 */
    double tolerance_high_pct; /* above the marking; default 20 */
    double rated_v;            /* NAN unknown */
    double rated_c;            /* upper category temperature; default 85 */
    double endurance_h;        /* NAN: not marked, the lowest common for its grade is assumed */
    bool
        endurance_with_ripple; /* it is stated with the rated ripple flowing; no: not, or unknown */
    double ripple_a;           /* NAN unknown */
    double rated_ripple_a;     /* NAN unknown */
    double working_v;          /* NAN unknown */
    double duty;               /* share of the run hours it is stressed, 0 to 1; default 1 */
    bool critical;             /* its failure takes something irreplaceable with it; default no */
    int year;                  /* made or fitted; 0: the board's year */
    double hours;              /* its own hours, when changed since; NAN: the board's */
    double measured_uf;        /* NAN not measured */
    double measured_esr_ohm;   /* NAN not measured */
    double esr_hz;             /* at which the ESR was measured; default 100 000, pocket meters */
    double esr_limit_ohm;    /* of the part at that frequency; NAN: calculated, sf_esr_limit_ohm */
    double tan_delta;        /* largest of a new part at 120 Hz; NAN: by its voltage */
    bool low_esr;            /* a low-ESR part, which only another may replace; default no */
    double leakage_ua;       /* measured at its rated voltage after some minutes; NAN not */
    double leakage_limit_ua; /* NAN: calculated, sf_leakage_limit_ua */
    sf_condition condition;
    double emissivity; /* of its can, for a thermogram; NAN: it is not read */
    char *note;
    size_t line; /* in parts.csv */
} sf_part;

/* A stretch of the board's life, a row of history.csv. */
typedef struct sf_period {
    double hours;             /* not negative */
    double service_ambient_c; /* default the board's */
    double load;              /* scales the rise, 1 as read; not negative; default 1 */
    char *note;
} sf_period;

/* A new part read on the same meter, a row of controls.csv. */
typedef struct sf_control {
    double value_uf;    /* marked */
    double measured_uf; /* read */
    char *note;
} sf_control;

/* A place seen both on the thermogram and on the board, a row of marks.csv. Where the picture is
 * turned by a quarter against the marks, they may lie off it: sf_thermogram_correct refuses it. */
typedef struct sf_mark {
    double column, row; /* of the thermogram, 0 the first, fractions between; row 0 the top one */
    double x_mm, y_mm;  /* on the board */
    size_t line;        /* in marks.csv */
} sf_mark;

/* A picture of the running board in temperatures, from thermogram.csv, and what ties it to the
 * board, from marks.csv. columns is 0 where there is none. */
typedef struct sf_thermogram {
    size_t columns, rows;
    float *shown_c; /* rows x columns, the first row first; degrees Celsius; NAN a blank cell */
    sf_mark *marks;
    size_t mark_count; /* at least 4 where there is a thermogram */
} sf_thermogram;

/* Every threshold of the corrections and the verdict; policy.csv may change each. Keys in the
 * file are the member names. sf_policy_default gives the values in brackets. */
typedef struct sf_policy {
    double cover_rise_k;       /* air is warmer by so much with the covers on [0] */
    double case_offset_sd_k;   /* of a case, beside its share of the board's rise, standard
                                  uncertainty [0.5] */
    double position_sd_mm;     /* how far off the ruler is, each axis, standard uncertainty [1] */
    double shared_pct;         /* of the variance of errors that readings have together, share
                                  that is the same in two surveys, % [50] */
    double bead_bias_pct;      /* a thermocouple bead reads the rise too low by so much, % [5] */
    double bead_bias_sd_pct;   /* standard uncertainty of the same, % of the rise [2] */
    double past_life_check;    /* probability from which a part is checked [0.05] */
    double past_life_replace;  /* probability from which a part is replaced [0.5] */
    double past_life_critical; /* the same for a critical part [0.05] */
    double seal_years;         /* age from which seals are past guidance [15] */
    double used_middling;      /* share used from which an old seal asks for a check [0.5] */
    double life_cap_h;         /* longest life reported [131400] */
    double life_floor_c;       /* no credit below this temperature [40] */
    double endurance_85_h;     /* assumed for an unmarked 85 C part [1000] */
    double endurance_105_h;    /* assumed for an unmarked part of 105 C or more [2000] */
    double endurance_sd;       /* log-normal uncertainty of an assumed endurance [0.45] */
    double wear_shape;         /* Weibull shape of the spread between parts [3] */
    double wear_at_rated;      /* share of parts worn out at used = 1 [0.10] */
    double voltage_exponent;   /* K_voltage = (working/rated)^-n; 0 gives no credit [0] */
    double esr_doubt_factor;   /* ESR to this many times its limit is flagged, above worn [2] */
    double esr_age_factor;     /* a calculated ESR limit allows a used part so many times the ESR of
                                  the worst new one [1.3] */
    double leakage_doubt_factor; /* leakage to this many times its limit is flagged, above worn
                                    [5] */
    double endurance_by_meter;   /* 1: an assumed endurance is corrected by what the meter found of
                                    its grade; 0: that is only reported [0] */
    double kit_margin;           /* safety factor on endurance: ordered over needed [1.25] */
    double kit_spare_pct;        /* spares added to each line of the kit, %, rounded up [10] */
    double zone_warm_used;       /* share of life used at the second life bound of the map [0.25] */
    double zone_hot_pct;         /* of the board's area, the hottest, are its `hot` zones [15] */
    double zone_cool_pct;        /* of the board's area, the coolest, are its `cool` zones [50] */
    double work_minutes;         /* to replace one part [12] */
    double slip_pct;             /* replacements that harm the board or go in wrong, % [1] */
} sf_policy;

/* A whole job folder. Every array is owned by the job; line numbers are 0 when it was built from
 * arrays. rings[0] is always the edge: the rectangle of the board when there is no outline.csv. */
typedef struct sf_job {
    char *folder; /* as given; "" when built from arrays */
    sf_board board;
    sf_ring *rings;
    size_t ring_count;
    sf_source *sources;
    size_t source_count;
    sf_reading *readings;
    size_t reading_count;
    sf_part *parts;
    size_t part_count;
    sf_period *periods;
    size_t period_count;
    sf_control *controls;
    size_t control_count;
    sf_ring *keepouts;
    size_t keepout_count;
    bool keepout_told; /* where the no-touch areas are; with no ring: that there are none */
    sf_ring *masks;    /* what in the thermogram is not bare board, from mask.csv */
    size_t mask_count;
    sf_thermogram thermogram;
    sf_policy policy;
    char **assumptions; /* one sentence for each default taken for a blank cell or absent key */
    size_t assumption_count;
} sf_job;

/* Reads a job folder: board.csv, readings.csv and parts.csv must be there; outline.csv,
 * sources.csv, history.csv, keepout.csv, mask.csv, controls.csv and policy.csv may be, and
 * thermogram.csv with marks.csv: readings.csv may then be missing, or hold no reading. A missing
 * keepout.csv is asked about, and any other *.csv gets a warning, since it is not read. Where
 * machine.csv is in the folder above, it and the history.csv beside it say what the job does not
 * say itself. Faults of all files go to `diagnostics`, which the caller starts as { 0 } and clears.
 * On SF_OK *job is a new job that the caller frees with sf_job_free; warnings may still have been
 * added. On any error *job is NULL. Errors: SF_ERROR_MISSING (folder or a needed file),
 * SF_ERROR_DATA (at least one diagnostic is an error), SF_ERROR_MEMORY. */
SF_API sf_status sf_job_read(const char *folder, sf_job **job, sf_diagnostics *diagnostics);

/* The same for a job that is to be planned: readings.csv may be missing, or hold no reading. */
SF_API sf_status sf_job_read_to_plan(const char *folder, sf_job **job, sf_diagnostics *diagnostics);

/* Lays down a commented, runnable starter job in `folder`, which is made when it is not there.
 * No existing file is touched: SF_ERROR_WRITE when one of the names is taken or cannot be
 * written, and what was wrong is added to `diagnostics`. */
SF_API sf_status sf_job_start(const char *folder, sf_diagnostics *diagnostics);

/* Frees a job and all it owns; NULL is fine. */
SF_API void sf_job_free(sf_job *job);

#define SF_NO_PART ((size_t)-1)

/* Index in job->parts of the part on whose can a reading was taken: the part that it names, else
 * the one whose can it lies on, the nearest where cans crowd. It lies on a can that reaches to
 * within twice policy position_sd_mm of it. SF_NO_PART on another spot, and on no part's can. */
SF_API size_t sf_reading_part(const sf_job *job, const sf_reading *reading);

/* Places of the parts, in their order: new array, freed with free(); NULL when memory is short.
 */
SF_API sf_point *sf_part_places(const sf_job *job);

/* The air around the board in service, its covers on, degrees Celsius. */
SF_API double sf_service_air_c(const sf_job *job);

/* The policy that holds where policy.csv says nothing. */
SF_API sf_policy sf_policy_default(void);

/* One row a policy key: its name (a member of sf_policy), unit, allowed range and meaning.
 * Ends with a row whose key is NULL. */
typedef struct sf_policy_key {
    const char *key;
    const char *unit;    /* "" for a bare number */
    size_t offset;       /* of the double inside sf_policy */
    double least, most;  /* allowed range, both ends included */
    double usual;        /* the default */
    const char *meaning; /* one clause for report and manual */
    const char *source;  /* where the default comes from */
} sf_policy_key;

/* Every policy key, in the order of the members of sf_policy; the table is static. */
SF_API const sf_policy_key *sf_policy_keys(void);

/* The words of the files for each choice, such as "FR-4" or "thermocouple-K"; "" outside. */
SF_API const char *sf_laminate_text(sf_laminate laminate);
SF_API const char *sf_air_text(sf_air air);
SF_API const char *sf_mount_text(sf_mount mount);
SF_API const char *sf_method_text(sf_method method);
SF_API const char *sf_spot_text(sf_spot spot);
SF_API const char *sf_condition_text(sf_condition condition);
SF_API const char *sf_part_type_text(sf_part_type type);
SF_API const char *sf_form_text(sf_form form);

SF_END_C

#endif
