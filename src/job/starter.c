/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Lays down the starter job: all of its files or none, and never over a file that is there. */
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "core/atomic.h"
#include "core/folders.h"
#include "core/platform.h"
#include "core/text.h"
#include "spotfield/job.h"

/* An invented board, a small radio station's supply of 100 x 80 mm, that explains its own columns.
 * The readings follow from a heat balance of it (spreading length 14 mm, 2.6 W) with 0.4 K of
 * noise. */
static const char board_text[] =
    "# The board. One key a row; a blank value means not known. This example is invented.\n"
    "# unit may be mm, cm, m, in or mil for lengths; C, F or K for temperatures; h or d for "
    "times.\n"
    "key,value,unit\n"
    "name,power supply of a studio desk (invented example),\n"
    "width,100,mm\n"
    "height,80,mm\n"
    "# grade: FR-1, FR-2, CEM-1, CEM-3 or FR-4\n"
    "grade,FR-2,\n"
    "thickness,1.6,mm\n"
    "copper_layers,1,\n"
    "copper_thickness,35,um\n"
    "# copper_cover: mean share of a layer that is copper\n"
    "copper_cover,45,%\n"
    "# air around the board while it was read: still, enclosed or forced\n"
    "air,still,\n"
    "# ambient: air at the bench while reading; service_ambient: air inside the cabinet in "
    "service\n"
    "ambient,24,C\n"
    "service_ambient,32,C\n"
    "run_hours,61000,h\n"
    "# run_hours_u: one standard uncertainty of run_hours; blank: 10 %\n"
    "run_hours_u,10,%\n"
    "made,1998,\n"
    "# surveyed: YYYY-MM-DD or YYYY; ages are counted to this day\n"
    "surveyed,2025-11-03,\n"
    "hours_per_year,6000,h\n"
    "# service_goal: hours the board is to run on\n"
    "service_goal,20000,h\n"
    "# service_ambient_u: one standard uncertainty of service_ambient; blank: 2 K\n"
    "service_ambient_u,2,K\n";

static const char outline_text[] =
    "# Corners of the board in order, from its lower left corner, seen from the component side:\n"
    "# x to the right, y up. Ring 0 is the edge, every other ring a cut-out or slot.\n"
    "ring,x_mm,y_mm\n"
    "0,0,0\n"
    "0,100,0\n"
    "0,100,80\n"
    "0,0,80\n"
    "# a slot that separates the mains side from the rest\n"
    "1,2,50\n"
    "1,8,50\n"
    "1,8,52\n"
    "1,2,52\n";

static const char sources_text[] =
    "# Known heat sources, each a rectangle: centre, size, angle turned anticlockwise.\n"
    "# mount: flat on the board, standing on leads, heat-sink, wound (transformer, choke) or "
    "unknown.\n"
    "# power_w: heat that its body gives off, if known; power_u_w: its standard uncertainty.\n"
    "ref,x_mm,y_mm,width_mm,height_mm,angle_deg,mount,power_w,power_u_w\n"
    "rectifier,18,60,16,16,0,standing,,\n"
    "regulator,50,62,24,10,0,flat,1.9,0.3\n"
    "bleeder,82,24,14,8,0,standing,1,0.1\n";

static const char readings_text[] =
    "# CAUTION: mains and high voltage can kill, even when switched off: capacitors hold their "
    "charge.\n"
    "# Isolating transformer, one hand, insulated and rated probes; inside a no-touch area "
    "infrared\n"
    "# only. Discharge and prove it dead before touching. Local codes and licensed practice come "
    "first.\n"
    "# unit: C, F, K or mV (mV needs junction_c). method: thermocouple-K, thermocouple-J,\n"
    "# thermocouple-T or infrared. spot: board, source (its body), or part (a can; column part: "
    "whose).\n"
    "# u_k: one standard uncertainty in kelvin. emissivity: only where the thermometer is set to "
    "1.\n"
    "# ambient_c: air at this reading, if other than the board's.\n"
    "# Rows that share an id and differ in minute since switch-on are one warm-up series.\n"
    "id,x_mm,y_mm,value,unit,method,spot,u_k,emissivity,reflected_c,ambient_c,junction_c,minute,"
    "note\n"
    "r1,31,64,60.3,C,thermocouple-K,board,,,,,,,between rectifier and regulator\n"
    "r2,50,52,61.0,C,thermocouple-K,board,,,,,,,below the regulator\n"
    "r3,66,60,51.1,C,thermocouple-K,board,,,,,,,\n"
    "r4,82,33,40.9,C,thermocouple-K,board,,,,,,,\n"
    "r5,60,20,32.0,C,thermocouple-K,board,,,,,,,\n"
    "r6,20,20,27.6,C,thermocouple-K,board,,,,,,,\n"
    "r7,90,70,30.3,C,thermocouple-K,board,,,,,,,\n"
    "r8,8,72,47.2,C,infrared,board,2,,,,,,mains side: not touched\n";

