# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The library's rooms as Windows has them: each file passes the syntax of Debian's gcc-mingw-w64-x86-64, with the headers
of this system's libraries. Nothing is linked or run. Skipped where that compiler is missing.
  test_windows.py BUILD SOURCES"""

import concurrent.futures
import glob
import os
import shutil
import subprocess
import sys

COMPILER = 'x86_64-w64-mingw32-gcc'
ROOMS = ('core', 'job', 'readings', 'field', 'life', 'survey', 'output')
# what C17 leaves to a warning, and what 32 bits of a long would break
STRICT = ('implicit-function-declaration', 'incompatible-pointer-types', 'int-conversion')
SKIPPED = 77


def folders(build, sources):
    own = [os.path.join(root, name) for root in (sources, build) for name in ('include', 'src')]
    found = subprocess.run(['pkg-config', '--cflags-only-I', 'freetype2'], capture_output=True, text=True, check=False)
    # behind those of Windows, whose names of the C library come first
    behind = [word[2:] for word in found.stdout.split()] + ['/usr/include']
    machine = subprocess.run(['gcc', '-print-multiarch'], capture_output=True, text=True, check=False).stdout.strip()
    return own, behind + [f'/usr/include/{machine}']


def faults(command, path):
    ended = subprocess.run(command + [path], capture_output=True, text=True, check=False)
    return ended.stderr if ended.returncode else ''


def main(build, sources):
    if not shutil.which(COMPILER):
        print(f'skipped: no {COMPILER}')
        return SKIPPED
    own, behind = folders(build, sources)
    command = [COMPILER, '-std=gnu17', '-D_FILE_OFFSET_BITS=64', '-D__USE_MINGW_ANSI_STDIO=1', '-fsyntax-only',
               *(f'-Werror={name}' for name in STRICT), *(f'-I{name}' for name in own)]
    command += [word for name in behind for word in ('-idirafter', name)]
    paths = [path for room in ROOMS for path in glob.glob(os.path.join(sources, 'src', room, '**', '*.c'), recursive=True)
             if os.path.basename(path) != 'platform_posix.c']
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        told = [words for words in pool.map(lambda path: faults(command, path), sorted(paths)) if words]
    print('\n'.join(told))
    print(f'{len(paths) - len(told)} of {len(paths)} files pass the syntax')
    return 1 if told or len(paths) < 100 else 0


sys.exit(main(*sys.argv[1:3]))
