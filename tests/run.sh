#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Sets up what is missing, builds with warnings as errors and runs every test, plainly and then under
# the address and undefined-behaviour sanitizers. Ends with a line `N passed, N failed, N skipped`.
set -u
cd "$(dirname "$0")/.." || exit 1

give_up() {
    echo "$1"
    echo "0 passed, 1 failed, 0 skipped"
    exit 1
}

# build_and_test FOLDER OPTION...
build_and_test() {
    folder=$1
    shift
    if [ -f "$folder/build.ninja" ]; then
        meson configure "$folder" "$@" || give_up "$folder: cannot be configured"
    else
        meson setup "$folder" "$@" || give_up "$folder: cannot be set up"
    fi
    ninja -C "$folder" || give_up "$folder: does not build"
    rm -f "$folder/meson-logs/testlog.json"
    meson test -C "$folder" --no-rebuild --print-errorlogs --timeout-multiplier 10 || failed=1
}

# what the tests write is synced each time, which a disk takes minutes for, and memory nothing
if [ -z "${TMPDIR:-}" ] && [ -w /dev/shm ]; then
    TMPDIR=$(mktemp -d /dev/shm/spotfield-tests-XXXXXX) && export TMPDIR && trap 'rm -rf "$TMPDIR"' EXIT
    chmod 755 "$TMPDIR" # some tests try what another user may
fi

failed=0
sh .ci/setup.sh || give_up "packages are missing"
build_and_test build -Dwerror=true

# clang leaves the sanitizers' symbols to the program, so a library must be let link without them
undefined_allowed=true
${CC:-cc} --version | grep -q clang && undefined_allowed=false
UBSAN_OPTIONS=halt_on_error=1:print_stacktrace=1
export UBSAN_OPTIONS
build_and_test build-sanitized -Dwerror=true -Db_sanitize=address,undefined \
    "-Db_lundef=$undefined_allowed"

python3 tests/count.py build/meson-logs/testlog.json build-sanitized/meson-logs/testlog.json ||
    failed=1
exit $failed
