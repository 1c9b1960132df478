# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The figures of README.md and tests/benchmark/README.md: figures.py [--build BUILD] [--jobs N] [--boards N] MODE [NAME...]

  --write   measures, keeps what was found in figures.json, and writes it between the marks
            `<!-- figures: NAME -->` and `<!-- end of figures -->` of the documents; of names only these
  --check   measures, and tells where the documents' figures do not come out again
  --part    the same of the first boards of each set only, which figures.json keeps apart
  --docs    measures nothing: holds the documents against figures.json, and the numbers of STATED against the
            lines of the tree that they speak of

A measurement is a list of runs: the words of the program that makes the boards, which are the same for the same
seed. --boards N takes no more than N of each run, for a quick look, and the documents say so. A new one is an entry
of MEASURED and a mark in a document."""
import argparse
import json
import math
import os
import pathlib
import re
import statistics
import subprocess
import sys
import tempfile
from concurrent import futures

ROOT = pathlib.Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / 'tests' / 'benchmark'))
import raised_ratios  # noqa: E402  (they stand in another folder)
import reliability  # noqa: E402

KEPT = pathlib.Path(__file__).with_name('figures.json')
PART = 2  # boards, measured again by the suite
# What a compiler may move: a K of a root mean square, a share of the 160 parts of two boards. A part that falls on
# another side moves a share by more.
ALLOWED = 0.004
KINDS = {'sink': 'sources on heat sinks', 'block': 'wound ones', 'resistor': 'standing resistors',
         'flatpower': 'flat parts', 'ic': 'small circuits'}
SERIES = re.compile(r'^(board alone|any body, \d+ rows|body of +(\d+) K in +(\d+) min) +to +(\d+) min: in90 +(\S+) %  '
                    r'error +(\S+) K  width +(\S+) K  refused +(\S+) %$', re.M)


class Tools:
    """The programs of a build, and how many may run at once."""

    def __init__(self, build, jobs):
        self.program = build / 'src' / 'cli' / 'spotfield'
        self.benchmark = build / 'tests' / 'benchmark'
        self.pool = futures.ThreadPoolExecutor(jobs)
        self.jobs = jobs

    def told_by(self, name, *words):
        done = subprocess.run([self.benchmark / name, *map(str, words)], capture_output=True, text=True, check=True)
        return done.stdout

    def make_boards(self, folder, count, words):
        self.pool.submit(self.told_by, 'make_boards', folder, '--boards', count, *words.split()).result()


# --- measuring: each answers the figures of the first so many boards ---

def measure_boards(tools, words, counts):
    """How true the temperatures, their doubt and the verdicts are."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch)
        tools.make_boards(folder / 'set', max(counts), words)
        boards = reliability.boards_of(folder / 'set')
        told = list(tools.pool.map(lambda board: reliability.board_told(tools.program, board,
                                                                        folder / f'out-{board.name}', ()), boards))
    if None in told:
        sys.exit(f'{words}: a board has no result')
    return [{**reliability.summarize(told[:count]), **reliability.judge(told[:count])} for count in counts]


