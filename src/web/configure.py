# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Writes the ninja file: configure.py CACHE OUT. CACHE has the unpacked sources, OUT gets what is built."""
import glob
import os
import re
import subprocess
import sys

from libraries import LIBRARIES

WEB = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(WEB))
ROOMS = ['core', 'job', 'readings', 'field', 'life', 'survey', 'output', 'output/draw', 'output/report', 'page']
# sockets, threads and locks have no place in a browser: src/web stands in for them
LEFT_OUT = {'core/platform_windows.c', 'page/assets.c', 'page/deadline.c', 'page/desk.c', 'page/guard.c', 'page/job_lock.c',
            'page/planner.c', 'page/server.c', 'page/socket.c', 'page/stamp.c'}
# C files that others include
INCLUDED = re.compile('_source[.]c|/t_cholmod_|/cheb_eval|/test')
OWN_FLAGS = '-std=c17 -D_XOPEN_SOURCE=700 -Wall -Wextra -Werror'
# -ffp-contract=off: each product is rounded, as natively
FLAGS = '-O2 -ffp-contract=off -w'
EXPORTS = ['web_open', 'web_ask', 'web_reply_bytes', 'web_reply_size', 'web_reply_type', 'web_reply_end',
           'web_unzip', 'web_left_out', 'web_zip', 'malloc', 'free']
LINK = [
    '-O2', '-sDEFAULT_TO_CXX=0', '-sALLOW_MEMORY_GROWTH=1', '-sINITIAL_MEMORY=33554432', '-sTOTAL_STACK=2097152', '-sMODULARIZE=1',
    '-sEXPORT_NAME=spotfield', '-sENVIRONMENT=worker,node', '-sFORCE_FILESYSTEM=1', '-sSUPPORT_LONGJMP=emscripten',
    '-sEXPORTED_RUNTIME_METHODS=FS,ccall,HEAPU8,UTF8ToString', '-sABORTING_MALLOC=0', '-sDYNAMIC_EXECUTION=0',
    # a browser compiles a function anew when it is much used: a loop is not to be part of a huge one
    '-sBINARYEN_EXTRA_PASSES=--one-caller-inline-max-function-size=20',
    '-sEXPORTED_FUNCTIONS=' + ','.join('_' + name for name in EXPORTS)]


def source_of(package, cache):
    """The folder that Debian's source package was unpacked into."""
    found = glob.glob(os.path.join(cache, 'sources', package + '-[0-9]*/'))
    if len(found) != 1:
        sys.exit(f'{package}: {len(found)} unpacked sources instead of one')
    return found[0].rstrip('/')


def folder(name, of, cache):
    if name.startswith('='):
        return os.path.join(WEB, 'config', name[1:])
    if name.startswith('+'):
        return source_of(name[1:], cache)
    return os.path.join(of, name)


def includes(names, of, cache):
    return ' '.join('-I' + os.path.normpath(folder(name, of, cache)) for name in names.split())


def library_sources(cache):
    """(object's name, path, flags) of each file of a library."""
    for name, (package, files, flags, headers) in LIBRARIES.items():
        of = source_of(package, cache)
        for pattern in files.split():
            found = sorted(path for path in glob.glob(os.path.join(of, pattern)) if not INCLUDED.search(path))
            if not found:
                sys.exit(f'{package} has no {pattern}')
            for path in found:
                inside = os.path.relpath(path, of).replace('/', '-')
                yield f'{name}/{inside}.o', path, f'{FLAGS} {flags} {includes(headers, of, cache)}'


def own_sources(cache, out):
    headers = ' '.join(includes(headers, source_of(package, cache), cache)
                       for package, _, _, headers in LIBRARIES.values()
                       if package not in ('libjpeg-turbo',))
    flags = f'-O2 -ffp-contract=off {OWN_FLAGS} -I{ROOT}/include -I{ROOT}/src -I{out}/include {headers}'
    flags = flags.replace(f'-I{WEB}/config/gsl ', '')
    for room in ROOMS:
        with open(os.path.join(ROOT, 'src', room, 'meson.build'), encoding='utf-8') as meson:
            names = re.findall(r"'([a-z_0-9]+\.c)'", meson.read())
        for name in sorted(set(names)):
            if f'{room}/{name}' not in LEFT_OUT and os.path.exists(os.path.join(ROOT, 'src', room, name)):
                yield f'own/{room}-{name}.o', os.path.join(ROOT, 'src', room, name), flags
    for path in sorted(glob.glob(os.path.join(WEB, '*.c'))):
        yield f'own/web-{os.path.basename(path)}.o', path, flags
    yield 'own/report_assets.o', 'report_assets.c', flags


def write(cache, out):
    cflags = subprocess.run(['emcc', '--cflags'], check=True, capture_output=True, text=True).stdout.strip()
    maps = f'-ffile-prefix-map={ROOT}=. -ffile-prefix-map={cache}=.'
    objects = {'own': [], 'library': []}
    lines = [f'cflags = {cflags} {maps}',
             'rule cc', '  command = clang-14 $cflags $flags -MMD -MF $out.d -c $in -o $out', '  depfile = $out.d',
             '  deps = gcc', '  description = $out',
             'rule ar', '  command = rm -f $out && llvm-ar-14 crD $out $in', '  description = $out',
             'rule link', f'  command = emcc {" ".join(LINK)} $in -o $out', '  description = $out',
             'rule embed', '  command = python3 $in_script $out $pairs', '']
    assets = f'{ROOT}/src/output/report/assets'
    lines += [f'build report_assets.c: embed | {assets}/family.css {assets}/report.css {assets}/report.js',
              f'  in_script = {ROOT}/src/output/report/embed.py',
              f'  pairs = report_css={assets}/family.css+{assets}/report.css report_js={assets}/report.js',
              f'build include/output/report/report_pieces.h: embed | {assets}/pieces.txt',
              f'  in_script = {ROOT}/src/output/report/pieces.py', f'  pairs = {assets}/pieces.txt']
    for kind, sources in (('library', library_sources(cache)), ('own', own_sources(cache, out))):
        for made, path, flags in sources:
            objects[kind].append(made)
            first = ' || include/output/report/report_pieces.h' if kind == 'own' else ''
            lines += [f'build {made}: cc {path}{first}', f'  flags = {flags}']
    lines += ['build libraries.a: ar ' + ' '.join(objects['library']),
              'build spotfield.js | spotfield.wasm: link ' + ' '.join(objects['own']) + ' libraries.a',
              'default spotfield.js', '']
    with open(os.path.join(out, 'build.ninja'), 'w', encoding='utf-8') as made:
        made.write('\n'.join(lines))


write(*(os.path.abspath(path) for path in sys.argv[1:3]))
