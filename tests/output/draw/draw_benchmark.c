/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* How long a picture takes, against what libgd alone takes to encode the same picture. */
#include <gd.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "invented.h"
#include "support/check.h"

enum { RUNS = 15 };

/* processor time, so that what else the machine does matters less */
static double now_ms(void)
{
    struct timespec at;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &at);
    return 1e3 * (double)at.tv_sec + 1e-6 * (double)at.tv_nsec;
}

static double least(double a, double b)
{
    return a < b ? a : b;
}

/* the quickest of several runs */
static double time_drawing(const sf_scene *scene, const sf_picture_options *options,
                           unsigned char **png, size_t *size)
{
    double best_ms = 1e9;
    for (int i = 0; i < RUNS; i++) {
        free(*png);
        double start_ms = now_ms();
        if (sf_scene_draw(scene, options, png, size, NULL) != SF_OK)
            return -1;
        best_ms = least(best_ms, now_ms() - start_ms);
    }
    return best_ms;
}

static double time_encoding(const unsigned char *png, size_t size, int level)
{
    gdImagePtr image = gdImageCreateFromPngPtr((int)size, (void *)(uintptr_t)png);
    double best_ms = 1e9;
    for (int i = 0; image && i < RUNS; i++) {
        int length = 0;
        double start_ms = now_ms();
        gdFree(gdImagePngPtrEx(image, &length, level));
        best_ms = least(best_ms, now_ms() - start_ms);
    }
    if (image)
        gdImageDestroy(image);
    return best_ms;
}

int main(void)
{
    static const size_t parts[] = {20, 90, 400};
    for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
        invention wanted = invention_usual();
        wanted.parts = parts[i];
        invented board;
        invented_make(&wanted, &board);
        sf_picture_options options = sf_picture_options_default();
        unsigned char *png = NULL;
        size_t size = 0;
        double drawing_ms = time_drawing(&board.scene, &options, &png, &size);
        double encoding_ms = time_encoding(png, size, options.png_level);
        printf("%zu parts, %d px: %.1f ms, libgd's encoding alone %.1f ms, ratio %.2f\n", parts[i],
               options.width_px, drawing_ms, encoding_ms, drawing_ms / encoding_ms);
        free(png);
        invented_free(&board);
    }
    return 0;
}