def measure_ratios(tools, words, counts):
    """What cans and sources do on boards with height."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = pathlib.Path(scratch) / 'set'
        tools.make_boards(folder, max(counts), words)
        boards = reliability.boards_of(folder)
        return [raised_ratios.measure(boards[:count]) for count in counts]


def measure_series(tools, words, counts):
    """What warm-up series are worth, by how far the body behind the board rises, in how long, and the last row."""
    answers = []
    for count in counts:
        lines = tools.pool.submit(tools.told_by, 'series', '--each', count, *words.split()).result()
        answers.append({f'{f"{line[2]} K, {line[3]} min" if line[2] else line[1]}, to {line[4]} min': dict(
            zip(('in90', 'error_k', 'width_k', 'refused'), map(float, line.groups()[4:])))
            for line in SERIES.finditer(lines)})
    return answers


# --- what stands in the documents ---

def percent(value, digits=0):
    return f'{100 * value:.{digits}f} %'


def boards_words(runs):
    """With how many boards: `40 boards`, or of each run where they differ."""
    counts = [of['boards'] for of in runs.values()]
    return f'{counts[0]} boards' if len(set(counts)) == 1 else f'{min(counts)} to {max(counts)} boards'


def reliability_text(runs):
    words = (f'{boards_words(runs)} per line, seed 7; on boards with height the temperature is that of the can:\n\n'
             '| boards, readings | error of the temperatures, K | true value inside the 90 % interval | right '
             'about rated life used up | worn parts wrongly left |\n|---|---|---|---|---|\n')
    for name, run in runs.items():
        of = run['all']
        left = round(of['worn_left'] * of['worn'])
        words += (f'| {name} | {of["rmse_k"]:.1f} | {percent(of["in90"])} | {percent(of["right"], 1)} | '
                  f'{left or "none"} of {of["worn"]:,} |\n')
    return words


def ratios_text(runs):
    (run,) = runs.values()
    of = run['all']
    shares = [f'{told} {of[kind]:.2f}' for kind, told in KINDS.items() if kind in of]
    first = shares[0].rsplit(' ', 1)
    return (f'Over {run["boards"]} boards of seed 1 a can rises by {of["can"]:.2f} of what the face under it does,\n'
            f'differing by {of["from board to board"]:.2f} from board to board and {of["from can to can"]:.2f} from can '
            f'to can; {first[0]} give {first[1]} of their watts\nto the board, {", ".join(shares[1:])}.\n')


def series_text(runs):
    (run,) = runs.values()
    of = run['all']
    refused = max(told['refused'] for told in of.values())
    words = (f'Of {run["boards"]} series of each kind the true steady rise lies inside the stated 90 % interval as '
             f'follows; {"none is" if refused == 0 else f"up to {refused:.0f} % are"} refused:\n\n'
             '| rows to | before any body, 3 to 8 rows: in90, width, mean error | board alone | 6 K | 10 K | 15 K |\n'
             '|---|---|---|---|---|---|\n')
    for last in (20, 60, 150):
        cells = []
        for kind in ('any body', 'board alone', '6 K', '10 K', '15 K'):
            told = [value for name, value in of.items() if name.startswith(kind) and name.endswith(f'to {last} min')]
            held = statistics.fmean(one['in90'] for one in told)
            width, error = (statistics.fmean(one[key] for one in told) for key in ('width_k', 'error_k'))
            cells.append(f' {held:.0f} %, {width:.1f} K, {error:+.1f} K |')
        words += f'| {last} min |' + ''.join(cells) + '\n'
    least = min(of, key=lambda name: of[name]['in90'])
    return words + f'\nLeast is held of {least}: {of[least]["in90"]:.0f} %.\n'


class Measured:
    """What a document says and how it is measured: runs by the name of their row or column."""

    def __init__(self, document, measure, text, runs):
        self.document, self.measure, self.text = document, measure, text
        self.words = {name: words for name, (_, words) in runs.items()}
        self.boards = {name: boards for name, (boards, _) in runs.items()}


MEASURED = {
    'reliability': Measured('README.md', measure_boards, reliability_text, {
        f'{kind}, {readings}{", a third of the sources not listed" if more == "--unlisted" else ""}':
            (40, f'--readings {readings} --seed 7 {option} {more}'.strip())
        for kind, option in (('flat', ''), ('with height', '--height'))
        for readings, more in ((8, ''), (12, ''), (12, '--unlisted'), (24, ''))}),
    'ratios': Measured('tests/benchmark/README.md', measure_ratios, ratios_text, {
        'all': (20, '--height --readings 12 --seed 1')}),
    'series': Measured('tests/benchmark/README.md', measure_series, series_text, {'all': (100, '')}),
}

# Numbers of the documents that are chosen, not measured: what is said, and the line that makes it so. The first
# group of both must be the same number.
STATED = (
    ('DEVELOPERS.md', r'coverage: (\d+) % of the lines', 'tests/coverage.sh', r'--fail-under-line (\d+)'),
    ('DEVELOPERS.md', r'the lines and (\d+) % of the branches', 'tests/coverage.sh', r'--fail-under-branch (\d+)'),
    ('DEVELOPERS.md', r'so up to (\d+) readings make', 'src/field/fit_data.h', r'DENSE_READINGS_MOST (\d+)'),
    ('DEVELOPERS.md', r'on all readings up to (\d+)', 'src/field/heat_balance.c', r'SEARCHED_READINGS_MOST (\d+)'),
    ('DEVELOPERS.md', r'on (\d+) well-spread ones', 'src/field/length_average.c', r'HELD_FROM_READINGS (\d+)'),
    ('DEVELOPERS.md', r'on (\d+) beyond', 'src/field/sparse_route.h', r'LEARNING_READINGS (\d+)'),
    ('docs/theory.md', r'learnt from (\d+) well-spread', 'src/field/length_average.c', r'HELD_FROM_READINGS (\d+)'),
    ('docs/theory.md', r'Above (\d+) readings, and wherever', 'src/field/fit_data.h', r'DENSE_READINGS_MOST (\d+)'),
    ('docs/theory.md', r'Beyond (\d+) readings', 'src/survey/one_slip.c', r'READINGS_MOST (\d+)'),
    ('tests/README.md', r'fails below (\d+) % of\s+the lines', 'tests/coverage.sh', r'--fail-under-line (\d+)'),
    ('tests/README.md', r'the lines or (\d+) % of the branches', 'tests/coverage.sh', r'--fail-under-branch (\d+)'),
    ('tests/mutants/README.md', r'At least (\d+) % must be noticed', 'tests/mutants/run.py', r'KILLED_LEAST = 0\.(\d+)'),
    ('tests/page/README.md', r'and\s+(\d+) kills while it writes', 'tests/page/test_kill.c', r'rounds = (\d+);'),
    ('tests/README.md', r'The suite tries (\d+) boards each', 'tests/field/test_properties.c', r'boards = (\d+);'),
    ('tests/README.md', r'The suite tries (\d+) boards each', 'tests/field/test_held_properties.c', r'boards = (\d+);'),
    ('tests/README.md', r'The suite tries (\d+) boards each', 'tests/life/test_properties.c', r'boards = (\d+);'),
    ('tests/README.md', r'The suite tries (\d+) boards each', 'tests/job/test_dialects.c', r'jobs = (\d+);'),
    ('tests/fuzz/README.md', r'maps them; the suite runs (\d+)', 'tests/fuzz/meson.build', r"args: \['1', '(\d+)'\]"),
    ('tests/README.md', r'The same tables (\w+) times under each BLAS', 'tests/library/same_answer.py', r'RUNS = (\d+)'),
    ('README.md', r'makers\' (\d+)-kelvin rule', 'src/life/life.c', r'TEN_KELVIN (\d+)'),
)
WORDS = {'five': '5', 'eight': '8'}


def block(name, words):
    return f'<!-- figures: {name} -->\n{words}<!-- end of figures -->'


def in_document(name, words):
    return re.search(rf'<!-- figures: {name} -->\n(.*?)<!-- end of figures -->', words, re.S)


def read(path):
    return (ROOT / path).read_text(encoding='utf-8')


def marks_of(document):
    """Names between marks; NAME is where the mark itself is told of."""
    return [name for name in re.findall(r'<!-- figures: (\S+) -->', read(document)) if name != 'NAME']


def faults_of_documents(kept):
    for document in sorted({of.document for of in MEASURED.values()}):
        for name in marks_of(document):
            of = MEASURED.get(name)
            if not of or of.document != document:
                yield f'{document}: nothing measures {name}'
            elif {run: told['words'] for run, told in kept.get(name, {}).items()} != of.words:
                yield f'{name}: never measured, or by other runs'
            elif in_document(name, read(document))[1] != of.text(kept[name]):
                yield f'{document}: {name} is not what was measured'


def faults_of_stated():
    for document, says, path, line in STATED:
        said, is_so = re.search(says, read(document)), re.search(line, read(path))
        if not said or not is_so:
            yield f'{document}: "{says}", or {path}: "{line}", is not there'
        elif WORDS.get(said[1], said[1]) != is_so[1]:
            yield f'{document}: {said[0]!r}, but {path} has {is_so[1]}'


def write(kept):
    KEPT.write_text(json.dumps(kept, indent=1) + '\n', encoding='utf-8')
    for name, runs in kept.items():
        of = MEASURED[name]
        words = read(of.document)
        made = words.replace(in_document(name, words)[0], block(name, of.text(runs)))
        (ROOT / of.document).write_text(made, encoding='utf-8')


def flat(figures):
    """Numbers by their names."""
    for name, value in figures.items():
        if isinstance(value, dict):
            yield from ((f'{name} {inner}', number) for inner, number in flat(value))
        else:
            yield name, value


def differences(what, found, wanted):
    found, wanted = dict(flat(found)), dict(flat(wanted))
    for name in sorted(found.keys() | wanted.keys()):
        if not abs(found.get(name, math.inf) - wanted.get(name, math.inf)) <= ALLOWED:
            yield f'{what}: {name} is {found.get(name)}, kept {wanted.get(name)}'


def rounded(figures):
    return {name: rounded(value) if isinstance(value, dict) else round(value, 4) for name, value in figures.items()}


def measured(tools, names, counts_of):
    """Of each name and run what came of the first boards, and of all that are asked for."""
    def one(name, run):
        of = MEASURED[name]
        counts = counts_of(name, run)
        found = [rounded(figures) for figures in of.measure(tools, of.words[run], counts)]
        print(f'{name}, {run}: {found[-1]}', flush=True)
        return {'words': of.words[run], 'boards': counts[-1], 'part': found[0], 'all': found[-1]}

    runs = [(name, run) for name in names for run in MEASURED[name].words]
    with futures.ThreadPoolExecutor(len(runs)) as beside:  # which wait for the pool that works
        told = list(beside.map(one, *zip(*runs)))
    return {name: {run: of for (group, run), of in zip(runs, told) if group == name} for name in names}


def options():
    asked = argparse.ArgumentParser(prog='figures.py', description=__doc__.split('\n', maxsplit=1)[0])
    asked.add_argument('--build', type=pathlib.Path, default=ROOT / 'build')
    asked.add_argument('--jobs', type=int, default=os.cpu_count() or 1)
    asked.add_argument('--boards', type=int, default=1000)
    mode = asked.add_mutually_exclusive_group(required=True)
    for name in ('write', 'check', 'part', 'docs'):
        mode.add_argument(f'--{name}', action='store_true')
    asked.add_argument('names', metavar='NAME', nargs='*', help=', '.join(MEASURED))
    given = asked.parse_args()
    if set(given.names) - set(MEASURED):
        asked.error(f'names are {", ".join(MEASURED)}')
    unmarked = [name for name in given.names if name not in marks_of(MEASURED[name].document)]
    if unmarked:
        asked.error(f'no document has a mark of {", ".join(unmarked)}')
    return given


def main():
    given = options()
    names = given.names or [name for name, of in MEASURED.items() if name in marks_of(of.document)]
    kept = json.loads(KEPT.read_text(encoding='utf-8')) if KEPT.exists() else {}
    if given.docs:
        faults = [*faults_of_documents(kept), *faults_of_stated()]
    else:
        def counts_of(name, run):
            if given.part:
                return [PART]
            return [PART, kept[name][run]['boards'] if given.check else min(given.boards, MEASURED[name].boards[run])]

        found = measured(Tools(given.build.resolve(), given.jobs), names, counts_of)
        if given.write:
            write({name: found.get(name) or kept[name] for name in MEASURED if name in found or name in kept})
            return 0
        faults = [fault for name in names for run, of in found[name].items()
                  for key in (('part',) if given.part else ('part', 'all'))
                  for fault in differences(f'{name}, {run}, {key}', of[key], kept[name][run][key])]
        faults += ['the figures are no longer those: tests/docs/figures.py --write'] if faults else []
    print('\n'.join(faults))
    return 1 if faults else 0


if __name__ == '__main__':
    sys.exit(main())
