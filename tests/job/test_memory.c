/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Memory that ends while a job with a thermogram is read. */
#include <stdio.h>
#include <sys/stat.h>

#include "picture_job.h"
#include "support/allocations.h"

/* What leaks is seen by the sanitizer. */
static void any_allocation_may_fail(void **state)
{
    (void)state;
    const char *above = fresh_folder();
    char folder[300];
    snprintf(folder, sizeof folder, "%s/board", above);
    assert_int_equal(mkdir(folder, 0755), 0);
    write_file(above, "machine.csv", "key,value\nowner,Station\nmade,1998\nservice_goal,7\n");
    write_file(above, "history.csv", "hours\n9\n");
    write_sound_job(folder);
    write_file(folder, "thermogram.csv", "1,2,3\n4,5,6\n7,8,\n");
    write_file(folder, "marks.csv", sound_marks);
    long tried = 0;
    for (sf_status status = SF_ERROR_MEMORY; status != SF_OK; tried++) {
        sf_job *job = NULL;
        sf_diagnostics diagnostics = {0};
        allocations_left = tried;
        status = sf_job_read(folder, &job, &diagnostics);
        allocations_left = -1;
        assert_true(status == SF_OK || status == SF_ERROR_MEMORY);
        assert_int_equal(job != NULL, status == SF_OK);
        sf_job_free(job);
        sf_diagnostics_clear(&diagnostics);
        assert_true(tried < 2000);
    }
    assert_true(tried > 50);
    remove_folder(above);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(any_allocation_may_fail),
    };
    return cmocka_run_group_tests_name("job memory", tests, NULL, NULL);
}
