#!/bin/sh
# Runs test_marking.mjs by node, which need not be there: skipped then, and told so.
node=$(command -v node) || { echo "skipped: node is not installed" >&2; exit 77; }
exec "$node" "$1" "$2"
