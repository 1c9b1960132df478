/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Memory that ends while a thermogram is corrected. */
#include "readings/camera_bench.h"

#include <gsl/gsl_errno.h>

#include "support/allocations.h"

/* What leaks is seen by the sanitizer. */
static void any_allocation_may_fail(void **state)
{
    (void)state;
    long tried = 0;
    for (sf_status status = SF_ERROR_MEMORY; status != SF_OK; tried++) {
        bench on;
        lay_bench(&on);
        add_can(&on);
        on.job.ring_count = 2;
        on.part.emissivity = 0.34;
        on.job.board.camera.emissivity = 0.9;
        allocations_left = tried;
        correct(&on);
        allocations_left = -1;
        status = on.status;
        assert_true(status == SF_OK || status == SF_ERROR_MEMORY);
        assert_int_equal(on.pixels != NULL, status == SF_OK);
        clear_bench(&on);
        assert_true(tried < 200);
    }
    assert_true(tried > 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_allocation_may_fail),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests_name("readings memory", tests, NULL, NULL);
}
