# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""Lets calls of each kind fail in every command: test_failing.py SPOTFIELD SOURCE_ROOT SHIM [--sanitizer LIBRARY]
[--every | --turn N]. A run that meets a failure either does without, and leaves exactly what an undisturbed run
leaves, or ends with a status of the manual and a message, and leaves everything as it was. Where nothing can be
removed any more, not even after another failure, what stays is new and named. Under a sanitizer, which is preloaded
too, what leaks on the way is found; allocations are then not failed.

A command that makes a call no more often than SAMPLE has each of them fail; of more, the first, the last, and one from
each of equal stretches between. Which one changes from program to program: its bytes choose the turn, so that a build
meets the same calls each time. --every is the full sweep, for the night: every call up to EVERY of a kind, of more
(allocations) some, and the last ones, when results are there."""
import argparse
import errno
import multiprocessing
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import zlib

STATUSES = {65, 66, 70, 73}
# each begins as such a result does: what does not is never replaced
EARLIER = {'parts.csv': 'ref,x_mm,y_mm,temp_c\n', 'plan.csv': 'rank,x_mm,y_mm,spot\n',
           'compare.csv': 'ref,x_mm,y_mm,rise_before_k\n'}
# of a page that was killed, a process that cannot be; the next page removes it if it can
LEFTOVER = f'.parts.csv.{2 ** 22 + 1}-0.new'
# of a page whose lock could not be taken away: nobody holds it, and it keeps nobody out
LOCK = '.spotfield-page.lock'

# words of a run, where JOB, SECOND, OUT and FRESH stand for folders
COMMANDS = [('new', 'FRESH'), ('check', 'JOB'), ('check', '--json', 'JOB'),
            ('check', '--export', 'JOB'), ('bring', 'FRESH', 'JOB/job.json', '--write'),
            ('map', '--width', '400', '--out', 'OUT', 'JOB'),
            ('plan', '--width', '400', '--points', '2', '--out', 'OUT', 'JOB'),
            ('compare', '--width', '400', '--out', 'OUT', 'SECOND', 'JOB'),
            ('map', '--width', '400', '--out', 'DEEP/FRESH', 'JOB'), ('page', 'JOB'),
            ('map', '--width', '400', 'JOB', 'SECOND')]
CALLS = {'write': errno.ENOSPC, 'fsync': errno.EIO, 'close': errno.EDQUOT, 'rename': errno.EACCES,
         'link': errno.EPERM, 'mkdir': errno.ENOSPC, 'open64': errno.EMFILE, 'openat64': errno.ENOSPC,
         'read': errno.EIO, 'fstat64': errno.EIO, 'stat64': errno.EACCES, 'lstat64': errno.EACCES,
         'fchmod': errno.EPERM, 'unlink': errno.EBUSY, 'unlinkat': errno.EBUSY,
         'opendir': errno.EACCES, 'fork': errno.EAGAIN, 'malloc': errno.ENOMEM}
# after these nothing can be removed either
BEFORE_REMOVALS = ('write', 'rename', 'openat64', 'fsync')
SAMPLE, SAMPLE_SANITIZED = 5, 3  # where each run takes five times as long
EVERY, LAST = 60, 20


def lay(place, source):
    place.mkdir()
    for folder in ('JOB', 'SECOND'):
        shutil.copytree(source / 'samples' / 'minimal', place / folder)
    (place / 'OUT').mkdir()
    for name, header in EARLIER.items():
        (place / 'OUT' / name).write_text(header)
        (place / 'OUT' / name).chmod(0o600)
    (place / 'JOB' / 'job.json').write_text('{"schema":1,"tables":{"parts.csv":{"columns":["ref"],"rows":[["C1"]]}}}')
    (place / 'JOB' / LEFTOVER).write_text('half a file')


def contents(place):
    """Of every file its bytes, by its name, but for what may stay or go."""
    return {str(path.relative_to(place)): path.read_bytes() if path.is_file() else None
            for path in sorted(place.rglob('*')) if path.name not in (LEFTOVER, LOCK)}


class Run:
    """What the program is run with."""

    def __init__(self, program, source, shim, sanitizer):
        self.program, self.source = os.path.abspath(program), pathlib.Path(source).resolve()
        self.preload = f'{sanitizer} {os.path.abspath(shim)}'.strip()

    def once(self, words, **failing):
        """Status, what was said, notes of the shim by their names, what was there before and after."""
        with tempfile.TemporaryDirectory() as scratch:
            place, notes = pathlib.Path(scratch) / 'here', pathlib.Path(scratch)
            lay(place, self.source)
            before = contents(place)
            ended = subprocess.Popen(
                [self.program, *words], cwd=place, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                env=dict(os.environ, LC_ALL='C', LD_PRELOAD=self.preload, FAIL_NOTE=str(notes / 'failed'), **failing))
            if words[0] == 'page' and ended.stdout.readline():  # it serves, until it is told to end
                ended.terminate()
            said = ended.communicate()[1]
            noted = {path.name: path.read_text() for path in notes.iterdir() if path.is_file()}
            return ended.returncode, said, noted, before, contents(place)

    def undisturbed(self, words):
        """What it leaves, and how often it makes each call."""
        with tempfile.TemporaryDirectory() as scratch:
            counts = pathlib.Path(scratch) / 'counts'
            status, said, _, _, after = self.once(words, FAIL_CALL='none', FAIL_AT='0', FAIL_COUNTS=str(counts))
            if status != 0:
                raise RuntimeError(f'{words[0]}: ends with {status} undisturbed: {said}')
            return after, {kind: int(count) for kind, count in map(str.split, counts.read_text().splitlines())}


def several(words):
    """The boards of a machine: each by a process, which counts its calls on from those of the first."""
    return words[-2:] == ('JOB', 'SECOND') and words[0] == 'map'


# what goes together when several are mapped: each board, and what is told of all
TOGETHER = (re.compile('JOB/out'), re.compile('SECOND/out'), re.compile(r'(index\.html|boards\.csv|kit\.csv|order\.csv)$'))


def faults_of_several(status, said, before, after, undisturbed):
    """A board that fails keeps the other from nothing; what is told of all counts what there is then."""
    faults = [fault for fault in faults_of(status, said, after, after, after)]
    for group in TOGETHER:
        now, was, wanted = ({name: held for name, held in found.items() if group.match(name) and not LEFT.search(name)
                             and not (found is after and name not in before
                                      and (f'\n{name}: warning: is left over' if status == 0 else name) in f'\n{said}')}
                            for found in (after, before, undisturbed))
        of_all = group is TOGETHER[-1]
        if now != wanted and status == 0:
            faults.append(f'ends well, but {sorted(now)} are not as they are undisturbed')
        elif now != wanted and now != was and not (of_all and set(now) == set(wanted)):
            faults.append(f'{sorted(now)} are neither as before nor as undisturbed')
    return faults


LEFT = re.compile(r'\.[^/]+\.\d+\.spotfield(/|$)')


def faults_of(status, said, before, after, undisturbed):
    """A new name that stays is no fault where it is told."""
    def changed_from(wanted):
        return [name for name in {*after, *wanted} if after.get(name, 0) != wanted.get(name, 0)
                and not (name not in wanted and name in said)]

    if status == 0:
        # what a run has put aside and could not take away, the next one does (docs/files.md)
        changed = [name for name in changed_from(undisturbed) if not LEFT.match(name)]
        if changed:
            yield f'ends well, but {sorted(changed)} are not as they are undisturbed'
        return
    if status not in STATUSES:
        yield f'exit status {status}'
    if not said.strip() or re.search(r'Sanitizer|runtime error', said):
        yield 'ends without a word, or with those of a sanitizer'
    changed = changed_from(before)
    if changed:
        yield f'fails, but has changed {sorted(changed)}'


def every(count):
    nth, chosen = 1, set(range(max(EVERY, count - LAST + 1), count + 1))
    while nth <= count:
        chosen.add(nth)
        nth += 1 if nth < EVERY else nth // 6
    return sorted(chosen)


def sample(count, turn, most):
    """The first, the last, and one from each of equal stretches between."""
    if count <= most:
        return list(range(1, count + 1))
    ends = [1 + (count - 2) * i // (most - 2) for i in range(most - 1)]
    return [1, *(low + 1 + turn % (high - low) for low, high in zip(ends, ends[1:])), count]


def sweep(run, words, call, stays, nths, undisturbed):
    """Answers how many runs met a failure, and what was wrong."""
    met, wrong = 0, []
    for nth in nths:
        status, said, noted, before, after = run.once(
            words, FAIL_CALL=call, FAIL_AT=str(nth), FAIL_ERRNO=str(CALLS[call]),
            **({'FAIL_REMOVALS': '1'} if stays else {}))
        what = f'{words[0]}: {call} {nth}{", removals" if stays else ""}'
        wrong.extend(f'{what}: {fault}; it said: {said.strip()[:300]}'
                     for fault in (faults_of_several if several(words) else faults_of)(
                         status, said, before, after, undisturbed))
        if 'failed' not in noted and status != 0:
            wrong.append(f'{what}: ends with {status} undisturbed: {said}')
        met += 'failed' in noted
    # a page is ended from outside, where its threads may not have come so far as undisturbed; no process of several
    # may make as many calls as two do together
    if nths and not met and words[0] != 'page' and not several(words):
        wrong.append(f'{words[0]}: {call}: no failure was met')
    return met, wrong


def sweeps_of(run, calls, choose):
    """A sweep for every command and call that it makes, the longest first."""
    with multiprocessing.Pool() as pool:
        sound = pool.map(run.undisturbed, COMMANDS, 1)
    alone = next(counts for words, (_, counts) in zip(COMMANDS, sound) if words[0] == 'map')
    for words, (_, counts) in zip(COMMANDS, sound):
        if several(words):  # the note of the first process is the last that is written
            counts.update({call: count + alone[call] for call, count in counts.items()})
    sweeps = [(run, words, call, stays, choose(counts[call]), after)
              for words, (after, counts) in zip(COMMANDS, sound) for call in calls if counts[call]
              for stays in ([False, True] if call in BEFORE_REMOVALS else [False])]
    return sorted(sweeps, key=lambda each: -len(each[4]))


def main(run, calls, choose):
    sweeps = sweeps_of(run, calls, choose)
    with multiprocessing.Pool() as pool:
        ended = pool.starmap(sweep, sweeps, 1)
    faults = [fault for _, wrong in ended for fault in wrong]
    met = {call: sum(count for (_, _, of, *_), (count, _) in zip(sweeps, ended) if of == call) for call in calls}
    faults += [f'{call}: no command makes that call' for call, count in met.items() if count == 0]
    faults += [f'{words[0]}: no call is failed' for words in COMMANDS if words not in [of for _, of, *_ in sweeps]]
    print('\n'.join(faults))
    print(f'{sum(met.values())} failures met, {len(faults)} faults: ' +
          ', '.join(f'{call} {count}' for call, count in met.items()))
    return 1 if faults else 0


def options():
    asked = argparse.ArgumentParser(prog='test_failing.py', description=__doc__, add_help=False)
    for name in ('program', 'source', 'shim'):
        asked.add_argument(name)
    asked.add_argument('--sanitizer', default='')
    asked.add_argument('--every', action='store_true')
    asked.add_argument('--turn', type=int)
    return asked.parse_args()


if __name__ == '__main__':
    GIVEN = options()
    TURN = zlib.crc32(pathlib.Path(GIVEN.program).read_bytes()) % 997 if GIVEN.turn is None else GIVEN.turn
    if not GIVEN.every:
        print(f'turn {TURN}')
    sys.exit(main(Run(GIVEN.program, GIVEN.source, GIVEN.shim, GIVEN.sanitizer),
                  [call for call in CALLS if call != 'malloc' or not GIVEN.sanitizer],
                  every if GIVEN.every else
                  lambda count: sample(count, TURN, SAMPLE_SANITIZED if GIVEN.sanitizer else SAMPLE)))
