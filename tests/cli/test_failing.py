"""Lets the n-th call of each kind fail in every command, n = 1, 2, 3 ... until none fails any more:
test_failing.py SPOTFIELD SOURCE_ROOT SHIM [SANITIZER]. A run that meets a failure either does without, and leaves
exactly what an undisturbed run leaves, or ends with a status of the manual and a message, and leaves everything as it
was. Where nothing can be removed any more, not even after another failure, what stays is new and named. Under a sanitizer, which is preloaded too, what leaks on the way is found; allocations are then not failed."""
import errno
import multiprocessing
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

STATUSES = {65, 66, 70, 73}
# each begins as such a result does: what does not is never replaced
EARLIER = {'parts.csv': 'ref,x_mm,y_mm,temp_c\n', 'plan.csv': 'rank,x_mm,y_mm,method\n',
           'compare.csv': 'ref,x_mm,y_mm,rise_before_k\n'}
# of a page that was killed, a process that cannot be; the next page removes it if it can
LEFTOVER = f'.parts.csv.{2 ** 22 + 1}-0.new'
# of a page whose lock could not be taken away: nobody holds it, and it keeps nobody out
LOCK = '.spotfield-page.lock'

# words of a run, where JOB, SECOND, OUT and FRESH stand for folders
COMMANDS = [('new', 'FRESH'), ('check', 'JOB'), ('check', '--json', 'JOB'),
            ('map', '--width', '400', '--out', 'OUT', 'JOB'),
            ('plan', '--width', '400', '--points', '2', '--out', 'OUT', 'JOB'),
            ('compare', '--width', '400', '--out', 'OUT', 'SECOND', 'JOB'),
            ('map', '--width', '400', '--out', 'DEEP/FRESH', 'JOB'), ('page', 'JOB')]
CALLS = {'write': errno.ENOSPC, 'fsync': errno.EIO, 'close': errno.EDQUOT, 'rename': errno.EACCES,
         'link': errno.EPERM, 'mkdir': errno.ENOSPC, 'open64': errno.EMFILE, 'openat64': errno.ENOSPC,
         'read': errno.EIO, 'fstat64': errno.EIO, 'stat64': errno.EACCES, 'lstat64': errno.EACCES,
         'fchmod': errno.EPERM, 'unlink': errno.EBUSY, 'unlinkat': errno.EBUSY,
         'opendir': errno.EACCES, 'malloc': errno.ENOMEM}
# after these nothing can be removed either
BEFORE_REMOVALS = ('write', 'rename', 'openat64', 'fsync')
# every call up to so many; of more, which only allocations come to, some, and the last ones, when results are there
EVERY, LAST = 60, 20


def lay(place, source):
    place.mkdir()
    for folder in ('JOB', 'SECOND'):
        shutil.copytree(source / 'samples' / 'minimal', place / folder)
    (place / 'OUT').mkdir()
    for name, header in EARLIER.items():
        (place / 'OUT' / name).write_text(header)
        (place / 'OUT' / name).chmod(0o600)
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

    def once(self, words, call, nth, stays=False):
        """Status, what was said, whether a call failed, what was there before and after."""
        with tempfile.TemporaryDirectory() as scratch:
            place, note = pathlib.Path(scratch) / 'here', pathlib.Path(scratch) / 'note'
            lay(place, self.source)
            before = contents(place)
            ended = subprocess.Popen(
                [self.program, *words], cwd=place, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                env=dict(os.environ, LC_ALL='C', LD_PRELOAD=self.preload, FAIL_CALL=call, FAIL_AT=str(nth),
                         FAIL_NOTE=str(note), FAIL_ERRNO=str(CALLS.get(call, 0)),
                         **({'FAIL_REMOVALS': '1'} if stays else {})))
            if words[0] == 'page' and ended.stdout.readline():  # it serves, until it is told to end
                ended.terminate()
            said = ended.communicate()[1]
            return ended.returncode, said, note.exists(), before, contents(place)


def faults_of(status, said, before, after, undisturbed):
    """A new name that stays is no fault where it is told."""
    def changed_from(wanted):
        return [name for name in {*after, *wanted} if after.get(name, 0) != wanted.get(name, 0)
                and not (name not in wanted and name in said)]

    if status == 0:
        changed = changed_from(undisturbed)
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


def step(nth):
    return nth + 1 if nth < EVERY else nth + nth // 6


def last_calls(run, words, call, met, none):
    """The last calls of a run, of which one is known to be met and a later one not to be."""
    while none - met > 1:
        middle = (met + none) // 2
        if run.once(words, call, middle)[2]:
            met = middle
        else:
            none = middle
    return range(max(EVERY, none - LAST), none)


def sweep(run, words, call, stays):
    """Answers how many runs met a failure, and what was wrong."""
    _, _, _, _, undisturbed = run.once(words, 'none', 0)
    met, wrong = 0, []

    def meets(nth):
        status, said, failed, before, after = run.once(words, call, nth, stays)
        what = f'{words[0]}: {call} {nth}{", removals" if stays else ""}'
        wrong.extend(f'{what}: {fault}; it said: {said.strip()[:300]}'
                     for fault in faults_of(status, said, before, after, undisturbed))
        if not failed and status != 0:
            wrong.append(f'{words[0]}: ends with {status} undisturbed: {said}')
        return failed

    nth = earlier = 1
    while meets(nth):
        met, earlier, nth = met + 1, nth, step(nth)
    if nth > EVERY:
        met += sum([meets(late) for late in last_calls(run, words, call, earlier, nth)])
    return met, wrong


def main(run, calls):
    sweeps = [(run, words, call, stays) for words in COMMANDS for call in calls
              for stays in ([False, True] if call in BEFORE_REMOVALS else [False])]
    with multiprocessing.Pool() as pool:
        ended = pool.starmap(sweep, sweeps, 1)
    faults = [fault for _, wrong in ended for fault in wrong]
    met = {call: sum(count for (_, _, of, _), (count, _) in zip(sweeps, ended) if of == call) for call in calls}
    faults += [f'{call}: no command makes that call' for call, count in met.items() if count == 0]
    print('\n'.join(faults))
    print(f'{sum(met.values())} failures met, {len(faults)} faults: ' +
          ', '.join(f'{call} {count}' for call, count in met.items()))
    return 1 if faults else 0


if __name__ == '__main__':
    SANITIZER = sys.argv[4] if len(sys.argv) > 4 else ''
    sys.exit(main(Run(*sys.argv[1:4], SANITIZER),
                  [call for call in CALLS if call != 'malloc' or not SANITIZER]))