static const char parts_text[] =
    "# The electrolytic capacitors. A blank cell means not known.\n"
    "# tolerance_pct: 20, or a pair such as -10/+50, or a letter such as M.\n"
    "# rated_c and endurance_h: as marked, such as 105 C and 2000 h. ripple_a, rated_ripple_a: "
    "rms.\n"
    "# duty: share of the run hours it is stressed, 0 to 1. critical: yes where its failure takes\n"
    "# something irreplaceable with it. year, hours: its own, where it was changed since.\n"
    "# measured_uf, measured_esr_ohm: read on a meter, off the board, discharged.\n"
    "# condition: sound, bulged or leaking.\n"
    "ref,x_mm,y_mm,diameter_mm,height_mm,capacitance_uf,tolerance_pct,rated_v,rated_c,endurance_h,"
    "ripple_a,rated_ripple_a,working_v,duty,critical,year,hours,measured_uf,measured_esr_ohm,"
    "esr_limit_ohm,condition,note\n"
    "C1,30,72,16,25,2200,-10/+50,35,85,2000,,,24,1,yes,1998,,,,,sound,reservoir\n"
    "C2,38,50,12.5,20,470,20,35,85,2000,,,24,1,no,1998,,,,,sound,\n"
    "C3,64,72,8,12,100,20,25,105,2000,,,15,1,no,1998,,,,,sound,\n"
    "C4,74,60,8,12,100,20,25,105,2000,,,15,1,no,1998,,,,,sound,\n"
    "C5,30,34,6.3,11,47,20,25,85,1000,,,15,1,no,1998,,52.1,,,sound,pulled and read\n"
    "C6,52,30,6.3,11,47,20,25,85,1000,,,15,1,no,1998,,,,,sound,\n"
    "C7,70,34,5,11,10,M,50,85,1000,,,15,1,no,1998,,,,,sound,\n"
    "C8,88,44,10,16,220,20,63,105,3000,,,48,1,no,2011,22000,,,,sound,changed in 2011\n"
    "C9,14,14,5,11,4.7,20,50,85,1000,,,12,1,no,1998,,,,,sound,\n"
    "C10,62,12,8,12,220,20,16,85,1000,,,5,1,no,1998,,,,,sound,\n";

static const char keepout_text[] =
    "# No-touch areas, corners in order: high voltage, mains. The reason once a ring is enough.\n"
    "# Where the board has none, leave the line of column names alone: that says so.\n"
    "ring,x_mm,y_mm,reason\n"
    "1,0,54,mains\n"
    "1,10,54,\n"
    "1,10,80,\n"
    "1,0,80,\n";

static const char controls_text[] =
    "# New parts read on the same meter as the old ones: marked value and reading.\n"
    "value_uf,measured_uf,note\n"
    "47,50.3,new\n"
    "47,49.8,new\n"
    "220,231,new\n";

static const char history_text[] =
    "# Optional: stretches of the board's life at another air temperature or load. As long as no\n"
    "# row is here, the run hours of board.csv count at its service_ambient. A row could be\n"
    "# 40000,36,1,in the old rack without a fan\n"
    "# load scales the rise over air: 1 as read, 0.5 half of it.\n"
    "hours,service_ambient,load,note\n";

enum { FILES = 9, POLICY = FILES - 1 };

/* policy.csv is made from the table of its keys. */
static const char *const files[FILES][2] = {
    {"board.csv", board_text},       {"outline.csv", outline_text}, {"sources.csv", sources_text},
    {"readings.csv", readings_text}, {"parts.csv", parts_text},     {"keepout.csv", keepout_text},
    {"controls.csv", controls_text}, {"history.csv", history_text}, {"policy.csv", ""},
};

/* Every key at its default, as a comment: a default that is not touched may improve later. */
static char *make_policy(void)
{
    text made = {0};
    text_add(&made, "# Every threshold with its default. To change one, remove the # before its "
                    "name.\nkey,value,unit\n");
    for (const sf_policy_key *key = sf_policy_keys(); key->key; key++)
        text_addf(&made, "# %s (%.10g to %.10g)\n#%s,%.10g,%s\n", key->meaning, key->least,
                  key->most, key->key, key->usual, key->unit);
    return text_take(&made);
}

static bool is_free(const void *context, const file_block *block, const char *path)
{
    struct stat about;
    (void)context, (void)block;
    return !name_look(path, &about);
}

/* SF_ERROR_WRITE, told, where something has the name. */
static sf_status check_name(const char *folder, const char *name, sf_diagnostics *diagnostics)
{
    char *path = path_join(folder, name);
    sf_status status = !path ? SF_ERROR_MEMORY : is_free(NULL, NULL, path) ? SF_OK : SF_ERROR_WRITE;
    if (status == SF_ERROR_WRITE)
        sf_diagnose(diagnostics, SF_ERROR, path, 0, "",
                    "the file is already there and is left alone", "a folder without it");
    free(path);
    return status;
}

sf_status sf_job_start(const char *folder, sf_diagnostics *diagnostics)
{
    const atomic_guard guard = {.still = is_free};
    file_block blocks[FILES];
    char *policy = make_policy();
    sf_status status = policy ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; policy && i < FILES; i++) {
        const char *content = i == POLICY ? policy : files[i][1];
        blocks[i] = (file_block){files[i][0], content, strlen(content)};
        sf_status named = check_name(folder, files[i][0], diagnostics);
        status = status == SF_OK ? named : status;
    }
    if (status == SF_OK)
        status = atomic_replace(folder, blocks, FILES, &guard, diagnostics);
    free(policy);
    return status == SF_ERROR_DATA ? SF_ERROR_WRITE : status;
}
