# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Each file says whose it is and under which licence: test_spdx.py ROOT. A source does so at its head (SPDX 2.3,
annex E; the two tags as in the REUSE specification 3.0, from memory), every other file in .reuse/dep5."""
import fnmatch
import pathlib
import re
import subprocess
import sys

HOLDER, LICENCE = '2026 The spotfield authors', 'GPL-3.0-or-later'
FACTS = [f'{tag}: {fact}' for tag, fact in (('SPDX-FileCopyrightText', HOLDER), ('SPDX-License-Identifier', LICENCE))]
SOURCE = re.compile(r'(src|include|tests)/(.*/)?([^/]+\.(c|h|cpp|py|sh|mjs|js)|meson\.build)')
# byte for byte part of each report, where no line is to be wasted
AS_THEY_ARE = 'src/output/report/assets/'
BY_SUFFIX = {'.c': '/*', '.h': '/*', '.cpp': '/*', '.js': '//', '.mjs': '//'}


def has_head(name, text):
    """Whether the first two lines, after one of #!, are a comment of these facts and nothing else."""
    lines = text.splitlines()
    if lines[:1] and lines[0].startswith('#!'):
        del lines[0]
    mark = BY_SUFFIX.get(pathlib.PurePath(name).suffix, '#')
    wanted = [f'{mark} {fact}' for fact in FACTS]
    if mark == '/*':
        wanted = [wanted[0], f'   {FACTS[1]} */']
    return lines[:2] == wanted


def is_source(name):
    return bool(SOURCE.fullmatch(name)) and not name.startswith(AS_THEY_ARE)


def patterns_of(words):
    """What the paragraphs of a DEP-5 file name that tell this holder and licence."""
    found = []
    for paragraph in re.split(r'\n\s*\n', words):
        fields = dict(re.findall(r'^(\w[\w-]*): *((?:.*)(?:\n .*)*)', paragraph, re.M))
        if fields.get('Copyright') == HOLDER and fields.get('License') == LICENCE:
            found += fields.get('Files', '').split()
    return found


def faults_of(texts, patterns):
    """`texts` has the text of each source, and nothing of the other files."""
    faults = [f'{name}: does not begin with {" and ".join(FACTS)}' for name, text in texts.items()
              if is_source(name) and not has_head(name, text)]
    others = [name for name in texts if not is_source(name) and not name.startswith('LICENSE')]
    faults += [f'{name}: is named neither by its head nor by .reuse/dep5' for name in others
               if not any(fnmatch.fnmatchcase(name, pattern) for pattern in patterns)]
    faults += [f'.reuse/dep5: {pattern} names nothing that needs it' for pattern in patterns
               if not any(fnmatch.fnmatchcase(name, pattern) for name in others)]
    return faults


GOOD = {'src/a.c': f'/* {FACTS[0]}\n   {FACTS[1]} */\n\n/* A. */\n', 'tests/a.sh': f'#!/bin/sh\n# {FACTS[0]}\n# {FACTS[1]}\n',
        'src/page/assets/a.js': f'// {FACTS[0]}\n// {FACTS[1]}\n', 'src/meson.build': f'# {FACTS[0]}\n# {FACTS[1]}\n',
        'src/output/report/assets/report.js': None, 'docs/a.md': None, 'LICENSE': None}
NAMES = patterns_of(f'Format: x\n\nFiles: docs/*\n src/output/report/assets/*\nCopyright: {HOLDER}\nLicense: {LICENCE}\n'
                    f'\nFiles: demo/*\nCopyright: 2026 Another\nLicense: {LICENCE}\n')
assert NAMES == ['docs/*', 'src/output/report/assets/*'], NAMES
assert not faults_of(GOOD, NAMES), faults_of(GOOD, NAMES)
for changed in ({'src/a.c': '/* A. */\n'}, {'src/a.c': '\n' + GOOD['src/a.c']}, {'tests/a.sh': GOOD['src/a.c']},
                {'src/page/assets/a.js': GOOD['src/page/assets/a.js'].replace('GPL-3.0-or-later', 'MIT')},
                {'src/meson.build': ''}, {'demo/a.csv': None}):
    assert len(faults_of({**GOOD, **changed}, NAMES)) == 1, f'is not noticed: {changed}'
assert len(faults_of(GOOD, [*NAMES, 'samples/*'])) == 1, 'a pattern of nothing is not noticed'

root = pathlib.Path(sys.argv[1])
if not (root / '.git').exists():
    print('skipped: which files are the project\'s is known in a checkout alone, which this is not')
    sys.exit()
listed = subprocess.run(['git', '-C', root, 'ls-files', '-z'], capture_output=True, text=True, check=True).stdout
tracked = [name for name in listed.split('\0') if name and (root / name).is_file()]
told = faults_of({name: (root / name).read_text(encoding='utf-8') if is_source(name) else None for name in tracked},
                 patterns_of((root / '.reuse/dep5').read_text(encoding='utf-8')))
print('\n'.join([*told, f'{sum(map(is_source, tracked))} of {len(tracked)} files are sources']))
sys.exit(bool(told))
