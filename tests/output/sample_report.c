/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Writes the results of the invented board into a folder, to be looked at: sample_report FOLDER */
#include <gd.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "output/sample.h"

/* A stand-in for the picture: cells in grey to orange, a circle at each part. */
static void draw(const sf_outcome *outcome, const double *values, double least, double most,
                 unsigned char **png, size_t *size)
{
    const sf_picture_frame *frame = &sample_pictures.frame;
    sf_grid grid = sf_field_grid(outcome->field);
    gdImagePtr image = gdImageCreateTrueColor(frame->width_px, frame->height_px);
    gdImageFill(image, 0, 0, gdTrueColor(255, 255, 255));
    double step = grid.cell_mm * frame->px_per_mm;
    for (size_t i = 0; i < grid.columns * grid.rows; i++) {
        if (!grid.inside[i])
            continue;
        int x = (int)(frame->left_px + (double)(i % grid.columns) * step);
        int y = (int)(frame->bottom_px - (double)(i / grid.columns) * step);
        int level = (int)(180 * (values[i] - least) / (most - least));
        gdImageFilledRectangle(image, x, y - (int)step, x + (int)step, y,
                               gdTrueColor(60 + level, 40 + level * 3 / 4, 90 + level / 4));
    }
    for (size_t i = 0; i < outcome->job->part_count; i++) {
        const sf_part *part = &outcome->job->parts[i];
        int x = (int)(frame->left_px + part->x_mm * frame->px_per_mm);
        int y = (int)(frame->bottom_px - part->y_mm * frame->px_per_mm);
        int across = (int)(part->diameter_mm * frame->px_per_mm);
        gdImageFilledEllipse(image, x, y, across, across, gdTrueColor(240, 240, 240));
        gdImageEllipse(image, x, y, across, across, gdTrueColor(0, 0, 0));
    }
    int bytes = 0;
    void *made = gdImagePngPtr(image, &bytes);
    *png = malloc((size_t)bytes);
    memcpy(*png, made, (size_t)bytes);
    *size = (size_t)bytes;
    gdFree(made);
    gdImageDestroy(image);
}

int main(int count, char **words)
{
    if (count != 2)
        return 64;
    sf_outcome *outcome = sample_outcome(90, 24);
    sf_diagnostics diagnostics = {0};
    sf_pictures pictures = {.frame = sample_pictures.frame};
    draw(outcome, outcome->temps_c, 38, 90, &pictures.heat_png, &pictures.heat_png_size);
    draw(outcome, sf_field_rise_sd_k(outcome->field), 0.5, 2.5, &pictures.doubt_png,
         &pictures.doubt_png_size);
    sf_status status = sf_outcome_write(outcome, &pictures, words[1], &diagnostics);
    free(pictures.heat_png);
    free(pictures.doubt_png);
    for (size_t i = 0; i < diagnostics.count; i++) {
        char *line = sf_diagnostic_text(&diagnostics.items[i]);
        fprintf(stderr, "%s\n", line ? line : "");
        free(line);
    }
    char *sentence = sf_outcome_sentence(outcome);
    printf("%s\n", sentence);
    free(sentence);
    sf_diagnostics_clear(&diagnostics);
    sample_free(outcome);
    return status == SF_OK ? 0 : 73;
}
