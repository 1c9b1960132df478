#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# The page without a server: builds it, and runs it in Chromium from the disk, beside the program built
# natively; in Firefox too, where firefox-esr, xvfb and xdotool are installed. Needs Debian's chromium, nodejs and npm;
# continuous integration has none of them.
#   sh tests/web.sh [FOLDER FOR PICTURES]
set -eu
cd "$(dirname "$0")/.."
pictures=$(realpath -m "${1:-build-web/pictures}")
[ -d build ] || meson setup build -Dwerror=true
ninja -C build src/cli/spotfield
sh src/web/build.sh build-web
cd tests/page/browser
npm ci
for browser in chromium firefox; do
  [ $browser = chromium ] || command -v firefox-esr Xvfb xdotool | wc -l | grep -q 3 || continue
  for script in web.js whole_job.js; do
    BROWSER=$browser node $script ../../../build/src/cli/spotfield "$pictures/$browser" ../../../build-web/spotfield.html
  done
done
