/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Putting a plan into words and into JSON. */
#include "cli/told.h"

#include <string.h>

#include "cli/message.h"
#include "core/json_values.h"
#include "output/set_words.h"
#include "output/tables.h"

enum { SCHEMA = 2, NAMED_MOST = 12 };

static void put_cautions(const sf_job *job, FILE *to)
{
    fputs("Before you read a running board:\n", to);
    if (!job->keepout_told)
        fprintf(to, "  - %s\n", keepout_question);
    for (const char *const *caution = probing_cautions; *caution; caution++)
        fprintf(to, "  - %s\n", *caution);
    putc('\n', to);
}

static void put_basis(const sf_plan *plan, FILE *to)
{
    if (plan->count == 0)
        fputs("No further reading would change a verdict", to);
    else
        fprintf(to, "Where to read next, the most useful place first");
    if (plan->readings > 0)
        fprintf(to, ", after %zu reading%s.\n", plan->readings, plan->readings == 1 ? "" : "s");
    else
        fputs(
            ", with no readings yet: expected from the construction and the listed heat sources.\n",
            to);
}

/* A gain of 1 is a part left in place that ought to go. plan.csv has the number; where one word
 * ends and the next begins is our choice. */
static const char *gain_text(double gain)
{
    return gain >= 0.1 ? "high" : gain >= 0.02 ? "medium" : "low";
}

static void put_point(const sf_plan_point *point, size_t rank, FILE *to)
{
    bool on_can = point->spot == SF_SPOT_PART;
    fprintf(to, "%3zu  (%.1f, %.1f) mm, %s, %s", rank, point->x_mm, point->y_mm,
            sf_side_text(point->side), sf_method_text(point->method));
    if (point->on[0])
        say(to, "%s%s", on_can ? ", on the can of " : ", at ", point->on);
    say(to, ", %s gain\n     %s\n", gain_text(point->gain), point->reason);
}

/* What no temperature is likely to settle, and whose can the plan does not ask for either; before
 * any reading all is open. */
static bool is_metered(const sf_plan *plan, const sf_job *job, size_t part)
{
    bool asked = false;
    for (size_t i = 0; i < plan->count; i++)
        asked = asked || (plan->points[i].spot == SF_SPOT_PART &&
                          strcmp(plan->points[i].on, job->parts[part].ref) == 0);
    return plan->readings > 0 && !asked && sf_part_wants_meter(&plan->results[part]);
}

static void put_metered(const sf_plan *plan, const sf_job *job, FILE *to)
{
    size_t count = 0, named = 0;
    for (size_t i = 0; i < plan->part_count; i++)
        count += is_metered(plan, job, i);
    if (count == 0)
        return;
    fputs("Measure capacitance and ESR of ", to);
    for (size_t i = 0; i < plan->part_count && named < NAMED_MOST; i++)
        if (is_metered(plan, job, i))
            say(to, "%s%s", named++ > 0 ? ", " : "", job->parts[i].ref);
    if (count > named)
        fprintf(to, " and %zu more", count - named);
    fputs(" rather than another temperature:\na reading of the can is unlikely to settle the "
          "verdict.\n",
          to);
}

static void put_rest(const sf_plan *plan, const sf_job *job, FILE *to)
{
    putc('\n', to);
    put_metered(plan, job, to);
    if (plan->settled && plan->count > 0)
        fputs("Beyond these no further reading would change a verdict.\n", to);
    fprintf(to,
            "Expected cost of wrong verdicts: %.2f now, %.2f once all are read; 1 is one part\n"
            "left in place that is past its rated life.\n",
            plan->loss, plan->loss_after);
}

void plan_text_write(const sf_plan *plan, const sf_job *job, const char *results_folder, FILE *to)
{
    put_cautions(job, to);
    put_basis(plan, to);
    for (size_t i = 0; i < plan->count; i++)
        put_point(&plan->points[i], i + 1, to);
    put_rest(plan, job, to);
    put_path(to, "Table:   ", results_folder, "plan.csv");
    put_path(to, "Picture: ", results_folder, "plan.png");
    put_path(to, "To print: ", results_folder, "worksheet.html");
    putc('\n', to);
    put_caution(to);
}

static json_t *metered_json(const sf_plan *plan, const sf_job *job)
{
    json_t *all = json_array();
    for (size_t i = 0; all && i < plan->part_count; i++)
        if (is_metered(plan, job, i))
            all = list_append(all, value_words(job->parts[i].ref));
    return all;
}

static json_t *cautions_json(const sf_job *job)
{
    json_t *all = json_array();
    if (!job->keepout_told)
        all = list_append(all, value_words(keepout_question));
    for (const char *const *caution = probing_cautions; all && *caution; caution++)
        all = list_append(all, value_words(*caution));
    return all;
}

bool plan_json_write(const sf_plan *plan, const sf_job *job, const char *results_folder,
                     const sf_diagnostics *diagnostics, FILE *to)
{
    json_t *files = json_pack("{s:o, s:o, s:o}", "plan.csv", value_path(results_folder, "plan.csv"),
                              "plan.png", value_path(results_folder, "plan.png"), "worksheet.html",
                              value_path(results_folder, "worksheet.html"));
    json_t *made =
        json_pack("{s:i, s:o, s:o, s:o, s:o, s:o, s:b, s:o, s:o, s:o, s:o}", "schema", SCHEMA,
                  "job", value_words(job->folder), "cautions", cautions_json(job), "readings",
                  value_count(plan->readings), "loss", value_number(plan->loss), "loss_after",
                  value_number(plan->loss_after), "settled", plan->settled, "points",
                  records_json(plan_record, plan, plan->count), "measure", metered_json(plan, job),
                  "warnings", list_diagnostics(diagnostics), "files", files);
    return json_write(made, to);
}
