/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The files of a comparison: table, picture of the change, page. */
#include <stdlib.h>

#include "core/digits.h"
#include "core/memory.h"
#include "core/text.h"
#include "output/comparison.h"
#include "output/result_set.h"
#include "survey/facts.h"

/* --- compare.csv, each part of either survey --- */

const sf_part *pair_part(const compared *of, const sf_part_change *pair)
{
    return pair->before != SF_NO_PART ? &of->before->job->parts[pair->before]
                                      : &of->after->job->parts[pair->after];
}

void change_record(const void *of, size_t row, record *into)
{
    const compared *shown = of;
    const sf_part_change *pair = ROW_OF(sf_part_change, shown->found->parts, row);
    const sf_part *part = row == NO_ROW ? &(const sf_part){0} : pair_part(shown, pair);
    record_words(into, "ref", part->ref);
    if (into->form != RECORD_MEMBERS) {
        record_number(into, "x_mm", part->x_mm, 2);
        record_number(into, "y_mm", part->y_mm, 2);
    }
    record_number(into, "rise_before_k", pair->rise_before_k.value, 2);
    record_number(into, "rise_before_sd_k", pair->rise_before_k.sd, 3);
    record_number(into, "rise_after_k", pair->rise_after_k.value, 2);
    record_number(into, "rise_after_sd_k", pair->rise_after_k.sd, 3);
    record_number(into, "change_k", pair->change_k.value, 2);
    record_number(into, "change_sd_k", pair->change_k.sd, 3);
    record_words(into, "change", sf_change_text(pair->change));
    record_number(into, "temp_before_c", pair->temp_before_c, 2);
    record_number(into, "temp_after_c", pair->temp_after_c, 2);
    record_yes_no(into, "pulled", pair->pulled);
    record_words(into, "heat", pair->heat_known ? sf_verdict_text(pair->heat) : "");
    record_words(into, "meter", sf_meter_finding_text(pair->meter));
    record_number(into, "reading_pct", pair->reading_pct, 1);
}

enum { TITLE_LINES = 3 };

static void add_survey(text *into, const char *which, const sf_outcome *of)
{
    const sf_board *board = &of->job->board;
    sf_field_summary fit = sf_field_summarize(of->field);
    text_addf(into, "%s%s%s: air %s \u00B0C, %zu readings, left-out error %s K", which,
              board->surveyed[0] ? " " : "", board->surveyed, fixed_told(board->ambient_c, 1).bytes,
              fit.readings, fixed_told(fit.left_out_rmse_k, 2).bytes);
}

/* per part of the second survey, in a new array; NULL when memory is short */
static sf_change *changes_of(const compared *shown)
{
    const sf_comparison *found = shown->found;
    sf_change *changes = array_new(shown->after->job->part_count, sizeof *changes);
    for (size_t i = 0; changes && i < found->part_count; i++)
        if (found->parts[i].after != SF_NO_PART)
            changes[found->parts[i].after] = found->parts[i].change;
    return changes;
}

static sf_status draw_change(compared *shown, const sf_picture_options *options)
{
    const sf_comparison *found = shown->found;
    const sf_job *job = shown->after->job;
    text titles[TITLE_LINES] = {{0}};
    const char *lines[TITLE_LINES];
    text_add(&titles[0], board_name(job));
    add_survey(&titles[1], "Before", shown->before);
    add_survey(&titles[2], "After", shown->after);
    sf_change *changes = changes_of(shown);
    sf_status status = changes ? SF_OK : SF_ERROR_MEMORY;
    for (size_t i = 0; i < TITLE_LINES; i++) {
        lines[i] = titles[i].bytes;
        status = titles[i].failed ? SF_ERROR_MEMORY : status;
    }
    sf_scene scene = {.job = job,
                      .grid = found->grid,
                      .values = found->change_k,
                      .change_sds = found->change_sd_k,
                      .quantity = "Change of the rise",
                      .unit = "K",
                      .observations = shown->after->observations,
                      .observation_count = shown->after->observation_count,
                      .changes = changes,
                      .title_lines = lines,
                      .title_line_count = TITLE_LINES};
    scene.sources = sf_field_sources(shown->after->field, &scene.source_count);
    if (status == SF_OK)
        status = sf_scene_draw(&scene, options, &shown->png, &shown->png_size, &shown->frame);
    for (size_t i = 0; i < TITLE_LINES; i++)
        text_clear(&titles[i]);
    free(changes);
    return status;
}

static sf_status write_all(const compared *shown, const char *folder, sf_diagnostics *diagnostics)
{
    enum { TABLE, PICTURE, PAGE, FILES };
    text contents[FILES] = {{0}};
    file_block blocks[FILES] = {{.name = "compare.csv"},
                                {"difference.png", shown->png, shown->png_size},
                                {.name = "compare.html"}};
    records_csv(change_record, shown, shown->found->part_count, &contents[TABLE]);
    compare_html(shown, &contents[PAGE]);
    return result_texts_write(folder, blocks, contents, FILES, diagnostics);
}

sf_status sf_comparison_write(const sf_comparison *comparison, const sf_outcome *before,
                              const sf_outcome *after, const sf_picture_options *picture,
                              const char *folder, sf_diagnostics *diagnostics)
{
    compared shown = {.found = comparison, .before = before, .after = after};
    sf_status status = draw_change(&shown, picture);
    if (status == SF_OK)
        status = write_all(&shown, folder, diagnostics);
    else
        sf_diagnose(diagnostics, SF_ERROR, "difference.png", 0, "", sf_status_text(status), "");
    free(shown.png);
    return status;
}
