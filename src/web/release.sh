#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Lays out a release: release.sh CACHE OUT VERSION. OUT/release gets the file with its hash, the licences
# of all that is inside, and how to build it again byte for byte.
set -eu
cache=$1 out=$2 version=$3
root=$(cd "$(dirname "$0")/../.." && pwd)
release=$out/release
rm -rf "$release"
mkdir -p "$release/licences"
cp "$out/spotfield.html" "$release/"
(cd "$release" && sha256sum spotfield.html > spotfield.html.sha256)
cp "$cache/sources.txt" "$release/sources.txt"
cp "$root/LICENSE" "$release/licences/spotfield"
for package in $(cut -d' ' -f1 "$cache/sources.txt"); do
  cp "$cache/sources/$package"-[0-9]*/debian/copyright "$release/licences/$package"
done
cp /usr/share/doc/fonts-dejavu-core/copyright "$release/licences/fonts-dejavu"
cp /usr/share/doc/emscripten/copyright "$release/licences/emscripten"
tools=$(dpkg-query -W -f '${Package} ${Version}\n' emscripten clang-14 lld-14 llvm-14 binaryen esbuild fonttools fonts-dejavu-core)
cat > "$release/README.txt" <<END
spotfield $version in one file: open spotfield.html in a browser. Nothing is installed, nothing is sent.

The file holds the programs and the font whose licences stand in the folder licences. As a whole it is
under the GNU General Public License, version 3 or later, as spotfield itself.

To build it again byte for byte, on a Debian with the tools below, in spotfield's source:
  sh src/web/build.sh build-web sources.txt
  sha256sum -c spotfield.html.sha256       (in build-web)

Tools:
$tools
Node.js $(node --version)

The sources of the libraries are Debian's source packages of the versions in sources.txt.
END
echo "release: $release"
