"""How true are the temperatures, their doubt and the verdicts? reliability.py [--out OUT] [--jobs N] PROGRAM SET...
runs `PROGRAM map` on every board of the sets, each a folder of job folders that hold their truth in truth.csv
(make_boards makes them), and prints a line a set:

  boards    job folders mapped
  rmse_k    root mean square error of temp_c over all parts, K
  in50..95  share of true temperatures inside the central 50, 80, 90, 95 % interval of a normal
            with mean temp_c and deviation temp_sd_k
  right     share of parts whose `used` falls on the right side of 1
  missed    share of parts called used <= 1 that are truly past it
  worn_left share of the parts truly past their life whose verdict is `leave`

Results stay in OUT, or go when no OUT is named. Columns are found by name; exit status 1 where a board has no
result, or a result another set of parts than its truth."""
import argparse
import csv
import dataclasses
import math
import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
from concurrent import futures

INTERVALS = {f'in{percent}': statistics.NormalDist().inv_cdf(0.5 + percent / 200) for percent in (50, 80, 90, 95)}
DEVIATION_LEAST_K = 1e-9


@dataclasses.dataclass
class Told:
    """A part, as the program tells of it and as it is."""
    error_k: float
    deviation_k: float
    used: float
    truly_used: float
    verdict: str


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(file))


def compare(truth, result):
    """The parts of a board in the result's order; ValueError or KeyError where the two do not fit."""
    true = {row['ref']: row for row in rows_of(truth)}
    found = rows_of(result)
    if sorted(row['ref'] for row in found) != sorted(true):
        raise ValueError('result and truth have other parts')
    return [Told(float(row['temp_c']) - float(true[row['ref']]['temp_c']), float(row['temp_sd_k']),
                 float(row['used']), float(true[row['ref']]['used']), row['verdict']) for row in found]


def share(those, among):
    return sum(those) / len(among) if among else 0.0


def summarize(parts):
    """The figures of a set by their names in the table."""
    figures = {'parts': len(parts), 'rmse_k': math.sqrt(sum(part.error_k ** 2 for part in parts) / len(parts))}
    for name, most in INTERVALS.items():
        figures[name] = share((abs(part.error_k) <= most * max(part.deviation_k, DEVIATION_LEAST_K)
                               for part in parts), parts)
    figures['right'] = share(((part.used > 1) == (part.truly_used > 1) for part in parts), parts)
    figures['missed'] = share((part.used <= 1 < part.truly_used for part in parts), parts)
    worn = [part for part in parts if part.truly_used > 1]
    figures['worn'] = len(worn)
    figures['worn_left'] = share((part.verdict == 'leave' for part in worn), worn)
    return figures


def board_told(program, board, out):
    """The parts of a board, or None, with the reason said."""
    ended = subprocess.run([program, 'map', board, '--out', out, '--quiet'], stdout=subprocess.DEVNULL, check=False)
    try:
        if ended.returncode != 0:
            raise ValueError(f'the program ended with {ended.returncode}')
        return compare(board / 'truth.csv', out / 'parts.csv')
    except (OSError, ValueError, KeyError) as fault:
        print(f'reliability.py: {board}: {fault!r}', file=sys.stderr)
        return None


def measure(program, folder, out, jobs):
    """Figures of a set, which lack `rmse_k` where nothing came of it; and how many boards failed."""
    boards = sorted(path for path in folder.iterdir() if path.is_dir())
    out.mkdir(parents=True, exist_ok=True)
    with futures.ThreadPoolExecutor(jobs) as pool:
        told = list(pool.map(lambda board: board_told(program, board, out / board.name), boards))
    parts = [part for board in told if board is not None for part in board]
    failed = told.count(None)
    return {'boards': len(boards) - failed, **(summarize(parts) if parts else {})}, failed


def heading():
    return (f'{"set":<14} {"boards":>6} {"parts":>6} {"rmse_k":>7}' +
            ''.join(f' {name:>6}' for name in (*INTERVALS, 'right')) + f' {"missed":>7} {"worn_left":>9}')


def line(name, figures):
    if 'rmse_k' not in figures:
        return f'{name:<14} no results'
    return (f'{name:<14} {figures["boards"]:>6} {figures["parts"]:>6} {figures["rmse_k"]:>7.3f}' +
            ''.join(f' {figures[name]:>6.3f}' for name in (*INTERVALS, 'right')) +
            f' {figures["missed"]:>7.4f} {figures["worn_left"]:>9.4f}')


def main():
    asked = argparse.ArgumentParser(prog='reliability.py', description=__doc__.split('\n\n', maxsplit=1)[0])
    asked.add_argument('--out', type=pathlib.Path)
    asked.add_argument('--jobs', type=int, default=os.cpu_count() or 1)
    asked.add_argument('program', metavar='PROGRAM', type=pathlib.Path)
    asked.add_argument('sets', metavar='SET', type=pathlib.Path, nargs='+')
    options = asked.parse_args()
    if not os.access(options.program, os.X_OK):
        asked.error(f'{options.program}: not a program')
    print(heading())
    failed = 0
    with tempfile.TemporaryDirectory() as scratch:
        for folder in options.sets:
            figures, lost = measure(options.program.resolve(), folder, (options.out or pathlib.Path(scratch)) /
                                    folder.resolve().name, options.jobs)
            failed += lost + ('rmse_k' not in figures)
            print(line(folder.resolve().name, figures), flush=True)
    if failed:
        print(f'{failed} boards or sets without a result', file=sys.stderr)
    return 1 if failed else 0


if __name__ == '__main__':
    sys.exit(main())
