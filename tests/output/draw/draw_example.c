/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Draws an invented board, to be looked at:
 * draw_example FILE.png [WIDTH_PX [PARTS [WIDTH_MM [HEIGHT_MM [plain] [grey]]]]] */
#include <gd.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "invented.h"
#include "support/check.h"

static double now_ms(void)
{
    struct timespec at;
    clock_gettime(CLOCK_MONOTONIC, &at);
    return 1e3 * (double)at.tv_sec + 1e-6 * (double)at.tv_nsec;
}

static bool has_word(int count, char **words, const char *word)
{
    for (int i = 1; i < count; i++)
        if (strcmp(words[i], word) == 0)
            return true;
    return false;
}

static double number(int count, char **words, int which, double otherwise)
{
    return which < count && atof(words[which]) > 0 ? atof(words[which]) : otherwise;
}

/* the same picture as a printer without colour would put it on paper */
static void turn_grey(unsigned char **png, size_t *size)
{
    gdImagePtr image = gdImageCreateFromPngPtr((int)*size, *png);
    int length = 0;
    if (!image || !gdImagePaletteToTrueColor(image))
        return;
    gdImageGrayScale(image);
    void *bytes = gdImagePngPtr(image, &length);
    gdImageDestroy(image);
    free(*png);
    *png = bytes;
    *size = (size_t)length;
}

static int write_png(const char *path, const unsigned char *png, size_t size)
{
    FILE *file = fopen(path, "wb");
    if (!file)
        return 1;
    size_t written = fwrite(png, 1, size, file);
    return fclose(file) != 0 || written != size;
}

int main(int count, char **words)
{
    if (count < 2)
        return 64;
    invention wanted = invention_usual();
    wanted.parts = (size_t)number(count, words, 3, 90);
    wanted.width_mm = number(count, words, 4, 220);
    wanted.height_mm = number(count, words, 5, 160);
    wanted.corner_missing = !has_word(count, words, "plain");
    sf_picture_options options = sf_picture_options_default();
    options.width_px = (int)number(count, words, 2, 1600);
    invented board;
    invented_make(&wanted, &board);
    unsigned char *png = NULL;
    size_t size = 0;
    double start_ms = now_ms();
    sf_status status = sf_scene_draw(&board.scene, &options, &png, &size, NULL);
    printf("%s: %s, %zu bytes, %.1f ms\n", words[1], sf_status_text(status), size,
           now_ms() - start_ms);
    if (png && has_word(count, words, "grey"))
        turn_grey(&png, &size);
    int failed = status != SF_OK || write_png(words[1], png, size);
    free(png);
    invented_free(&board);
    return failed;
}
