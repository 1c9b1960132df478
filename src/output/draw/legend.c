/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Writing and drawing the legend. */
#include "output/draw/legend.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "output/draw/edges.h"
#include "output/draw/map_plan.h"
#include "output/draw/mask.h"
#include "output/draw/symbols.h"
#include "output/draw/text_lines.h"
#include "survey/facts.h"

/* in ems: room of a sign, and from its room to its words */
static const double sign_width = 2.0, sign_gap = 0.5, sign_radius = 0.48, letter_radius = 0.64;

static void add_entry(legend *to, legend_sign sign, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void add_entry(legend *to, legend_sign sign, const char *format, ...)
{
    legend_entry *entry = &to->entries[to->count++];
    entry->sign = sign;
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(entry->words, sizeof entry->words, format, arguments);
    va_end(arguments);
}

static bool is_part_sign(legend_sign sign)
{
    return sign <= SIGN_PART;
}

static part_mark mark_of(legend_sign sign)
{
    static const part_mark marks[] = {
        [SIGN_REPLACE] = PART_REPLACE, [SIGN_CHECK] = PART_CHECK,   [SIGN_LEAVE] = PART_LEAVE,
        [SIGN_HOTTER] = PART_HOTTER,   [SIGN_COOLER] = PART_COOLER, [SIGN_SAME] = PART_LEAVE,
        [SIGN_PART] = PART_LEAVE};
    return marks[sign];
}

static void add_part_entry(legend *to, legend_sign sign, const char *name,
                           const size_t counts[PART_MARK_COUNT])
{
    size_t count = counts[mark_of(sign)];
    add_entry(to, sign, "%s %zu", name, count);
    to->entries[to->count - 1].count = count;
}

/* only the letters that are on the map */
static void add_causes(legend *to, const sf_scene *scene, sf_verdict verdict)
{
    size_t counts[SF_CAUSE_COUNT] = {0};
    for (size_t i = 0; i < scene->job->part_count; i++)
        counts[scene->results[i].cause] += scene->results[i].verdict == verdict;
    for (int i = SF_CAUSE_NONE + 1; i < SF_CAUSE_COUNT; i++)
        if (counts[i] > 0) {
            add_entry(to, verdict == SF_REPLACE ? SIGN_WHY_REPLACE : SIGN_WHY_CHECK, "%s %zu",
                      cause_text((sf_cause)i), counts[i]);
            to->entries[to->count - 1].cause = (sf_cause)i;
        }
}

static void add_parts(legend *to, const sf_scene *scene)
{
    size_t counts[PART_MARK_COUNT] = {0}, parts = scene->job->part_count;
    for (size_t i = 0; i < parts; i++)
        counts[map_part_mark(scene, i)]++;
    if (parts == 0)
        return;
    if (scene->results) {
        add_part_entry(to, SIGN_REPLACE, "replace", counts);
        add_causes(to, scene, SF_REPLACE);
        add_part_entry(to, SIGN_CHECK, "check", counts);
        add_causes(to, scene, SF_CHECK);
        add_part_entry(to, SIGN_LEAVE, "leave", counts);
    } else if (scene->changes) {
        add_part_entry(to, SIGN_HOTTER, "hotter", counts);
        add_part_entry(to, SIGN_COOLER, "cooler", counts);
        add_part_entry(to, SIGN_SAME, "within uncertainty", counts);
    } else {
        add_part_entry(to, SIGN_PART, "part", counts);
    }
}

/* the entry's words with its count of names after them */
static void write_named(const legend_entry *of, size_t named, char words[LEGEND_TEXT])
{
    if (named == 0)
        snprintf(words, LEGEND_TEXT, "%.48s, none named", of->words);
    else
        snprintf(words, LEGEND_TEXT, "%.48s, %zu named", of->words, named);
}

void legend_tell_named(legend *told, const size_t named[PART_MARK_COUNT])
{
    for (size_t i = 0; i < told->count; i++) {
        legend_entry *entry = &told->entries[i];
        if (!is_part_sign(entry->sign) || named[mark_of(entry->sign)] >= entry->count)
            continue;
        legend_entry before = *entry;
        write_named(&before, named[mark_of(entry->sign)], entry->words);
    }
}

static void add_solder_side(legend *to, const sf_scene *scene)
{
    size_t parts = 0, sources = 0, readings = 0;
    for (size_t i = 0; i < scene->source_count; i++)
        sources += source_side(scene->job, &scene->sources[i]) == SF_SIDE_SOLDER;
    for (size_t i = 0; i < scene->job->part_count; i++)
        parts += scene->job->parts[i].side == SF_SIDE_SOLDER;
    for (size_t i = 0; i < scene->observation_count; i++)
        readings += scene->observations[i].side == SF_SIDE_SOLDER;
    if (parts + sources + readings > 0)
        add_entry(to, SIGN_SOLDER, "on the solder side %zu", parts + sources + readings);
}

static void add_sources(legend *to, const sf_scene *scene)
{
    size_t listed = 0;
    for (size_t i = 0; i < scene->source_count; i++)
        listed += scene->sources[i].listed;
    if (listed > 0)
        add_entry(to, SIGN_SOURCE, "heat source %zu", listed);
    if (scene->source_count > listed)
        add_entry(to, SIGN_UNLISTED, "unlisted heat %zu", scene->source_count - listed);
}

static void add_readings(legend *to, const sf_scene *scene)
{
    size_t beads = 0, infrared = 0;
    for (size_t i = 0; i < scene->observation_count; i++) {
        const sf_observation *reading = &scene->observations[i];
        beads += reading->in_fit && reading->method != SF_METHOD_INFRARED;
        infrared += reading->in_fit && reading->method == SF_METHOD_INFRARED;
    }
    if (beads > 0)
        add_entry(to, SIGN_BEAD, "thermocouple %zu", beads);
    if (infrared > 0)
        add_entry(to, SIGN_INFRARED, "infrared %zu", infrared);
    if (scene->observation_count > beads + infrared)
        add_entry(to, SIGN_READING_OUT, "reading not in the fit %zu",
                  scene->observation_count - beads - infrared);
}

static void add_zones(legend *to, const sf_scene *scene, const value_scale *scale)
{
    zone_edges edges = edges_of(scene, scale);
    if (!isnan(edges.hot_from))
        add_entry(to, SIGN_HOT, "rated life used up");
    if (!isnan(edges.warm_from))
        add_entry(to, SIGN_WARM, "%.0f %% of rated life used", 100 * edges.warm_used);
}

legend legend_make(const sf_scene *scene, const value_scale *scale)
{
    legend made = {0};
    char step[SCALE_TEXT];
    add_parts(&made, scene);
    add_solder_side(&made, scene);
    add_sources(&made, scene);
    add_readings(&made, scene);
    if (scene->point_count > 0)
        add_entry(&made, SIGN_POINT, "read next %zu", scene->point_count);
    if (scene->job->keepout_count > 0)
        add_entry(&made, SIGN_KEEPOUT, "no-touch area %zu", scene->job->keepout_count);
    if (scene->change_sds)
        add_entry(&made, SIGN_DOUBT, "within uncertainty");
    add_zones(&made, scene, scale);
    scale_write_level(scale, scale->step, step);
    if (scale->level_count > 0)
        add_entry(&made, SIGN_ISOTHERM, "%s, every %.12s %.12s",
                  strcmp(scene->unit, "C") == 0 ? "isotherm" : "contour", step, scale->unit);
    return made;
}

static text_style style_of(double em_px)
{
    return (text_style){.size_px = 0.95 * em_px, .laid = PEN_DARK};
}

size_t legend_rows(const legend *of)
{
    size_t rows = SIGN_COUNT - SIGN_HOT;
    for (size_t i = 0; i < of->count; i++)
        rows += of->entries[i].sign < SIGN_HOT;
    return rows;
}

double legend_width(const legend *of, font *face, double em_px)
{
    /* about the longest that is said of a line */
    static const char *const of_lines[] = {"25 % of rated life used", "isotherm, every 10 \u00b0C"};
    text_style style = style_of(em_px);
    double widest = 0;
    for (size_t i = 0; i < 2; i++)
        widest = fmax(widest, words_width(face, &style, of_lines[i]));
    for (size_t i = 0; i < of->count && of->entries[i].sign < SIGN_HOT; i++) {
        const legend_entry *entry = &of->entries[i];
        char words[LEGEND_TEXT];
        if (is_part_sign(entry->sign))
            write_named(entry, entry->count, words);
        else
            memcpy(words, entry->words, sizeof words);
        widest = fmax(widest, words_width(face, &style, words));
    }
    return widest + (sign_width + sign_gap) * em_px;
}

static void draw_line_sign(canvas *page, place centre, double width_px, double em_px)
{
    double half_px = sign_width / 2 * em_px - width_px / 2;
    mask_line(&page->shapes, (place){centre.x_px - half_px, centre.y_px},
              (place){centre.x_px + half_px, centre.y_px}, width_px);
    canvas_lay(page, PEN_DARK, 1);
}

static void draw_area_sign(canvas *page, legend_sign sign, place centre, double em_px)
{
    double left = stroke_crisp(centre.x_px - 0.85 * em_px), right = left + floor(1.7 * em_px);
    double top = stroke_crisp(centre.y_px - 0.5 * em_px), bottom = top + floor(em_px);
    place corners[] = {{left, top}, {right, top}, {right, bottom}, {left, bottom}};
    /* on so small an area lines stand closer than on the map */
    if (sign == SIGN_KEEPOUT)
        symbol_keepout(page, corners, 4, 0.5 * em_px);
    else
        symbol_source(page, corners, sign == SIGN_SOURCE, 0.65 * em_px);
}

static void draw_doubt_sign(canvas *page, place centre, double em_px)
{
    box around = box_about(centre, 1.7 * em_px, em_px);
    for (int y = (int)around.top; y < (int)around.bottom; y++)
        hatch_row(&page->shapes, y, (int)around.left, (int)around.right, em_px, NULL);
    canvas_lay(page, PEN_DARK, HATCH_OPACITY);
}

static void draw_notch_sign(canvas *page, legend_sign sign, place centre, double em_px)
{
    notch shown = {.tip = {centre.x_px, centre.y_px + NOTCH_LENGTH / 2 * em_px},
                   .side = NOTCH_ABOVE,
                   .infrared = sign == SIGN_INFRARED,
                   .in_fit = sign != SIGN_READING_OUT};
    symbol_reading(page, &shown, em_px);
}

static void draw_cause_sign(canvas *page, font *face, const legend_entry *of, place centre,
                            double em_px)
{
    part_mark mark = of->sign == SIGN_WHY_REPLACE ? PART_REPLACE : PART_CHECK;
    symbol_part(page, mark, centre, letter_radius * em_px, em_px);
    letter_draw(page, face, mark, cause_letter(of->cause), centre, letter_radius * em_px, em_px);
}

static void draw_sign(canvas *page, font *face, const legend_entry *of, place centre, double em_px)
{
    legend_sign sign = of->sign;
    place frame[4];
    switch (sign) {
    case SIGN_REPLACE:
    case SIGN_CHECK:
    case SIGN_LEAVE:
    case SIGN_HOTTER:
    case SIGN_COOLER:
    case SIGN_SAME:
    case SIGN_PART:
        symbol_part(page, mark_of(sign), centre, sign_radius * em_px, em_px);
        break;
    case SIGN_WHY_REPLACE:
    case SIGN_WHY_CHECK:
        draw_cause_sign(page, face, of, centre, em_px);
        break;
    case SIGN_SOLDER:
        box_corners(box_about(centre, 2 * sign_radius * em_px, 2 * sign_radius * em_px), frame);
        symbol_solder(page, frame, em_px);
        break;
    case SIGN_BEAD:
    case SIGN_INFRARED:
    case SIGN_READING_OUT:
        draw_notch_sign(page, sign, centre, em_px);
        break;
    case SIGN_POINT:
        symbol_point(page, centre, 0.8 * em_px);
        break;
    case SIGN_SOURCE:
    case SIGN_UNLISTED:
    case SIGN_KEEPOUT:
        draw_area_sign(page, sign, centre, em_px);
        break;
    case SIGN_DOUBT:
        draw_doubt_sign(page, centre, em_px);
        break;
    case SIGN_HOT:
        draw_line_sign(page, centre, ZONE_HOT_WIDTH * em_px, em_px);
        break;
    case SIGN_WARM:
        draw_line_sign(page, centre, ZONE_WARM_WIDTH * em_px, em_px);
        break;
    case SIGN_ISOTHERM:
    case SIGN_COUNT:
        draw_line_sign(page, centre, ISOTHERM_WIDTH * em_px, em_px);
        break;
    }
}

void legend_draw(canvas *page, font *face, const legend *drawn, const layout *within)
{
    double em_px = within->em_px;
    text_style style = style_of(em_px);
    size_t columns = within->legend_columns, rows = (drawn->count + columns - 1) / columns;
    double column_px = (within->legend.right - within->legend.left) / (double)columns;
    for (size_t i = 0; i < drawn->count; i++) {
        double left = within->legend.left + (double)(i / rows) * column_px;
        double middle = within->legend.top + ((double)(i % rows) + 0.5) * LEGEND_LINE * em_px;
        draw_sign(page, face, &drawn->entries[i], (place){left + sign_width / 2 * em_px, middle},
                  em_px);
        place start = {left + (sign_width + sign_gap) * em_px,
                       middle + CAPITAL_HEIGHT / 2 * style.size_px};
        words_draw(page, face, &style, start, 0, drawn->entries[i].words);
    }
}

/* --- letters that tell why, in the discs of parts to replace and over the half of parts to check
 * --- */

/* Height of the em in radii of the disc, so that an M is well inside it, and at most in ems of the
 * picture, and how far up it stands, in radii; below the least a letter cannot be read. By eye, no
 * source. */
static const struct {
    double em_of_radius, up;
} fits[PART_MARK_COUNT] = {[PART_CHECK] = {0.84, 0.44}, [PART_REPLACE] = {1.45, 0}};
static const double em_most = 2.2, em_least_px = 9.5;

static text_style style_in(part_mark mark, double radius_px, double em_px)
{
    return (text_style){.size_px = fmin(fits[mark].em_of_radius * radius_px, em_most * em_px),
                        .bold = true,
                        .laid = mark == PART_CHECK ? PEN_DARK : PEN_PAPER};
}

static place middle_of_letter(part_mark mark, place centre, double radius_px)
{
    return (place){centre.x_px, centre.y_px - fits[mark].up * radius_px};
}

const char *map_letter(const sf_scene *scene, size_t part)
{
    return scene->results ? cause_letter(scene->results[part].cause) : "";
}

/* whether a reading's notch or a place to read next lies over it */
static bool is_covered(const map *in, box letter)
{
    const sf_scene *scene = in->scene;
    for (size_t i = 0; in->readings && i < scene->observation_count; i++) {
        place corners[3];
        notch_corners(&in->readings[i], in->page.em_px, corners);
        if (boxes_meet(letter, box_around(corners, 3)))
            return true;
    }
    for (size_t i = 0; i < scene->point_count; i++)
        if (boxes_meet(letter, in->labels[i].at.where))
            return true;
    return false;
}

bool map_letter_inside(const map *in, size_t part)
{
    const sf_part *of = &in->scene->job->parts[part];
    part_mark mark = map_part_mark(in->scene, part);
    double radius_px = map_part_radius(in, of);
    text_style style = style_in(mark, radius_px, in->page.em_px);
    double height_px = CAPITAL_HEIGHT * style.size_px;
    place middle = middle_of_letter(mark, map_place(in, of->x_mm, of->y_mm), radius_px);
    return style.size_px >= em_least_px && !is_covered(in, box_about(middle, height_px, height_px));
}

void letter_draw(canvas *page, font *face, part_mark mark, const char *letter, place centre,
                 double radius_px, double em_px)
{
    text_style style = style_in(mark, radius_px, em_px);
    words_draw_centred(page, face, &style, middle_of_letter(mark, centre, radius_px), letter);
}
