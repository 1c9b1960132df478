#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Checks beside the tests, each by a tool of its own: sh tests/checks.sh [CHECK]..., all of them where none is
# named. Ends with a line `N checks passed, N failed`, and exit status 1 where one failed or its tool is missing.
#
#   clang      builds everything with clang, warnings are errors
#   valgrind   runs the test programs under memcheck: no access out of bounds, nothing unset, nothing leaked
#   threads    builds with the thread sanitizer, and runs the tests in which threads work side by side
#   tidy       clang-tidy over src, by .clang-tidy
#   cppcheck   cppcheck over src, less what tests/cppcheck.txt argues away
#   gsl        builds and tests with another GSL, the one installed below GSL_PREFIX; only where it is named
set -u
cd "$(dirname "$0")/.." || exit 1
passed=0
failed=0

# set_up FOLDER OPTION...: configured afresh or again, and built
set_up() {
    folder=$1
    shift
    if [ -f "$folder/build.ninja" ]; then
        meson configure "$folder" "$@" || return 1
    else
        meson setup "$folder" "$@" || return 1
    fi >/dev/null
    ninja -C "$folder" --quiet
}

check_clang() {
    CC=clang set_up build-clang -Dwerror=true
}

# OpenBLAS knows processors that memcheck does not; the plainest of its kernels computes the same. Threads of OpenMP
# are never ended, nor what is theirs given back, so CHOLMOD is given one. As many programs run at once as there
# are processors.
check_valgrind() {
    set_up build-valgrind -Dbuildtype=debugoptimized || return 1
    out=$(mktemp -d) || return 1
    OPENBLAS_CORETYPE=Prescott OPENBLAS_NUM_THREADS=1 OMP_THREAD_LIMIT=1
    export OPENBLAS_CORETYPE OPENBLAS_NUM_THREADS OMP_THREAD_LIMIT
    { list_commands "$out" && list_tests && list_replays; } | xargs -L 1 -P "$(nproc)" sh -c '
        words=$(valgrind --quiet --leak-check=full --errors-for-leak-kinds=definite,indirect,possible \
            --error-exitcode=99 "$@" 2>&1) && echo "clean: $*" && exit
        printf "%s\nNOT CLEAN: %s\n" "$words" "$*"
        exit 1' memcheck
    wrong=$?
    rm -rf "$out"
    return $wrong
}

# Each command once, on the demo and on a thermogram.
list_commands() {
    program=build-valgrind/src/cli/spotfield
    for job in demo/desk-supply samples/thermogram samples/infrared-history; do
        results=$1/${job##*/}
        echo "$program map --width 500 --if-air 4 --json --out $results-map $job"
        echo "$program plan --width 500 --points 2 --out $results-plan $job"
        echo "$program check --json $job"
    done
    echo "$program compare --width 500 --out $1/compare samples/minimal samples/minimal"
    echo "$program new $1/job"
}

# memcheck is some forty times slower, so random boards are four, of which a mean can be taken, and some tests are left out: those that
# start the program, which is run by itself; the one that counts on being killed at any moment; those that go the
# same way hundreds of times, each with another failed allocation, which the address sanitizer does in the suite;
# and two jobs at once, which the thread sanitizer sees.
list_tests() {
    for program in build-valgrind/tests/*/test_*; do
        [ -x "$program" ] && [ -f "$program" ] || continue
        case ${program##*/} in
        test_cli_progress) echo "$program" ;;
        test_cli_* | test_page_kill | test_*_memory | test_two_jobs) ;;
        test_*_properties | test_job_dialects) echo "$program 4" ;;
        *) echo "$program" ;;
        esac
    done
}

list_replays() {
    for target in build-valgrind/tests/fuzz/replay_*; do
        [ -f "$target" ] || continue
        corpus=${target##*/replay_}
        [ -d "tests/fuzz/corpus/$corpus" ] || corpus=job
        echo "$target tests/fuzz/corpus/$corpus build-valgrind/tests/fuzz/learned/$corpus"
    done
}

# CHOLMOD shares its work among threads of OpenMP, which is not built with the sanitizer: what orders them is not
# seen, and all they do looks like a race. One thread each is given to them; those of ours are seen, all of them.
check_threads() {
    set_up build-threads -Db_sanitize=thread -Db_lundef=false -Dbuildtype=debugoptimized || return 1
    TSAN_OPTIONS=halt_on_error=1:second_deadlock_stack=1 OMP_THREAD_LIMIT=1 \
        meson test -C build-threads --no-rebuild --print-errorlogs --timeout-multiplier 20 \
        core_together field_fit field_many field_doubt field_joint draw_picture map_job cli_map cli_plan \
        cli_progress page_server page_view page_routes library_two_jobs
}

# One file a call: several in one call share what the analyzer holds for uninitialized.
check_tidy() {
    set_up build || return 1
    find src -name '*.c' | sort | xargs -P "$(nproc)" -n 1 clang-tidy -p build --quiet 2>/dev/null
}

check_cppcheck() {
    cppcheck --enable=warning,performance,portability --std=c11 --quiet --error-exitcode=1 \
        --suppressions-list=tests/cppcheck.txt -D_XOPEN_SOURCE=700 -Iinclude -Isrc -j "$(nproc)" src
}

check_gsl() {
    PKG_CONFIG_PATH=${GSL_PREFIX:?names where the other GSL is installed}/lib/pkgconfig
    LD_LIBRARY_PATH=$GSL_PREFIX/lib
    export PKG_CONFIG_PATH LD_LIBRARY_PATH
    set_up build-gsl -Dwerror=true || return 1
    echo "GSL $(pkg-config --modversion gsl): $(ldd build-gsl/src/cli/spotfield | grep 'libgsl\.')"
    meson test -C build-gsl --no-rebuild --print-errorlogs --timeout-multiplier 3
}

# run CHECK TOOL
run() {
    printf '\n=== %s ===\n' "$1"
    if ! command -v "$2" >/dev/null; then
        echo "$2 is not installed"
        failed=$((failed + 1))
    elif "check_$1"; then
        echo "$1: passed"
        passed=$((passed + 1))
    else
        echo "$1: FAILED"
        failed=$((failed + 1))
    fi
}

[ $# -gt 0 ] || set -- clang valgrind threads tidy cppcheck
for check in "$@"; do
    case $check in
    clang | valgrind | cppcheck) run "$check" "$check" ;;
    threads) run threads cc ;;
    gsl) run gsl pkg-config ;;
    tidy) run tidy clang-tidy ;;
    *)
        echo "unknown check $check: clang, valgrind, threads, tidy, cppcheck, gsl"
        exit 64
        ;;
    esac
done
printf '\n%d checks passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
