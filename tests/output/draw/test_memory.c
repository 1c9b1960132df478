/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Memory that runs short anywhere in the drawing: a clean error, nothing held. The linker puts the
 * three functions below in place of the library's (-Wl,--wrap). */
#include "support/check.h"

#include <stdlib.h>

#include "core/memory.h"
#include "invented.h"

static size_t calls, failing_call;

void *__real_array_new(size_t count, size_t size);
void *__wrap_array_new(size_t count, size_t size);
void *__real_array_grow(void *array, size_t *capacity, size_t needed, size_t size);
void *__wrap_array_grow(void *array, size_t *capacity, size_t needed, size_t size);
void *__real_array_add(void *array, size_t *count, size_t *capacity, size_t size);
void *__wrap_array_add(void *array, size_t *count, size_t *capacity, size_t size);

void *__wrap_array_new(size_t count, size_t size)
{
    return ++calls == failing_call ? NULL : __real_array_new(count, size);
}

void *__wrap_array_grow(void *array, size_t *capacity, size_t needed, size_t size)
{
    /* an array that is large enough takes no memory */
    if (needed <= *capacity)
        return array;
    return ++calls == failing_call ? NULL : __real_array_grow(array, capacity, needed, size);
}

void *__wrap_array_add(void *array, size_t *count, size_t *capacity, size_t size)
{
    bool fails = *count >= *capacity && ++calls == failing_call;
    return fails ? NULL : __real_array_add(array, count, capacity, size);
}

static void every_shortage_of_memory_is_a_clean_error(void **state)
{
    (void)state;
    invention wanted = {60, 45, 8, 4, 3, true, true, 31};
    invented board;
    invented_make(&wanted, &board);
    sf_picture_options options = sf_picture_options_default();
    options.width_px = 400;
    unsigned char *png = NULL;
    size_t size = 0;
    calls = failing_call = 0;
    assert_int_equal(sf_scene_draw(&board.scene, &options, &png, &size, NULL), SF_OK);
    free(png);
    size_t whole = calls;
    assert_true(whole > 100);
    for (failing_call = 1; failing_call <= whole; failing_call++) {
        calls = 0;
        png = (unsigned char *)"not touched";
        sf_status status = sf_scene_draw(&board.scene, &options, &png, &size, NULL);
        if (status != SF_ERROR_MEMORY || png)
            fail_msg("allocation %zu of %zu: status %d", failing_call, whole, status);
    }
    failing_call = 0;
    invented_free(&board);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_shortage_of_memory_is_a_clean_error),
    };
    return cmocka_run_group_tests_name("draw: memory", tests, NULL, NULL);
}
