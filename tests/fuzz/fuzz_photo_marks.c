/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* photo-marks.csv: whatever it holds, a map between board and photo is one of numbers. */
#include <stdlib.h>

#include <gsl/gsl_errno.h>

#include "fuzz/expect.h"
#include "fuzz/folder.h"
#include "fuzz/target.h"
#include "page/marks_map.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t size)
{
    gsl_set_error_handler_off();
    marks_found found;
    sf_status status = marks_file_fit(fuzz_folder_with("photo-marks.csv", bytes, size), &found);
    expect(status == SF_OK || status == SF_ERROR_DATA || status == SF_ERROR_MISSING ||
               status == SF_ERROR_NUMERIC,
           "bytes end in a status of the header");
    if (status == SF_OK) {
        expect(found.count == 2 || found.count >= 4, "two marks or four and more");
        for (int i = 0; i < 9; i++)
            expect_known(found.to_pixel[i], "map to the photo");
        for (size_t i = 0; i < found.count; i++)
            expect_known(found.residual_mm[i], "distance of a mark");
        expect_told(found.rms_mm, "how far the marks miss");
    }
    marks_found_clear(&found);
    return 0;
}
