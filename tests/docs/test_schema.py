# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Holds what --json prints against docs/schema, and its names against the result tables:
test_schema.py SPOTFIELD SOURCE_ROOT."""
import copy
import csv
import json
import pathlib
import subprocess
import sys
import tempfile

from schema import faults_of, schema_read

program, root = sys.argv[1], pathlib.Path(sys.argv[2])
jobs = [root / 'demo/desk-supply', *sorted(board.parent for board in root.glob('samples/*/board.csv'))]
faults = []


def output_of(command, job, folder):
    words = [program, command, str(job), '--json', '--quiet']
    done = subprocess.run(words if command == 'check' else [*words, '--width', '400', '--out', folder],
                          capture_output=True, text=True, check=False)
    return json.loads(done.stdout)


def comparison_of(before, after, folder):
    words = [program, 'compare', str(before), str(after), '--json', '--quiet', '--width', '400', '--out',
             folder]
    return json.loads(subprocess.run(words, capture_output=True, text=True, check=False).stdout)


def header_of(folder, table):
    with open(pathlib.Path(folder) / table, newline='', encoding='utf-8') as file:
        return next(csv.reader(file))


def note(what, found):
    faults.extend(f'{what}: {fault}' for fault in found)


def objects_in(value):
    """Every object in a value."""
    if isinstance(value, dict):
        yield value
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from objects_in(inner)


def check_breaks(what, printed, schema):
    """An output with a member missing, added or of another type must not pass."""
    broken = copy.deepcopy(printed)
    for one in objects_in(broken):
        for name in list(one):
            kept = one.pop(name)
            if not faults_of(broken, schema):
                faults.append(f'{what}: passes without {name}')
            one[name] = {'another': 'type'}
            if not faults_of(broken, schema):
                faults.append(f'{what}: passes with another type of {name}')
            one[name] = kept
        one['unknown'] = 7
        if not faults_of(broken, schema):
            faults.append(f'{what}: passes with an unknown member')
        del one['unknown']


def check_names(printed, folder, lists):
    """Objects of a list have the columns of their table, in their order."""
    for member, table in lists:
        header = header_of(folder, table)
        for row in printed[member]:
            if list(row) != header:
                faults.append(f'{table}: {header}, but JSON has {list(row)}')
                break


tables = {'check': [], 'plan': [('points', 'plan.csv')],
          'map': [('parts', 'parts.csv'), ('zones', 'zones.csv'), ('sources', 'sources.csv'),
                  ('kit', 'kit.csv')]}
for command, lists in tables.items():
    schema = schema_read(root / f'docs/schema/{command}.json')
    for job in jobs:
        with tempfile.TemporaryDirectory() as folder:
            printed = output_of(command, job, folder)
            note(f'{command} {job.name}', faults_of(printed, schema))
            check_names(printed, folder, lists)
            if job.name == 'minimal' or (command, job.name) == ('check', 'thermogram'):
                check_breaks(command, printed, schema)

schema = schema_read(root / 'docs/schema/check.json')
with tempfile.TemporaryDirectory() as folder:
    printed = output_of('check', folder, folder)
    note('check of an empty folder', faults_of(printed, schema))
    if printed['sound'] or printed['errors'] != 3 or printed['warnings'] != 1 or len(printed['complaints']) != 4:
        faults.append(f'an empty folder lacks three files and is asked for its mains, but JSON says {printed}')

schema = schema_read(root / 'docs/schema/compare.json')
for job in jobs:
    with tempfile.TemporaryDirectory() as folder:
        printed = comparison_of(job, job, folder)
        note(f'compare {job.name}', faults_of(printed, schema))
        header = header_of(folder, 'compare.csv')
        missing = [name for row in printed['parts'] for name in row if name not in header]
        if missing:
            faults.append(f'compare.csv: {header}, but JSON has {missing}')
        if job.name == 'minimal':
            check_breaks('compare', printed, schema)


# A whole job as JSON: out, in and out again it is the same byte by byte, and so are the results.
def exported(folder):
    return subprocess.run([program, 'check', str(folder), '--export'], capture_output=True, check=True).stdout


def results_of(folder, out):
    subprocess.run([program, 'map', str(folder), '--quiet', '--width', '400', '--out', out], check=True)
    return {path.name: path.read_bytes() for path in sorted(pathlib.Path(out).glob('*.csv'))}


schema = schema_read(root / 'docs/schema/job.json')
for job in jobs:
    with tempfile.TemporaryDirectory() as folder:
        place = pathlib.Path(folder)
        (place / 'job.json').write_bytes(exported(job))
        subprocess.run([program, 'bring', str(place / 'again'), str(place / 'job.json'), '--write'],
                       stdout=subprocess.DEVNULL, check=True)
        whole = json.loads((place / 'job.json').read_text(encoding='utf-8'))
        note(f'export of {job.name}', faults_of(whole, schema))
        if exported(place / 'again') != (place / 'job.json').read_bytes():
            faults.append(f'export of {job.name}: another one once it was brought')
        if results_of(job, folder + '/one') != results_of(place / 'again', folder + '/other'):
            faults.append(f'{job.name}: other results once it was exported and brought')
        if job.name == 'minimal':
            check_breaks('job', whole['tables']['parts.csv'], schema['properties']['tables']['properties']['parts.csv'])
print('\n'.join(faults))
sys.exit(bool(faults))
