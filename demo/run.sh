#!/bin/sh
# Sets up what is missing, builds, and maps the demo board: demo/desk-supply.
#
# The board is the rack power supply of a community radio station's mixing desk, made in 1998 and on
# the air for about 61,000 hours: 220 x 160 mm, mains on the left behind an isolation slot, 8 known
# heat sources, 24 readings (29 rows, one a warm-up series), 90 electrolytic capacitors. Which of them
# have to go? Board, station, survey and all numbers are invented; the readings come from a simulated
# board (tests/benchmark/simulate_job) on a grid and with losses that the program does not know.
set -eu
cd "$(dirname "$0")/.."

sh .ci/setup.sh build
[ -f build/build.ninja ] || meson setup build
ninja -C build src/cli/spotfield
job=demo/desk-supply
build/src/cli/spotfield map "$job"
echo
echo "heat map:    $PWD/$job/out/heat.png"
echo "uncertainty: $PWD/$job/out/uncertainty.png"
echo "report:      $PWD/$job/out/report.html"
