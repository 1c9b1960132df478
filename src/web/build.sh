#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Builds spotfield.html, the bench page that needs no server: sh src/web/build.sh [OUT] [SOURCES.TXT]
# OUT (build-web) gets the file and a release folder. What takes long is kept in ~/.cache/spotfield-web,
# or where SPOTFIELD_WEB_CACHE says. SOURCES.TXT of a release takes the same sources again.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
list=${2:+$(realpath "$2")}
mkdir -p "${1:-build-web}"
out=$(cd "${1:-build-web}" && pwd)
cache=${SPOTFIELD_WEB_CACHE:-$HOME/.cache/spotfield-web}
mkdir -p "$cache"

# --- tools ---
lacking=
for package in emscripten esbuild fonttools fonts-dejavu-core ninja-build dpkg-dev llvm-14; do
  dpkg -s "$package" > /dev/null 2>&1 || lacking="$lacking $package"
done
if [ -n "$lacking" ]; then
  apt-get -q update
  # shellcheck disable=SC2086
  apt-get -q install -y --no-install-recommends $lacking
fi

# --- emscripten, with a cache of its own ---
sed 's/^FROZEN_CACHE.*/FROZEN_CACHE = False/' /usr/share/emscripten/.emscripten > "$cache/emscripten.config"
export EM_CONFIG="$cache/emscripten.config" EM_CACHE="$cache/em" EMSDK_PYTHON=/usr/bin/python3 EMCC_CORES=2
# what is needed beside node comes from Debian, also where node itself does not
export NODE_PATH=/usr/share/nodejs
export SOURCE_DATE_EPOCH=0 LC_ALL=C
/usr/bin/python3 "$here/system.py" "$cache" libc libcompiler_rt libdlmalloc libstubs crt1 libnoexit libsockets \
  libhtml5 libGL libal 2>&1 | sed -n '/built\|error/Ip'

# --- sources, program, page ---
sh "$here/sources.sh" "$cache" "$list"
/usr/bin/python3 "$here/configure.py" "$cache" "$out"
ninja -C "$out" -j2
# from the root: the paths it writes down are then the same everywhere
(cd "$root" && esbuild src/web/assets/start.js --bundle --format=iife --charset=utf8 --outfile="$out/page.js" --log-level=warning)
pyftsubset /usr/share/fonts/truetype/dejavu/DejaVuSans.ttf --output-file="$out/font.ttf" --no-hinting --legacy-kern \
  --layout-features= --notdef-outline --no-recalc-timestamp \
  --unicodes='U+20-24F,U+2B0-2FF,U+370-3FF,U+400-4FF,U+1E00-1EFF,U+2000-206F,U+20A0-20BF,U+2100-23FF,U+25A0-25FF,U+FB01-FB02,U+FFFD'
version=$(sed -n "s/^  version: '\(.*\)',/\1/p" "$root/meson.build" | head -1)
/usr/bin/python3 "$here/pack.py" "$out" "$version"
sh "$here/release.sh" "$cache" "$out" "$version"
