# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What the shared library shows of itself: test_symbols.py LIBRARY SOURCE_ROOT. Every symbol begins
with sf_, they are the functions that the public headers mark, and its name carries its version."""
import pathlib
import re
import subprocess
import sys

library, root = sys.argv[1], pathlib.Path(sys.argv[2])
faults = []


def output_of(*words):
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


def declared():
    """Functions that the public headers mark as exported."""
    words = '\n'.join(path.read_text(encoding='utf-8')
                      for path in (root / 'include/spotfield').glob('*.h'))
    return set(re.findall(r'^SF_API\b[^;{]*?\b(\w+)\(', words, re.M))


def exported():
    """Defined dynamic symbols, without what linker and instruments add of their own."""
    lines = output_of('nm', '-D', '--defined-only', library).splitlines()
    names = {line.split()[-1].split('@')[0] for line in lines}
    added = r'__bss_start|_edata|_end|_init|_fini|__(odr_)?asan.*|__ubsan.*|__gcov.*|mangle_path|__llvm.*'
    return {name for name in names if not re.fullmatch(added, name)}


functions, symbols = declared(), exported()
if not functions:
    faults.append('no public function was found in the headers')
faults += [f'{name} is exported and does not begin with sf_' for name in sorted(symbols)
           if not name.startswith('sf_')]
faults += [f'{name} is declared and not exported' for name in sorted(functions - symbols)]
faults += [f'{name} is exported and in no public header' for name in sorted(symbols - functions)]
version = re.search(r"^abi_version = '(\d+)\.", (root / 'meson.build').read_text(encoding='utf-8'), re.M)
soname = f'libspotfield.so.{version[1]}'
if f'[{soname}]' not in output_of('readelf', '-d', library):
    faults.append(f'the library does not call itself {soname}')
print('\n'.join(faults))
sys.exit(bool(faults))
