#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# What takes too long for every change, over what `sh tests/run.sh` or ninja has built: every failing call, every hostile
# input, a thousand kills of the page, properties on many boards, and whether the figures of README and
# tests/benchmark come out again. All or by name (failing hostile kills properties figures). Ends with a line
# `N passed, N failed`.
set -u
cd "$(dirname "$0")/.." || exit 1
program=build/src/cli/spotfield
[ $# -gt 0 ] || set -- failing hostile kills properties figures
passed=0 failed=0

# hold WORDS...
hold() {
    echo "== $*"
    if "$@"; then passed=$((passed + 1)); else failed=$((failed + 1)) && echo "failed: $*"; fi
}

for name in "$@"; do
    case $name in
    failing)
        hold python3 tests/cli/test_failing.py --every $program . build/tests/cli/failing_calls.so
        sanitized=build-sanitized
        [ ! -x $sanitized/src/cli/spotfield ] ||
            hold python3 tests/cli/test_failing.py --every --sanitizer "$(gcc -print-file-name=libasan.so)" \
                $sanitized/src/cli/spotfield . $sanitized/tests/cli/failing_calls.so
        ;;
    hostile) hold python3 tests/cli/test_hostile.py --every $program . ;;
    kills) hold build/tests/page/test_page_kill 1000 ;;
    properties)
        for test in field/test_field_held_properties field/test_field_properties life/test_life_properties \
            job/test_job_dialects; do
            hold "build/tests/$test" 2000
        done
        ;;
    figures) hold python3 tests/docs/figures.py --check ;;
    *)
        echo "night.sh: $name: expected failing, hostile, kills, properties or figures" >&2
        exit 64
        ;;
    esac
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
