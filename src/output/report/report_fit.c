/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* A plot of the readings against what the others predict at their place. */
#include <math.h>

#include "core/digits.h"
#include "output/report/html.h"
#include "output/report/report.h"
#include "output/report/report_pieces.h"

/* The square of the plot inside its drawing, in units of the drawing. */
enum { LEFT = 48, TOP = 10, SIDE = 340, WIDTH = 400, HEIGHT = 400 };

/* Both axes run over the same kelvins. */
typedef struct axis {
    double least, most, step;
} axis;

static double along(const axis *scale, double value)
{
    return (value - scale->least) / (scale->most - scale->least) * SIDE;
}

/* 1, 2 or 5 times a power of ten, four to nine of them on an axis. */
static double round_step(double range)
{
    double power = pow(10, floor(log10(range / 4)));
    double share = range / 4 / power;
    return power * (share >= 5 ? 5 : share >= 2 ? 2 : 1);
}

static bool find_axis(const report *shown, axis *scale)
{
    scale->least = HUGE_VAL;
    scale->most = -HUGE_VAL;
    for (size_t i = 0; i < shown->outcome->observation_count; i++) {
        const sf_estimate *predicted = &shown->fits[i]->left_out_k;
        double read_k = shown->outcome->observations[i].rise_k;
        if (!isfinite(predicted->value + predicted->sd + read_k))
            continue;
        scale->least = fmin(scale->least, fmin(read_k, predicted->value) - predicted->sd);
        scale->most = fmax(scale->most, fmax(read_k, predicted->value) + predicted->sd);
    }
    if (!(scale->most > scale->least))
        return false;
    scale->step = round_step(scale->most - scale->least);
    scale->least = floor(scale->least / scale->step) * scale->step;
    scale->most = ceil(scale->most / scale->step) * scale->step;
    return true;
}

static void add_label(text *into, double x, double y, const char *anchor, double value,
                      int decimals)
{
    text_addf(into, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"%s\">", x, y, anchor);
    html_number(into, value, decimals);
    text_add(into, "</text>");
}

static void add_axes(const axis *scale, text *into)
{
    int decimals = scale->step < 1 ? 1 : 0;
    text_addf(into, "<path class=\"frame\" d=\"M%d %dv%dh%d\"></path>", LEFT, TOP, SIDE, SIDE);
    text_addf(into, "<path class=\"equal\" d=\"M%d %dL%d %d\"></path>", LEFT, TOP + SIDE,
              LEFT + SIDE, TOP);
    int ticks = (int)lround((scale->most - scale->least) / scale->step);
    for (int i = 0; i <= ticks; i++) {
        double value = scale->least + i * scale->step, at = along(scale, value);
        text_addf(into, "<path class=\"frame\" d=\"M%.1f %dv5M%d %.1fh-5\"></path>", LEFT + at,
                  TOP + SIDE, LEFT, TOP + SIDE - at);
        add_label(into, LEFT + at, TOP + SIDE + 18, "middle", value, decimals);
        add_label(into, LEFT - 9, TOP + SIDE - at + 4, "end", value, decimals);
    }
    text_addf(into, "<text x=\"%d\" y=\"%d\" text-anchor=\"end\">predicted, K over air</text>",
              LEFT + SIDE, HEIGHT - 14);
    text_addf(into, "<text x=\"%d\" y=\"%d\">read, K over air</text>\n", LEFT + 8, TOP + 8);
}

static void add_point(const axis *scale, const sf_observation *observation,
                      const sf_reading_fit *fit, text *into)
{
    double x = LEFT + along(scale, fit->left_out_k.value);
    double y = TOP + SIDE - along(scale, observation->rise_k);
    double bar = fit->left_out_k.sd / (scale->most - scale->least) * SIDE;
    bool outlier = sf_reading_misfits(fit);
    text_addf(into, FIT_POINT, outlier ? " class=\"outlier\"" : "", x - bar, y, 2 * bar, x, y);
    if (outlier)
        html_addf(into, "<text x=\"%.1f\" y=\"%.1f\">%s</text>", x + 6, y - 6, observation->id);
    text_add(into, "</g>\n");
}

void report_fit(const report *shown, text *into)
{
    const sf_outcome *outcome = shown->outcome;
    axis scale;
    if (!find_axis(shown, &scale))
        return;
    text_addf(into, FIT_OPEN, WIDTH, HEIGHT);
    add_axes(&scale, into);
    for (size_t i = 0; i < outcome->observation_count && i < REPORT_ROWS_MAX; i++)
        if (isfinite(shown->fits[i]->left_out_k.value))
            add_point(&scale, &outcome->observations[i], shown->fits[i], into);
    text_add(into, FIT_CLOSE);
}
