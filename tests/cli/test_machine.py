# SPDX-FileCopyrightText: 2026 The spotfield authors
# SPDX-License-Identifier: GPL-3.0-or-later

"""The boards of a machine in one run: test_machine.py SPOTFIELD ROOT. What `map JOB JOB` writes and counts must be
what `map JOB` writes for each, one bad board stops no other, and a signal leaves whole folders or none."""
import csv
import os
import pathlib
import pty
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

PROGRAM, ROOT = sys.argv[1], pathlib.Path(sys.argv[2])
USAGE, BAD_DATA, MISSING, INTERNAL = 64, 65, 66, 70  # <sysexits.h>
VERDICTS = ('replace', 'check', 'leave')
SMALL, DEMO, OLD = 'samples/minimal', 'demo/desk-supply', 'samples/old-grade'


def run(*words, **more):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True, **more)


def ends(status, said, *words):
    done = run(*words)
    assert done.returncode == status, (words, done)
    assert said in done.stderr, (said, done.stderr)
    return done


def lay(**jobs):
    for name, model in jobs.items():
        shutil.copytree(ROOT / model, name, ignore=shutil.ignore_patterns('out'))


def spoil(job):
    board = pathlib.Path(job, 'board.csv')
    board.write_text(re.sub(r'^width,[^,\n]*', 'width,22o', board.read_text(), flags=re.M))


def contents(folder):
    return {path.name: path.read_bytes() for path in pathlib.Path(folder).iterdir()}


def parts(folder):
    with open(pathlib.Path(folder, 'parts.csv'), encoding='utf-8', newline='') as file:
        return list(csv.DictReader(file))


def row_of(rows):
    """As the table of the boards must count these parts."""
    counts = [sum(part['verdict'] == verdict for part in rows) for verdict in VERDICTS]
    hottest = max(float(part['temp_c']) for part in rows)
    return [len(rows), *counts], hottest


def table(said):
    """Of each row its job, its counts (none: not mapped) and its hottest can."""
    made = []
    for line in said.split('\n\n')[0].splitlines()[1:]:
        found = re.fullmatch(r' *(\d+) +(\d+) +(\d+) +(\d+) +(\d+) C  (.*)', line)
        lost = re.fullmatch(r'not mapped: see the message +(.*)', line)
        assert found or lost, line
        made.append((found[6], [int(found[i]) for i in range(1, 5)], float(found[5])) if found else (lost[1], None, None))
    return made


def each_board_is_as_by_itself():
    lay(small=SMALL, demo=DEMO, old=OLD)
    jobs = ('small', 'demo', 'old')
    alone, objects, complaints = {}, '', ''
    for job in jobs:
        done = run('map', job, '--json')
        assert done.returncode == 0, done
        objects, complaints = objects + done.stdout, complaints + done.stderr
        alone[job] = contents(f'{job}/out')
        shutil.rmtree(f'{job}/out')
    together = run('map', *jobs, '--json')
    assert (together.returncode, together.stdout, together.stderr) == (0, objects, complaints), together
    for job in jobs:
        assert contents(f'{job}/out') == alone[job], job
        shutil.rmtree(f'{job}/out')
    ends(0, '', 'map', *jobs, '--out', 'deep/results')
    for job in jobs:
        assert contents(f'deep/results/{job}') == alone[job], job
        assert not pathlib.Path(job, 'out').exists()
    assert run('map', *jobs, '--quiet').stdout == ''


def the_worst_comes_first_and_the_sums_are_those_of_the_boards():
    lay(small=SMALL, demo=DEMO, old=OLD, bad=DEMO)
    spoil('bad')
    done = ends(BAD_DATA, 'bad/board.csv:', 'map', 'small', 'bad', 'demo', 'old')
    assert '\nspotfield map: bad: not mapped\n' in done.stderr, done.stderr
    assert not pathlib.Path('bad/out').exists()
    wanted = {job: row_of(parts(f'{job}/out')) for job in ('small', 'demo', 'old')}
    found = table(done.stdout)
    assert found[0] == ('bad', None, None), found
    order = sorted(wanted, key=lambda job: (-wanted[job][0][1], -wanted[job][0][2], -wanted[job][1]))
    assert [row[0] for row in found[1:]] == order, (found, wanted)
    assert order != ['small', 'demo', 'old'], 'the order given is no proof'
    for job, counts, hottest in found[1:]:
        assert counts == wanted[job][0] and abs(hottest - wanted[job][1]) <= 0.51, (job, counts, wanted[job])
    sums = [sum(counts) for counts in zip(*(row[0] for row in wanted.values()))]
    line = '3 boards, {} capacitors: replace {}, check {}, leave {}. 1 more board was not mapped.\n'.format(*sums)
    assert line in done.stdout, (line, done.stdout)


def one_and_none_are_counted_in_words():
    lay(small=SMALL, bad=SMALL, worse=SMALL)
    for job in ('bad', 'worse'):
        spoil(job)
    count = row_of(parts_of_a_run('small'))[0][0]
    assert f'\n1 board, {count} capacitors: ' in ends(BAD_DATA, '', 'map', 'small', 'bad').stdout
    rows = pathlib.Path('small/parts.csv').read_text().splitlines(keepends=True)
    last = max(i for i, row in enumerate(rows) if row.startswith('C'))
    first = min(i for i, row in enumerate(rows) if row.startswith('C'))
    pathlib.Path('small/parts.csv').write_text(''.join(rows[:first + 1] + rows[last + 1:]))
    said = ends(BAD_DATA, '', 'map', 'bad', 'small', 'worse').stdout
    assert '\n1 board, 1 capacitor: ' in said and ' 2 more boards were not mapped.\n' in said, said


