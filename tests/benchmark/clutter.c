/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Draws clutter by chance. The emissivities are from handbook tables: bright tin and solder 0.06 to
 * 0.2, tinned steel 0.05 to 0.1, aluminium 0.1 to 0.3, insulation of wires 0.9. */
#include "benchmark/clutter.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <stdio.h>

#define TRIES 60
#define CLEAR_MM 2.0
#define HOT_SHARE 0.6 /* of boards that have an unlisted hot body */

static double between(gsl_rng *chance, double least, double most)
{
    return least + (most - least) * gsl_rng_uniform(chance);
}

static double reach_mm(const body *of)
{
    return of->width_mm > 0 ? hypot(of->width_mm, of->depth_mm) / 2 : of->diameter_mm / 2;
}

static bool near_rows(const table *rows, double x_mm, double y_mm, double reach)
{
    for (size_t i = 0; i < rows->count; i++) {
        if (!table_is_row(rows, i))
            continue;
        double own_mm = table_number(rows, i, "diameter_mm", 0) / 2;
        own_mm = fmax(
            own_mm,
            hypot(table_number(rows, i, "width_mm", 0), table_number(rows, i, "height_mm", 0)) / 2);
        double off_mm =
            hypot(table_number(rows, i, "x_mm", 0) - x_mm, table_number(rows, i, "y_mm", 0) - y_mm);
        if (off_mm < own_mm + reach)
            return true;
    }
    return false;
}

static bool near_strays(const clutter *laid, double x_mm, double y_mm, double reach)
{
    for (size_t i = 0; i < laid->count; i++) {
        const body *other = &laid->strays[i].stands;
        if (hypot(other->x_mm - x_mm, other->y_mm - y_mm) < reach_mm(other) + reach)
            return true;
    }
    return false;
}

/* Adds the stray where there is room for it; wires cross what is there. */
static void add(const table *sources, const table *parts, double width_mm, double height_mm,
                gsl_rng *chance, stray one, clutter *laid)
{
    body *stands = &one.stands;
    double reach = one.kind == CLUTTER_WIRE ? 0 : reach_mm(stands) + CLEAR_MM;
    double turn = one.kind == CLUTTER_WIRE ? between(chance, 0, M_PI) : 0;
    stands->cosine = cos(turn);
    stands->sine = sin(turn);
    for (int i = 0; i < TRIES && laid->count < CLUTTER_MOST; i++) {
        double inset_mm = fmin(reach_mm(stands), fmin(width_mm, height_mm) / 3);
        stands->x_mm = between(chance, inset_mm, width_mm - inset_mm);
        stands->y_mm = between(chance, inset_mm, height_mm - inset_mm);
        if (near_rows(sources, stands->x_mm, stands->y_mm, reach) ||
            near_rows(parts, stands->x_mm, stands->y_mm, reach) ||
            near_strays(laid, stands->x_mm, stands->y_mm, reach))
            continue;
        laid->strays[laid->count++] = one;
        return;
    }
}

static stray draw(clutter_kind kind, gsl_rng *chance)
{
    stray one = {.kind = kind, .rise_share = 0.95};
    body *stands = &one.stands;
    switch (kind) {
    case CLUTTER_WIRE:
        *stands = (body){.width_mm = between(chance, 25, 60),
                         .depth_mm = between(chance, 1.5, 3),
                         .height_mm = between(chance, 2, 6),
                         .emissivity = 0.9};
        one.rise_share = between(chance, 0.3, 0.7);
        break;
    case CLUTTER_SOLDER:
        *stands = (body){.width_mm = between(chance, 2, 7),
                         .depth_mm = between(chance, 2, 7),
                         .height_mm = 0.3,
                         .emissivity = between(chance, 0.06, 0.25)};
        one.rise_share = 1;
        break;
    case CLUTTER_SHIELD:
        *stands = (body){.width_mm = between(chance, 12, 26),
                         .depth_mm = between(chance, 12, 22),
                         .height_mm = between(chance, 3, 7),
                         .emissivity = between(chance, 0.06, 0.2)};
        break;
    case CLUTTER_LID:
        *stands = (body){.diameter_mm = between(chance, 6, 12),
                         .height_mm = between(chance, 7, 14),
                         .top_emissivity = between(chance, 0.15, 0.3)};
        break;
    case CLUTTER_HOT:
        *stands = (body){.width_mm = between(chance, 7, 14),
                         .depth_mm = between(chance, 7, 14),
                         .height_mm = between(chance, 3, 10),
                         .emissivity = 0.9};
        one.rise_share = 1.33;
        one.watts = between(chance, 0.25, 0.8);
        break;
    }
    return one;
}

