#!/bin/sh
# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

# Runs test_marking.mjs by node, which need not be there: skipped then, and told so.
node=$(command -v node) || { echo "skipped: node is not installed" >&2; exit 77; }
exec "$node" "$1" "$2"
