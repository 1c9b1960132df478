# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Turns files into C arrays with their SHA-256: embed.py OUTPUT.c NAME=FILE[+FILE]... ..., files
joined by + one after another."""
import base64
import hashlib
import sys


def array(name, data):
    digest = base64.b64encode(hashlib.sha256(data).digest()).decode()
    rows = [', '.join(str(byte) for byte in data[at:at + 20]) for at in range(0, len(data), 20)]
    return (f'static const unsigned char {name}_bytes[] = {{\n' + ',\n'.join(rows) + '};\n'
            f'const asset {name} = {{{name}_bytes, sizeof {name}_bytes, "{digest}"}};\n')


def read(path):
    with open(path, 'rb') as source:
        return source.read()


def main():
    output, pairs = sys.argv[1], (pair.split('=', 1) for pair in sys.argv[2:])
    with open(output, 'w', encoding='ascii') as made:
        made.write('#include "output/report/report_assets.h"\n')
        for name, paths in pairs:
            made.write(array(name, b''.join(read(path) for path in paths.split('+'))))


main()
