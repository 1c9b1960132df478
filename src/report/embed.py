"""Turns files into C arrays with their SHA-256: embed.py OUTPUT.c NAME=FILE ..."""
import base64
import hashlib
import sys


def array(name, data):
    digest = base64.b64encode(hashlib.sha256(data).digest()).decode()
    rows = [', '.join(str(byte) for byte in data[at:at + 20]) for at in range(0, len(data), 20)]
    return (f'static const unsigned char {name}_bytes[] = {{\n' + ',\n'.join(rows) + '};\n'
            f'const asset {name} = {{{name}_bytes, sizeof {name}_bytes, "{digest}"}};\n')


def main():
    output, pairs = sys.argv[1], (pair.split('=', 1) for pair in sys.argv[2:])
    with open(output, 'w', encoding='ascii') as made:
        made.write('#include "report/assets.h"\n')
        for name, path in pairs:
            with open(path, 'rb') as source:
                made.write(array(name, source.read()))


main()
