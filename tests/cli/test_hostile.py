# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Gives the program malformed input, and holds tests/cli/hostile-input.md to what happens:
test_hostile.py SPOTFIELD SOURCE_ROOT [--turn N | --every | --write]. A case must end by itself with the exit status that
hostile_cases.py wants, say so in bounded words without control characters, and leave earlier results as they
were, or write results that are numbers and disarmed texts throughout. What it says stands in the document,
which --write writes anew.

Of the cases every STRIDE-th of a file is run, another one in the next file, so that each form of a file meets some
reader and each reader some forms; the first one changes from program to program, whose bytes choose the turn. The
others must stand in the document with their status. --every, for the night, and --write run them all."""
import argparse
import csv
import difflib
import math
import multiprocessing
import os
import pathlib
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import zlib

import hostile_page
from hostile_cases import CASES, DONE

MESSAGE_BYTES_MOST, MEMORY_MOST_KIB, CPU_SECONDS_MOST = 64 * 1024, 1024 * 1024, 100
NOBODY = 65534
STRIDE = 6
EARLIER = 'ref,x_mm,y_mm,temp_c,verdict\nC1,7,9,41.5,leave\n'
MACHINE = 'key,value,unit\nowner,Station association (invented),\nservice_goal,9000,h\n'
STATUSES = {0, 64, 65, 66, 70, 73}

HEAD = """# Hostile input

Malformed files and requests, and what the program does with them. Each row was run. The test `cli_hostile` runs a part
of them again, and all of them with `--every`, and fails where one ends differently, so this page shows what happens.
(The rows are written by `tests/cli/test_hostile.py --write`; the cases are in `tests/cli/hostile_cases.py` and
`hostile_page.py`.)

In every row:

- the program ended by itself, with an exit status of the manual, within {memory} MiB of memory;
- its message has no control character and at most {message} KiB;
- where the exit status is not 0, an earlier result and every file of the job are byte for byte as they were, and
  no new file is beside them;
- where it is 0 and results were written, no number in them is infinite or NaN, no cell begins like a formula,
  and no text of the job has become an element of the report.

