#!/bin/sh
# Installs the packages of .ci/packages that this system lacks, by apt-get as root or with sudo.
# Does nothing where all are there. Called by tests/run.sh, and by demo/run.sh with the word "build",
# which leaves out the compilers that tests alone need.
set -eu
here=$(cd "$(dirname "$0")" && pwd)

command -v dpkg >/dev/null || {
    echo "setup: no dpkg here; install what .ci/packages lists by other means" >&2
    exit 0
}
missing=
while read -r package; do
    case ${1:-}:$package in
    *: | build:clang | build:gcc-mingw-*) continue ;;
    esac
    dpkg -s "$package" 2>/dev/null | grep -q '^Status: install ok installed' ||
        missing="$missing $package"
done <"$here/packages"
[ -n "$missing" ] || exit 0

as_root=
if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || {
        echo "setup: these packages are missing, and there is no sudo:$missing" >&2
        exit 1
    }
    as_root=sudo
fi
echo "setup: installing$missing"
$as_root apt-get update -qq
# shellcheck disable=SC2086 # a list of words on purpose
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends $missing
