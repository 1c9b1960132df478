#!/bin/sh
# Lays out a Debian source tree of the last commit in FOLDER (new), ready for dpkg-buildpackage:
#     sh docs/packaging/lay-out.sh /tmp/spotfield && cd /tmp/spotfield && dpkg-buildpackage -us -uc -b
# Debian's packages debhelper, devscripts and lintian are needed beside those that debian/control names.
set -eu
[ $# -eq 1 ] && [ ! -e "$1" ] || {
    echo "usage: lay-out.sh FOLDER, which must not exist" >&2
    exit 64
}
root=$(cd "$(dirname "$0")/../.." && pwd)
version=$(sed -n "s/^  version: '\(.*\)',$/\1/p" "$root/meson.build" | head -1)
mkdir "$1"
git -C "$root" archive HEAD | tar -x -C "$1"
cp -r "$1/docs/packaging/debian" "$1/debian"
printf 'spotfield (%s) UNRELEASED; urgency=medium\n\n  * Packaged from source; see the changelog in the documents.\n\n -- %s  %s\n' \
    "$version" 'spotfield maintainers <maintainers@spotfield.invalid>' \
    "$(git -C "$root" log -1 --format=%cD)" >"$1/debian/changelog"