The job is the one that `spotfield new` writes, or `samples/thermogram` for picture and marks; `check` was run
unless a row names another command. Of several messages the first is shown.
"""


# --- one run ---

def lay(model, sound, place):
    shutil.copytree(sound / model, place / 'JOB')
    shutil.copytree(sound / model, place / 'SECOND')
    (place / 'machine.csv').write_text(MACHINE)
    (place / 'OUT').mkdir()
    (place / 'OUT' / 'parts.csv').write_text(EARLIER)


def contents(place):
    """Of every file its bytes; of what is no file, that it is there."""
    found = {}
    for path in sorted(place.rglob('*')):
        regular = path.is_file() and not path.is_symlink() and os.access(path, os.R_OK)
        found[str(path.relative_to(place))] = (
            (path.stat().st_size, path.read_bytes()[:1 << 20]) if regular else '')
    return found


def before_program(case):
    """In the child: its limits, and another user for the superuser."""
    def act():
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS_MOST, CPU_SECONDS_MOST))
        for name, value in case.limits:
            resource.setrlimit(getattr(resource, name), (value, value))
        if case.no_root and os.geteuid() == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
    return act


def start(case, program, place):
    """Exit status, memory in KiB and what was said."""
    words = [re.sub(r'^(JOB|SECOND|OUT|FRESH|GONE)(?=/|$)', rf'{place}/\1', word) for word in case.words]
    if case.no_root:
        # where the tree itself is closed to others
        program = shutil.copy(program, place.parent / 'program')
    # what is covered is noted beside the program, where somebody else may not write
    surroundings = dict(os.environ, LC_ALL='C', **({'GCOV_PREFIX': '/dev/null'} if case.no_root else {}))
    with open(case.out_path or '/dev/null', 'wb') as out:
        # signals are as a shell leaves them: SIGXFSZ, which Python ignores, is restored
        run = subprocess.Popen([program, *words], stdin=subprocess.DEVNULL, stdout=out, stderr=subprocess.PIPE,
                               env=surroundings, preexec_fn=before_program(case))
        with run.stderr as message:
            said = message.read()
        _, ended, used = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(ended)
        return run.returncode, used.ru_maxrss, said


# --- what must hold ---

def faults_of_message(said):
    words = said.decode(errors='replace')
    if len(said) > MESSAGE_BYTES_MOST:
        yield f'says {len(said)} bytes'
    if re.search(r'[\x00-\x09\x0b-\x1f\x7f-\x9f]', words):
        yield 'says control characters'


def faults_of_tables(out):
    for table in out.glob('*.csv'):
        with open(table, newline='', encoding='utf-8') as file:
            for row in csv.reader(file):
                for cell in row:
                    try:
                        if not math.isfinite(float(cell)):
                            yield f'{table.name}: {cell}'
                    except ValueError:
                        if cell[:1] in tuple('=+-@\t\r'):
                            yield f'{table.name}: a formula, {cell[:40]}'


def faults_of_pages(out):
    for page in out.glob('*.html'):
        words = page.read_text(encoding='utf-8')
        for foreign in ('<script>alert(7)', '<img src=x', "x' onmouseover='", 'alert(7)</script>'):
            if foreign in words:
                yield f'{page.name}: {foreign}'


def faults_of_results(case, place):
    if not case.maps:
        return
    if (place / 'OUT' / 'parts.csv').read_text() == EARLIER and case.words[0] == 'map':
        yield 'no results were written'
    yield from faults_of_tables(place / 'OUT')
    yield from faults_of_pages(place / 'OUT')


def tell(case, status, said, place):
    """What happened, in words of one row."""
    lines = said.decode(errors='replace').replace(f'{place}/', '').splitlines()
    lines = [line for line in lines if not re.match(r'spotfield \w+: \d+ (error|warning)', line)]
    told = lines[0] if lines else 'taken'
    if status == DONE and case.words[0] == 'map':
        judged = len((place / 'OUT' / 'parts.csv').read_text().splitlines()) - 1
        # not which warning: its numbers are the fit's, and another compiler rounds them elsewhere
        told = f'{judged:,} parts judged' + (', with warnings' if lines else '')
    return told if len(told) <= 200 else told[:120] + ' … ' + told[-60:]


def run_case(number, program, sound):
    """Status, words of the row, and what is wrong with it."""
    case = CASES[number]
    with tempfile.TemporaryDirectory() as scratch:
        os.chmod(scratch, 0o755)
        place = pathlib.Path(scratch) / 'here'
        place.mkdir()
        lay(case.model, sound, place)
        case.damage(place / 'JOB')
        before = contents(place)
        status, memory_kib, said = start(case, program, place)
        faults = list(faults_of_message(said))
        if status != case.status or status not in STATUSES:
            faults.append(f'exit status {status}, wanted {case.status}')
        if memory_kib > MEMORY_MOST_KIB:
            faults.append(f'{memory_kib} KiB of memory')
        if status != DONE and not said:
            faults.append('fails without a word')
        if status == DONE:
            faults += faults_of_results(case, place)
        elif contents(place) != before and case.out_path != '/dev/full':
            faults.append('files have changed: ' + ', '.join(set(contents(place)) ^ set(before)))
        told = tell(case, status, said, place)
        for folder in place.rglob('*'):
            if folder.is_dir() and not folder.is_symlink():
                folder.chmod(0o755)
    return status, told, faults


# --- the document ---

def plain(words):
    """A cell of a table, nothing in it obeyed by Markdown."""
    words = re.sub(r'\s+', ' ', words)
    return words.replace('\\', '\\\\').replace('|', '\\|').replace('<', '&lt;').replace('*', '\\*')


def row(tried, status, told):
    return f'| {plain(tried)} | {status} | {plain(told)} |\n'


def render(rows):
    words = HEAD.format(memory=MEMORY_MOST_KIB // 1024, message=MESSAGE_BYTES_MOST // 1024)
    section = None
    for of, tried, status, told, *there in rows:
        if of != section:
            heading = f'`{of}`' if of.endswith('.csv') else of
            answer = 'answer' if of.startswith('Page') else 'exit'
            words += f'\n## {heading}\n\n| tried | {answer} | what happened |\n|---|---|---|\n'
            section = of
        words += f'{there[0]}\n' if there else row(tried, status, told)
    return words


def in_sections(rows):
    order = list(dict.fromkeys(of for of, *_ in rows))
    return sorted(rows, key=lambda each: order.index(each[0]))


def row_of(document, section, tried, status):
    """The row of the document about a case that ends with a status, or None."""
    heading = f'`{section}`' if section.endswith('.csv') else section
    told = document.split(f'\n## {heading}\n', 1)[-1].split('\n## ', 1)[0]
    begin = row(tried, status, '').removesuffix(' |\n')
    return next((line for line in told.split('\n') if line.startswith(begin)), None)


def compare(rendered, document):
    there = document.read_text(encoding='utf-8').splitlines()
    lines = difflib.unified_diff(there, rendered.splitlines(), document.name, 'what happened', n=0, lineterm='')
    return list(lines)


def lay_sound(program, source, sound):
    """Jobs without a fault, in which every file has a row."""
    subprocess.run([program, 'new', sound / 'starter'], check=True, stdout=subprocess.DEVNULL)
    with open(sound / 'starter' / 'history.csv', 'a', encoding='utf-8') as history:
        history.write('31000,33,1,\n9000,28,0.8,\n')
    with open(sound / 'starter' / 'policy.csv', 'a', encoding='utf-8') as policy:
        policy.write('seal_years,16,year\n')
    shutil.copytree(source / 'samples' / 'thermogram', sound / 'thermogram')
    (sound / 'thermogram' / 'mask.csv').write_text('ring,x_mm,y_mm\n1,5,5\n1,9,5\n1,9,9\n')


def sample(turn):
    """The numbers of cases: of each file and each command some."""
    sections, within, chosen = [], {}, set()
    for number, case in enumerate(CASES):
        if case.section not in sections:
            sections.append(case.section)
        within[case.section] = within.get(case.section, -1) + 1
        if (within[case.section] + sections.index(case.section)) % STRIDE == turn % STRIDE:
            chosen.add(number)
    for name in sorted({(case.section, case.words[:1]) for case in CASES}):
        those = [number for number, case in enumerate(CASES) if (case.section, case.words[:1]) == name]
        if not chosen & set(those):
            chosen.add(those[turn % len(those)])
    return sorted(chosen)


def run_cases(program, source, numbers):
    """What came of those cases, by their number, and of those of the page."""
    with tempfile.TemporaryDirectory() as scratch:
        sound = pathlib.Path(scratch)
        sound.chmod(0o755)
        lay_sound(program, source, sound)
        with multiprocessing.Pool() as pool:
            ended = pool.starmap(run_case, [(number, program, sound) for number in numbers], 1)
        return dict(zip(numbers, ended)), hostile_page.run(program, sound / 'thermogram')


def main(program, source, numbers, write):
    document = source / 'tests' / 'cli' / 'hostile-input.md'
    there = document.read_text(encoding='utf-8')
    ended, paged = run_cases(program, source, numbers)
    rows, faults = [], []
    for number, case in enumerate(CASES):
        name = f'{case.section}: {case.tried}'
        if number in ended:
            status, told, wrong = ended[number]
            rows.append((case.section, case.tried, status, told))
            faults += [f'{name}: {fault}; it said: {told}' for fault in wrong]
        else:
            line = row_of(there, case.section, case.tried, case.status)
            rows.append((case.section, case.tried, case.status, '', line))
            faults += [] if line else [f'{name}: does not stand in {document.name}']
    rows += [found[:4] for found in paged]
    faults += [f'{of}: {tried}: {fault}' for of, tried, _, _, wrong in paged for fault in wrong]
    rendered = render(in_sections(rows))
    if write:
        document.write_text(rendered, encoding='utf-8')
    else:
        faults += compare(rendered, document)
    print('\n'.join(faults))
    print(f'{len(ended) + len(paged)} of {len(rows)} cases, {len(faults)} faults')
    return 1 if faults else 0


def options():
    asked = argparse.ArgumentParser(prog='test_hostile.py', description=__doc__, add_help=False)
    asked.add_argument('program', type=os.path.abspath)
    asked.add_argument('source', type=pathlib.Path)
    asked.add_argument('--turn', type=int)
    asked.add_argument('--every', action='store_true')
    asked.add_argument('--write', action='store_true')
    return asked.parse_args()


if __name__ == '__main__':
    GIVEN = options()
    TURN = zlib.crc32(pathlib.Path(GIVEN.program).read_bytes()) % 997 if GIVEN.turn is None else GIVEN.turn
    EVERY = GIVEN.every or GIVEN.write
    print('all cases' if EVERY else f'turn {TURN}')
    sys.exit(main(GIVEN.program, GIVEN.source, range(len(CASES)) if EVERY else sample(TURN), GIVEN.write))
