# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""A machine of very many boards in one call: machine.py SPOTFIELD MAKE_BOARDS [--boards N] [--kinds K] [--times T].

Makes K boards and lays N jobs of them, one with a fault. Tells, with the load of the computer before it:
- T times, K jobs on one processor and on all: wall time of both and how many times faster; how many times faster the
  same jobs are in commands that know nothing of one another, each pinned to a processor and with its share of the jobs:
  more the computer itself does not give; processor time over wall time, how many of the boards' processes were running or ready to on average, and the processor time of a board. Others
  on the same computer take their share of the time, not of the processes that are ready: where these are as many as
  there are processors, and a board takes no more of them than on one, nothing but the others holds it up;
- N jobs: killed when half are done, started again, started once more: what was mapped and what was counted, the time,
  the most memory of a process, against that of one job by itself, and of the first process, which only counts.

Exit status 1 where a board is lost, the continued run maps what was done, or memory grows with the number."""
import argparse
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from concurrent import futures

DATA = 65  # <sysexits.h>, of the board with a fault
GROWN = 1.25  # of the most memory of one job: boards differ, and one of them is the largest


def lay(made, jobs, count):
    kinds = sorted(made.iterdir())
    for i in range(count):
        shutil.copytree(kinds[i % len(kinds)], jobs / f'b{i:04}')
        board = jobs / f'b{i:04}' / 'board.csv'
        board.write_text(board.read_text() + f'owner,of board {i},\n')
    return [f'b{i:04}' for i in range(count)]


def ready(first):
    """How many processes that the first one began run or wait for a processor; one of several threads is one."""
    count = 0
    for child in pathlib.Path(f'/proc/{first}/task/{first}/children').read_text().split():
        try:
            states = [(task / 'stat').read_text().rpartition(')')[2].split()[0]
                      for task in pathlib.Path(f'/proc/{child}/task').iterdir()]
        except OSError:  # it has ended
            continue
        count += 'R' in states
    return count


def run(program, jobs, folder, *options, processors=None, until=None):
    """Wall and processor seconds, the most memory of a process and of the first one (MiB), status, what was said, how
    many processes were ready. With `until`, all of it is killed once that holds."""
    def before():
        os.setsid()
        if processors:
            os.sched_setaffinity(0, processors)
    began, held, seen = time.monotonic(), 0.0, []
    with tempfile.TemporaryFile('w+') as said:
        child = subprocess.Popen([program, 'map', *jobs, *options], cwd=folder, stdout=said,
                                 stderr=subprocess.DEVNULL, preexec_fn=before)
        while True:
            ended, status, used = os.wait4(child.pid, os.WNOHANG)
            if ended:
                break
            found = re.search(r'VmHWM:\s+(\d+)', pathlib.Path(f'/proc/{child.pid}/status').read_text())
            held = max(held, int(found[1]) / 1024) if found else held
            seen.append(ready(child.pid))
            if until and until():
                os.killpg(child.pid, signal.SIGKILL)
                until = None
            time.sleep(0.05)
        child.returncode = os.waitstatus_to_exitcode(status)
        said.seek(0)
        return (time.monotonic() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, held, child.returncode,
                said.read(), sum(seen) / max(len(seen), 1))


def load():
    return '%.1f' % os.getloadavg()[0]


def apart(program, jobs, folder, usable):
    """Wall seconds of the same boards in commands that know nothing of one another, each on one processor."""
    with futures.ThreadPoolExecutor(len(usable)) as pool:
        began = time.monotonic()
        list(pool.map(lambda at: run(program, jobs[at::len(usable)], folder, '--again', '--quiet',
                                     processors=[usable[at]]), range(len(usable))))
        return time.monotonic() - began


def tell_speed(program, jobs, folder, times):
    usable = sorted(os.sched_getaffinity(0))
    for _ in range(times):
        before = load()
        one = run(program, jobs, folder, '--again', '--quiet', processors=usable[:1])
        every = run(program, jobs, folder, '--again', '--quiet')
        ceiling = one[0] / apart(program, jobs, folder, usable)
        print(f'load {before}: {len(jobs)} boards on one processor {one[0]:.1f} s, on {len(usable)} {every[0]:.1f} s: '
              f'{one[0] / every[0]:.2f} times faster, where commands apart, a processor each, are {ceiling:.2f}; processor time over wall time {one[1] / one[0]:.2f} and '
              f'{every[1] / every[0]:.2f}; processes ready {one[6]:.2f} and {every[6]:.2f}; processor time a board {one[1] / len(jobs):.3f} and '
              f'{every[1] / len(jobs):.3f} s', flush=True)


def tell_many(program, jobs, folder, most_of_one):
    bad = folder / jobs[len(jobs) // 3] / 'readings.csv'
    bad.write_text(bad.read_text() + 'none,7,7,warm,C,infrared,board\n')
    faults = []

    def done():
        return sum((folder / job / 'out' / 'report.html').exists() for job in jobs)

    def told(what, ended, status, mapped, counted):
        print(f'{what}: {mapped} mapped, {counted} unchanged in {ended[0]:.1f} s, {ended[1]:.1f} s of processors; at most '
              f'{ended[2]:.1f} MiB a process, {ended[3]:.1f} MiB the first; load {load()}', flush=True)
        if ended[4] != status:
            faults.append(f'{what}: ends with {ended[4]}')

    first = run(program, jobs, folder, until=lambda: done() >= len(jobs) // 2)
    kept = done()
    told('killed halfway', first, -signal.SIGKILL, kept, 0)
    second = run(program, jobs, folder)
    counted = second[5].count(', unchanged\n')
    told('started again', second, DATA, done() - counted, counted)
    third = run(program, jobs, folder)
    told('once more', third, DATA, done() - third[5].count(', unchanged\n'), third[5].count(', unchanged\n'))
    line = re.search(r'^(\d+) boards?, .*$', third[5], re.M)
    print(line[0] if line else 'no sums')
    if kept >= len(jobs) - 1 or counted < kept or done() != len(jobs) - 1 or int(line[1]) != len(jobs) - 1:
        faults.append(f'{kept} were mapped, {counted} were kept, {done()} are there, {len(jobs) - 1} are sound')
    if third[5].count(', unchanged\n') != len(jobs) - 1:
        faults.append('what had not changed was mapped again')
    if max(second[2], second[3]) > GROWN * most_of_one:
        faults.append(f'{second[2]:.1f} MiB where one job by itself takes {most_of_one:.1f}')
    return faults


def main():
    asked = argparse.ArgumentParser(prog='machine.py')
    asked.add_argument('spotfield')
    asked.add_argument('make_boards')
    for name, value in (('--boards', 2000), ('--kinds', 20), ('--times', 3)):
        asked.add_argument(name, type=int, default=value)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        place, program = pathlib.Path(scratch), os.path.abspath(given.spotfield)
        subprocess.run([given.make_boards, str(place / 'made'), '--boards', str(given.kinds), '--readings', '12'],
                       check=True, stdout=subprocess.DEVNULL)
        (place / 'jobs').mkdir()
        jobs = lay(place / 'made', place / 'jobs', given.boards)
        alone = [run(program, [job], place / 'jobs') for job in jobs[:given.kinds]]
        most = max(each[2] for each in alone)
        print(f'one job by itself: at most {most:.1f} MiB, {sum(each[1] for each in alone) / len(alone):.3f} s of '
              f'processors; load {load()}', flush=True)
        tell_speed(program, jobs[:given.kinds], place / 'jobs', given.times)
        for job in jobs[:given.kinds]:
            shutil.rmtree(place / 'jobs' / job / 'out')
        faults = tell_many(program, jobs, place / 'jobs', most)
        print('\n'.join(faults))
        return bool(faults)


if __name__ == '__main__':
    sys.exit(main())
