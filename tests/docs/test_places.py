# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""What the documents name is there: test_places.py SOURCE_ROOT. Links between documents and to their headings; files
that DEVELOPERS, the theory and the pages beside the tests name; and of a row of a table in DEVELOPERS that names a call
and a file, whether the file has it."""
import pathlib
import re
import sys

ROOT = pathlib.Path(sys.argv[1])
# made by a build or a run, invented as an example, or another project's
MADE = {'stdio.h', 'stdlib.h', 'gsl_errno.h', 'libblas.so.3', 'NAME_command.c', 'report_NAME.c', 'MY_MODEL.c'}
SOURCE = re.compile(r'[\w./-]*\b\w+\.(?:c|h|py|js|sh)\b(?!\w)')


def documents():
    left_out = {'build', 'node_modules', 'out', 'subprojects'}
    return [path for path in sorted(ROOT.rglob('*.md'))
            if not any(part in left_out or part.startswith(('build', '.')) for part in path.relative_to(ROOT).parts)]


def anchors(words):
    """Headings as a page of them is linked to: lower case, no marks, hyphens for spaces."""
    return {re.sub(r'[^\w\- ]', '', heading.lower()).replace(' ', '-')
            for heading in re.findall(r'^#+ (.*)$', words, re.M)} | set(re.findall(r'<a id="([^"]+)"', words))


def faults_of_links(path, words):
    for link in re.findall(r'\]\(([^)\s]+)\)', words):
        if re.match(r'[a-z]+:', link):
            continue
        file, _, anchor = link.partition('#')
        target = path.parent / file if file else path
        if not target.exists():
            yield f'{path.relative_to(ROOT)}: no {link}'
        elif anchor and anchor not in anchors(target.read_text(encoding='utf-8')):
            yield f'{path.relative_to(ROOT)}: {file} has no heading {anchor}'


def faults_of_files(path, words, names):
    for named in set(SOURCE.findall(words)):
        name = named.rsplit('/', 1)[-1]
        whole = named.startswith(('src/', 'tests/', 'docs/', 'include/', 'samples/', 'demo/'))
        if name not in MADE and (name not in names or (whole and not (ROOT / named).exists())):
            yield f'{path.relative_to(ROOT)}: no {named}'


def faults_of_calls(path, words):
    """Rows of a table such as | `call` | `src/file.c` | and clauses such as `call`, `src/file.c`."""
    for call, file in re.findall(r'`(\w+)`(?: \| |, )`(src/[\w/.]+\.c)`', words):
        if not re.search(rf'\b{call}\b', (ROOT / file).read_text(encoding='utf-8')):
            yield f'{path.relative_to(ROOT)}: {file} has no {call}'


def main():
    names = {path.name for folder in ('src', 'tests', 'include', 'samples', '.ci') for path in ROOT.joinpath(folder).rglob('*')}
    faults, calls = [], 0
    for path in documents():
        words = path.read_text(encoding='utf-8')
        faults += faults_of_links(path, words)
        if path.name in ('DEVELOPERS.md', 'theory.md', 'README.md', 'security.md'):
            faults += faults_of_files(path, words, names)
        if path.name == 'DEVELOPERS.md':
            faults += faults_of_calls(path, words)
            calls = len(re.findall(r'`\w+`(?: \| |, )`src/[\w/.]+\.c`', words))
    print('\n'.join(faults) or f'{calls} calls are where they are said to be')
    return 1 if faults or calls < 40 else 0


sys.exit(main())
