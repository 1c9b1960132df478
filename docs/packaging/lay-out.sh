#!/bin/sh
# Lays out a Debian source tree of the last commit in FOLDER (new), ready for dpkg-buildpackage:
#     sh docs/packaging/lay-out.sh /tmp/spotfield && cd /tmp/spotfield && dpkg-buildpackage -us -uc -b
# Debian's packages debhelper, devscripts and lintian are needed beside those that debian/control names.
# The version and the library's number are those of meson.build. -S instead of -b makes the source package.
# `lintian -I ../*.changes` then tells one thing, that there is no list of symbols: the number is raised instead
# whenever a linked program would no longer run, and library_symbols holds what is exported.
set -eu
[ $# -eq 1 ] && [ ! -e "$1" ] || {
    echo "usage: lay-out.sh FOLDER, which must not exist" >&2
    exit 64
}
root=$(cd "$(dirname "$0")/../.." && pwd)
version=$(sed -n "s/^  version: '\(.*\)',$/\1/p" "$root/meson.build" | head -1)
number=$(sed -n "s/^abi_version = '\([0-9]*\)\..*/\1/p" "$root/meson.build")
mkdir "$1"
git -C "$root" archive HEAD | tar -x -C "$1"
cp -r "$root/docs/packaging/debian" "$1/debian"
sed -i "s/@NUMBER@/$number/g" "$1/debian/control" "$1/debian/libspotfield.install"
mv "$1/debian/libspotfield.install" "$1/debian/libspotfield$number.install"
printf 'spotfield (%s) UNRELEASED; urgency=medium\n\n  * Packaged from source; see the changelog in the documents.\n\n -- %s  %s\n' \
    "$version" 'spotfield maintainers <maintainers@spotfield.invalid>' \
    "$(git -C "$root" log -1 --format=%cD)" >"$1/debian/changelog"
