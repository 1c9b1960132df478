/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Memory is counted before it is taken: what is counted, and what is refused. */
#include "support/check.h"

#include <gsl/gsl_errno.h>
#include <math.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "field/crowded.h"
#include "field/room_needed.h"
#include "field/scene.h"

#define MIB (1024.0 * 1024)

static int quiet(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

/* The most memory that a child has had which fits, or which does not. */
static double child_bytes(const crowded *of, double cell_mm, bool fits)
{
    double bytes;
    int ends[2], status;
    assert_int_equal(pipe(ends), 0);
    pid_t child = fork();
    if (child == 0) {
        sf_field *field = NULL;
        sf_diagnostics heard = {0};
        sf_field_options options = sf_field_options_default();
        options.cell_mm = cell_mm;
        options.cells_max = 1000000;
        bool whole = !fits || sf_field_fit(&of->input, &options, &field, &heard) == SF_OK;
        struct rusage used;
        whole = whole && getrusage(RUSAGE_SELF, &used) == 0;
        bytes = whole ? 1024.0 * (double)used.ru_maxrss : NAN;
        _exit(!whole || write(ends[1], &bytes, sizeof bytes) != sizeof bytes);
    }
    assert_true(child > 0);
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_int_equal(status, 0);
    assert_int_equal(read(ends[0], &bytes, sizeof bytes), sizeof bytes);
    close(ends[0]);
    close(ends[1]);
    return bytes;
}

static double counted_bytes(const crowded *of, double cell_mm, bool many)
{
    grid *laid;
    fit_data data;
    balance *matrix;
    assert_int_equal(grid_lay(&of->edge, 1, 120, 90, cell_mm, 1000000, &laid), SF_OK);
    assert_int_equal(fit_data_gather(&of->input, laid, &data), SF_OK);
    assert_int_equal(balance_new(laid, &matrix), SF_OK);
    double bytes = many ? sparse_bytes(&data, matrix) : dense_bytes(&data, matrix);
    balance_free(matrix);
    fit_data_clear(&data);
    grid_free(laid);
    return bytes;
}

static void what_is_counted_is_what_a_fit_takes(void **state)
{
    (void)state;
#ifdef __SANITIZE_ADDRESS__
    skip(); /* the sanitizer holds back what is freed, and pads the rest */
#endif
    const struct {
        size_t readings;
        double cell_mm;
    } fits[] = {{25, 0.8}, {130, 0.8}, {200, 0.8}};
    for (size_t i = 0; i < sizeof fits / sizeof *fits; i++) {
        crowded of;
        crowded_set(&of, fits[i].readings);
        double counted =
            counted_bytes(&of, fits[i].cell_mm, fits[i].readings > DENSE_READINGS_MOST);
        double taken = child_bytes(&of, fits[i].cell_mm, true) - child_bytes(&of, 1, false);
        print_message("%zu readings: counted %.0f MiB, taken %.0f MiB\n", fits[i].readings,
                      counted / MIB, taken / MIB);
        /* by the machine: it is never a third short, nor half again too much */
        assert_in_range((int)(100 * counted / taken), 75, 150);
        crowded_clear(&of);
    }
}

static void a_map_that_would_take_too_much_is_refused_in_words(void **state)
{
    (void)state;
    crowded of;
    sf_field *field;
    sf_diagnostics heard = {0};
    sf_field_options options = sf_field_options_default();
    options.cell_mm = 0.12;
    options.cells_max = 1000000;
    crowded_set(&of, 60);
    assert_int_equal(sf_field_fit(&of.input, &options, &field, &heard), SF_ERROR_DATA);
    assert_null(field);
    assert_true(complained_of(&heard, SF_ERROR, "GiB of memory, 2 at most"));
    assert_true(complained_of(&heard, SF_ERROR, "cells of 0.12 mm"));
    assert_string_equal(heard.items[0].expected,
                        "wider cells (--cell), or fewer readings or sources");
    assert_int_equal(heard.count, 1);
    sf_diagnostics_clear(&heard);
    crowded_clear(&of);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_counted_is_what_a_fit_takes),
        cmocka_unit_test(a_map_that_would_take_too_much_is_refused_in_words),
    };
    return cmocka_run_group_tests_name("field: room", tests, quiet, NULL);
}
