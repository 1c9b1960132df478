#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Fetches and unpacks the sources of the libraries from Debian's source packages: sources.sh CACHE [LIST]
# apt checks each file against the signed index. LIST has lines "package version", to take those again;
# without it the newest is taken that can be had. CACHE/sources.txt tells which they are.
set -eu
cache=$1 list=${2:-}
packages='gsl suitesparse libgd2 libpng1.6 libjpeg-turbo zlib freetype jansson libcsv libexif minizip'
[ -f "$cache/sources.txt" ] && { [ -z "$list" ] || cmp -s "$list" "$cache/sources.txt"; } && exit 0

# the system's own sources, as source packages, and lists beside those of the system
rm -rf "$cache/sources" "$cache/sources.part"
mkdir -p "$cache/apt/parts" "$cache/apt/lists/partial" "$cache/sources"
for part in /etc/apt/sources.list.d/*.sources; do
  [ -f "$part" ] && sed 's/^Types:.*/Types: deb-src/' "$part" > "$cache/apt/parts/$(basename "$part")"
done
for part in /etc/apt/sources.list /etc/apt/sources.list.d/*.list; do
  [ -f "$part" ] && sed -n 's/^deb /deb-src /p' "$part" > "$cache/apt/parts/$(basename "$part" .list).list"
done
cat > "$cache/apt/conf" <<END
Dir::State::lists "$cache/apt/lists";
Dir::Etc::SourceList "/dev/null";
Dir::Etc::SourceParts "$cache/apt/parts";
APT::Sandbox::User "root";
END
export APT_CONFIG="$cache/apt/conf"
apt-get -q update

versions() {
  if [ -n "$list" ]; then sed -n "s/^$1 //p" "$list"
  else apt-cache showsrc --only-source "$1" | sed -n 's/^Version: //p' | sort -rV -u; fi
}

cd "$cache/sources"
for package in $packages; do
  taken=
  for version in $(versions "$package"); do
    # an index may name what its mirror has not got yet
    apt-get -qq source "$package=$version" && taken=$version && break
  done
  [ -n "$taken" ] || { echo "sources.sh: no source of $package can be had" >&2; exit 1; }
  echo "$package $taken" >> "$cache/sources.part"
done

# headers where each library's own build puts them
cd "$cache/sources"/gsl-[0-9]*/ && mkdir -p headers/gsl && cp gsl_*.h ./*/gsl_*.h headers/gsl/
cd "$cache/sources"/suitesparse-[0-9]*/ && mkdir -p headers/suitesparse &&
  cp SuiteSparse_config/*.h AMD/Include/*.h COLAMD/Include/*.h CHOLMOD/Include/*.h headers/suitesparse/
cd "$cache/sources"/libpng1.6-*/ && cp scripts/pnglibconf.h.prebuilt pnglibconf.h
cd "$cache/sources"/libjpeg-turbo-*/ && sed 's/@COPYRIGHT_YEAR@/1991-2023/' jversion.h.in > jversion.h
mv "$cache/sources.part" "$cache/sources.txt"
