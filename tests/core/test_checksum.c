/* SPDX-FileCopyrightText: 2026 The spotfield authors
   SPDX-License-Identifier: GPL-3.0-or-later */

/* Against the vectors of the FNV document (draft-eastlake-fnv, now RFC 9923), from memory. */
#include "core/checksum.h"
#include "support/check.h"

#include <string.h>

static uint64_t of(const char *words)
{
    return checksum_add(CHECKSUM_OF_NOTHING, words, strlen(words));
}

static void the_published_values_come_out(void **state)
{
    (void)state;
    assert_true(of("") == UINT64_C(0xcbf29ce484222325));
    assert_true(of("a") == UINT64_C(0xaf63dc4c8601ec8c));
    assert_true(of("foobar") == UINT64_C(0x85944171f73967e8));
    assert_true(checksum_add(of("foo"), "bar", 3) == of("foobar"));
}

static void neighbours_do_not_run_into_each_other(void **state)
{
    (void)state;
    uint64_t one = checksum_add_name(checksum_add_name(CHECKSUM_OF_NOTHING, "ab"), "c");
    uint64_t other = checksum_add_name(checksum_add_name(CHECKSUM_OF_NOTHING, "a"), "bc");
    assert_true(one != other);
    assert_true(checksum_add_number(CHECKSUM_OF_NOTHING, 1) !=
                checksum_add_number(CHECKSUM_OF_NOTHING, UINT64_C(1) << 56));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_values_come_out),
        cmocka_unit_test(neighbours_do_not_run_into_each_other),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