def parts_of_a_run(job):
    ends(0, '', 'map', job)
    return parts(f'{job}/out')


def the_exit_status_is_the_highest():
    lay(small=SMALL, bad=SMALL)
    spoil('bad')
    ends(MISSING, 'gone: not mapped', 'map', 'gone', 'small', 'bad')
    ends(MISSING, 'bad: not mapped', 'map', 'bad', 'gone', 'small', '--json')
    assert pathlib.Path('small/out/parts.csv').exists()


def what_would_write_one_folder_twice_is_refused():
    lay(small=SMALL, demo=DEMO)
    shutil.copytree('small', 'other/small')
    ends(USAGE, 'small/ is given twice', 'map', 'small', 'demo', 'small/')
    ends(USAGE, 'would both go to out/small', 'map', 'small', 'other/small', '--out', 'out')
    ends(USAGE, 'has no name', 'map', 'small', '.', '--out', 'out')
    ends(USAGE, '--out needs the name', 'map', 'small', 'demo', '--out', '')
    ends(USAGE, 'give one JOB', 'map', 'small', 'demo', '--explain', 'C1')
    assert not any(pathlib.Path(made).exists() for made in ('out', 'small/out', 'demo/out'))


def a_private_job_makes_no_other_private():
    os.umask(0o022)
    lay(small=SMALL, open=SMALL)
    for file in pathlib.Path('small').glob('*.csv'):
        file.chmod(0o600)
    ends(0, '', 'map', 'small', 'open')
    modes = [pathlib.Path(job, 'out/parts.csv').stat().st_mode & 0o777 for job in ('small', 'open')]
    assert modes == [0o600, 0o644], [oct(mode) for mode in modes]


def many():
    jobs = [f'b{i}' for i in range(12)]
    lay(**{job: DEMO for job in jobs})
    return jobs


def start(jobs, **more):
    return subprocess.Popen([PROGRAM, 'map', *jobs], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                            start_new_session=True, **more)


def wait_for(found):
    until = time.monotonic() + 60
    while time.monotonic() < until:
        here = found()
        if here:
            return here
        time.sleep(0.005)
    raise AssertionError('nothing came within a minute')


def a_signal_ends_all_of_it_and_leaves_whole_folders():
    jobs = many()
    whole = set(contents_of_a_run(jobs[0]))
    for number in (signal.SIGINT, signal.SIGTERM):
        under_way = start(jobs[1:])
        wait_for(lambda: [job for job in jobs[1:] if pathlib.Path(job, 'out/report.html').exists()])
        under_way.send_signal(number)
        under_way.communicate(timeout=60)
        assert under_way.returncode == -number, under_way.returncode
        try:
            os.killpg(under_way.pid, 0)
            raise AssertionError('a process goes on')
        except ProcessLookupError:
            pass
        made = [set(contents(f'{job}/out')) for job in jobs[1:] if pathlib.Path(job, 'out').exists()]
        assert all(names == whole for names in made), made
        assert len(made) < len(jobs) - 1, 'it had ended before the signal'
        for job in jobs[1:]:
            shutil.rmtree(f'{job}/out', ignore_errors=True)


def contents_of_a_run(job):
    ends(0, '', 'map', job)
    return contents(f'{job}/out')


def a_process_that_dies_takes_no_other_along():
    jobs = many()
    under_way = start(jobs)
    children = pathlib.Path(f'/proc/{under_way.pid}/task/{under_way.pid}/children')
    victim = int(wait_for(lambda: children.read_text().split())[0])
    os.kill(victim, signal.SIGKILL)
    said, complained = under_way.communicate(timeout=120)
    assert under_way.returncode == INTERNAL, (under_way.returncode, complained)
    assert len(re.findall(r'b\d+: ended by signal 9: not mapped\n', complained)) == 1, complained
    assert '\n11 boards, ' in said, said


def what_was_ignored_stays_ignored():
    jobs = many()
    under_way = start(jobs, preexec_fn=lambda: signal.signal(signal.SIGHUP, signal.SIG_IGN))
    wait_for(lambda: pathlib.Path(jobs[0], 'out').exists() or pathlib.Path(jobs[1], 'out').exists())
    under_way.send_signal(signal.SIGHUP)
    said = under_way.communicate(timeout=120)[0]
    assert under_way.returncode == 0 and '\n12 boards, ' in said, (under_way.returncode, said)


def only_a_terminal_is_told_how_far_it_is():
    lay(small=SMALL, demo=DEMO)
    assert 'mapping' not in ends(0, '', 'map', 'small', 'demo').stderr
    ours, theirs = pty.openpty()
    done = subprocess.run([PROGRAM, 'map', 'small', 'demo'], stdout=subprocess.PIPE, stderr=theirs, check=True)
    os.close(theirs)
    told = b''
    try:
        while more := os.read(ours, 4096):
            told += more
    except OSError:  # how a terminal ends that nobody has open
        pass
    assert b'mapping: 0 of 2 done' in told and b'mapping' not in done.stdout, told
    assert re.search(rb'\r {40}\r[^m]*$', told), told


TESTS = (each_board_is_as_by_itself, the_worst_comes_first_and_the_sums_are_those_of_the_boards,
         one_and_none_are_counted_in_words, the_exit_status_is_the_highest,
         what_would_write_one_folder_twice_is_refused, a_private_job_makes_no_other_private,
         a_signal_ends_all_of_it_and_leaves_whole_folders, a_process_that_dies_takes_no_other_along,
         what_was_ignored_stays_ignored, only_a_terminal_is_told_how_far_it_is)

PROGRAM = os.path.abspath(PROGRAM)
ROOT = ROOT.resolve()
for test in TESTS:
    with tempfile.TemporaryDirectory() as place:
        os.chdir(place)
        test()
        os.chdir('/')
