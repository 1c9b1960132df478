/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How well labels find room on invented boards: names of parts left out, leader lines, and what
 * those cross. One line for each number of parts and each width, summed over boards. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "invented.h"
#include "output/draw/map_plan.h"

enum { BOARDS = 8, FIRST_SEED = 11, STEPS = 200 };

typedef struct census {
    size_t wanted[PART_MARK_COUNT], named[PART_MARK_COUNT];
    size_t readings, readings_left_out, others_left_out;
    size_t led, on_symbol, on_leader;
    double lead_ems, ms;
} census;

static double now_ms(void)
{
    struct timespec at;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return 1e3 * (double)at.tv_sec + 1e-6 * (double)at.tv_nsec;
}

static place along(const label *led, double share)
{
    return (place){led->at.lead_from.x_px + share * (led->at.lead_to.x_px - led->at.lead_from.x_px),
                   led->at.lead_from.y_px +
                       share * (led->at.lead_to.y_px - led->at.lead_from.y_px)};
}

/* whether a leader runs over the symbol of a part that does not hold its own anchor */
static bool crosses_symbol(const map *in, const label *led)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        place centre = map_place(in, job->parts[i].x_mm, job->parts[i].y_mm);
        double radius_px = map_part_radius(in, &job->parts[i]);
        if (hypot(led->anchor.x_px - centre.x_px, led->anchor.y_px - centre.y_px) < radius_px)
            continue;
        for (int step = 0; step <= STEPS; step++) {
            place at = along(led, (double)step / STEPS);
            if (hypot(at.x_px - centre.x_px, at.y_px - centre.y_px) < radius_px - 0.5)
                return true;
        }
    }
    return false;
}

static double side_of(place from, place to, place at)
{
    return (to.x_px - from.x_px) * (at.y_px - from.y_px) -
           (to.y_px - from.y_px) * (at.x_px - from.x_px);
}

static bool leaders_cross(const label *one, const label *other)
{
    return side_of(one->at.lead_from, one->at.lead_to, other->at.lead_from) *
                   side_of(one->at.lead_from, one->at.lead_to, other->at.lead_to) <
               0 &&
           side_of(other->at.lead_from, other->at.lead_to, one->at.lead_from) *
                   side_of(other->at.lead_from, other->at.lead_to, one->at.lead_to) <
               0;
}

static void count_leaders(const map *in, census *to)
{
    for (size_t i = 0; i < in->label_count; i++) {
        const label *one = &in->labels[i];
        if (!one->placed || !one->at.led)
            continue;
        to->led++;
        to->lead_ems += hypot(one->at.lead_to.x_px - one->at.lead_from.x_px,
                              one->at.lead_to.y_px - one->at.lead_from.y_px) /
                        in->page.em_px;
        to->on_symbol += crosses_symbol(in, one);
        for (size_t k = i + 1; k < in->label_count; k++)
            to->on_leader +=
                in->labels[k].placed && in->labels[k].at.led && leaders_cross(one, &in->labels[k]);
    }
}

static const label *label_of(const map *in, const char *words)
{
    for (size_t i = 0; i < in->label_count; i++)
        if (strcmp(in->labels[i].words, words) == 0)
            return &in->labels[i];
    return NULL;
}

static void count_labels(const map *in, census *to)
{
    const sf_job *job = in->scene->job;
    for (size_t i = 0; i < job->part_count; i++) {
        const label *written = label_of(in, job->parts[i].ref);
        to->wanted[map_part_mark(in->scene, i)]++;
        to->named[map_part_mark(in->scene, i)] += written && written->placed;
    }
    for (size_t i = 0; i < in->label_count; i++) {
        const label *one = &in->labels[i];
        bool number = one->words[0] >= '0' && one->words[0] <= '9';
        to->readings += number;
        to->readings_left_out += number && !one->placed;
        to->others_left_out += !number && one->words[0] != 'C' && !one->placed;
    }
}

static void take(size_t parts, int width_px, unsigned seed, census *to)
{
    invention wanted = invention_usual();
    wanted.parts = parts;
    wanted.seed = seed;
    invented board;
    invented_make(&wanted, &board);
    sf_picture_options options = sf_picture_options_default();
    options.width_px = width_px;
    map planned;
    double start_ms = now_ms();
    if (map_plan(&board.scene, &options, &planned) != SF_OK)
        exit(EXIT_FAILURE);
    to->ms += now_ms() - start_ms;
    count_labels(&planned, to);
    count_leaders(&planned, to);
    map_close(&planned);
    invented_free(&board);
}

int main(void)
{
    static const size_t parts[] = {20, 90, 200, 400};
    static const int widths_px[] = {800, 1600, 3200};
    printf("parts width  replace    check      leave      reading   other  led  mean-ems "
           "on-symbol on-leader ms\n");
    for (size_t p = 0; p < sizeof parts / sizeof parts[0]; p++)
        for (size_t w = 0; w < sizeof widths_px / sizeof widths_px[0]; w++) {
            census all = {0};
            for (unsigned board = 0; board < BOARDS; board++)
                take(parts[p], widths_px[w], FIRST_SEED + board, &all);
            printf("%5zu %5d", parts[p], widths_px[w]);
            for (int mark = PART_MARK_COUNT - 1; mark >= 0; mark--)
                if (all.wanted[mark] > 0)
                    printf("  %4zu/%-4zu", all.wanted[mark] - all.named[mark], all.wanted[mark]);
            printf("  %3zu/%-3zu  %3zu  %5zu  %5.1f  %5zu  %5zu  %7.1f\n", all.readings_left_out,
                   all.readings, all.others_left_out, all.led,
                   all.lead_ems / fmax((double)all.led, 1), all.on_symbol, all.on_leader,
                   all.ms / BOARDS);
        }
    return EXIT_SUCCESS;
}
