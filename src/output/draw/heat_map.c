/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The picture from scene to bytes. */
#include "output/draw/map_plan.h"

sf_status sf_scene_draw(const sf_scene *scene, const sf_picture_options *options,
                        unsigned char **png, size_t *size, sf_picture_frame *frame)
{
    map planned;
    if (!png || !size)
        return SF_ERROR_ARGUMENT;
    *png = NULL;
    sf_status status = map_plan(scene, options, &planned);
    if (status != SF_OK)
        return status;
    status = map_draw(&planned);
    if (status == SF_OK)
        status = canvas_encode(&planned.canvas, options->dpi, options->png_level, png, size);
    if (frame)
        *frame = planned.page.frame;
    map_close(&planned);
    return status;
}
