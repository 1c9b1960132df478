# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Builds emscripten's own libraries: system.py CACHE NAME... As emscripten does it, but clang is called
without emcc's Python around each of the thousand files, which takes longer than the compiling."""
import os
import runpy
import stat
import subprocess
import sys

ROOT = '/usr/share/emscripten'


def compiler(cache):
    """A program that does for a C file what emcc does."""
    flags = subprocess.run(['emcc', '--cflags'], check=True, capture_output=True, text=True).stdout
    path = os.path.join(cache, 'cc')
    with open(path, 'w', encoding='ascii') as made:
        made.write(f'#!/bin/sh\n# what begins with -s is for emcc alone\n'
                   'for word; do shift; case $word in -s*) ;; *) set -- "$@" "$word" ;; esac; done\n'
                   f'exec clang-14 {flags.strip()} "$@"\n')
    os.chmod(path, os.stat(path).st_mode | stat.S_IXUSR)
    return path


def main():
    cache, names = sys.argv[1], sys.argv[2:]
    sys.path.insert(0, ROOT)
    from tools import shared  # of emscripten
    shared.EMCC = compiler(cache)
    sys.argv = ['embuilder', 'build', *names]
    runpy.run_path(os.path.join(ROOT, 'embuilder.py'), run_name='__main__')


main()
