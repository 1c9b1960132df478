# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds manual pages and tables against the code, both ways: test_docs.py SPOTFIELD SOURCE_ROOT RANGES.
Options of the man page, policy keys, columns of the job files with their ranges and of the result
files."""
import csv
import pathlib
import re
import subprocess
import sys
import tempfile

program, root, ranges = sys.argv[1], pathlib.Path(sys.argv[2]), sys.argv[3]
faults = []


def words_of(name):
    return (root / name).read_text(encoding='utf-8')


def expect_same(what, documented, real):
    if not real:
        faults.append(f'{what}: the code was not understood')
    if documented - real:
        faults.append(f'{what}: documented only: {sorted(documented - real)}')
    if real - documented:
        faults.append(f'{what}: not documented: {sorted(real - documented)}')


def help_of(*words):
    return subprocess.run([program, *words, '--help'], capture_output=True, text=True,
                          check=True).stdout


def options_in(words):
    return set(re.findall(r'^  (?:(-\w), |    )--([\w-]+)', words, re.M))


def check_man():
    page = words_of('docs/spotfield.1')
    commands = re.findall(r'^  (\w+) [A-Z]+\b', help_of().split('Commands:')[1], re.M)
    expect_same('commands of the man page', set(re.findall(r'^\.It Cm (\w+) Ar', page, re.M)),
                set(commands))
    synopsis = page.split('.Sh SYNOPSIS', 1)[1].split('.Sh', 1)[0]
    expect_same('commands of the synopsis', set(re.findall(r'^\.Cm (\w+)', synopsis, re.M)),
                set(commands))
    for command in commands:
        told = page.split(f'.It Cm {command} Ar', 1)[1]
        told = re.split(r'^\.It Cm \w+ Ar|^Without a command', told, maxsplit=1, flags=re.M)[0]
        found = {(f'-{letter}', name) for letter, name in
                 re.findall(r'^\.It Fl (\w) (?:Ar \w+ )?, Fl -([\w-]+)', told, re.M)}
        found |= {('', name) for name in re.findall(r'^\.It Fl -([\w-]+)', told, re.M)}
        # of every command at once: -h, --help
        expect_same(f'options of {command}', found | {('-h', 'help')}, options_in(help_of(command)))


def table_names(words):
    """Names in the first cell of each row of a table."""
    return {name for row in re.findall(r'^\| (`[^|]*)\|', words, re.M)
            for name in re.findall(r'`([^`]+)`', row)}


def section(words, heading):
    return re.split(r'^##', words.split(f'### {heading}\n', 1)[1], maxsplit=1, flags=re.M)[0]


def check_policy():
    code = words_of('src/job/policy.c')
    expect_same('policy keys', table_names(words_of('docs/policy.md')),
                set(re.findall(r'\{KEY\((\w+),', code)))


# the file of the manual, its source, and the array that lists what it may hold
tables = [('board.csv', 'board_file.c', 'board_keys'), ('readings.csv', 'readings_file.c', 'reading_columns'),
          ('parts.csv', 'parts_file.c', 'part_columns'), ('sources.csv', 'sources_file.c', 'source_columns'),
          ('history.csv', 'history_file.c', 'period_columns'), ('controls.csv', 'history_file.c', 'control_columns')]


def check_columns():
    manual = words_of('docs/files.md')
    for file, source, array in tables:
        code = words_of(f'src/job/{source}')
        listed = re.search(rf'{array}\[\] = \{{(.*?)^\}};', code, re.M | re.S)
        names = re.findall(r'\.name = "(\w+)"|\bKEY\((\w+)|^\s*\{\{?"(\w+)"|_COLUMN\("(\w+)"', listed.group(1), re.M)
        expect_same(f'columns of {file}', table_names(section(manual, file)),
                    {name for choices in names for name in choices if name})


# what is held against the rest of the job, or against its unit, and documented in words
in_words = {'x_mm', 'y_mm', 'value', 'col', 'row'}


def number(value):
    return f'{float(value):,.6f}'.rstrip('0').rstrip('.')


def check_ranges():
    manual = words_of('docs/files.md')
    told = subprocess.run([ranges], capture_output=True, text=True, check=True).stdout.splitlines()
    if len(told) < 40:
        faults.append('ranges: the program tells too few')
    for file, name, least, most in map(str.split, told):
        if name in in_words:
            continue
        heading = 'thermogram.csv and marks.csv' if file == 'marks.csv' else file
        rows = re.findall(rf'^\| [^|]*`{name}`[^|]*\|[^|]*\|([^|]*)\|', section(manual, heading), re.M)
        # a year is written without a comma, and a source is at most as wide as its board
        wanted = (f'{least} to {most}' if float(least) == 1900 else
                  f'{number(least)} mm to the board' if file == 'sources.csv' and name in
                  ('width_mm', 'height_mm') else f'{number(least)} to {number(most)}')
        if len(rows) != 1 or not re.search(rf'(?<![\d.-]){re.escape(wanted)}(?![\d,]*\d)', rows[0]):
            faults.append(f'range of {name} in {file}: documented {rows}, in the code {wanted}')


def check_results():
    manual = words_of('docs/files.md')
    with tempfile.TemporaryDirectory() as folder:
        for command in ('map', 'plan'):
            subprocess.run([program, command, root / 'samples/minimal', '--quiet', '--out', folder],
                           check=True)
        for table in sorted(pathlib.Path(folder).glob('*.csv')):
            with open(table, newline='', encoding='utf-8') as file:
                header = set(next(csv.reader(file)))
            told = section(manual, f'<a id="out-{table.stem}"></a>{table.name}')
            missing = header - set(re.findall(r'`([^`]+)`', told))
            if missing:
                faults.append(f'result {table.name}: not documented: {sorted(missing)}')
            invented = table_names(told) - header
            if invented:
                faults.append(f'result {table.name}: documented only: {sorted(invented)}')


def size_of(picture):
    # W3C PNG specification, 11.2.2 IHDR: width and height are bytes 16 to 23
    return picture.read_bytes()[16:24]


def check_picture():
    """The README's picture is what the program draws: as large, though not byte by byte, since fonts differ."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([program, 'map', root / 'demo/desk-supply', '--quiet', '--out', folder], check=True)
        if size_of(pathlib.Path(folder, 'heat.png')) != size_of(root / 'docs/images/heat.png'):
            faults.append('docs/images/heat.png: not what the demo gives now, draw it again')


def check_isolation():
    """What an isolating transformer takes away is one sentence, wherever hands may go in."""
    pieces = words_of('src/output/report/assets/pieces.txt').replace('\\\n', '')
    said = re.search(r'^== CAUTION_ISOLATION\n(.+)$', pieces, re.M)[1]
    for name in ('docs/cautions.md', 'docs/spotfield.1', 'src/page/assets/probe.js'):
        if said not in ' '.join(words_of(name).split()):
            faults.append(f'{name}: the caution about isolation is not that of pieces.txt')


check_man()
check_isolation()
check_policy()
check_columns()
check_ranges()
check_results()
check_picture()
print('\n'.join(faults))
sys.exit(bool(faults))
