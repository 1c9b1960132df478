# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Whether a job gives the same results everywhere: same_answer.py SPOTFIELD SOURCE_ROOT runs the demo
and the samples in another locale, another time zone and on one processor, and compares every file
byte by byte. same_answer.py --builds SOURCE_ROOT builds with three sets of compiler and optimization
and compares every table cell by cell: words exactly, numbers to one unit of the last place printed.
same_answer.py --blas SPOTFIELD SOURCE_ROOT [FOLDER...] maps them RUNS times under every BLAS below the folders,
or else every one that is installed, and tells of each how often a map was refused, how many numbers of the tables
were compared with those of the system's own BLAS, and how many differ."""
import csv
import glob
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

# In units of the last place that is printed. Compilers order sums their own way, so that the last bits
# differ; printing rounds them away, but for a number that lies between two roundings.
LAST_PLACES = 1.01
BUILDS = {'gcc-O0': ('gcc', '0'), 'gcc-O3': ('gcc', '3'), 'clang-O2': ('clang', '2')}
# where Debian puts each BLAS
BLAS = '/usr/lib/*-linux-gnu/*/libblas.so.3'
RUNS = 8  # a wrong BLAS is not wrong each time
SMALL = ['--width', '400']  # pictures, which say nothing of a BLAS that the tables do not
NUMBER = re.compile(r'(?<![\w.])-?\d[\d,]*(?:\.\d+)?')


def jobs(root):
    return [root / 'demo/desk-supply'] + sorted(path.parent
                                                for path in root.glob('samples/*/board.csv'))


def try_map(words, job, out, environment):
    return subprocess.run([*words, '--quiet', '--out', out, job], capture_output=True, text=True, check=False,
                          env=environment)


def map_job(words, job, out, environment):
    done = try_map(words, job, out, environment)
    if done.returncode:
        sys.exit(f'{words} on {job} ended with {done.returncode}:\n{done.stderr}')


def comma_locale(folder):
    """Surroundings with a decimal comma and a point between thousands; None where localedef cannot."""
    made = subprocess.run(['localedef', '-i', 'de_DE', '-f', 'UTF-8', f'{folder}/de_DE.UTF-8'],
                          capture_output=True, check=False).returncode == 0
    return {'LOCPATH': folder, 'LC_ALL': 'de_DE.UTF-8', 'LANG': 'de_DE.UTF-8'} if made else None


def surroundings(scratch):
    """Name, words before the program, environment; the first is the one that others must equal."""
    plain = {name: value for name, value in os.environ.items() if not name.startswith('LC_')}
    plain |= {'LC_ALL': 'C', 'TZ': 'UTC'}
    found = [('plain', [], plain), ('far time zone', [], plain | {'TZ': 'Pacific/Auckland'})]
    comma = comma_locale(scratch)
    if comma:
        found.append(('comma locale', [], plain | comma))
    else:
        print('skipped: a comma locale, since localedef knows none here')
    if shutil.which('taskset'):
        one = str(min(os.sched_getaffinity(0)))
        found.append(('one processor', ['taskset', '-c', one], plain))
    else:
        print('skipped: one processor, since taskset is not installed')
    return found


def blas_folders(places):
    """Folders of BLAS libraries below the places given, else where Debian installs them."""
    found = [path.parent for place in places for path in pathlib.Path(place).rglob('libblas.so.3')]
    found = found or [pathlib.Path(path).parent for path in glob.glob(BLAS)]
    return sorted(found, key=lambda folder: folder.name)


def files_of(folder):
    return {path.name: path.read_bytes() for path in sorted(pathlib.Path(folder).iterdir())}


def compare_surroundings(program, root):
    faults = []
    with tempfile.TemporaryDirectory() as scratch:
        around = surroundings(scratch)
        for job in jobs(root):
            results = {}
            for name, before, environment in around:
                out = f'{scratch}/{job.name}-{name}'
                map_job([*before, program, 'map'], job, out, environment)
                results[name] = files_of(out)
            wanted = results['plain']
            faults += [f'{job.name}: {file} differs: {name}' for name, got in results.items()
                       for file in sorted(wanted.keys() | got.keys())
                       if wanted.get(file) != got.get(file)]
        print(f'{len(jobs(root))} jobs in {len(around)} surroundings')
    return faults


def build(name, root, scratch):
    compiler, level = BUILDS[name]
    folder = f'{scratch}/{name}'
    cached = f'ccache {compiler}' if shutil.which('ccache') else compiler
    for words in (['meson', 'setup', folder, root, '-Dwerror=true', f'-Doptimization={level}'],
                  ['ninja', '-C', folder, 'src/cli/spotfield']):
        done = subprocess.run(words, capture_output=True, text=True, check=False,
                              env=os.environ | {'CC': cached})
        if done.returncode:
            sys.exit(f'{words} failed:\n{done.stdout}{done.stderr}')
    return f'{folder}/src/cli/spotfield'


