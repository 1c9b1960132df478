#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# How much of src/ the tests run through: sh tests/coverage.sh [ROOM]. Builds without optimization, since
# an optimizer moves branches about, runs every test and prints lines and branches of each file and of
# all; nothing is left out. Exit status 1 where a test fails or less than 97 % of the lines or 90 % of
# the branches of src/ is run through. Needs gcovr.
set -eu
cd "$(dirname "$0")/.."
build="build-coverage"
[ -f "$build/build.ninja" ] || meson setup "$build"
meson configure "$build" -Db_coverage=true -Dbuildtype=debug
ninja -C "$build"
find "$build" -name '*.gcda' -delete
status=0
meson test -C "$build" --no-rebuild --timeout-multiplier 10 || status=1
gcovr --root . "$build" --filter "src/${1:-}" --print-summary --fail-under-line 97 --fail-under-branch 90 ||
    status=1
exit $status
