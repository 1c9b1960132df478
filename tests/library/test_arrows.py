# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""A room includes its own headers and those of rooms before it, public or private: test_arrows.py ROOT.
Every public header belongs to a room, pictures know nothing of what is written about them, and no two files of
the library share a name, but for what stands in for a file in a browser."""
import pathlib
import re
import sys

ROOMS = ['core', 'job', 'readings', 'field', 'life', 'survey', 'output', 'page', 'cli', 'web']
PUBLIC = {
    'core': ['api', 'diagnostic', 'geometry', 'status'],
    'job': ['job'],
    'readings': ['reading'],
    'field': ['field'],
    'life': ['life', 'plan', 'compare'],
    'survey': ['survey'],
    'output': ['draw', 'output'],
    'page': ['page'],
    'cli': ['spotfield'],  # all of them
}
ROOM_OF = {f'spotfield/{name}.h': room for room, names in PUBLIC.items() for name in names}


def room_of(included):
    return ROOM_OF[included] if included.startswith('spotfield/') else included.split('/')[0]


def main():
    root = pathlib.Path(sys.argv[1])
    files = sorted([*root.glob('src/**/*.[ch]'), *root.glob('include/spotfield/*.h')])
    faults, arrows, named = [], 0, {}
    for path in files:
        name = path.relative_to(root / ('include' if 'include' in path.parts else 'src')).as_posix()
        if room_of(name) != 'web' and 'include' not in path.parts:
            if path.name in named:
                faults.append(f'{name}: is called as {named[path.name]}')
            named[path.name] = name
        for line, text in enumerate(path.read_text(encoding='utf-8').splitlines(), 1):
            found = re.match(r'#include "([^"]+)"', text)
            if not found:
                continue
            included = found[1]
            arrows += 1
            where = f'{path.relative_to(root)}:{line}: {included}'
            if ROOMS.index(room_of(included)) > ROOMS.index(room_of(name)):
                faults.append(f'{where}: of a later room')
            if name.startswith('output/draw/') and included.startswith('output/') and \
                    not included.startswith('output/draw/'):
                faults.append(f'{where}: pictures know no words')
            if included == 'spotfield/spotfield.h' and room_of(name) not in ('cli', 'web'):
                faults.append(f'{where}: names every room')
    print('\n'.join(faults) or f'{arrows} arrows in {len(files)} files lead backwards')
    return 1 if faults or arrows < 500 else 0


sys.exit(main())
