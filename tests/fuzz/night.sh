#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Runs the fuzzers one after another and tells of each how many inputs it was fed:
#   sh tests/fuzz/night.sh BUILD FOUND RUNS [NAME...]
# BUILD was set up with -Dfuzz=true. What is learnt is kept in FOUND/NAME, so that the next night goes
# on from there, and corpus.py learn takes it into the archive; an input that breaks a reader is left in
# FOUND as NAME-crash-... Two calls with different names may run beside one another.
set -u
[ $# -ge 3 ] || { sed -n '/^# Runs/,/^set/s/^# \{0,1\}//p' "$0"; exit 64; }
build=$1 found=$2 runs=$3
shift 3
here=$(dirname "$0")
[ $# -gt 0 ] || set -- $(ls "$here/corpus" | grep -v '^job$') job map
# no stack is kept for each allocation, which is half of the time: give the input alone to see it
export ASAN_OPTIONS="malloc_context_size=0:${ASAN_OPTIONS:-}"
export UBSAN_OPTIONS="print_stacktrace=1:${UBSAN_OPTIONS:-}"
for name; do
    corpus=$name
    [ -d "$here/corpus/$corpus" ] || corpus=job
    mkdir -p "$found/$name"
    nice -n 19 "$build/tests/fuzz/fuzz_$name" -runs="$runs" -max_len="${MAX_LEN:-400}" -timeout=20 \
        -dict="$here/words.dict" -artifact_prefix="$found/$name-" \
        "$found/$name" "$here/corpus/$corpus" "$build/tests/fuzz/learned/$corpus" \
        >"$found/$name.log" 2>&1
    code=$?
    done=$(sed -n 's/^Done \([0-9]*\) runs.*/\1/p' "$found/$name.log")
    [ -n "$done" ] || done="$(sed -n 's/^#\([0-9]*\).*/\1/p' "$found/$name.log" | tail -1) and then stopped"
    echo "$name: fed $done times, exit $code"
done