void clutter_lay(const table *sources, const table *parts, double width_mm, double height_mm,
                 gsl_rng *chance, clutter *laid)
{
    const int counts[] = {gsl_rng_uniform(chance) < HOT_SHARE, (int)between(chance, 0, 3),
                          (int)between(chance, 0, 3), (int)between(chance, 1, 4),
                          (int)between(chance, 4, 10)};
    const clutter_kind kinds[] = {CLUTTER_HOT, CLUTTER_SHIELD, CLUTTER_LID, CLUTTER_WIRE,
                                  CLUTTER_SOLDER};
    laid->count = 0;
    for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
        for (int i = 0; i < counts[k]; i++)
            add(sources, parts, width_mm, height_mm, chance, draw(kinds[k], chance), laid);
}

void clutter_heat(const clutter *laid, plate *heated)
{
    for (size_t i = 0; i < laid->count; i++) {
        const body *at = &laid->strays[i].stands;
        if (laid->strays[i].watts > 0)
            plate_heat(heated, at->x_mm, at->y_mm, at->width_mm, at->depth_mm, 0,
                       laid->strays[i].watts);
    }
}

/* A ring a little wider than the thing, and than what it hides. */
static void ring_write(const body *at, size_t ring, double width_mm, double height_mm, FILE *to)
{
    static const double corners[4][2] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
    double margin_mm = 1 + 0.4 * at->height_mm;
    double half_x = margin_mm + (at->width_mm > 0 ? at->width_mm : at->diameter_mm) / 2;
    double half_y = margin_mm + (at->width_mm > 0 ? at->depth_mm : at->diameter_mm) / 2;
    double cosine = at->width_mm > 0 ? at->cosine : 1, sine = at->width_mm > 0 ? at->sine : 0;
    for (int i = 0; i < 4; i++) {
        double along = corners[i][0] * half_x, across = corners[i][1] * half_y;
        double x = at->x_mm + along * cosine - across * sine;
        double y = at->y_mm + along * sine + across * cosine;
        fprintf(to, "%zu,%.1f,%.1f\n", ring, fmin(fmax(x, 0), width_mm),
                fmin(fmax(y, 0), height_mm));
    }
}

static FILE *file_open(const char *folder, const char *name)
{
    char path[4096];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return fopen(path, "w");
}

bool clutter_write(const clutter *laid, double width_mm, double height_mm, const char *folder)
{
    static const char *const names[] = {"wire", "solder", "shield", "lid", "hot"};
    FILE *mask = file_open(folder, "truth-mask.csv"),
         *told = file_open(folder, "truth-clutter.csv");
    if (mask)
        fputs("ring,x_mm,y_mm\n", mask);
    if (told)
        fputs("kind,x_mm,y_mm,width_mm,depth_mm\n", told);
    for (size_t i = 0; mask && told && i < laid->count; i++) {
        const body *at = &laid->strays[i].stands;
        double size_mm = at->width_mm > 0 ? at->width_mm : at->diameter_mm;
        fprintf(told, "%s,%.1f,%.1f,%.1f,%.1f\n", names[laid->strays[i].kind], at->x_mm, at->y_mm,
                size_mm, at->width_mm > 0 ? at->depth_mm : at->diameter_mm);
        if (laid->strays[i].kind != CLUTTER_HOT)
            ring_write(at, i + 1, width_mm, height_mm, mask);
    }
    bool whole = mask && told && !ferror(mask) && !ferror(told);
    if (mask)
        whole = fclose(mask) == 0 && whole;
    if (told)
        whole = fclose(told) == 0 && whole;
    return whole;
}
