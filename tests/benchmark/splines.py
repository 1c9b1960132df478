# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The thin-plate reference model beside splines of general-purpose libraries on the same points: how long
each takes, as a ratio to ours, and how far its spline is from ours at the points.

    splines.py SPLINE_TIME

SciPy's RBFInterpolator solves once at the smoothing that ours has chosen; R's fields::Tps and
mgcv::gam(bs = "tp") choose it by generalized cross-validation themselves. What is not installed is
left out and said. Franke's function with noise, in a square of 100 mm."""
import os
import subprocess
import sys
import tempfile
import time

os.environ.update(OMP_NUM_THREADS='1', OPENBLAS_NUM_THREADS='1')
try:
    import numpy
except ImportError:
    print('splines.py: needs numpy', file=sys.stderr)
    sys.exit(77)  # skipped, to meson

RUNS = 5
SIZES = (24, 120, 400)

R_SCRIPT = '''
points <- read.csv(FILE, header = FALSE); x <- as.matrix(points[, 1:2]); z <- points[, 3]
fit <- function() CALL
made <- fit(); spent <- min(sapply(1:RUNS, function(i) system.time(fit())[["user.self"]] + 0))
cat(spent, FREEDOM, fitted(made), sep = "\\n")
'''
IN_R = {
    'fields::Tps': ('fields', 'fields::Tps(x, z)', 'made$eff.df'),
    'mgcv::gam': ('mgcv', 'mgcv::gam(z ~ s(x[, 1], x[, 2], bs = "tp", k = min(length(z) - 1, 200)))',
                  'sum(made$edf)'),
}


def franke(x, y):
    """R. Franke, Math. Comp. 38 (1982) 181."""
    e = numpy.exp
    return (0.75 * e(-((9 * x - 2) ** 2 + (9 * y - 2) ** 2) / 4)
            + 0.75 * e(-(9 * x + 1) ** 2 / 49 - (9 * y + 1) / 10)
            + 0.5 * e(-((9 * x - 7) ** 2 + (9 * y - 3) ** 2) / 4)
            - 0.2 * e(-(9 * x - 4) ** 2 - (9 * y - 7) ** 2))


def points_of(count):
    chance = numpy.random.default_rng(count)
    x, y = chance.random(count), chance.random(count)
    return numpy.column_stack([100 * x, 100 * y, 30 * franke(x, y) + chance.normal(0, 1, count)])


def ours(program, file):
    with open(file, encoding='ascii') as lines:
        told = subprocess.run([program], stdin=lines, capture_output=True, text=True, check=True)
    words = told.stdout.split()
    return float(words[1]), float(words[3]), float(words[5]), numpy.array(words[6:], float)


def by_scipy(points, smoothing):
    """SciPy's kernel is r^2 ln r: ours is that over 8 pi."""
    from scipy.interpolate import RBFInterpolator
    least = float('inf')
    for _ in range(RUNS):
        start = time.process_time()
        made = RBFInterpolator(points[:, :2], points[:, 2], kernel='thin_plate_spline',
                               smoothing=8 * numpy.pi * smoothing)
        least = min(least, time.process_time() - start)
    return least, made(points[:, :2])


def by_r(package, call, freedom, file):
    script = R_SCRIPT.replace('FILE', repr(file)).replace('CALL', call).replace('FREEDOM', freedom)
    told = subprocess.run(['Rscript', '-e', f'suppressMessages(library({package}))', '-e',
                           script.replace('RUNS', str(RUNS))], capture_output=True, text=True, check=True)
    numbers = numpy.array(told.stdout.split(), float)
    return numbers[0], numbers[1], numbers[2:]


def show(name, seconds, ours_s, freedom, off):
    print(f'  {name:14} {1e3 * seconds:9.2f} ms {seconds / ours_s:8.1f} times, freedom {freedom}, '
          f'at most {off:.2g} from ours')


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, 'points.csv')
        for count in SIZES:
            points = points_of(count)
            numpy.savetxt(file, points, delimiter=',', fmt='%.9g')
            seconds, freedom, smoothing, values = ours(sys.argv[1], file)
            print(f'{count} points')
            show('ours', seconds, seconds, f'{freedom:.2f}', 0)
            try:
                spent, other = by_scipy(points, smoothing)
                show('scipy, solved', spent, seconds, 'given', abs(other - values).max())
            except ImportError:
                print('  scipy is not installed')
            for name, (package, call, in_r) in IN_R.items():
                try:
                    spent, free, other = by_r(package, call, in_r, file)
                    show(name, spent, seconds, f'{free:.2f}', abs(other - values).max())
                except (OSError, subprocess.CalledProcessError):
                    print(f'  {name} is not installed')


main()