def unit_of_last(number):
    return 10.0 ** -len(number.partition('.')[2])


class Differences:
    """What tables do not share, and how many numbers were compared."""

    def __init__(self):
        self.faults, self.numbers, self.rounded = [], 0, 0

    def cell(self, where, wanted, got):
        if NUMBER.sub('#', wanted) != NUMBER.sub('#', got):
            self.faults.append(f'{where}: "{wanted}" and "{got}"')
            return
        for one, other in zip(NUMBER.findall(wanted), NUMBER.findall(got)):
            apart = abs(float(one.replace(',', '')) - float(other.replace(',', '')))
            self.numbers += 1
            self.rounded += apart > 0
            if apart > LAST_PLACES * unit_of_last(one):
                self.faults.append(f'{where}: {one} and {other}')

    def table(self, where, wanted, got):
        rows, others = (list(csv.reader(words.decode().splitlines())) for words in (wanted, got))
        if [len(row) for row in rows] != [len(row) for row in others]:
            self.faults.append(f'{where}: rows or columns differ')
            return
        for line, (row, other) in enumerate(zip(rows, others), 1):
            for column, (one, two) in enumerate(zip(row, other)):
                self.cell(f'{where}:{line}: {rows[0][column]}', one, two)


def tables_of(folder):
    return {file: content for file, content in files_of(folder).items() if file.endswith('.csv')}


def compare_blas(program, root, folders):
    """Each BLAS against the system's own: with one thread of ours and with all of them, the sums are the same."""
    plain, faults = os.environ | {'LC_ALL': 'C', 'TZ': 'UTC'}, []
    with tempfile.TemporaryDirectory() as scratch:
        wanted = {}
        for job in jobs(root):
            map_job([program, 'map', *SMALL], job, f'{scratch}/{job.name}', plain)
            wanted[job] = tables_of(f'{scratch}/{job.name}')
        for folder in folders:
            seen, refused = Differences(), 0
            paths = f'{folder}:{folder.parent}'  # where a BLAS has the rest of itself
            for run in range(RUNS):
                for job in jobs(root):
                    out = f'{scratch}/{job.name}-{folder.name}'
                    done = try_map([program, 'map', *SMALL], job, out, plain | {'LD_LIBRARY_PATH': paths})
                    if done.returncode:
                        refused += 1
                        faults.append(f'{folder.name}, run {run + 1}, {job.name}: {done.returncode}, {done.stderr}')
                        continue
                    got = tables_of(out)
                    for file in wanted[job]:
                        seen.table(f'{folder.name}, run {run + 1}, {job.name}/{file}', wanted[job][file], got[file])
            faults += seen.faults
            print(f'{folder.name}: {RUNS} runs of {len(jobs(root))} jobs, {refused} refused, {seen.numbers} numbers '
                  f'compared, {seen.rounded} differ, {len(seen.faults)} by more than the last place', flush=True)
    return faults


def compare_builds(root):
    seen = Differences()
    with tempfile.TemporaryDirectory() as scratch:
        programs = {name: build(name, root, scratch) for name in BUILDS}
        for job in jobs(root):
            tables = {}
            for name, program in programs.items():
                out = f'{scratch}/{job.name}-{name}'
                map_job([program, 'map'], job, out, os.environ)
                tables[name] = tables_of(out)
            first, *others = BUILDS
            for name in others:
                if tables[name].keys() != tables[first].keys():
                    seen.faults.append(f'{job.name}: {first} and {name} write other files')
                for file in tables[first].keys() & tables[name].keys():
                    seen.table(f'{job.name}/{file} ({first}, {name})', tables[first][file],
                               tables[name][file])
    print(f'{seen.numbers} numbers of {len(jobs(root))} jobs in {len(BUILDS)} builds, '
          f'{seen.rounded} of them rounded otherwise in the last place')
    return seen.faults


if sys.argv[1] == '--builds':
    faults = compare_builds(pathlib.Path(sys.argv[2]).resolve())
elif sys.argv[1] == '--blas':
    folders = blas_folders(sys.argv[4:])
    faults = compare_blas(sys.argv[2], pathlib.Path(sys.argv[3]).resolve(), folders)
else:
    faults = compare_surroundings(sys.argv[1], pathlib.Path(sys.argv[2]).resolve())
print('\n'.join(faults[:40]), end='\n' if faults else '')
sys.exit(1 if faults else 0)
