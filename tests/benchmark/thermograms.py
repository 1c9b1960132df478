# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""How good are maps from a camera's picture? thermograms.py [--boards N] [--seed S] [--work DIR] PROGRAM MAKE_BOARDS
SIMULATE_JOB makes invented boards with six readings each, takes a picture of each with wires, solder, shields, lids
and on some an unlisted hot body (simulate_job --clutter), and maps them by all pixels and by every 16th (each 4th of
each 4th row), as they are and with what is no board masked (mask.csv). A line each tells

  rmse_k     root mean square error of the rise over all cells of all maps, K
  worst_k    that of the worst board
  in50 in90  share of cells inside the stated central interval
  true       unlisted sources named where the hot body is
  false      named where it is not; twice on one body counts as one true and one false
  missed     hot bodies that are not named
  cooled     listed sources told to cool, or to be contradicted
  noise      median and greatest noise_factor

and the last line of how many boards all pixels are the better. `--each` adds a line a board."""
import argparse
import csv
import json
import math
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile

QUANTILES = {percent: statistics.NormalDist().inv_cdf(0.5 + percent / 200) for percent in (50, 90)}
WAYS = ('all', '16th', 'all masked', '16th masked')
STEP = 4  # every fourth pixel of every fourth row
NEAR_MM = 5  # beyond the hot body's own half


def rows_of(path):
    with open(path, newline='', encoding='utf-8') as file:
        return list(csv.DictReader(line for line in file if not line.startswith('#')))


def key_of(job, key):
    return next(float(row['value']) for row in rows_of(job / 'board.csv') if row['key'] == key)


def thin(path):
    """Leaves every 16th pixel and blanks the others."""
    lines = [line.split(',') for line in path.read_text(encoding='utf-8').splitlines() if not line.startswith('#')]
    path.write_text('\n'.join(','.join(cell if y % STEP == 0 and x % STEP == 0 else ''
                                       for x, cell in enumerate(line)) for y, line in enumerate(lines)) + '\n',
                    encoding='utf-8')


class Truth:
    """The rise of every square millimetre, bilinear between them."""

    def __init__(self, job):
        self.rise_k = {(float(row['x_mm']) - 0.5, float(row['y_mm']) - 0.5): float(row['rise_k'])
                       for row in rows_of(job / 'truth-field.csv')}

    def at(self, x_mm, y_mm):
        x, y = x_mm - 0.5, y_mm - 0.5
        total = weights = 0
        for column in (math.floor(x), math.floor(x) + 1):
            for row in (math.floor(y), math.floor(y) + 1):
                weight = (1 - abs(x - column)) * (1 - abs(y - row))
                if (column, row) in self.rise_k:
                    total += weight * self.rise_k[column, row]
                    weights += weight
        return total / weights if weights > 0 else math.nan


class Map:
    """One result held against the truth."""

    def __init__(self, job, out, told, truth):
        service_c = key_of(job, 'service_ambient')
        cells = [(truth.at(float(row['x_mm']), float(row['y_mm'])), float(row['temp_c']) - service_c,
                  float(row['temp_sd_k'])) for row in rows_of(out / 'field.csv')]
        cells = [(rise - true, sd) for true, rise, sd in cells if not math.isnan(true)]
        self.cells = len(cells)
        self.squares = sum(off * off for off, _ in cells)
        self.inside = {percent: sum(abs(off) <= times * sd for off, sd in cells)
                       for percent, times in QUANTILES.items()}
        self.rmse_k = math.sqrt(self.squares / self.cells)
        self.noise = told['field']['noise_factor']
        self.cooled = sum(source['listed'] and (source['contradiction'] or source['rise_k'] < 0)
                          for source in told['sources'])
        hot = [row for row in rows_of(job / 'truth-clutter.csv') if row['kind'] == 'hot']
        found = [source for source in told['sources'] if not source['listed']]
        hits = [sum(math.hypot(source['x_mm'] - float(body['x_mm']), source['y_mm'] - float(body['y_mm'])) <=
                    NEAR_MM + float(body['width_mm']) / 2 for source in found) for body in hot]
        self.true = sum(count > 0 for count in hits)
        self.missed = len(hot) - self.true
        self.false = len(found) - self.true


def map_one(program, job, way, truth, work):
    here = work / 'job'
    shutil.rmtree(here, ignore_errors=True)
    shutil.copytree(job, here)
    if way.startswith('16th'):
        thin(here / 'thermogram.csv')
    if way.endswith('masked'):
        shutil.copy(job / 'truth-mask.csv', here / 'mask.csv')
    ran = subprocess.run([program, 'map', here, '-o', work / 'out', '--json'], capture_output=True, text=True,
                         check=False)
    if ran.returncode != 0:
        raise RuntimeError(f'{job}, {way}: {ran.stderr}')
    return Map(job, work / 'out', json.loads(ran.stdout), truth)


def make_jobs(make_boards, simulate_job, folder, boards, seed):
    """Boards whose readings.csv and picture are of one truth."""
    subprocess.run([make_boards, folder, '--boards', str(boards), '--readings', '6', '--seed', str(seed)],
                   capture_output=True, check=True)
    jobs = sorted(folder.iterdir())
    for number, job in enumerate(jobs):
        watts = []
        for row in rows_of(job / 'sources.csv'):  # what the job leaves open
            if not row['power_w']:
                watts += ['--watts', f"{row['ref']}={0.2 + 0.13 * (number % 5):.2f}"]
        subprocess.run([simulate_job, job, '--seed', str(1000 * seed + number), '--thermogram', '160x120',
                        '--clutter', *watts], capture_output=True, check=True)
    return jobs


def run(program, make_boards, simulate_job, boards, seed, work, ways=WAYS, told=None):
    """The maps of every way, one a board."""
    jobs = make_jobs(make_boards, simulate_job, work / 'boards', boards, seed)
    made = {way: [] for way in ways}
    for job in jobs:
        truth = Truth(job)
        for way in ways:
            made[way].append(map_one(program, job, way, truth, work))
        if told:
            told(job.name, {way: made[way][-1] for way in ways})
    return made


def rmse_k(maps):
    return math.sqrt(sum(one.squares for one in maps) / sum(one.cells for one in maps))


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--boards', type=int, default=10)
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--work', type=pathlib.Path, help='keeps the boards here')
    parser.add_argument('--each', action='store_true')
    for name in ('program', 'make_boards', 'simulate_job'):
        parser.add_argument(name, type=lambda word: str(pathlib.Path(word).resolve()))
    asked = parser.parse_args()

    def tell(name, maps):
        if asked.each:
            print(name, *(f'{way}: {one.rmse_k:.2f} K noise {one.noise:.1f} finds {one.true}/{one.false}/{one.missed}'
                          for way, one in maps.items()), sep='  ', flush=True)

    with tempfile.TemporaryDirectory() as folder:
        work = asked.work or pathlib.Path(folder)
        work.mkdir(parents=True, exist_ok=True)
        made = run(asked.program, asked.make_boards, asked.simulate_job, asked.boards, asked.seed, work, told=tell)
    print(f'{"pixels":<12} rmse_k worst_k  in50  in90 true false missed cooled  noise')
    for way, maps in made.items():
        cells = sum(one.cells for one in maps)
        shares = [sum(one.inside[percent] for one in maps) / cells for percent in QUANTILES]
        noise = [one.noise for one in maps]
        print(f'{way:<12} {rmse_k(maps):6.2f} {max(one.rmse_k for one in maps):7.2f} {shares[0]:5.2f} '
              f'{shares[1]:5.2f} {sum(one.true for one in maps):4} {sum(one.false for one in maps):5} '
              f'{sum(one.missed for one in maps):6} {sum(one.cooled for one in maps):6}  '
              f'{statistics.median(noise):.1f} {max(noise):.1f}')
    better = sum(one.rmse_k <= other.rmse_k for one, other in zip(made['all'], made['16th']))
    print(f'all pixels at least as good as every 16th on {better} of {len(made["all"])} boards')
    return 0


if __name__ == '__main__':
    sys.exit(main())
