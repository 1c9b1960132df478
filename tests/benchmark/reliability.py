# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""How true are the temperatures, their doubt and the verdicts? reliability.py [--out OUT] [--jobs N] [--kriging]
PROGRAM SET... runs `PROGRAM map` on every board of the sets, each a folder of job folders that hold their truth
in truth.csv (make_boards makes them), and prints a line a set, and one for all where there are several:

  boards    job folders mapped
  rmse_k    root mean square error of temp_c over all parts, K
  bias_k    mean of the error, K
  in50..95  share of true temperatures inside the central 50, 80, 90, 95 % interval of a normal
            with mean temp_c and deviation temp_sd_k
  right     share of parts whose `used` falls on the right side of 1
  missed    share of parts called used <= 1 that are truly past it
  worn      parts truly past their life
  worn_left share of them whose verdict is `leave`
  replaced  share of sound parts, less than 0.8 used and not critical, whose verdict is `replace`
  check     share of parts whose verdict is `check`
  board_k   as rmse_k, of the board's face under the part: board_c, board_sd_k of the result, or where it has
            none temp_c, temp_sd_k, against board_c of the truth
  board_b   its bias; b50..95 its shares inside
  first     share of boards with a spoiled reading where that one scores highest among all readings
  named     share where its score is beyond 3 as well, so that it is said not to fit

A truth without board_c is that of a plane board: its temp_c is the face's, and held against board_c of the
result, where it has one. With --kriging a second line a set gives the same by `--model kriging`. Results stay in
OUT, or go when no OUT is named. Columns are found by name; `-` is what a set does not tell. Exit status 1 where a
board has no result, or a result another set of parts than its truth."""
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

INTERVALS = {percent: statistics.NormalDist().inv_cdf(0.5 + percent / 200) for percent in (50, 80, 90, 95)}
DEVIATION_LEAST_K = 1e-9


SOUND_USED = 0.8
SCORE_NAMED = 3  # the program's own, beyond which a reading does not fit


@dataclasses.dataclass
class Told:
    """A part, as the program tells of it and as it is."""
    error_k: float
    deviation_k: float
    used: float = math.nan
    truly_used: float = math.nan
    verdict: str = ''
    critical: bool = False
    board_error_k: float = math.nan
    board_deviation_k: float = math.nan


@dataclasses.dataclass
class Board:
    """What came of a board; `first` and `named` are None where no reading is spoiled."""
    parts: list
    first: bool | None = None
    named: bool | None = None


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(file))


def errors(row, true):
    """Errors and deviations of case and board, as Told wants them."""
    temp_c, sd_k = float(row['temp_c']), float(row['temp_sd_k'])
    board_c, board_sd_k = float(row.get('board_c') or temp_c), float(row.get('board_sd_k') or sd_k)
    if not true.get('board_c'):
        return {'error_k': board_c - float(true['temp_c']), 'deviation_k': board_sd_k}
    return {'error_k': temp_c - float(true['temp_c']), 'deviation_k': sd_k,
            'board_error_k': board_c - float(true['board_c']), 'board_deviation_k': board_sd_k}


def true_of(board, found):
    """The truth of each part by its ref; ValueError where the result has other parts."""
    true = {row['ref']: row for row in rows_of(board / 'truth.csv')}
    if sorted(found) != sorted(true):
        raise ValueError('result and truth have other parts')
    return true


def compare(board, out):
    """The parts of a board in the result's order; ValueError or KeyError where the two do not fit."""
    found = rows_of(out / 'parts.csv')
    true = true_of(board, [row['ref'] for row in found])
    listed = board / 'parts.csv'
    critical = {row['ref'] for row in rows_of(listed) if row.get('critical') == 'yes'} if listed.exists() else set()
    return [Told(used=float(row['used']), truly_used=float(true[row['ref']]['used']), verdict=row['verdict'],
                 critical=row['ref'] in critical, **errors(row, true[row['ref']])) for row in found]


def spoiled_found(board, out):
    """Whether a spoiled reading scores highest, and so high that it is named; None twice where there is none."""
    truth = board / 'truth-readings.csv'
    spoiled = {row['id'] for row in rows_of(truth) if row.get('gross') == 'yes'} if truth.exists() else set()
    if not spoiled:
        return None, None
    scores = {row['id']: abs(float(row['score'] or 0)) for row in rows_of(out / 'readings.csv')}
    highest = max(scores, key=scores.get)
    return highest in spoiled, highest in spoiled and scores[highest] > SCORE_NAMED


def share(those, among):
    return sum(those) / len(among) if among else 0.0


def temperatures(pairs, prefix, rmse, bias):
    """Error and reliability of pairs of error and deviation, by their names in the table."""
    if not pairs or any(math.isnan(error_k) for error_k, _ in pairs):
        return {}
    figures = {rmse: math.sqrt(sum(error_k ** 2 for error_k, _ in pairs) / len(pairs)),
               bias: sum(error_k for error_k, _ in pairs) / len(pairs)}
    for percent, most in INTERVALS.items():
        figures[f'{prefix}{percent}'] = share([abs(error_k) <= most * max(sd_k, DEVIATION_LEAST_K)
                                               for error_k, sd_k in pairs], pairs)
    return figures


