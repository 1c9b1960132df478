# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Turns the pieces of the pages into strings of C: pieces.py OUTPUT.h PIECES.txt. The file says how it is written."""
import re
import sys


def literal(words):
    """A string of C in ASCII: octal, since a hexadecimal escape would take the digits behind it in."""
    marks = {ord('"'): '\\"', ord('\\'): '\\\\', ord('\n'): '\\n'}
    return ''.join(marks.get(byte) or (chr(byte) if byte < 0x80 else f'\\{byte:03o}') for byte in words.encode())


def main():
    output, source = sys.argv[1:]
    with open(source, encoding='utf-8') as read:
        pieces = re.split(r'^== (\w+)\n', read.read(), flags=re.MULTILINE)[1:]
    with open(output, 'w', encoding='ascii') as made:
        for name, words in zip(pieces[::2], pieces[1::2]):
            made.write(f'#define {name} "{literal(words[:-1].replace(chr(92) + chr(10), ""))}"\n')


main()
