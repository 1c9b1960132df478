#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# The page without a server: builds it, and runs it in Chromium from the disk, beside the program built
# natively. Needs Debian's chromium, nodejs and npm; continuous integration has none of them.
#   sh tests/web.sh [FOLDER FOR PICTURES]
set -eu
cd "$(dirname "$0")/.."
pictures=$(realpath -m "${1:-build-web/pictures}")
[ -d build ] || meson setup build -Dwerror=true
ninja -C build src/cli/spotfield
sh src/web/build.sh build-web
cd tests/page/browser
npm ci
node web.js ../../../build/src/cli/spotfield "$pictures" ../../../build-web/spotfield.html
node whole_job.js ../../../build/src/cli/spotfield "$pictures" ../../../build-web/spotfield.html
