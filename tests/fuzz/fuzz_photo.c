/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* The header of a photo: kind, size and turn, from whatever was sent as one. */
#include "fuzz/expect.h"
#include "fuzz/target.h"
#include "page/photo.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    photo_header seen = photo_look(bytes, size);
    expect(seen.turn >= 1 && seen.turn <= 8, "a turn is one of eight");
    if (seen.kind == PHOTO_NONE)
        return 0;
    expect(seen.kind == PHOTO_JPEG || seen.kind == PHOTO_PNG, "kind of a photo");
    expect(seen.width_px > 0 && seen.width_px <= 65535, "width of a photo");
    expect(seen.height_px > 0 && seen.height_px <= 65535, "height of a photo");
    return 0;
}