def summarize(boards):
    """The figures of a set by their names in the table."""
    parts = [part for board in boards for part in board.parts]
    figures = {'boards': len(boards), 'parts': len(parts),
               **temperatures([(part.error_k, part.deviation_k) for part in parts], 'in', 'rmse_k', 'bias_k'),
               **temperatures([(part.board_error_k, part.board_deviation_k) for part in parts
                               if not math.isnan(part.board_error_k)], 'b', 'board_k', 'board_b')}
    for name in ('first', 'named'):
        spoiled = [getattr(board, name) for board in boards if getattr(board, name) is not None]
        if spoiled:
            figures[name] = share(spoiled, spoiled)
    return figures


def judge(boards):
    """The figures of the verdicts."""
    parts = [part for board in boards for part in board.parts]
    worn = [part for part in parts if part.truly_used > 1]
    sound = [part for part in parts if part.truly_used < SOUND_USED and not part.critical]
    return {'right': share([(part.used > 1) == (part.truly_used > 1) for part in parts], parts),
            'missed': share([part.used <= 1 < part.truly_used for part in parts], parts),
            'worn': len(worn), 'worn_left': share([part.verdict == 'leave' for part in worn], worn),
            'replaced': share([part.verdict == 'replace' for part in sound], sound),
            'check': share([part.verdict == 'check' for part in parts], parts)}


def board_told(program, board, out, model):
    """What came of a board, or None, with the reason said."""
    ended = subprocess.run([program, 'map', board, '--out', out, '--quiet', *model], stdout=subprocess.DEVNULL,
                           check=False)
    try:
        if ended.returncode != 0:
            raise ValueError(f'the program ended with {ended.returncode}')
        return Board(compare(board, out), *spoiled_found(board, out))
    except (OSError, ValueError, KeyError) as fault:
        print(f'reliability.py: {board}: {fault!r}', file=sys.stderr)
        return None


def boards_of(folder):
    return sorted(path for path in folder.iterdir() if path.is_dir())


def measure(program, folder, out, jobs, model):
    """What came of the boards of a set, None for each that failed."""
    out.mkdir(parents=True, exist_ok=True)
    with futures.ThreadPoolExecutor(jobs) as pool:
        return list(pool.map(lambda board: board_told(program, board, out / board.name, model), boards_of(folder)))


# name, width and decimals of each column behind the set's
COLUMNS = (('boards', 6, 0), ('parts', 6, 0), ('rmse_k', 7, 3), ('bias_k', 7, 3),
           *((f'in{percent}', 6, 3) for percent in INTERVALS), ('right', 6, 3), ('missed', 7, 4), ('worn', 5, 0),
           ('worn_left', 9, 4), ('replaced', 8, 4), ('check', 6, 3), ('board_k', 7, 3), ('board_b', 7, 3),
           *((f'b{percent}', 6, 3) for percent in INTERVALS), ('first', 5, 2), ('named', 5, 2))


def heading():
    return f'{"set":<18}' + ''.join(f' {name:>{width}}' for name, width, _ in COLUMNS)


def line(name, figures):
    if 'rmse_k' not in figures:
        return f'{name:<18} no results'
    return f'{name:<18}' + ''.join(
        f' {figures[column]:>{width}.{decimals}f}' if column in figures else f' {"-":>{width}}'
        for column, width, decimals in COLUMNS)


def main():
    asked = argparse.ArgumentParser(prog='reliability.py', description=__doc__.split('\n\n', maxsplit=1)[0])
    asked.add_argument('--out', type=pathlib.Path)
    asked.add_argument('--jobs', type=int, default=os.cpu_count() or 1)
    asked.add_argument('--kriging', action='store_true')
    asked.add_argument('program', metavar='PROGRAM', type=pathlib.Path)
    asked.add_argument('sets', metavar='SET', type=pathlib.Path, nargs='+')
    options = asked.parse_args()
    if not os.access(options.program, os.X_OK):
        asked.error(f'{options.program}: not a program')
    print(heading())
    runs = {'': (), **({' kriging': ('--model', 'kriging')} if options.kriging else {})}
    failed, everything = 0, {run: [] for run in runs}
    with tempfile.TemporaryDirectory() as scratch:
        for folder in options.sets:
            name = folder.resolve().name
            for run, model in runs.items():
                told = measure(options.program.resolve(), folder,
                               (options.out or pathlib.Path(scratch)) / (name + run.replace(' ', '-')),
                               options.jobs, model)
                boards = [board for board in told if board is not None]
                failed += told.count(None) + (not boards)
                everything[run] += boards
                print(line(name + run, {**summarize(boards), **judge(boards)}), flush=True)
    if len(options.sets) > 1:
        for run, boards in everything.items():
            print(line('all' + run, {**summarize(boards), **judge(boards)}))
    if failed:
        print(f'{failed} boards or sets without a result', file=sys.stderr)
    return 1 if failed else 0


if __name__ == '__main__':
    sys.exit(main())
